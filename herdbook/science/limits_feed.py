"""Published ceilings of minerals and toxins in a diet, all sources side by side, strictest first."""

from __future__ import annotations

from typing import NamedTuple

from herdbook.science.tables_as_published import rows


class Ceiling(NamedTuple):
    """One published ceiling.

    Attributes:
        nutrient: key of the mineral or toxin.
        what: what it is a limit of (the whole diet unless said).
        low, high: the ceiling; a span where the source gives one.
        unit: of both, on dry matter for minerals and as the source has it for toxins.
        source: key of the source.
        from_memory: recalled and not read again.
        remark: what the source adds.
    """

    nutrient: str
    what: str
    low: float
    high: float
    unit: str
    source: str
    from_memory: bool
    remark: str


def tolerable_levels(nutrient: str) -> tuple[Ceiling, ...]:
    """Highest tolerable levels of a mineral in the diet's dry matter, strictest first; empty if unknown."""
    found = [
        Ceiling(
            nutrient,
            "diet",
            float(row["low"]),
            float(row["high"]),
            row["unit"],
            row["source"],
            row["read"] == "memory",
            row["remark"],
        )
        for row in rows("tolerable_levels.csv")
        if row["nutrient"] == nutrient
    ]
    return tuple(sorted(found, key=lambda one: one.low))


def toxin_limits(toxin: str, *, of: str = "") -> tuple[Ceiling, ...]:
    """US limits for a toxin, the strictest first; sources that disagree are all there.

    Args:
        toxin: "aflatoxin", "aflatoxin_m1", "don" or "fumonisin".
        of: only limits of this, such as "ration" or "grain"; all when empty.
    """
    found = [
        Ceiling(
            toxin,
            row["what"],
            float(row["limit"]),
            float(row["limit"]),
            row["unit"],
            row["source"],
            False,
            "",
        )
        for row in rows("toxin_limits.csv")
        if row["toxin"] == toxin and row["what"].startswith(of)
    ]
    return tuple(sorted(found, key=lambda one: one.low))


def over_tolerable(nutrient: str, share: float) -> tuple[Ceiling, ...]:
    """The published ceilings that a share of the diet's dry matter is above (the low end of a span counts).

    Args:
        nutrient: key of the mineral.
        share: in the unit of the nutrient list (% or mg/kg of dry matter).
    """
    return tuple(one for one in tolerable_levels(nutrient) if share > one.low)
