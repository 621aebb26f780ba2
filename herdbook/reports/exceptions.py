"""What is worth a second look in a span of days: cooling, readings not taken, loading, and pens that ate less."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median
from typing import Any

from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.milk import MilkingRow
from herdbook.chores.ground import Ground
from herdbook.reports.cooling import in_words, verdicts_between
from herdbook.reports.fed import PenDay
from herdbook.reports.figures import days_between
from herdbook.reports.loads import FEED_TOLERANCE_PERCENT, off_in_words, off_percent
from herdbook.science.milk_clock import Verdict

FALL_PERCENT = 5.0
"""An intake this far below the pen's own last days is said: convention, from memory."""
BASELINE_DAYS = 7
FEW_DAYS = 3


@dataclass(frozen=True, slots=True)
class Found:
    """One thing worth a look: the farm day, what it is about, a sentence, and the entries under it."""

    day: date
    about: str
    says: str
    entries: tuple[int, ...]


Cooled = Mapping[str, Sequence[tuple[MilkingRow, Verdict, list[Any]]]]
"""Tank -> every verdict on the milkings of a span, with the milking and its readings."""


def cooled_between(connection: Any, ground: Ground, first: date, last: date) -> Cooled:
    """The verdicts on every tank's milkings of a span of farm days."""
    start, end = ground.clock.day_starts(first), ground.clock.day_starts(last + timedelta(days=1))
    return {
        tank.name: verdicts_between(connection, tank, start, end, ground.now_s)
        for tank in read_milk.tanks(connection)
    }


def exceptions(
    connection: Any,
    ground: Ground,
    first: date,
    last: date,
    fed: Mapping[tuple[int, date], PenDay],
    cooled: Cooled | None = None,
) -> list[Found]:
    """Everything worth a look in a span of farm days, in order of day.

    Args:
        fed: `pen_days` over the span and at least the baseline's days before it.
        cooled: `cooled_between` over the span, where it is known already.
    """
    cooled = cooled_between(connection, ground, first, last) if cooled is None else cooled
    found = [
        *_cooling(ground, cooled),
        *_unread(ground, cooled),
        *_loading(connection, ground, first, last),
        *_falls(connection, first, last, fed),
    ]
    return sorted(found, key=lambda one: (one.day, one.about))


def _cooling(ground: Ground, cooled: Cooled) -> Iterator[Found]:
    for tank, verdicts in cooled.items():
        for milking, verdict, readings in verdicts:
            if verdict.state != "missed":
                continue
            when = ground.clock.shown_time(milking.started_at)
            words = in_words(verdict, ground.clock, ground.now_s)
            entries = (*_under(milking), *(row["entry"] for row in readings))
            day = ground.clock.farm_day(milking.started_at)
            yield Found(day, tank, f"{verdict.clause.limit} limit, milking of {when}: {words}.", entries)


def _unread(ground: Ground, cooled: Cooled) -> Iterator[Found]:
    """Milkings of which no reading shows whether they were cold in time: one line a tank and day."""
    for tank, verdicts in cooled.items():
        unread: dict[date, dict[int, MilkingRow]] = defaultdict(dict)
        for milking, verdict, _ in verdicts:
            if verdict.state == "no reading" and verdict.deadline_s is not None:
                unread[ground.clock.farm_day(milking.started_at)][milking.milking] = milking
        for day, its in unread.items():
            times = ", ".join(ground.clock.shown_time(milking.started_at) for milking in its.values())
            entries = tuple(number for milking in its.values() for number in _under(milking))
            yield Found(day, tank, f"no reading by the deadline, milking of {times}.", entries)


def _under(milking: MilkingRow) -> tuple[int, ...]:
    return tuple(dict.fromkeys(number for number in (milking.entry, milking.end_entry) if number is not None))


def _loading(connection: Any, ground: Ground, first: date, last: date) -> Iterator[Found]:
    for load in read_feeding.loads(connection, first.isoformat(), last.isoformat()):
        day, about = date.fromisoformat(load.farm_day), f"Load {load.number}"
        planned = {row["feed"]: row["planned_g"] for row in load.planned}
        loaded: dict[int, int] = {}
        for row in load.weighed:
            loaded[row["feed"]] = loaded.get(row["feed"], 0) + row["loaded_g"]
        for feed, grams in loaded.items():
            off = off_percent(grams, planned.get(feed, 0))
            if (off is not None and abs(off) <= FEED_TOLERANCE_PERCENT) or (off is None and not grams):
                continue
            how = "not in the plan" if off is None else off_in_words(off)
            says = (
                f"{ground.name_of('feed', feed)} {how} ({ground.units.mass(grams - planned.get(feed, 0))})."
            )
            entries = (load.entry, *(row["entry"] for row in load.weighed if row["feed"] == feed))
            yield Found(day, about, says, entries)
        left = [feed for feed, grams in planned.items() if grams and feed not in loaded]
        if load.dropped and left:
            names = ", ".join(ground.name_of("feed", feed) for feed in left)
            entries = (load.entry, *(row["entry"] for row in load.dropped))
            yield Found(day, about, f"dropped, but {names} was never weighed in.", entries)


def _falls(
    connection: Any, first: date, last: date, fed: Mapping[tuple[int, date], PenDay]
) -> Iterator[Found]:
    """Pens that ate clearly less than over their own last days (the middle of up to seven complete ones)."""
    eaten_kg = {key: its.eaten_kg for key, its in fed.items()}
    for pen in read_herd.pens(connection):
        for day in days_between(first, last):
            eaten = eaten_kg.get((pen.pen, day))
            lately = (
                eaten_kg.get((pen.pen, day - timedelta(days=back))) for back in range(1, BASELINE_DAYS + 1)
            )
            before = [kg for kg in lately if kg is not None]
            if eaten is None or len(before) < FEW_DAYS:
                continue
            usual = median(before)
            percent = 100 * (eaten - usual) / usual if usual > 0 else 0.0
            if percent <= -FALL_PERCENT:
                says = f"ate {percent:.0f} % against the middle of its last {len(before)} complete days."
                yield Found(day, pen.name, says, fed[pen.pen, day].entries)
