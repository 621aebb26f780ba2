"""As received and dry: weights, figures and tests of dry matter, and what water does not dilute."""

from __future__ import annotations

from typing import NamedTuple

from herdbook.science.inputs import DRY_MATTER
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Dry matter and basis"
LB_KG = 0.45359237  # exact by definition


@published(
    "dry-basis",
    title="A figure on dry matter from the figure as received",
    subject=SUBJECT,
    formula="dry basis = as_received / (dry_matter/100)",
    unit="%",
    source=("UNION", "ONTARIO"),
    arguments={
        "as_received": Argument("figure as received", "%", 0, 300, floor=0, ceiling=300),
        "dry_matter": DRY_MATTER,
    },
    check=(
        Check({"as_received": 14, "dry_matter": 90}, 15.5, 0.06, "worked example, printed cut off"),
        Check({"as_received": 8, "dry_matter": 40}, 20.0, 0.06, "worked example"),
        Check({"as_received": 1, "dry_matter": 30}, 3.3, 0.05, "Ontario, 1 ppm of a toxin at 30 %"),
    ),
    notes="Holds for %, ppm and Mcal/kg alike. Not for pH, nor for a share of protein, starch or NDF.",
)
def to_dry_basis(*, as_received: float, dry_matter: float) -> float:
    """Figure of a feed on dry matter: the same nutrient in less weight."""
    return as_received / (dry_matter / 100)


@published(
    "as-received-basis",
    title="A figure as received from the figure on dry matter",
    subject=SUBJECT,
    formula="as received = dry_basis * dry_matter/100",
    unit="%",
    source="UNION",
    arguments={
        "dry_basis": Argument("figure on dry matter", "%", 0, 300, floor=0, ceiling=300),
        "dry_matter": DRY_MATTER,
    },
    check=Check({"dry_basis": 20, "dry_matter": 40}, 8.0, 0.005, "worked example, read backwards"),
    notes="Holds for %, ppm and Mcal/kg alike. Not for pH, nor for a share of protein, starch or NDF.",
)
def to_as_received(*, dry_basis: float, dry_matter: float) -> float:
    """Figure of a feed as received: diluted by its water."""
    return dry_basis * dry_matter / 100


@published(
    "dry-weight",
    title="Dry matter in a weight of feed",
    subject=SUBJECT,
    formula="dry weight = as_fed * dry_matter/100",
    unit="kg",
    source="AGPROUD25640",
    arguments={"as_fed": Argument("weight as fed", "kg", 0, floor=0), "dry_matter": DRY_MATTER},
    check=(
        Check({"as_fed": 6000 * LB_KG, "dry_matter": 36}, 2160 * LB_KG, 1e-6, "6,000 lb at 36 %: 2,160 lb"),
        Check({"as_fed": 6000 * LB_KG, "dry_matter": 30}, 1800 * LB_KG, 1e-6, "6,000 lb at 30 %: 1,800 lb"),
    ),
)
def dry_weight_kg(*, as_fed: float, dry_matter: float) -> float:
    """Dry matter carried by a weight of feed."""
    return as_fed * dry_matter / 100


@published(
    "as-fed-weight",
    title="Weight to load so that the wanted dry matter goes in",
    subject=SUBJECT,
    formula="as fed = dry_weight / (dry_matter/100)",
    unit="kg",
    source="AGPROUD25640",
    arguments={"dry_weight": Argument("dry matter wanted", "kg", 0, floor=0), "dry_matter": DRY_MATTER},
    check=(
        Check({"dry_weight": 2160 * LB_KG, "dry_matter": 30}, 7200 * LB_KG, 1e-6, "derived from the example"),
        Check({"dry_weight": 19.305 * LB_KG, "dry_matter": 30}, 64.35 * LB_KG, 1e-6, "derived"),
    ),
)
def as_fed_weight_kg(*, dry_weight: float, dry_matter: float) -> float:
    """Weight as fed that carries the wanted dry matter at today's dry matter."""
    return dry_weight / (dry_matter / 100)


@published(
    "dry-matter-tested",
    title="Dry matter by weighing before and after drying",
    subject=SUBJECT,
    formula="dry matter = 100 * dried / wet",
    unit="%",
    source=("JACOBSEN", "VICTORIA"),
    arguments={
        "wet": Argument("sample before drying", "g", 50, 500, floor=0.1),
        "dried": Argument("sample after drying", "g", 5, 500, floor=0),
    },
    check=(
        Check({"wet": 100, "dried": 35}, 35, 1e-9, "worked example"),
        Check({"wet": 101, "dried": 85}, 84, 0.5, "worked example, 16 % moisture, good to 3 points"),
    ),
    notes="Field testers come within 1 to 2 points of the oven. A microwave-dried sample is spent: no fibre, "
    "bound protein or NIR result can be had from it.",
)
def tested_dry_matter_percent(*, wet: float, dried: float) -> float:
    """Dry matter of a sample from its weights before and after drying."""
    if dried > wet:
        raise ValueError("a sample does not gain weight in drying")
    return 100 * dried / wet


