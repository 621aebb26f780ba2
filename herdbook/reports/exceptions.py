"""What is worth a second look in a span of days: cooling, loading, feeding and records that are missing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import milk as read_milk
from herdbook.chores.ground import Ground
from herdbook.reports.cooling import in_words, verdicts_between
from herdbook.reports.fed import PenDay
from herdbook.reports.loads import FEED_TOLERANCE_PERCENT, off_percent

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


def exceptions(
    connection: Any, ground: Ground, first: date, last: date, fed: dict[tuple[int, date], PenDay]
) -> list[Found]:
    """Everything worth a look in a span of farm days, in order of day.

    Args:
        fed: `pen_days` over the span and at least the baseline's days before it.
    """
    found = [
        *_cooling(connection, ground, first, last),
        *_loading(connection, ground, first, last),
        *_falls(connection, first, last, fed),
    ]
    return sorted(found, key=lambda one: (one.day, one.about))


def _cooling(connection: Any, ground: Ground, first: date, last: date) -> list[Found]:
    start, end = ground.clock.day_starts(first), ground.clock.day_starts(last + timedelta(days=1))
    found = []
    for tank in read_milk.tanks(connection):
        for milking, verdict, readings in verdicts_between(connection, tank, start, end, ground.now_s):
            if verdict.state != "missed":
                continue
            when = ground.clock.shown_time(milking.started_at)
            words = in_words(verdict, ground.clock, ground.now_s)
            entries = (milking.entry, *(row["entry"] for row in readings))
            day = ground.clock.farm_day(milking.started_at)
            found.append(
                Found(day, tank.name, f"{verdict.clause.limit} limit, milking of {when}: {words}.", entries)
            )
    return found


def _loading(connection: Any, ground: Ground, first: date, last: date) -> list[Found]:
    found = []
    for load in read_feeding.loads(connection, first.isoformat(), last.isoformat()):
        planned = {row["feed"]: row["planned_g"] for row in load.planned}
        loaded: dict[int, int] = {}
        for row in load.weighed:
            loaded[row["feed"]] = loaded.get(row["feed"], 0) + row["loaded_g"]
        for feed, grams in loaded.items():
            off = off_percent(grams, planned.get(feed, 0))
            if off is not None and abs(off) > FEED_TOLERANCE_PERCENT:
                name = ground.name_of("feed", feed)
                says = f"{name} {off:+.0f} % ({ground.units.mass(grams - planned[feed])})."
                entries = (load.entry, *(row["entry"] for row in load.weighed if row["feed"] == feed))
                found.append(Found(date.fromisoformat(load.farm_day), f"Load {load.number}", says, entries))
    return found


def _falls(connection: Any, first: date, last: date, fed: dict[tuple[int, date], PenDay]) -> list[Found]:
    """Pens that ate clearly less than over their own last days (the middle of up to seven complete ones)."""
    found = []
    for pen in read_herd.pens(connection):
        day = first
        while day <= last:
            its = fed.get((pen.pen, day))
            eaten = None if its is None else its.eaten.number
            before = sorted(
                value
                for back in range(1, BASELINE_DAYS + 1)
                if (other := fed.get((pen.pen, day - timedelta(days=back)))) is not None
                and (value := other.eaten.number) is not None
            )
            if its is not None and eaten is not None and len(before) >= FEW_DAYS:
                usual = before[len(before) // 2]
                if usual and 100 * (eaten - usual) / usual <= -FALL_PERCENT:
                    says = f"ate {100 * (eaten - usual) / usual:.0f} % against its last {len(before)} days."
                    found.append(Found(day, pen.name, says, its.entries))
            day += timedelta(days=1)
    return found
