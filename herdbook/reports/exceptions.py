"""What is worth a second look in a span of days: cooling, readings not taken, loading, and pens that ate less."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median
from typing import Any

from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import milk as read_milk
from herdbook.book.reading import walk as read_walk
from herdbook.book.reading.milk import MilkingRow
from herdbook.chores.ground import Ground
from herdbook.reports.cooling import in_words, verdicts_between
from herdbook.reports.fed import PenDay
from herdbook.reports.figures import days_between
from herdbook.reports.intake_watch import LOOK_BACK_DAYS, falls, judged_days
from herdbook.reports.loading_errors import Limits, off_in_words
from herdbook.reports.loads import off_percent
from herdbook.science.milk_clock import Verdict

FALL_PERCENT = 5.0
"""While a pen has too few days for a spread of its own, an intake this far below them is said: from memory."""
BASELINE_DAYS = LOOK_BACK_DAYS
"""How many days before a span its pens' days are wanted."""
FIRST_DAYS = 7
FEW_DAYS = 3
OVERDUE_S = 3600
"""A cow not looked at again an hour after the time written is said: common practice, no source."""
UNSEEN_S = 24 * 3600
"""Without a time written, a cow seen is looked at again within a day: common practice, no source."""


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
        *_falls(connection, ground, first, last, fed),
        *_unseen(connection, ground, first, last),
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
            limit = f"{verdict.clause.limit} {'own goal' if verdict.is_own else 'limit'}"
            yield Found(day, tank, f"{limit}, milking of {when}: {words}.", entries)


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
    limits = Limits(connection)
    for load in read_feeding.loads(connection, first.isoformat(), last.isoformat()):
        day, about = date.fromisoformat(load.farm_day), f"Load {load.number}"
        planned = {row["feed"]: row["planned_g"] for row in load.planned}
        loaded: dict[int, int] = {}
        for row in load.weighed:
            loaded[row["feed"]] = loaded.get(row["feed"], 0) + row["loaded_g"]
        for feed, grams in loaded.items():
            off = off_percent(grams, planned.get(feed, 0))
            if not limits.is_off(load, feed, planned.get(feed, 0), grams):
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
    connection: Any, ground: Ground, first: date, last: date, fed: Mapping[tuple[int, date], PenDay]
) -> Iterator[Found]:
    """Pens that are likely to eat less than over their own last days; a new pen by the simple rule."""
    judged = judged_days(ground, read_herd.pens(connection), first, last, fed)
    for fall in falls(connection, ground, first, last, fed, judged):
        yield Found(fall.day, fall.pen.name, fall.says, fall.entries)
    yield from _first_falls(connection, first, last, fed, judged.keys())


def _first_falls(
    connection: Any,
    first: date,
    last: date,
    fed: Mapping[tuple[int, date], PenDay],
    judged: Container[tuple[int, date]],
) -> Iterator[Found]:
    """Pens with too few days for a spread: clearly less than the middle of up to seven complete ones."""
    eaten_kg = {key: its.eaten_kg for key, its in fed.items()}
    for pen in read_herd.pens(connection):
        for day in days_between(first, last):
            eaten = eaten_kg.get((pen.pen, day))
            lately = (
                eaten_kg.get((pen.pen, day - timedelta(days=back))) for back in range(1, FIRST_DAYS + 1)
            )
            before = [kg for kg in lately if kg is not None]
            if (pen.pen, day) in judged or eaten is None or len(before) < FEW_DAYS:
                continue
            usual = median(before)
            percent = 100 * (eaten - usual) / usual if usual > 0 else 0.0
            if percent <= -FALL_PERCENT:
                says = f"ate {percent:.0f} % against the middle of its last {len(before)} complete days."
                yield Found(day, pen.name, says, fed[pen.pen, day].entries)


def _unseen(connection: Any, ground: Ground, first: date, last: date) -> Iterator[Found]:
    """Cows of the walk nobody has looked at again in time; said of today, however long ago it was."""
    today = ground.clock.farm_day(ground.now_s)
    if not first <= today <= last:
        return
    for one in read_walk.walks(connection):
        again, seen = one.newest["watch_again_at"], one.newest["seen_at"]
        if ground.now_s <= (seen + UNSEEN_S if again is None else again + OVERDUE_S):
            continue
        when = ground.clock.shown(seen if again is None else again)
        asked = f"to be looked at again {when}" if again is not None else f"seen {when}"
        yield Found(today, f"Cow {one.cow}", f"{one.newest['what']}, {asked}; nobody has since.", one.entries)
