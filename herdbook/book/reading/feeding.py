"""What happened at the mixer and the bunk: loads with what went in, drops and refusals."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from herdbook.book.reading.rows import first, rows, stands


@dataclass(slots=True)
class LoadRow:
    """A load as it stands: its plan, the planned lines, what was weighed in and what was dropped."""

    load: int
    mixer: int
    ration: int
    ration_version: int
    started_at: int
    farm_day: str
    number: int
    head: int
    entry: int
    feeding: int | None = None
    pens: list[sqlite3.Row] = field(default_factory=list)
    planned: list[sqlite3.Row] = field(default_factory=list)
    weighed: list[sqlite3.Row] = field(default_factory=list)
    dropped: list[sqlite3.Row] = field(default_factory=list)

    @property
    def loaded_g(self) -> int:
        """Everything weighed in."""
        return sum(row["loaded_g"] for row in self.weighed)

    @property
    def loaded_dry_g(self) -> float:
        """Its dry matter, at the dry matter used at the time."""
        return float(sum(row["loaded_g"] * row["dry_ppm"] for row in self.weighed)) / 1_000_000

    @property
    def planned_g(self) -> int:
        """Everything planned."""
        return sum(row["planned_g"] for row in self.planned)

    @property
    def dropped_g(self) -> int:
        """Everything dropped from it."""
        return sum(row["dropped_g"] for row in self.dropped)


def loads(connection: sqlite3.Connection, from_day: str, to_day: str) -> list[LoadRow]:
    """The loads of a span of farm days, both ends included, in the order they were begun."""
    return _filled(
        connection,
        rows(
            connection,
            f"SELECT load_plan.* FROM load_plan {stands('load_plan')} WHERE load_plan.farm_day BETWEEN ? AND ? "
            "ORDER BY load_plan.farm_day, load_plan.number, load_plan.id",
            from_day,
            to_day,
        ),
    )


def load_numbers(connection: sqlite3.Connection, from_day: str, to_day: str) -> list[sqlite3.Row]:
    """Farm day, number and load of a span of farm days, and nothing more: what loads are called by."""
    return rows(
        connection,
        f"SELECT load, load_plan.farm_day, load_plan.number FROM load_plan {stands('load_plan')} "
        "WHERE load_plan.farm_day BETWEEN ? AND ? "
        "ORDER BY load_plan.farm_day, load_plan.number, load_plan.id",
        from_day,
        to_day,
    )


def load_by_id(connection: sqlite3.Connection, load: int) -> LoadRow | None:
    """One load as it stands."""
    found = rows(connection, f"SELECT load_plan.* FROM load_plan {stands('load_plan')} WHERE load = ?", load)
    return _filled(connection, found)[0] if found else None


def _filled(connection: sqlite3.Connection, plans: Sequence[sqlite3.Row]) -> list[LoadRow]:
    made = {
        row["load"]: LoadRow(
            row["load"], row["mixer"], row["ration"], row["ration_version"], row["started_at"], row["farm_day"],
            row["number"], row["head"], row["entry"], row["feeding"],
        )
        for row in plans
    }  # fmt: skip
    for name, table, order in (
        ("pens", "load_pen", "load_pen.id"),
        ("planned", "load_plan_line", "place"),
        ("weighed", "load_weight", "weighed_at, load_weight.id"),
        ("dropped", "feed_drop", "dropped_at, feed_drop.id"),
    ):
        for load, its_rows in _by_load(connection, table, list(made), order).items():
            setattr(made[load], name, its_rows)
    return list(made.values())


def _by_load(
    connection: sqlite3.Connection, table: str, wanted: Sequence[int], order: str
) -> dict[int, list[sqlite3.Row]]:
    found: dict[int, list[sqlite3.Row]] = defaultdict(list)
    for start in range(0, len(wanted), 500):
        some = wanted[start : start + 500]
        marks = ",".join("?" * len(some))
        sql = f"SELECT {table}.* FROM {table} {stands(table)} WHERE load IN ({marks}) ORDER BY load, {order}"
        for row in rows(connection, sql, *some):
            found[row["load"]].append(row)
    return found


def drops(connection: sqlite3.Connection, from_day: str, to_day: str) -> list[sqlite3.Row]:
    """What every pen got in a span of farm days, both ends included."""
    return rows(
        connection,
        f"SELECT feed_drop.* FROM feed_drop {stands('feed_drop')} WHERE feed_drop.farm_day BETWEEN ? AND ? "
        "ORDER BY dropped_at, feed_drop.id",
        from_day,
        to_day,
    )


def refusals(connection: sqlite3.Connection, from_day: str, to_day: str) -> list[sqlite3.Row]:
    """What was weighed back for the days it was fed on, both ends included."""
    return rows(
        connection,
        f"SELECT refusal.* FROM refusal {stands('refusal')} WHERE fed_on BETWEEN ? AND ? ORDER BY fed_on, refusal.id",
        from_day,
        to_day,
    )


def last_load_number(connection: sqlite3.Connection, day: str) -> int:
    """The highest number a load of that farm day has; 0 for none."""
    row = first(
        connection,
        f"SELECT max(load_plan.number) AS most FROM load_plan {stands('load_plan')} WHERE load_plan.farm_day = ?",
        day,
    )
    return int(row["most"] or 0) if row else 0
