"""The rations of the made-up farm and what its nutritionist aims at; all amounts and targets are invented."""

from __future__ import annotations

from dataclasses import dataclass

NO_ADVICE = "Invented ration; no advice for real cows."
WHY = "Invented targets of a made-up farm; no advice for real cows."


@dataclass(frozen=True, slots=True)
class MadeUpRation:
    """One ration: items a head and day as typed, in loading order, targets as typed, and the pens it is for.

    Args:
        name: as the feeding desk calls it.
        items: feed and amount; `dm` where silage is set as dry matter.
        targets: figure=low aim high.
        pens: which pens get it.
        call: what is fed, in per cent of the set intake.
        feedings: feedings a day.
        mixer: which mixer it is mixed in.
    """

    name: str
    items: tuple[str, ...]
    targets: tuple[str, ...]
    pens: tuple[str, ...]
    call: str
    feedings: int
    mixer: str


BIG, SMALL = "Big mixer", "Small mixer"

MIXERS = ((BIG, "9,000 lb", "5 lb"), (SMALL, "5,000 lb", "1 lb"))
"""Name, what it mixes well, step of its scale."""

RATIONS = (
    MadeUpRation(
        "High cows",
        (
            "Grass hay=1.8 lb",
            "Whole cottonseed=3.5 lb",
            "Ground corn=10.4 lb",
            "Soybean meal=6.4 lb",
            "Soy hulls=3.4 lb",
            "Milk mineral mix=1.7 lb",
            "Haylage=7.4 lb dm",
            "Corn silage=18.4 lb dm",
        ),
        (
            "dm_intake=48 50.5 53 lb",
            "cp=16 16.8 17.6",
            "ndf=28 31 34",
            "forage_ndf=19 21.5 24",
            "starch=23 25.5 28",
            "sugar=3 4.5 6",
            "nfc=36 39 42",
            "fat=3.5 4.5 5.5",
            "ca=0.7 0.85 1.0",
            "p=0.34 0.38 0.42",
            "mg=0.28 0.34 0.4",
            "k=1.1 1.35 1.7",
            "na=0.22 0.35 0.5",
            "dcad=220 300 400",
        ),
        ("High 1", "High 2"),
        "103",
        2,
        BIG,
    ),
    MadeUpRation(
        "Low cows",
        (
            "Grass hay=2.6 lb",
            "Ground corn=6.6 lb",
            "Soybean meal=4.6 lb",
            "Soy hulls=3.4 lb",
            "Milk mineral mix=1.2 lb",
            "Haylage=9 lb dm",
            "Corn silage=18.6 lb dm",
        ),
        (
            "dm_intake=41 44 47 lb",
            "cp=14.5 15.6 16.5",
            "ndf=30 34 38",
            "forage_ndf=22 26 30",
            "starch=19 22.5 26",
            "fat=2.5 3.2 4.5",
            "ca=0.6 0.8 1.0",
            "p=0.32 0.36 0.4",
            "mg=0.25 0.31 0.38",
            "k=1.1 1.5 1.8",
            "dcad=180 280 400",
        ),
        ("Low",),
        "103",
        2,
        SMALL,
    ),
    MadeUpRation(
        "Dry cows",
        (
            "Wheat straw=8.8 lb",
            "Grass hay=3 lb",
            "Soybean meal=2.2 lb",
            "Dry cow mineral mix=0.5 lb",
            "Haylage=4 lb dm",
            "Corn silage=10.2 lb dm",
        ),
        (
            "dm_intake=25 27.5 30 lb",
            "cp=11 12.5 14",
            "ndf=46 51 56",
            "starch=10 13 16",
            "ca=0.4 0.55 0.9",
            "p=0.2 0.24 0.32",
            "mg=0.25 0.3 0.4",
            "k=0.9 1.3 1.6",
        ),
        ("Dry",),
        "102",
        1,
        SMALL,
    ),
    MadeUpRation(
        "Close-up cows",
        (
            "Wheat straw=5.6 lb",
            "Ground corn=2.4 lb",
            "Soybean meal=2.2 lb",
            "Close-up mix=2.8 lb",
            "Corn silage=15 lb dm",
        ),
        (
            "dm_intake=24 26 28.5 lb",
            "cp=12.5 14 15",
            "ndf=38 42.5 47",
            "starch=19 24 28",
            "ca=0.5 0.65 1.2",
            "p=0.22 0.28 0.34",
            "mg=0.35 0.42 0.5",
            "k=0.9 1.05 1.3",
            "dcad=-220 -150 -50",
        ),
        ("Close-up",),
        "103",
        1,
        SMALL,
    ),
)

HIGH_AGAIN = (
    ("Ground corn=10.4 lb", "Soybean meal=6.4 lb"),
    ("Ground corn=10.1 lb", "Soybean meal=6.7 lb"),
)
"""What the nutritionist's versions of the high cows' ration differ in, in turn."""


def high_items(version: int) -> tuple[str, ...]:
    """Items of the high cows' ration in a version, counted from 1."""
    first, changed = HIGH_AGAIN[0], HIGH_AGAIN[(version - 1) % len(HIGH_AGAIN)]
    swapped = dict(zip(first, changed, strict=True))
    return tuple(swapped.get(item, item) for item in RATIONS[0].items)
