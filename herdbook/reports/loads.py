"""The loads of a day: what was planned, what the scale says went in, and what was dropped."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from typing import Any

from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading.feeding import LoadRow
from herdbook.chores.ground import Ground
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.loading_errors import Limits, LoadJudge, in_words, mend_in_words
from herdbook.science.load_tolerance import ROUNDED_G, SMALL_SHARE

FEED_TOLERANCE_PERCENT = 100 * SMALL_SHARE
"""How far a small feed may be off before it is said; a large one less: `herdbook.science.load_tolerance`."""
LOAD_TOLERANCE_PERCENT = 2.0
"""How far a load may be off before it is said: the usual "hit" in loading studies (Barry, abstract W324)."""

LOAD_COLUMNS = (
    Column("load", "Load"),
    Column("feeding", "Feeding"),
    Column("pens", "Pens"),
    Column("ration", "Ration"),
    Column("started_at", "Began", "time"),
    Column("planned_kg", "Planned", "kg"),
    Column("loaded_kg", "Loaded", "kg"),
    Column("off_percent", "Off by", "%", 1),
    Column("dropped_kg", "Dropped", "kg"),
    Column("left_kg", "Left", "kg"),
)
FEED_COLUMNS = (
    Column("load", "Load"),
    Column("feed", "Feed"),
    Column("planned_kg", "Planned", "kg"),
    Column("loaded_kg", "Loaded", "kg"),
    Column("off_kg", "Off by", "kg"),
    Column("off_percent", "Off by", "%", 1),
)


def make(connection: Any, ground: Ground, *, of: date | None = None) -> Report:
    """The loads of a farm day; today if not given."""
    day = of or ground.clock.farm_day(ground.now_s)
    loads = read_feeding.loads(connection, day.isoformat(), day.isoformat())
    limits = Limits(connection)
    feed_lines = [line for load in loads for line in _feed_lines(load, ground, limits)]
    off = {line["load"].value for line in feed_lines if line["off_percent"].flag}
    warnings = [
        sentence for load in loads if load.number in off for sentence in _said(connection, ground, load)
    ]
    return Report(
        "loads",
        f"Loads of {day.isoformat()}",
        tables=(
            Table(
                "loads",
                "Loads",
                LOAD_COLUMNS,
                tuple(_load_line(load, ground, limits) for load in loads),
                "No load was begun on this day.",
            ),
            Table("feeds", "Feed by feed", FEED_COLUMNS, tuple(feed_lines)),
        ),
        warnings=tuple(warnings),
        data=loads,
    )


def _said(connection: Any, ground: Ground, load: LoadRow) -> Iterator[str]:
    """Every feed that is off, what it does to the ration, and, until the load is dropped, what could mend it."""
    for error in LoadJudge(connection, ground, load).errors():
        mend = "" if load.dropped else mend_in_words(error, ground)
        yield f"Load {load.number}, {in_words(error, ground)} {mend}".strip()


def off_percent(loaded_g: float, planned_g: float) -> float | None:
    """How far what went in is from what was planned, % of the plan; none without a plan."""
    return 100 * (loaded_g - planned_g) / planned_g if planned_g else None


def _load_line(load: LoadRow, ground: Ground, limits: Limits) -> Line:
    weights = entries_of(load.entry, *(row["entry"] for row in load.weighed))
    drops = entries_of(*(row["entry"] for row in load.dropped))
    off = off_percent(load.loaded_g, load.planned_g) if load.weighed and is_weighed_in(load) else None
    past_step = abs(load.loaded_g - load.planned_g) > limits.step_g(load) + ROUNDED_G
    flag = "!" if off is not None and abs(off) > LOAD_TOLERANCE_PERCENT and past_step else ""
    return Line(
        f"load {load.number}",
        {
            "load": Figure(load.number, entries=entries_of(load.entry)),
            "feeding": Figure(load.feeding, entries=entries_of(load.entry)),
            "pens": Figure(pens_of(load, ground), entries=entries_of(load.entry)),
            "ration": Figure(ground.name_of("ration", load.ration), entries=entries_of(load.entry)),
            "started_at": Figure(load.started_at, "time", entries=entries_of(load.entry)),
            "planned_kg": Figure(
                load.planned_g / 1000, "kg", "sum of the planned feeds", entries=entries_of(load.entry)
            ),
            "loaded_kg": Figure(
                load.loaded_g / 1000 if load.weighed else None,
                "kg",
                "sum of the weights loaded",
                entries=weights,
            ),
            "off_percent": Figure(
                off,
                "%",
                "loaded less planned, over planned",
                entries=weights,
                flag=flag,
                says="off" if flag else "",
            ),
            "dropped_kg": Figure(
                load.dropped_g / 1000 if load.dropped else None, "kg", "sum of the drops", entries=drops
            ),
            "left_kg": Figure(
                (load.loaded_g - load.dropped_g) / 1000 if load.weighed else None,
                "kg",
                "loaded less dropped",
                entries=lambda: [*weights(), *drops()],
            ),
        },
    )


def pens_of(load: LoadRow, ground: Ground) -> str:
    """The names of the pens a load is for."""
    return ", ".join(ground.name_of("pen", row["pen"]) for row in load.pens)


def is_weighed_in(load: LoadRow) -> bool:
    """Whether every planned feed has a weight; one planned at nothing needs none."""
    done = {row["feed"] for row in load.weighed}
    return all(row["feed"] in done or not row["planned_g"] for row in load.planned)


def _feed_lines(load: LoadRow, ground: Ground, limits: Limits) -> list[Line]:
    loaded: dict[int, int] = defaultdict(int)
    under: dict[int, list[int]] = defaultdict(list)
    for row in load.weighed:
        loaded[row["feed"]] += row["loaded_g"]
        under[row["feed"]].append(row["entry"])
    planned = {row["feed"]: row["planned_g"] for row in load.planned}
    lines = []
    for feed in dict.fromkeys([*planned, *loaded]):
        off = off_percent(loaded[feed], planned.get(feed, 0)) if under[feed] else None
        is_off = bool(under[feed]) and limits.is_off(load, feed, planned.get(feed, 0), loaded[feed])
        entries = entries_of(load.entry, *under[feed])
        name = ground.name_of("feed", feed)
        lines.append(
            Line(
                f"load {load.number} {name}",
                {
                    "load": Figure(load.number, entries=entries_of(load.entry)),
                    "feed": Figure(name),
                    "planned_kg": Figure(
                        planned[feed] / 1000 if feed in planned else None,
                        "kg",
                        entries=entries_of(load.entry),
                    ),
                    "loaded_kg": Figure(loaded[feed] / 1000 if under[feed] else None, "kg", entries=entries),
                    "off_kg": Figure(
                        (loaded[feed] - planned.get(feed, 0)) / 1000 if under[feed] else None,
                        "kg",
                        "loaded less planned",
                        entries=entries,
                    ),
                    "off_percent": Figure(
                        off,
                        "%",
                        "loaded less planned, over planned",
                        entries=entries,
                        flag="!" if is_off else "",
                        says="not in the plan" if off is None else "over" if off > 0 else "under",
                    ),
                },
            )
        )
    return lines
