"""What a pen ate, left and wasted, and how near a loader came to the target."""

from __future__ import annotations

from typing import Literal, NamedTuple

from herdbook.science.inputs import DRY_MATTER
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Feeding round"
LB_KG = 0.45359237


class PenIntake(NamedTuple):
    """What a pen ate a head, and what it left as fed and as dry matter, %."""

    intake: float
    refused_as_fed: float
    refused_dry: float


@published(
    "pen-intake",
    title="Dry matter eaten a head, and refusals",
    subject=SUBJECT,
    formula="intake = (delivered*delivered_dry_matter - refused*refused_dry_matter)/100/head; "
    "refused as fed = 100*refused/delivered; refused dry = share of delivered dry matter",
    unit={"intake": "kg/day", "refused_as_fed": "%", "refused_dry": "%"},
    source="ARITHMETIC",
    arguments={
        "delivered": Argument("delivered as fed", "kg/day", 10, 100_000, floor=0.01),
        "delivered_dry_matter": DRY_MATTER,
        "refused": Argument("left over as fed", "kg/day", 0, 20_000, floor=0),
        "refused_dry_matter": DRY_MATTER,
        "head": Argument("cows in the pen", "", 1, 5000, floor=1),
    },
    check=Check(
        {
            "delivered": 10_000 * LB_KG,
            "delivered_dry_matter": 50,
            "refused": 300 * LB_KG,
            "refused_dry_matter": 52,
            "head": 100,
        },
        {"intake": 48.44 * LB_KG, "refused_as_fed": 3.0, "refused_dry": 3.12},
        1e-6,
        "derived: 10,000 lb at 50 %, 300 lb left at 52 %, 100 cows",
    ),
    notes="Refusals belong to the feeding day they were fed on.",
)
def pen_intake(
    *, delivered: float, delivered_dry_matter: float, refused: float, refused_dry_matter: float, head: float
) -> PenIntake:
    """Dry matter delivered less dry matter left, over the cows that were there."""
    given = delivered * delivered_dry_matter / 100
    left = refused * refused_dry_matter / 100
    if left > given:
        raise ValueError("more dry matter was left than delivered")
    return PenIntake((given - left) / head, 100 * refused / delivered, 100 * left / given)


def intake_fall(*, usual: float, now: float) -> Literal["none", "warn", "alarm"]:
    """Judge a pen's intake a head against its mean of the last seven days.

    Warns at 5 % or 2 lb less and alarms at 10 % less: common practice, no source. Less than a pound is never
    flagged, because that is as finely as a pen's intake can be known.

    Args:
        usual: mean of the last seven days, kg dry matter a head.
        now: the day's, kg dry matter a head.
    """
    fall = usual - now + 1e-9  # so that exactly two pounds less is two pounds less
    if usual <= 0 or fall < LB_KG:
        return "none"
    if fall >= 0.10 * usual:
        return "alarm"
    return "warn" if fall >= min(0.05 * usual, 2 * LB_KG) else "none"


@published(
    "refusal-cost",
    title="What refusals cost in a year",
    subject=SUBJECT,
    formula="cost = price * intake * refused/100 * head * 365",
    unit="USD/year",
    source="EXT-REFUSALS",
    arguments={
        "price": Argument("price of dry matter", "USD/kg", 0.05, 1, floor=0),
        "intake": Argument("dry matter intake", "kg/day", 8, 35, floor=0),
        "refused": Argument("refused, of what is fed", "%", 0, 10, floor=0, ceiling=100),
        "head": Argument("cows", "", 1, 5000, floor=0),
    },
    check=(
        Check(
            {"price": 0.10 / LB_KG, "intake": 50 * LB_KG, "refused": 1, "head": 1},
            18.25,
            1e-6,
            "0.10 dollars a lb, 50 lb, 1 %: 18.25 dollars a cow and year",
        ),
        Check(
            {"price": 0.10 / LB_KG, "intake": 50 * LB_KG, "refused": 3, "head": 500},
            27_000,
            400,
            "from 4 to 1 % in 500 cows: 27,000 dollars",
        ),
    ),
    notes="A year of 365 days. Refusals that are fed on are an ingredient and not lost.",
)
def refusal_cost_per_year(*, price: float, intake: float, refused: float, head: float) -> float:
    """Dry matter thrown away in a year, in money."""
    return price * intake * refused / 100 * head * 365


@published(
    "loading-deviation",
    title="How far a loaded weight is from the target",
    subject=SUBJECT,
    formula="deviation = 100 * (loaded - planned) / planned",
    unit="%",
    source=("BARRY-W324", "SILVA"),
    arguments={
        "planned": Argument("weight planned", "kg", 1, 20_000, floor=0.001),
        "loaded": Argument("weight loaded", "kg", 0, 20_000, floor=0),
    },
    check=Check({"planned": 500, "loaded": 512}, 2.4, 1e-9, "derived"),
    notes="Within 2 % is the usual hit; 33 herds made 46.7 % of loadings so. Look at kilograms too: "
    "loaders aim at "
    "the tolerance instead of the target.",
)
def loading_deviation_percent(*, planned: float, loaded: float) -> float:
    """Over (above zero) or under the target."""
    return 100 * (loaded - planned) / planned
