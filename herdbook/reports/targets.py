"""A ration's targets with what each rests on, and how they changed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from herdbook.book.reading import entries as read_entries
from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.rations import TargetSetRow
from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.science.figures import ration_figures

MILLION = 1_000_000
BOUNDS = ("low", "aim", "high")
COLUMNS = (
    Column("figure", "Figure"),
    Column("low", "Low", "own", 2),
    Column("aim", "Aim", "own", 2),
    Column("high", "High", "own", 2),
    Column("unit", "Unit"),
    Column("why", "Rests on"),
)
HISTORY_COLUMNS = (
    Column("since", "From", "day"),
    Column("set_by", "Set by"),
    Column("targets", "Targets"),
    Column("changed", "Changed"),
)


def make(connection: Any, ground: Ground, *, name: int, on: date | None = None) -> Report:
    """The targets in force on a day, and every set before and after.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        name: the ration.
        on: the day; today if not given.
    """
    day = (on or ground.clock.farm_day(ground.now_s)).isoformat()
    sets = read_rations.target_sets(connection, name)
    in_force = next((one for one in reversed(sets) if one.from_day <= day), None)
    lines = tuple(_target_lines(in_force)) if in_force else ()
    history = tuple(_history_lines(connection, sets))[::-1]
    return Report(
        "targets",
        f"Targets of ration {ground.name_of('ration', name)} on {day}",
        tables=(
            Table("targets", "Targets in force", COLUMNS, lines, "No targets are in force on that day."),
            Table("history", "Targets as they were set", HISTORY_COLUMNS, history),
        ),
    )


def _target_lines(of: TargetSetRow) -> Iterator[Line]:
    known = ration_figures()
    for row in of.targets:
        figure, under = known[row["figure"]], entries_of(of.entry)
        cells = {
            bound: Figure(None if row[bound] is None else row[bound] / MILLION, figure.unit, entries=under)
            for bound in BOUNDS
        }
        cells |= {
            "figure": Figure(figure.label, entries=under),
            "unit": Figure(figure.unit),
            "why": Figure(plain(row["why"]) or None, entries=under),
        }
        yield Line(figure.key, cells)


def _history_lines(connection: Any, sets: list[TargetSetRow]) -> Iterator[Line]:
    before: TargetSetRow | None = None
    for one in sets:
        entry = read_entries.entry(connection, one.entry)
        under = entries_of(one.entry)
        yield Line(
            one.from_day,
            {
                "since": Figure(one.from_day, "day", entries=under),
                "set_by": Figure(plain(entry["who"] or "") if entry else None, entries=under),
                "targets": Figure(len(one.targets), entries=under),
                "changed": Figure(_changes(before, one), rule="against the set before it", entries=under),
            },
        )
        before = one


def _changes(before: TargetSetRow | None, after: TargetSetRow) -> str:
    """What differs, in words."""
    if before is None:
        return "the first"
    known = ration_figures()
    old, new = ({row["figure"]: row for row in one.targets} for one in (before, after))
    found = []
    for key in dict.fromkeys([*new, *old]):
        label = known[key].label
        if key not in old:
            found.append(f"{label} new")
        elif key not in new:
            found.append(f"{label} out")
        elif any(old[key][bound] != new[key][bound] for bound in BOUNDS):
            found.append(f"{label} {_bounds(old[key])} to {_bounds(new[key])}")
    return ", ".join(found) or "nothing"


def _bounds(row: Any) -> str:
    return "/".join("–" if row[bound] is None else f"{row[bound] / MILLION:g}" for bound in BOUNDS)
