"""Comparing forages: relative feed value and relative forage quality."""

from __future__ import annotations

from herdbook.science.inputs import of_dry_matter
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Forage value"


@published(
    "digestible-dry-matter",
    title="Digestible dry matter of legume and grass from ADF",
    subject=SUBJECT,
    formula="DDM = 88.9 - 0.779*adf",
    unit="%",
    source="NFTA",
    arguments={"adf": of_dry_matter("acid detergent fibre", 18, 55)},
    check=Check({"adf": 41}, 56.961, 1e-6, "derived"),
)
def digestible_dry_matter(*, adf: float) -> float:
    """Share of a forage's dry matter that is digested, by regression on ADF."""
    return 88.9 - 0.779 * adf


@published(
    "relative-feed-value",
    title="Relative feed value (RFV)",
    subject=SUBJECT,
    formula="RFV = (88.9 - 0.779*adf) * (120/ndf) / 1.29",
    unit="",
    source=("VT2006", "NFTA"),
    arguments={
        "adf": of_dry_matter("acid detergent fibre", 18, 55),
        "ndf": of_dry_matter("neutral detergent fibre", 25, 80, floor=1),
    },
    check=(
        Check({"adf": 32, "ndf": 50}, 119, 0.5, "May 2006, worked example"),
        Check({"adf": 29, "ndf": 36}, 170, 2, "May 2006, worked example printed from rounded steps"),
        Check({"adf": 41, "ndf": 53}, 100, 0.1, "definition: full-bloom alfalfa"),
    ),
    notes="Full-bloom alfalfa is 100. Only for comparing legume and grass forages with each other.",
)
def relative_feed_value(*, adf: float, ndf: float) -> float:
    """Digestible dry matter times intake potential, 100 for full-bloom alfalfa."""
    return (88.9 - 0.779 * adf) * (120 / ndf) / 1.29


@published(
    "relative-forage-quality",
    title="Relative forage quality (RFQ)",
    subject=SUBJECT,
    formula="RFQ = intake_of_body_weight * tdn / 1.23",
    unit="",
    source="UWEX-RFQ",
    arguments={
        "intake_of_body_weight": Argument(
            "intake by a digestible-fibre equation, of body weight", "%", 1, 4.5, floor=0.1, ceiling=8
        ),
        "tdn": of_dry_matter("TDN by a digestible-fibre equation", 40, 75),
    },
    check=Check({"intake_of_body_weight": 2.05, "tdn": 60}, 100, 1e-6, "derived"),
    notes="The divisor keeps 100 near the same forage as RFV. Intake and TDN are the laboratory's.",
)
def relative_forage_quality(*, intake_of_body_weight: float, tdn: float) -> float:
    """Intake times digestible nutrients, both by equations that know fibre digestibility."""
    return intake_of_body_weight * tdn / 1.23
