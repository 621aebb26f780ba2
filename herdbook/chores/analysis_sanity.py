"""Figures of an analysis that cannot be, or that somebody should look at twice; each finding says its source."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from herdbook.book.reading.feeds import AnalysisRow
from herdbook.science.basis import looks_like_moisture
from herdbook.science.nutrients import ADDED, nutrient, nutrients

CANNOT, ASK, LOOK = "cannot be", "ask", "look"
"""Refused; written only when the person is sure; written, and said."""

ADD_UP = ("cp", "ndf", "fat", "ash")
ADD_UP_SLACK = 5.0
"""Points by which figures that were each determined alone may pass the whole: a house rule, no source."""
ROUNDING = 0.5
NDICP_AT_MOST = 10.0
"""Taken where it was not determined; the richest feeds come near it (distillers grains): from memory."""

WITHIN = (("adf", "ndf"), ("lignin", "adf"), ("adicp", "ndicp"), ("ndicp", "cp"), ("ndfom", "ndf"), ("npn_cp", "cp"),
          ("se_added", "se"))  # fmt: skip
"""Figures of which the first is a part of the second."""
PECTIN = ("wet by-product", "grain", "liquid")
"""Kinds in which ADF may pass NDF: pectin of pulp stays in the one and not in the other. From memory."""

DRY_WORDS = ("hay", "straw", "stover", "dried", "pellet")
SILAGE_WORDS = ("silage", "haylage", "baleage", "ensiled")
DRY_KINDS = ("grain", "protein", "fat", "mineral", "premix")
DRY_KIND_LEAST = 60.0
"""Per cent: under it, a grain, meal or mineral is asked about. A house rule, no source; wet grain lies above it."""

# Wide on purpose: they catch a figure in the wrong column or unit, not an odd feed. House bounds, no source; the
# feeds of published tables lie inside them.
BOUNDS: Mapping[str, Mapping[str, tuple[float, float]]] = {
    "forage": {"cp": (2, 35), "ndf": (18, 85), "adf": (10, 60), "fat": (0, 8), "ash": (1.5, 25), "starch": (0, 50),
               "ca": (0.05, 3), "p": (0.03, 0.8), "mg": (0.03, 1), "k": (0.2, 6), "na": (0, 2), "cl": (0, 4),
               "s": (0.02, 1), "lignin": (0.5, 20)},
    "grain": {"cp": (4, 25), "ndf": (3, 45), "fat": (0.5, 10), "ash": (0.5, 10), "starch": (20, 85), "ca": (0, 1),
              "p": (0.1, 1.5), "k": (0.1, 2)},
    "protein": {"cp": (12, 300), "ndf": (0, 65), "fat": (0, 30), "ash": (0, 35), "starch": (0, 40)},
    "wet by-product": {"cp": (2, 50), "ndf": (2, 80), "fat": (0, 25), "ash": (0.5, 20)},
    "fat": {"fat": (30, 100), "cp": (0, 30), "ndf": (0, 60)},
    "mineral": {"cp": (0, 60), "ndf": (0, 40), "fat": (0, 25)},
    "premix": {"ndf": (0, 60), "fat": (0, 30)},
}  # fmt: skip

SHIFT = {"%": 0.15, "Mcal/kg": 0.10}
SHIFT_OF_MINERALS = 0.30
MINERALS = ("ca", "p", "mg", "k", "na", "cl", "s", "fe", "cu", "zn", "mn", "se", "co", "i", "mo")
SHIFT_SOURCE = (
    "feeds of one kind vary by 15 % in organic matter, 30 % in minerals, 10 % in energy: Stanton and LeValley, "
    "Colorado State 1.615"
)
LEAST_SHIFT = 0.3
"""Points: a small share of organic matter moves by a third on rounding alone."""


class Oddity(NamedTuple):
    """Something odd in an analysis: how grave, and a sentence."""

    grave: str
    says: str


def oddities(
    *, name: str, kind: str, dry_percent: float, values: Mapping[str, float], before: AnalysisRow | None
) -> list[Oddity]:
    """Everything odd in an analysis, the gravest first.

    Args:
        name: the feed's name; hay and silage are told apart by it.
        kind: what sort of feed.
        dry_percent: dry matter, %.
        values: figures on dry matter in each nutrient's own unit.
        before: the analysis in force before this one.
    """
    found = [
        *_whole(values),
        *_parts(kind, values),
        *dry_matter_doubts(name=name, kind=kind, dry_percent=dry_percent, before=before),
        *_out_of_bounds(kind, values),
        *_shifts(values, before),
    ]
    return sorted(found, key=lambda one: (CANNOT, ASK, LOOK).index(one.grave))


def _whole(values: Mapping[str, float]) -> Iterator[Oddity]:
    """Protein, fibre, fat and ash make up less than the whole, counting protein in the fibre once."""
    cp = values.get("cp", 0.0) - values.get("npn_cp", 0.0)
    if not all(key in values for key in ADD_UP) or values["cp"] > 100:
        return
    total = cp + values["ndf"] + values["fat"] + values["ash"]
    bound = values.get("ndicp", min(max(cp, 0.0), NDICP_AT_MOST))
    over = total - 100 - bound
    parts = " + ".join(f"{nutrient(key).label} {values[key]:g}" for key in ADD_UP)
    says = (
        f"{parts} make {total:.1f} % of dry matter, more than 100 and the {bound:.1f} of protein bound in NDF"
    )
    if over > ADD_UP_SLACK:
        yield Oddity(CANNOT, says)
    elif over > ROUNDING:
        yield Oddity(LOOK, says)


def _parts(kind: str, values: Mapping[str, float]) -> Iterator[Oddity]:
    for part, whole in WITHIN:
        if part in values and whole in values and values[part] > values[whole] * 1.02 + 1e-9:
            if (part, whole) == ("adf", "ndf") and kind in PECTIN:
                continue
            its, all_of_it = nutrient(part), nutrient(whole)
            says = f"{its.label} {values[part]:g} is more than {all_of_it.label} {values[whole]:g}, which holds it"
            yield Oddity(LOOK, says)


def dry_matter_doubts(
    *, name: str, kind: str, dry_percent: float, before: AnalysisRow | None
) -> Iterator[Oddity]:
    """Whether a dry matter looks like its moisture."""
    words = name.lower()
    usual = None if before is None else before.dry_ppm / 10_000
    silage = any(word in words for word in SILAGE_WORDS)
    dry = not silage and any(word in words for word in DRY_WORDS)
    if kind in DRY_KINDS:
        if dry_percent < DRY_KIND_LEAST and (usual is None or usual >= DRY_KIND_LEAST):
            yield Oddity(ASK, f"{name} at {dry_percent:g} % dry matter: is that its moisture?")
    elif kind == "forage" or silage or dry:
        if not silage and not dry:
            if usual is None:
                return  # nothing says whether it is hay or silage
            dry = usual >= 70
        doubt = looks_like_moisture(dry_matter_percent=dry_percent, dry_hay=dry)
        if doubt is not None:
            yield Oddity(
                ASK,
                f"{doubt.question} (Cornell Cooperative Extension 2022: such a figure in print was moisture)",
            )


def _out_of_bounds(kind: str, values: Mapping[str, float]) -> Iterator[Oddity]:
    for key, (low, high) in BOUNDS.get(kind, {}).items():
        value = values.get(key)
        if value is not None and not low <= value <= high:
            one = nutrient(key)
            yield Oddity(
                LOOK,
                f"{one.label} {value:g} {one.unit} is odd for a {kind}, {low:g} to {high:g} is usual (house bounds)",
            )


def _shifts(values: Mapping[str, float], before: AnalysisRow | None) -> Iterator[Oddity]:
    """Figures that moved further from the last analysis than feeds of one kind usually differ."""
    if before is None or before.is_worked_out:
        return
    moved = []
    for key, now in values.items():
        one, was = nutrients()[key], before.values.get(key)
        if key in ADDED or was is None:
            continue
        share = SHIFT_OF_MINERALS if key in MINERALS else SHIFT.get(one.unit)
        least = LEAST_SHIFT if one.unit == "%" and key not in MINERALS else 0.0
        if share is None or abs(now - was) <= max(share * abs(was), least):
            continue
        moved.append(f"{one.label} {now:g}, was {was:g}")
    if moved:
        yield Oddity(LOOK, f"since the analysis of {before.sampled_on}: {', '.join(moved)} ({SHIFT_SOURCE})")
