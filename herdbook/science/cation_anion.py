"""Dietary cation-anion difference, in both units that are in print, each under its own name."""

from __future__ import annotations

from herdbook.science.inputs import of_dry_matter
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Cation-anion difference"
ONE_UNIT = (
    "Targets are in print in mEq per 100 g and in mEq per kg, ten times as large: read the unit. Minerals by "
    "near infrared are not good enough for this."
)


@published(
    "dcad-percent",
    title="Cation-anion difference from percentages, in mEq per 100 g",
    subject=SUBJECT,
    formula="DCAD = na/0.023 + k/0.039 - cl/0.0355 - s/0.016",
    unit="mEq/hg",
    source="DIETS2020",
    arguments={
        "na": of_dry_matter("sodium", 0, 1.5, ceiling=40),
        "k": of_dry_matter("potassium", 0, 4, ceiling=57),
        "cl": of_dry_matter("chloride", 0, 2.5, ceiling=67),
        "s": of_dry_matter("sulfur", 0, 1.2, ceiling=30),
    },
    check=(
        Check({"na": 0.415, "k": 1.05, "cl": 1.98, "s": 0.805}, -61.3, 0.5, "table 1, prepartum diet"),
        Check({"na": 1.0, "k": 0.0, "cl": 0.0, "s": 0.0}, 43.4783, 1e-4, "derived"),
        Check(
            {"na": 0.23, "k": 1.04, "cl": 0.26, "s": 0.20}, 16.8427, 1e-3, "derived: minima of mid lactation"
        ),
    ),
    notes=ONE_UNIT
    + " The lactation diet of the same table (20.1 printed) does not follow from its own minerals.",
)
def dcad_mEq_per_100g(*, na: float, k: float, cl: float, s: float) -> float:
    """Sodium and potassium less chloride and sulfur, from shares of dry matter in per cent."""
    return na / 0.023 + k / 0.039 - cl / 0.0355 - s / 0.016


def _mineral(what: str, high: float) -> Argument:
    return Argument(f"{what}, of dry matter", "mg/kg", 0, high, floor=0, ceiling=1_000_000)


@published(
    "dcad-mg",
    title="Cation-anion difference from mg/kg, in mEq per kg",
    subject=SUBJECT,
    formula="DCAD = na/23.0 + k/39.1 - cl/35.5 - 2*s/32.1",
    unit="mEq/kg",
    source="EUROFINS",
    arguments={
        "na": _mineral("sodium", 15_000),
        "k": _mineral("potassium", 40_000),
        "cl": _mineral("chloride", 25_000),
        "s": _mineral("sulfur", 12_000),
    },
    check=Check({"na": 2200, "k": 11800, "cl": 2500, "s": 2300}, 183.718, 0.005, "derived"),
    notes=ONE_UNIT,
)
def dcad_mEq_per_kg(*, na: float, k: float, cl: float, s: float) -> float:
    """Sodium and potassium less chloride and sulfur, from mg/kg of dry matter."""
    return na / 23.0 + k / 39.1 - cl / 35.5 - 2 * s / 32.1


def dcad_caution(*, near_infrared: bool) -> str:
    """A sentence to show beside a difference whose minerals were read by near infrared; empty otherwise.

    References:
        .. [1] Hoard's Dairyman, article 28094: near infrared is not fit for minerals.
    """
    if not near_infrared:
        return ""
    return "Minerals were read by near infrared, which is not good enough for a cation-anion difference."


@published(
    "ca-to-p",
    title="Calcium over phosphorus",
    subject=SUBJECT,
    formula="Ca:P = ca / p",
    unit="",
    source="ARITHMETIC",
    arguments={
        "ca": of_dry_matter("calcium", 0, 2.5, ceiling=40),
        "p": of_dry_matter("phosphorus", 0.1, 1.2, floor=0.001, ceiling=30),
    },
    check=Check({"ca": 0.747561, "p": 0.353396}, 2.11536, 1e-5, "derived"),
)
def ca_to_p(*, ca: float, p: float) -> float:
    """How many times as much calcium as phosphorus."""
    return ca / p
