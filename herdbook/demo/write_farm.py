"""Writes the made-up farm: a new book, filled through the chores with the days up to this moment."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path

from herdbook.book.opening import new_book
from herdbook.book.writing import Book
from herdbook.clock import FarmClock, Now, utc_now
from herdbook.demo import barn_rounds
from herdbook.demo.feeding_days import feeder, office
from herdbook.demo.first_afternoon import ZONE, first_afternoon, start
from herdbook.demo.milk_house_days import milk_house
from herdbook.demo.milk_money import cheque
from herdbook.demo.milking_days import milking, pickup
from herdbook.demo.scribe import Scribe
from herdbook.demo.world import World
from herdbook.errors import ChoreRefused, Refused

MOST_DAYS = 11_000
"""Thirty years: past any book a benchmark needs."""

Progress = Callable[[int, int], None]


def _say_nothing(done: int, total: int) -> None:
    pass


def write_farm(
    path: Path,
    *,
    days: int = 30,
    seed: int = 1,
    now: Now = utc_now,
    progress: Progress = _say_nothing,
    login: str = "",
) -> None:
    """Make a new book of an invented farm; the same days, seed and moment give the same entries and hashes.

    The farm starts its book on the afternoon before the first day and writes until this moment: what has
    happened by now is in it, nothing else. Its name, people, cows, feeds, prices and figures are invented.

    Args:
        path: where the book will lie; it appears there whole or not at all.
        days: farm days, the last of them today.
        seed: what chance starts from.
        now: the clock, asked once.
        progress: called with the days done and all of them, as each day is done.
        login: login name of the person at this computer, who becomes the farm's owner.

    Raises:
        Refused: the number of days cannot be.
        ChoreRefused: something is at the path already, or it cannot be written.
    """
    if not 1 <= days <= MOST_DAYS:
        raise Refused(
            f"days: {days} cannot be.", remedy=f"Take a whole number from 1 to {MOST_DAYS:,}.", field="days"
        )
    if path.exists():
        raise ChoreRefused(
            f"{path} already exists; it was left untouched.", remedy="Choose another name for the new book."
        )
    half_made = path.with_name(f".{path.name}.{os.getpid()}.made")
    _remove(half_made)
    try:
        new_book(half_made)
        _fill(half_made, days, seed, int(now().timestamp()), progress, login)
        os.link(half_made, path)  # fails if someone else made it meanwhile, unlike rename
    except FileExistsError:
        raise ChoreRefused(
            f"{path} already exists; it was left untouched.", remedy="Choose another name."
        ) from None
    finally:
        _remove(half_made)


def _remove(book: Path) -> None:
    for ending in ("", "-wal", "-shm"):
        book.with_name(book.name + ending).unlink(missing_ok=True)


def _fill(path: Path, days: int, seed: int, now_s: int, progress: Progress, login: str) -> None:
    clock = FarmClock(ZONE)
    today = clock.farm_day(now_s)
    book = Book(path)
    try:
        before = today - timedelta(days=days)
        story = f"made-up farm {seed}, {days} days to {today}"
        at_s = clock.instant(before, 13, 5)
        world = World(seed, clock, today, Scribe(book, story), at_s)
        start(world, at_s, login)
        world.clockwork.begin(at_s, first_afternoon(world, before, at_s))
        world.clockwork.begin(at_s, milking(world, before, morning=False))
        world.clockwork.begin(at_s, _days(world, before, days, progress))
        world.clockwork.run(now_s)
        progress(days, days)
    finally:
        book.close()


def _days(world: World, before: date, days: int, progress: Progress) -> Iterator[int]:
    """Every day begins its rounds."""
    for number in range(1, days + 1):
        day = before + timedelta(days=number)
        yield (begins_s := world.clock.day_starts(day))
        progress(number - 1, days)
        for work in (
            milking(world, day, morning=True),
            feeder(world, day),
            pickup(world, day),
            office(world, day),
            milk_house(world, day),
            barn_rounds.pushing(world, day),
            barn_rounds.troughs(world, day),
            barn_rounds.walk(world, day),
            barn_rounds.weather(world, day),
            barn_rounds.count(world, day),
            cheque(world, day),
            milking(world, day, morning=False),
        ):
            world.clockwork.begin(begins_s, work)
