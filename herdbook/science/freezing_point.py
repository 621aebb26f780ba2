"""Freezing point of milk: degrees Hortvet against degrees C, and water that was added.

A laboratory prints degrees Hortvet and often calls them degrees; the two scales are 0.018 apart at the legal
limit.
"""

from __future__ import annotations

from herdbook.science.registry import Argument, Check, published

SUBJECT = "Freezing point and added water"
# Two fixed points of the Hortvet scale and what they are in degrees C, laboratory cryoscope handbook.
UPPER_H, UPPER_C = -0.422, -0.4074
LOWER_H, LOWER_C = -0.621, -0.5996
LEGAL_LIMIT_H = -0.525  # warmer is suspect of added water; Missouri 2 CSR 80-2.190

HORTVET = Argument("freezing point in degrees Hortvet", "", -0.62, -0.42, floor=-1, ceiling=0)


@published(
    "hortvet-to-celsius",
    title="Freezing point in degrees C from degrees Hortvet",
    subject=SUBJECT,
    formula="degC = -0.4074 + (hortvet + 0.422) * 0.1922 / 0.199",
    unit="degC",
    source="CRYOSCOPE",
    arguments={"hortvet": HORTVET},
    check=(
        Check({"hortvet": -0.525}, -0.507, 0.0005, "legal limit, printed to 0.001"),
        Check({"hortvet": -0.5404}, -0.5218, 0.00005, "mean of the United States and Canada"),
        Check({"hortvet": -0.543}, -0.524, 0.0005, "mean of England and Wales"),
        Check({"hortvet": -0.525}, -0.506880, 1e-6, "derived from the two fixed points"),
    ),
)
def hortvet_to_degC(*, hortvet: float) -> float:
    """Straight line through the scale's two fixed points."""
    return UPPER_C + (hortvet - UPPER_H) * (UPPER_C - LOWER_C) / (UPPER_H - LOWER_H)


@published(
    "celsius-to-hortvet",
    title="Freezing point in degrees Hortvet from degrees C",
    subject=SUBJECT,
    formula="hortvet = -0.422 + (celsius + 0.4074) * 0.199 / 0.1922",
    unit="",
    source="CRYOSCOPE",
    arguments={"celsius": Argument("freezing point", "degC", -0.6, -0.4, floor=-1, ceiling=0)},
    check=Check({"celsius": -0.5218}, -0.5404, 0.0001, "mean of the United States and Canada"),
)
def degC_to_hortvet(*, celsius: float) -> float:
    """The same line read backwards."""
    return UPPER_H + (celsius - UPPER_C) * (UPPER_H - LOWER_H) / (UPPER_C - LOWER_C)


@published(
    "hortvet-to-celsius-older",
    title="Freezing point in degrees C from degrees Hortvet, older line",
    subject=SUBJECT,
    formula="degC = 0.9623*hortvet - 0.0024",
    unit="degC",
    source="HORTVET-OLDER",
    read=False,
    arguments={"hortvet": HORTVET},
    check=Check({"hortvet": -0.525}, -0.507608, 1e-6, "derived from the recalled line"),
    notes="Recalled; 0.0007 colder than the line through the fixed points, which reports use.",
)
def hortvet_to_degC_older(*, hortvet: float) -> float:
    """An older line, kept to tell a laboratory's figures apart."""
    return 0.9623 * hortvet - 0.0024


@published(
    "added-water",
    title="Water added to milk, from its freezing point",
    subject=SUBJECT,
    formula="added water = 100 * (base - found) / base, both as depressions below 0",
    unit="%",
    source="ANALYSER",
    arguments={
        "base": Argument(
            "freezing point of the farm's own milk, same scale", "", -0.58, -0.5, floor=-1, ceiling=-0.001
        ),
        "found": Argument("freezing point found, same scale", "", -0.58, -0.2, floor=-1, ceiling=0),
    },
    check=Check(
        {"base": -0.5404, "found": -0.5350}, 0.999260, 1e-6, "derived: about 0.0054 for each 1 % of water"
    ),
    notes="Both on the same scale, Hortvet or C. Below nought: no water shown. A single cow's own milk "
    "ranges from -0.513 to -0.583 Hortvet, so the base must be this farm's.",
)
def added_water_percent(*, base: float, found: float) -> float:
    """Share of water in the milk that lifted its freezing point from the base to the one found."""
    return 100 * (base - found) / base


def freezes_too_warm(*, hortvet: float, limit: float = LEGAL_LIMIT_H) -> bool:
    """Whether a freezing point is warmer than the legal limit, to the thousandth it is printed to.

    Args:
        hortvet: freezing point in degrees Hortvet.
        limit: the limit in degrees Hortvet; -0.525 in the states that follow the ordinance of 2019, -0.530
            for manufacturing milk in Michigan (MCL 288.630).

    Returns:
        True when a second sample is due after 5 days (Missouri 2 CSR 80-2.190).
    """
    return round(hortvet, 3) > limit
