"""What is due today, worked out from the book: readings, milkings, loads, refusals, tests and counts."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import rations as read_rations
from herdbook.chores.ground import Ground
from herdbook.clock import span_words
from herdbook.reports.cooling import TankState
from herdbook.reports.fed import PenDay
from herdbook.reports.loads import is_weighed_in, pens_of

READ_EVERY_S = 15 * 60
"""How often a cooling tank is read until it is cold: common practice, no source."""
TEST_EVERY_DAYS = 7
"""A fixed weekly day for every wet feed as a minimum: Penn State, "Where to start in TMR fed herds"."""
WET_PPM = 700_000
"""A forage drier than this does not swing much: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Due:
    """One thing to do: when, what, details, and the place where it is done."""

    at_s: int | None
    what: str
    details: str
    place: str
    late: bool = False
    load: int | None = None
    pen: int | None = None


def due_now(
    connection: Any, ground: Ground, tanks: list[TankState], fed: dict[tuple[int, date], PenDay]
) -> list[Due]:
    """Everything due, late things first, then by time."""
    found = [
        *(one for state in tanks for one in _tank(state, ground)),
        *_loads(connection, ground),
        *_pens(connection, ground, fed),
        *_tests(connection, ground),
    ]
    return sorted(
        found, key=lambda one: (not one.late, one.at_s if one.at_s is not None else 2**40, one.what)
    )


def _tank(state: TankState, ground: Ground) -> list[Due]:
    found = []
    name = state.tank.name
    if state.milkings and state.milkings[-1].ended_at is None:
        began = state.milkings[-1].started_at
        late = ground.now_s - began > 6 * 3600
        found.append(
            Due(None, "Write the end of the milking", f"began {ground.clock.shown_time(began)}", "Milk", late)
        )
    running = state.next_deadline
    if running is not None and state.milkings[-1].ended_at is not None:
        last = state.readings[-1]["read_at"] if state.readings else state.milkings[-1].ended_at
        due = max(last, state.milkings[-1].ended_at) + READ_EVERY_S
        found.append(
            Due(
                due,
                f"Read the {name} temperature",
                f"every 15 min until {running.clause.limit}",
                "Milk",
                due < ground.now_s,
            )
        )
    return found


def _loads(connection: Any, ground: Ground) -> list[Due]:
    today = ground.clock.farm_day(ground.now_s).isoformat()
    found = []
    for load in read_feeding.loads(connection, today, today):
        pens = pens_of(load, ground)
        if not is_weighed_in(load):
            left = [row for row in load.planned if row["feed"] not in {w["feed"] for w in load.weighed}]
            feed = ground.name_of("feed", left[0]["feed"])
            done = (
                f"{ground.units.mass(load.loaded_g, with_unit=False)} of {ground.units.mass(load.planned_g)}"
            )
            found.append(
                Due(
                    None,
                    f"Finish load {load.number}, {pens}",
                    f"at {feed}, {done}",
                    "Feeding",
                    load=load.load,
                )
            )
        elif load.dropped_g < 0.5 * load.loaded_g:
            found.append(
                Due(
                    None,
                    f"Drop load {load.number}, {pens}",
                    f"{ground.units.mass(load.loaded_g - load.dropped_g)} in the mixer",
                    "Feeding",
                    load=load.load,
                )
            )
    return found


def _pens(connection: Any, ground: Ground, fed: dict[tuple[int, date], PenDay]) -> list[Due]:
    today = ground.clock.farm_day(ground.now_s)
    yesterday = today - timedelta(days=1)
    loads = read_feeding.loads(connection, today.isoformat(), today.isoformat())
    begun: dict[int, int] = defaultdict(int)
    for load in loads:
        for row in load.pens:
            begun[row["pen"]] += 1
    found, unread, hungry = [], [], []
    for pen in read_herd.pens(connection):
        its = read_rations.pen_ration_on(connection, pen.pen, today.isoformat())
        head = read_herd.head_at(connection, pen.pen, ground.now_s)
        if its is not None and head is not None and head.head and begun[pen.pen] < its["feedings"]:
            hungry.append((begun[pen.pen] + 1, pen.name))
        before = fed.get((pen.pen, yesterday))
        if before is not None and before.drop_entries and not before.refusal_entries:
            unread.append(pen.name)
    for feeding in sorted({number for number, _ in hungry}):
        names = ", ".join(name for number, name in hungry if number == feeding)
        found.append(Due(None, f"Mix feeding {feeding}", names, "Feeding"))
    if unread:
        found.append(Due(None, "Weigh back refusals", ", ".join(unread), "Feeding"))
    return found


def _tests(connection: Any, ground: Ground) -> list[Due]:
    today = ground.clock.farm_day(ground.now_s)
    stale = []
    for feed in read_feeds.feeds(connection):
        if feed.kind not in ("forage", "wet by-product"):
            continue
        dry = read_feeds.dry_matter_at(connection, feed.feed, ground.now_s, today.isoformat())
        if dry is None or dry.dry_ppm > WET_PPM:
            continue
        days = (today - date.fromisoformat(dry.since.rpartition(" ")[2])).days
        if days >= TEST_EVERY_DAYS:
            stale.append(f"{feed.name} ({span_words(days * 86_400)})")
    return [Due(None, "Dry-matter test", ", ".join(stale), "Feeding")] if stale else []
