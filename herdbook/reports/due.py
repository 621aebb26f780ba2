"""What is due today, worked out from the book: readings, milkings, loads, refusals, tests and counts."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from statistics import median
from typing import Any

from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import rations as read_rations
from herdbook.book.reading import walk as read_walk
from herdbook.book.reading.feeding import LoadRow
from herdbook.chores.day_plan import plan_day
from herdbook.chores.ground import Ground
from herdbook.reports.cooling import TankState
from herdbook.reports.due_rounds import rounds_due
from herdbook.reports.due_tests import tests_due
from herdbook.reports.fed import PenDay
from herdbook.reports.loads import is_weighed_in
from herdbook.science.milk_clock import Verdict

READ_EVERY_S = 15 * 60
"""How often a cooling tank is read until it is cold: common practice, no source."""
USUAL_DAYS = 7
"""How many days back the usual hour of a feeding is looked for."""
LATE_AFTER_S = 3600
"""What is an hour past its usual time is called late: common practice, no source."""
LOAD_LASTS_S = 12 * 3600
"""A load begun longer ago is not waiting in the mixer any more: common practice, no source."""
LITTLE = 0.02
"""What is left of a load once it is dropped: the usual tolerance of a load."""


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
    connection: Any, ground: Ground, tanks: list[TankState], fed: Mapping[tuple[int, date], PenDay]
) -> list[Due]:
    """Everything due, late things first, then by time."""
    today = ground.clock.farm_day(ground.now_s)
    since = today - timedelta(days=USUAL_DAYS)
    loads = read_feeding.loads(connection, since.isoformat(), today.isoformat())
    found = [
        *(one for state in tanks for one in _tank(state, ground)),
        *(
            Due(at_s, what, details, "Milk", late)
            for state in tanks
            for at_s, what, details, late in rounds_due(connection, ground, state)
        ),
        *_loads(loads, ground),
        *_feedings(connection, ground, loads),
        *_refusals(connection, ground, fed),
        *(Due(None, *words, "Feeding") for words in tests_due(connection, ground)),
        *_walk(connection, ground),
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
    running = state.next_deadline or _still_warm(state)
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


def _still_warm(state: TankState) -> Verdict | None:
    """The newest milking's limit that was missed and is not reached yet: it is read on until it is cold."""
    return next(
        (
            verdict
            for verdict in reversed(state.verdicts)
            if verdict.milking_key == state.milkings[-1].milking
            and verdict.state == "missed"
            and verdict.deadline_s is not None
            and verdict.reached_s is None
        ),
        None,
    )


def _loads(loads: Sequence[LoadRow], ground: Ground) -> list[Due]:
    """Loads of the last hours that are not weighed in or not dropped, whichever farm day they belong to."""
    found = []
    for load in loads:
        if load.started_at < ground.now_s - LOAD_LASTS_S:
            continue
        got = {row["pen"] for row in load.dropped}
        waiting = [row["pen"] for row in load.pens if row["pen"] not in got]
        pens = ", ".join(ground.name_of("pen", pen) for pen in waiting)
        if not is_weighed_in(load) and not load.dropped:
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
        elif waiting and load.loaded_g - load.dropped_g > LITTLE * load.loaded_g:
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


def _feedings(connection: Any, ground: Ground, loads: Sequence[LoadRow]) -> list[Due]:
    """The next feeding of every pen, at the hour it was begun on the last days."""
    today = ground.clock.farm_day(ground.now_s)
    parts = Counter(
        (pen, load.feeding) for load in plan_day(connection, ground, today).loads for pen in load.pens
    )
    begun: dict[int, int] = defaultdict(int)
    hours: dict[tuple[int, int], list[int]] = defaultdict(list)
    for day, its in groupby(loads, key=lambda load: load.farm_day):
        counted: dict[int, int] = defaultdict(int)
        for load in its:
            for row in load.pens:
                feeding = _feeding_after(counted[row["pen"]], row["pen"], parts)
                counted[row["pen"]] += 1
                hours[row["pen"], feeding].append(_into_day(ground, load.started_at))
        if day == today.isoformat():
            begun = counted
    hungry: dict[int, list[str]] = defaultdict(list)
    usual: dict[int, list[int]] = defaultdict(list)
    for pen in read_herd.pens(connection):
        its_ration = read_rations.pen_ration_on(connection, pen.pen, today.isoformat())
        head = read_herd.head_at(connection, pen.pen, ground.now_s)
        if its_ration is None or head is None or not head.head:
            continue
        feeding = _feeding_after(begun[pen.pen], pen.pen, parts)
        if feeding <= its_ration["feedings"]:
            hungry[feeding].append(pen.name)
            usual[feeding] += hours.get((pen.pen, feeding), [])
    return [
        _at_its_hour(ground, usual[feeding], f"Mix feeding {feeding}", ", ".join(names))
        for feeding, names in sorted(hungry.items())
    ]


def _feeding_after(begun: int, pen: int, parts: Mapping[tuple[int, int], int]) -> int:
    """The feeding that a pen's next load belongs to after so many of the day; a big pen takes several a feeding."""
    feeding = 1
    while begun >= max(1, parts.get((pen, feeding), 1)):
        begun -= max(1, parts.get((pen, feeding), 1))
        feeding += 1
    return feeding


def _refusals(connection: Any, ground: Ground, fed: Mapping[tuple[int, date], PenDay]) -> list[Due]:
    """Pens that were fed yesterday and not weighed back, at the hour that was done on the last days."""
    yesterday = ground.clock.farm_day(ground.now_s) - timedelta(days=1)
    unread = [
        pen.name
        for pen in read_herd.pens(connection)
        if (before := fed.get((pen.pen, yesterday))) is not None
        and (before.drop_entries or before.refed_entries)
        and not before.refusal_entries
    ]
    if not unread:
        return []
    since = yesterday - timedelta(days=USUAL_DAYS)
    rows = read_feeding.refusals(connection, since.isoformat(), yesterday.isoformat())
    hours = [_into_day(ground, row["weighed_at"]) for row in rows]
    return [_at_its_hour(ground, hours, "Weigh back refusals", ", ".join(unread))]


def _into_day(ground: Ground, at_s: int) -> int:
    return at_s - ground.clock.day_starts(ground.clock.farm_day(at_s))


def _at_its_hour(ground: Ground, hours: Sequence[int], what: str, details: str) -> Due:
    """Due at the middle of the hours it was done at lately; at no hour where nothing says when."""
    if not hours:
        return Due(None, what, details, "Feeding")
    at_s = ground.clock.day_starts(ground.clock.farm_day(ground.now_s)) + round(median(hours) / 300) * 300
    return Due(at_s, what, details, "Feeding", late=ground.now_s - at_s > LATE_AFTER_S)


def _walk(connection: Any, ground: Ground) -> list[Due]:
    """Cows seen on the walk, until they are closed."""
    found = []
    for one in read_walk.walks(connection):
        newest = one.newest
        again = newest["watch_again_at"]
        parts = [newest["what"], f"seen {ground.clock.shown(newest['seen_at'])}"]
        parts += [f"done: {newest['done']}"] * bool(newest["done"])
        parts += ["veterinarian called"] * one.vet_called
        late = again is not None and again < ground.now_s
        found.append(
            Due(again, f"Look at cow {one.cow}", ", ".join(parts), "Feeding", late, pen=newest["pen"])
        )
    return found
