"""What goes wrong on the made-up farm, by days before the last one: the things a reader of its book can find.

All of it is invented. Counting back from the last day keeps it in sight of whoever opens the farm today; a longer
book meets it again every 44 days.
"""

from __future__ import annotations

from collections.abc import Mapping

PERIOD_DAYS = 44  # even, so that what needs a day without pickup falls on one each time

SILAGE_WETTER_POINTS: Mapping[int, float] = {7: 2.2, 6: 2.4, 5: 2.1, 4: 0.5}
"""Days ago -> points of dry matter that rain took from the corn silage; haylage, better covered, loses a third."""

AFTER_RAIN_TEST = 6
"""Days ago on which somebody saw the wet face and tested out of turn."""

OFF_FEED_PEN = "High 2"
OFF_FEED_SHARE: Mapping[int, float] = {3: 0.87, 2: 0.84, 1: 0.86, 0: 0.94}
"""Days ago -> share of its appetite that the pen with the broken waterer kept."""

WALKS: Mapping[int, tuple[tuple[int, int, str, Mapping[str, str]], ...]] = {
    9: ((5, 55, "walk", {"cow": "118", "what": "lame", "pen": "Low", "words": "left hind, on the toe"}),),
    8: ((6, 10, "walk", {"cow": "118", "what": "lame", "earlier": "118 lame", "done": "stone taken out"}),),
    6: ((5, 50, "walk-close", {"walk": "118 lame", "outcome": "Walks sound again."}),),
    2: ((5, 48, "walk", {"cow": "214", "what": "off feed", "pen": "High 2", "again": "+6"}),),
    1: (
        (5, 50, "walk", {"cow": "214", "what": "off feed", "earlier": "214 off feed", "done": "drinks, ate half"}),
        (15, 58, "walk", {"cow": "87", "what": "slow", "pen": "High 1", "words": "last in", "again": "+16"}),
    ),
}  # fmt: skip
"""Days ago -> hour, minute, chore and what is typed, of cows seen on the walk; two of them are still open today."""

MISWEIGHED = 5
MISWEIGHED_FEED = "Soybean meal"
MISWEIGHED_TIMES = 1.29
"""Days ago on which too much of one feed went into the morning load of the high cows, and what part of its plan."""

COOLER_TODAY_SHARE = 0.8
"""What is left of the cooling power on the last day: dust again, so that a fresh milking is worth watching."""

SLOW_COOLING = 4
SLOW_COOLING_SHARE = 0.36
"""Days ago on which dust sat on the condenser during the evening milking, and the cooling power that was left."""

STRUCK = 3
"""Days ago on which a drop was written twice, and the second one struck."""

CORRECTED = 1
"""Days ago on which two digits of a temperature were typed the wrong way round, and corrected."""

NEW_VERSION = 6
"""Days ago on which the nutritionist wrote a new version of the high cows' ration."""


def place(days_ago: int) -> int:
    """Where a day lies in the sequence above."""
    return days_ago % PERIOD_DAYS


def pickup_today(days_ago: int) -> bool:
    """Whether the lorry comes: every other day, never on the last day, so that the tank has something to show."""
    return days_ago % 2 == 1
