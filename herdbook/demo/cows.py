"""The cows of the made-up farm: how much a pen would eat, what it ate of what it got, and the milk of it.

Every number of the herd itself is invented. The one relation that is not: a pound of dry matter more is worth two to
three pounds of milk (Progressive Dairy 1808, 2008), of which a day's slip shows a part.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from random import Random

from herdbook.demo.happenings import OFF_FEED_PEN, OFF_FEED_SHARE, place

MILK_LB_PER_DRY_LB = 1.0
"""Milk that goes with a pound of dry matter less or more within a day; the published 2 to 3 lb take longer to show."""

MORNING_SHARE = 0.515
"""The longer night makes a little more milk (from memory)."""

LEAST_LEFT_SHARE = 0.004
"""Crumbs at the bottom of the bunk that no cow picks up."""

Dice = Callable[[date, str], Random]


@dataclass(slots=True)
class PenOfCows:
    """One pen.

    Args:
        name: as the barn calls it.
        kind: what stands in it.
        head: cows in it now.
        appetite_lb: dry matter a head would eat in a day.
        milk_lb: milk a head gives in a day when it eats that.
        last_dry_lb: dry matter a head ate on the last whole day.
    """

    name: str
    kind: str
    head: int
    appetite_lb: float
    milk_lb: float = 0.0
    last_dry_lb: float = 0.0

    @property
    def milks(self) -> bool:
        """Whether its milk goes into the tank."""
        return self.milk_lb > 0


def pens() -> list[PenOfCows]:
    """The pens in walking order: 180 cows in milk."""
    return [
        PenOfCows("High 1", "milking", 54, 50.6, 88.0),
        PenOfCows("High 2", "milking", 52, 50.3, 84.5),
        PenOfCows("Low", "milking", 74, 44.0, 61.5),
        PenOfCows("Dry", "dry", 20, 27.6),
        PenOfCows("Close-up", "close-up", 10, 26.6),
    ]


MOVES: tuple[tuple[tuple[str, str], ...], ...] = (
    (("Close-up", "High 1"), ("Low", "Dry")),  # one calved, one dried off
    (("Dry", "Close-up"),),
    (("High 1", "High 2"),),
    (("High 2", "Low"),),
)
"""Who moves in turn; after all four every pen has the cows it had, however many years the farm runs."""


class Herd:
    """The pens and what they do day by day.

    Args:
        dice: chance of a day and a subject; the same day and subject always fall the same.
        today: the last day of the book, from which happenings count back.
    """

    def __init__(self, dice: Dice, today: date) -> None:
        self.pens = pens()
        self._dice = dice
        self._today = today
        self._moves = 0

    def pen(self, name: str) -> PenOfCows:
        """The pen of that name."""
        return next(pen for pen in self.pens if pen.name == name)

    def appetite_lb(self, pen: PenOfCows, day: date) -> float:
        """Dry matter the whole pen would eat on a day."""
        chance = self._dice(day, f"appetite {pen.name}")
        share = 1 + chance.gauss(0, 0.009)
        if pen.name == OFF_FEED_PEN:
            share *= OFF_FEED_SHARE.get(place((self._today - day).days), 1.0)
        return pen.head * pen.appetite_lb * share

    def eat(self, pen: PenOfCows, day: date, offered_lb: float) -> float:
        """Dry matter the pen ate of what was offered on a day; remembered for the next day's milk."""
        eaten_lb = min(self.appetite_lb(pen, day), offered_lb * (1 - LEAST_LEFT_SHARE))
        pen.last_dry_lb = eaten_lb / pen.head if pen.head else 0.0
        return eaten_lb

    def milk_lb(self, day: date, *, morning: bool) -> float:
        """Milk of all pens at one milking."""
        chance = self._dice(day, f"milk {morning}")
        share = MORNING_SHARE if morning else 1 - MORNING_SHARE
        whole_day = sum(pen.head * self._milk_of_a_cow(pen) for pen in self.pens if pen.milks)
        return whole_day * share * (1 + chance.gauss(0, 0.008))

    @staticmethod
    def _milk_of_a_cow(pen: PenOfCows) -> float:
        if not pen.last_dry_lb:
            return pen.milk_lb
        return pen.milk_lb + MILK_LB_PER_DRY_LB * (pen.last_dry_lb - pen.appetite_lb)

    @property
    def milking_head(self) -> int:
        """Cows in milk."""
        return sum(pen.head for pen in self.pens if pen.milks)

    def move(self) -> list[PenOfCows]:
        """Move the next cows in turn; the pens whose count changed."""
        changed: dict[str, PenOfCows] = {}
        for source, target in MOVES[self._moves % len(MOVES)]:
            self.pen(source).head -= 1
            self.pen(target).head += 1
            changed |= {source: self.pen(source), target: self.pen(target)}
        self._moves += 1
        return list(changed.values())