@published(
    "dry-matter-factor",
    title="Weight as fed for each unit of dry matter",
    subject=SUBJECT,
    formula="factor = 100 / (100 - moisture)",
    unit="",
    source="MWPS7",
    arguments={"moisture": Argument("moisture of the feed", "%", 5, 85, floor=0, ceiling=99.9)},
    check=tuple(
        Check({"moisture": moisture}, factor, 0.005, "table of factors")
        for moisture, factor in (
            (30, 1.43),
            (40, 1.67),
            (50, 2.00),
            (60, 2.50),
            (65, 2.86),
            (70, 3.33),
            (75, 4.00),
            (80, 5.00),
        )
    ),
)
def dry_matter_factor(*, moisture: float) -> float:
    """How many units as fed hold one unit of dry matter."""
    return 100 / (100 - moisture)


@published(
    "mix-dry-matter",
    title="Dry matter of a mix of two feeds by their shares of dry matter",
    subject=SUBJECT,
    formula="mix = 100 / (first_share/first_dry_matter + (100 - first_share)/second_dry_matter)",
    unit="%",
    source="TMR2017",
    arguments={
        "first_share": Argument("first feed's share of all dry matter", "%", 0, 100, floor=0, ceiling=100),
        "first_dry_matter": DRY_MATTER,
        "second_dry_matter": DRY_MATTER,
    },
    check=Check(
        {"first_share": 30, "first_dry_matter": 55.4, "second_dry_matter": 43.546},
        46.5,
        0.1,
        "table 2: grass silage 30 % of the dry matter, the rest of the mix together at 43.546 %",
    ),
    notes="Total dry matter over total as fed. The mean of the percentages is wrong: 55.6 instead of "
    "46.5 % in "
    "the published mix.",
)
def mixed_dry_matter(*, first_share: float, first_dry_matter: float, second_dry_matter: float) -> float:
    """Dry matter of a mix: the harmonic mean on dry-matter shares, never the arithmetic one."""
    return 100 / (first_share / first_dry_matter + (100 - first_share) / second_dry_matter)


@published(
    "share-of-whole",
    title="A share of dry matter as a share of a part of it",
    subject=SUBJECT,
    formula="share of whole = 100 * of_dry_matter / whole",
    unit="%",
    source="ARITHMETIC",
    arguments={
        "of_dry_matter": Argument("the part, of dry matter", "%", 0, 100, floor=0, ceiling=300),
        "whole": Argument(
            "what it is a part of (NDF, crude protein), of dry matter", "%", 1, 300, floor=0.01
        ),
    },
    check=Check({"of_dry_matter": 2.6, "whole": 45.0}, 5.77778, 1e-5, "derived: lignin 2.6 in NDF 45.0"),
    notes="Read the column head of the report: lignin, bound and soluble protein are printed both ways.",
)
def share_of_whole_percent(*, of_dry_matter: float, whole: float) -> float:
    """Lignin as a share of NDF, soluble protein as a share of crude protein, and their like."""
    return 100 * of_dry_matter / whole


@published(
    "share-of-dry-matter",
    title="A share of protein, NDF or starch as a share of dry matter",
    subject=SUBJECT,
    formula="share of dry matter = of_whole * whole / 100",
    unit="%",
    source="ARITHMETIC",
    arguments={
        "of_whole": Argument("share of the whole", "%", 0, 100, floor=0, ceiling=100),
        "whole": Argument("the whole (NDF, crude protein), of dry matter", "%", 1, 300, floor=0),
    },
    check=Check({"of_whole": 50, "whole": 8.0}, 4.0, 1e-9, "derived: half of 8 % crude protein is soluble"),
)
def share_of_dry_matter_percent(*, of_whole: float, whole: float) -> float:
    """Soluble protein on dry matter from its share of crude protein, and its like."""
    return of_whole * whole / 100


class Suspicion(NamedTuple):
    """A figure that was perhaps typed as its opposite: what to ask, and the dry matter if so."""

    question: str
    other_percent: float


def looks_like_moisture(*, dry_matter_percent: float, dry_hay: bool) -> Suspicion | None:
    """Ask when a figure looks like moisture typed as dry matter, or the other way round.

    A dry hay under 70 % dry matter or a silage over 70 % is rare, and an inventory note in print takes the
    one for the other: "10-15 % dry matter" of hay where it means moisture.

    Args:
        dry_matter_percent: what was typed, %.
        dry_hay: True for dry hay and straw, False for silage and other wet feeds.

    References:
        .. [1] Cornell Cooperative Extension (2022), Determining forage inventories with pen and paper.
    """
    odd = dry_matter_percent < 70 if dry_hay else dry_matter_percent > 70
    if not odd:
        return None
    feed = "Dry hay" if dry_hay else "Silage"
    question = f"{feed} at {dry_matter_percent:g} % dry matter: is that its moisture?"
    return Suspicion(question, 100 - dry_matter_percent)
