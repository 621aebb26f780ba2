"""What is written by hand on a sheet: the time of its day, a scale's reading with a time, a weight with a time."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from herdbook.chores.asking import Ask
from herdbook.chores.ground import Ground
from herdbook.chores.measures import ask_weight
from herdbook.clock import FarmClock
from herdbook.errors import Refused
from herdbook.units import LONGEST_TYPED, FarmUnits

MINUTES = 24 * 60
LATEST_S = 12 * 3600
"""What is written on a load's sheet happened within so long after it was begun: common practice, no source."""
_TIME = re.compile(r"([0-9]{1,2})[:.h]?([0-9]{2})")


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeOfDay(Ask):
    """A time as the barn's clock showed it, kept as minutes after midnight."""

    def understand(self, text: str, ground: Ground) -> int:
        typed = self.short(text, 10).lower()
        match = _TIME.fullmatch(typed)
        if match is None or int(match[1]) > 23 or int(match[2]) > 59:
            raise Refused(
                f"{self.label}: {typed!r} is not a time of day.",
                remedy="Type the time as it stands on the sheet: 0512 or 5:12.",
                field=self.label,
            )
        return int(match[1]) * 60 + int(match[2])

    def shown(self, value: int, ground: Ground) -> str:
        return f"{value // 60:02}:{value % 60:02}"

    def check(self, value: object) -> None:
        if not isinstance(value, int) or not 0 <= value < MINUTES:
            raise Refused(f"{self.label}: {value!r} is not a time of day.", field=self.label)


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightOnPaper(Ask):
    """A weight and, where it was written down, its time: `2690 @ 0512`.

    Kept as grams, minutes after midnight or none, and whether it is the weight alone: on a scale's line a plain
    number is the scale's running total, and `+1.7` what was weighed by itself.

    Args:
        running: whether a plain number is a running total.
    """

    running: bool = False

    @property
    def kind(self) -> str:
        return "weight @ time"

    def unit_word(self, units: FarmUnits) -> str:
        return units.load

    def understand(self, text: str, ground: Ground) -> tuple[int, int | None, bool]:
        typed = self.short(text, LONGEST_TYPED)
        weight, mark, time = typed.partition("@")
        weight = weight.strip()
        alone = not self.running or weight.startswith("+")
        minute = TimeOfDay(label=self.label).understand(time.strip(), ground) if mark else None
        grams = self._weight.understand(weight.removeprefix("+") if self.running else weight, ground)
        return grams, minute, alone

    @property
    def _weight(self) -> Ask:
        return ask_weight(self.label, least_g=0)

    def shown(self, value: Any, ground: Ground) -> str:
        return self._words(value, self._weight.shown(value[0], ground), ground)

    def typed_again(self, value: Any, ground: Ground) -> str:
        return self._words(value, self._weight.typed_again(value[0], ground), ground)

    def _words(self, value: Any, weight: str, ground: Ground) -> str:
        sign = "+" if self.running and value[2] else ""
        time = (
            "" if value[1] is None else f" @ {TimeOfDay(label=self.label).shown(value[1], ground)}"
        )  # fmt: skip
        return f"{sign}{weight}{time}"

    def check(self, value: object) -> None:
        if not isinstance(value, tuple | list) or len(value) != 3 or not isinstance(value[2], bool):
            raise Refused(f"{self.label}: a weight and a time are wanted.", field=self.label)
        self._weight.check(value[0])
        if value[1] is not None:
            TimeOfDay(label=self.label).check(value[1])


def began_at(clock: FarmClock, day: date, minute: int) -> int:
    """The instant of a time on a farm day's sheet; a time before the day's start is of the morning after.

    Raises:
        Refused: the spring hour that no clock shows.
    """
    wall = day if minute >= clock.day_start_min else day + timedelta(days=1)
    return clock.instant(wall, *divmod(minute, 60))


def after(clock: FarmClock, began_s: int, minute: int, label: str) -> int:
    """The instant of a time written on a sheet that was begun at `began_s`: that time, not before it.

    Raises:
        Refused: it would be more than twelve hours later, so it stands before the beginning.
    """
    day = clock.local(began_s).date()
    for wall in (day, day + timedelta(days=1)):
        at_s = clock.instant(wall, *divmod(minute, 60))
        if at_s < began_s:
            at_s = clock.instant(wall, *divmod(minute, 60), later=True)  # the night the clocks go back
        if began_s <= at_s <= began_s + LATEST_S:
            return at_s
    raise Refused(
        f"{label}: {minute // 60:02}:{minute % 60:02} is before the load was begun.",
        remedy="Check both times on the sheet.",
        field=label,
    )
