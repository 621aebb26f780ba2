"""Blending two feeds to a goal, the analysis that comes out, and what a nutrient costs."""

from __future__ import annotations

from typing import NamedTuple

from herdbook.science.inputs import DRY_MATTER
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Blends"

FIGURE = Argument("figure of one feed, any nutrient, dry basis", "%", 0, 100, floor=0, ceiling=300)


class Square(NamedTuple):
    """Shares of the two feeds in a blend; together 100."""

    first_share: float
    second_share: float


@published(
    "pearson-square",
    title="Shares of two feeds that give a blend of the wanted figure",
    subject=SUBJECT,
    formula="first share = 100 * (goal - second) / (first - second)",
    unit={"first_share": "%", "second_share": "%"},
    source=("MONTANA", "SHAPIRO", "PEARSON-QA"),
    arguments={"first": FIGURE, "second": FIGURE, "goal": FIGURE},
    check=(
        Check(
            {"first": 12.25, "second": 10.8, "goal": 11.0},
            {"first_share": 13.8, "second_share": 86.2},
            0.05,
            "Montana, hay and silage",
        ),
        Check(
            {"first": 8.95, "second": 40, "goal": 9.8},
            {"first_share": 97.3, "second_share": 2.7},
            0.05,
            "Montana, hay and supplement",
        ),
        Check(
            {"first": 39, "second": 10.8, "goal": 15},
            {"first_share": 14.8936, "second_share": 85.1064},
            1e-4,
            "Montana, supplement and grain; inputs published, result derived",
        ),
        Check(
            {"first": 54, "second": 8, "goal": 26},
            {"first_share": 39.1304, "second_share": 60.8696},
            1e-4,
            "Shapiro, 18 and 28 of 46 parts",
        ),
        Check(
            {"first": 8.19, "second": 61.38, "goal": 15},
            {"first_share": 87.1968, "second_share": 12.8032},
            1e-4,
            "derived; a printed answer has the two feeds the wrong way round",
        ),
    ),
    notes="Shares are of the blend on the basis of the figures. Work the blend's figure out again "
    "afterwards: "
    "answers with the two feeds swapped are in print.",
)
def pearson_square(*, first: float, second: float, goal: float) -> Square:
    """Two-part blend by the square; a goal outside the two feeds cannot be had."""
    if first == second:
        raise ValueError("the two feeds are alike, so no blend changes the figure")
    if not min(first, second) <= goal <= max(first, second):
        raise ValueError("the goal does not lie between the two feeds")
    first_share = 100 * (goal - second) / (first - second)
    return Square(first_share, 100 - first_share)


@published(
    "blend-figure",
    title="Figure of a blend of two feeds",
    subject=SUBJECT,
    formula="blend = (first*first_share + second*(100 - first_share)) / 100",
    unit="%",
    source="ARITHMETIC",
    arguments={
        "first": FIGURE,
        "second": FIGURE,
        "first_share": Argument("first feed's share of the blend", "%", 0, 100, floor=0, ceiling=100),
    },
    check=(
        Check(
            {"first": 54, "second": 24, "first_share": 50}, 39, 1e-9, "Montana: half meal, half gluten feed"
        ),
        Check({"first": 10, "second": 12, "first_share": 60}, 10.8, 1e-9, "Montana: 60 % corn, 40 % hulls"),
    ),
)
def blend_figure_percent(*, first: float, second: float, first_share: float) -> float:
    """Weighted mean of two feeds, on the basis that the shares are on."""
    return (first * first_share + second * (100 - first_share)) / 100


@published(
    "nutrient-cost",
    title="What a unit of a nutrient costs in a feed",
    subject=SUBJECT,
    formula="cost = price / (dry_matter/100 * share/100)",
    unit="USD/kg",
    source="ALABAMA",
    arguments={
        "price": Argument("price of the feed as fed", "USD/kg", 0, 5, floor=0),
        "dry_matter": DRY_MATTER,
        "share": Argument("nutrient, of dry matter", "%", 1, 100, floor=0.01, ceiling=300),
    },
    check=Check(
        {"price": 180 / 2000 / 0.45359237, "dry_matter": 90, "share": 75},
        0.133333 / 0.45359237,
        1e-5,
        "90 % dry matter, 75 % TDN, 180 dollars a ton: 1,350 lb TDN, 0.13 dollars a lb",
    ),
)
def nutrient_cost_per_kg(*, price: float, dry_matter: float, share: float) -> float:
    """Price of one kilogram of the nutrient when the whole price is put on it."""
    return price / (dry_matter / 100 * share / 100)
