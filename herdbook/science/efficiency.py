"""Milk for feed and money for milk: feed efficiency and income over feed cost."""

from __future__ import annotations

from herdbook.science.registry import Argument, Check, published

SUBJECT = "Efficiency and money"
LB_KG = 0.45359237
CWT_KG = 100 * LB_KG


@published(
    "feed-efficiency",
    title="Corrected milk for each unit of dry matter",
    subject=SUBJECT,
    formula="efficiency = corrected_milk / intake",
    unit="",
    source="VT2008",
    arguments={
        "corrected_milk": Argument("3.5 % fat-corrected milk", "kg/day", 5, 70, floor=0, ceiling=120),
        "intake": Argument("dry matter intake", "kg/day", 8, 35, floor=0.1, ceiling=60),
    },
    check=Check(
        {"corrected_milk": 73.4118 * LB_KG, "intake": 50 * LB_KG}, 1.47, 0.005, "May 2008: 73.4 lb over 50 lb"
    ),
    notes="Herds 1.4 to 1.6; early lactation 1.8 or more, over 250 days in milk 1.4. Very high may be "
    "weight loss.",
)
def feed_efficiency(*, corrected_milk: float, intake: float) -> float:
    """Milk of standard fat per unit of dry matter eaten."""
    return corrected_milk / intake


@published(
    "income-over-feed-cost",
    title="Income over feed cost a cow and day",
    subject=SUBJECT,
    formula="IOFC = milk*price - feed_cost",
    unit="USD/day",
    source=("PSU-UA458", "VCE-DASC51", "ALLTECH2016"),
    arguments={
        "milk": Argument("milk sold", "kg/day", 5, 70, floor=0, ceiling=120),
        "price": Argument("price of milk", "USD/kg", 0.15, 1.5, floor=0),
        "feed_cost": Argument("feed cost a cow", "USD/day", 1, 20, floor=0),
    },
    check=(
        Check(
            {"milk": 78 * LB_KG, "price": 15.50 / CWT_KG, "feed_cost": 5.53125},
            6.56,
            0.005,
            "2016 worked example: 78 lb at 15.50 dollars a cwt",
        ),
        Check(
            {"milk": 27.5, "price": 0.5, "feed_cost": 7.73},
            6.02,
            1e-9,
            "DASC-51: income 13.75, feed 7.73 dollars",
        ),
    ),
    notes="Compare within one farm and one price; a fall in price is not worse feeding.",
)
def income_over_feed_cost(*, milk: float, price: float, feed_cost: float) -> float:
    """What is left of the milk money after the feed of the cows that made it."""
    return milk * price - feed_cost


@published(
    "feed-share-of-income",
    title="Feed as a share of milk income",
    subject=SUBJECT,
    formula="share = 100 * feed_cost / income",
    unit="%",
    source="VCE-DASC51",
    arguments={
        "feed_cost": Argument("feed cost a cow", "USD/day", 1, 20, floor=0),
        "income": Argument("milk income a cow", "USD/day", 2, 60, floor=0.01),
    },
    check=Check({"feed_cost": 7.73, "income": 13.75}, 56.2, 0.05, "worked example"),
    notes="Feed is 40 to 60 % of the cost of milk, up to 70.",
)
def feed_share_of_income(*, feed_cost: float, income: float) -> float:
    """How much of the milk money goes into the trough."""
    return 100 * feed_cost / income


@published(
    "feed-cost-line",
    title="Cost of one feed a cow and day",
    subject=SUBJECT,
    formula="cost = as_fed * price",
    unit="USD/day",
    source="ALLTECH2016",
    arguments={
        "as_fed": Argument("fed as fed", "kg/day", 0, 80, floor=0),
        "price": Argument("price as fed", "USD/kg", 0, 5, floor=0),
    },
    check=tuple(
        Check(
            {"as_fed": pounds * LB_KG, "price": ton / 2000 / LB_KG},
            cost,
            0.0051,
            f"{feed}, {ton} dollars a ton",
        )
        for feed, pounds, ton, cost in (
            ("silage", 60, 40, 1.20),
            ("baleage", 10, 60, 0.30),
            ("corn", 11.5, 175, 1.01),
            ("soybean meal", 6.5, 445, 1.45),
            ("citrus", 3.5, 195, 0.34),
            ("concentrate", 5, 495, 1.24),
        )
    ),
    notes="Add unrounded lines: the rounded ones of the example add to 5.54 where the feed costs 5.53.",
)
def feed_cost_line(*, as_fed: float, price: float) -> float:
    """Price times weight, both as fed."""
    return as_fed * price
