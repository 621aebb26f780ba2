"""Which wet feeds are due for a dry-matter test: a new face, rain since the last test, or a week without one."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from herdbook.book.reading import farm as read_farm
from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading import store as read_store
from herdbook.book.reading.weather import rain_days
from herdbook.chores.ground import Ground
from herdbook.clock import span_words
from herdbook.units import LENGTH_UM

TEST_EVERY_DAYS = 7
"""A fixed weekly day for every wet feed as a minimum: Penn State, "Where to start in TMR fed herds"."""
WET_PPM = 700_000
"""A forage drier than this does not swing much: common practice, no source."""
RAIN_STEP_UM = 10_000
"""Rain since the last test that calls for another, where the farm sets none of its own: common practice, no source."""


def tests_due(connection: Any, ground: Ground) -> Iterator[tuple[str, str]]:
    """What is due and why, in words; a dry-matter test or an analysis made since clears it.

    Rain of the day of the last test is not counted: nobody wrote whether it fell before.
    """
    today = ground.clock.farm_day(ground.now_s)
    stale = []
    for feed in read_feeds.feeds(connection):
        if feed.kind not in ("forage", "wet by-product"):
            continue
        dry = read_feeds.dry_matter_at(connection, feed.feed, ground.now_s, today.isoformat())
        if dry is None or dry.dry_ppm > WET_PPM or not dry.day:
            continue
        why = [*_new_face(connection, ground, feed.feed, dry.day), *_rain(connection, ground, dry.day)]
        days = (today - date.fromisoformat(dry.day)).days
        if why:
            yield f"Test dry matter, {feed.name}", "; ".join(why)
        elif days >= TEST_EVERY_DAYS:
            stale.append(f"{feed.name} ({span_words(days * 86_400)})")
    if stale:
        yield "Dry-matter test", ", ".join(stale)


def _new_face(connection: Any, ground: Ground, feed: int, tested_on: str) -> Iterator[str]:
    face = read_store.newest_face(connection, feed, ground.now_s)
    if face is None:
        return
    opened = face["opened_at"]
    opened_on = ground.clock.farm_day(opened).isoformat()
    tests = read_feeds.dry_tests(connection, feed)
    if opened_on < tested_on or any(test.tested_at >= opened for test in tests):
        return
    what = f" ({face['what']})" if face["what"] else ""
    yield f"new face{what} opened {ground.clock.shown(opened)}, not tested since"


def _rain(connection: Any, ground: Ground, tested_on: str) -> Iterator[str]:
    today = ground.clock.farm_day(ground.now_s).isoformat()
    rain_um = sum(row["rain_um"] for row in rain_days(connection, tested_on, today).values())
    step_um = read_farm.farm(connection).rain_step_um or RAIN_STEP_UM
    if rain_um >= step_um:
        unit = ground.units.rain
        shown = ground.units.number(LENGTH_UM.value_in(rain_um, unit), 0 if unit == "mm" else 2)
        yield f"{shown} {unit} rain since the last test, {tested_on}"
