"""Tanks, milkings, temperatures and pickups."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from herdbook.book.reading.rows import first, rows, stands


@dataclass(frozen=True, slots=True)
class TankRow:
    """A tank as it stands, with its stick chart in order."""

    tank: int
    name: str
    capacity_g: int
    entry: int
    chart: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class MilkingRow:
    """A milking as it stands; `ended_at` is none while it runs."""

    milking: int
    tank: int
    started_at: int
    ended_at: int | None
    cows: int | None
    milk_g: int | None
    entry: int
    end_entry: int | None


def tanks(connection: sqlite3.Connection) -> list[TankRow]:
    """Every tank."""
    found: dict[int, TankRow] = {}
    for row in rows(
        connection, f"SELECT tank_card.* FROM tank_card {stands('tank_card')} ORDER BY tank_card.id"
    ):
        marks = rows(
            connection,
            "SELECT stick_um, milk_g FROM stick_mark WHERE entry = ? ORDER BY stick_um",
            row["entry"],
        )
        chart = tuple((mark["stick_um"], mark["milk_g"]) for mark in marks)
        found[row["tank"]] = TankRow(row["tank"], row["name"], row["capacity_g"], row["entry"], chart)
    return list(found.values())


_MILKINGS = (
    f"SELECT milking_start.milking, milking_start.tank, milking_start.started_at, milking_start.entry, "
    "e.ended_at, e.cows, e.milk_g, e.entry AS end_entry "
    f"FROM milking_start {stands('milking_start')} "
    "LEFT JOIN milking_end e ON e.milking = milking_start.milking "
    "AND (SELECT x.struck_by FROM entry x WHERE x.number = e.entry) IS NULL "
)


def milkings(connection: sqlite3.Connection, tank: int, from_s: int, to_s: int) -> list[MilkingRow]:
    """The milkings into a tank that began in a span, oldest first."""
    found = rows(
        connection,
        _MILKINGS
        + "WHERE milking_start.tank = ? AND milking_start.started_at >= ? AND milking_start.started_at < ? "
        "ORDER BY milking_start.started_at, milking_start.milking",
        tank,
        from_s,
        to_s,
    )
    return [MilkingRow(**dict(row)) for row in found]


def milkings_before(connection: sqlite3.Connection, tank: int, before_s: int, count: int) -> list[MilkingRow]:
    """The last milkings into a tank that began before an instant, oldest first."""
    found = rows(
        connection,
        _MILKINGS + "WHERE milking_start.tank = ? AND milking_start.started_at < ? "
        "ORDER BY milking_start.started_at DESC, milking_start.milking DESC LIMIT ?",
        tank,
        before_s,
        count,
    )
    return [MilkingRow(**dict(row)) for row in reversed(found)]


def milking_by_id(connection: sqlite3.Connection, milking: int) -> MilkingRow | None:
    """One milking as it stands."""
    row = first(connection, _MILKINGS + "WHERE milking_start.milking = ?", milking)
    return None if row is None else MilkingRow(**dict(row))


def open_milking(connection: sqlite3.Connection, tank: int) -> MilkingRow | None:
    """The newest milking into a tank that has no end yet."""
    row = first(
        connection,
        _MILKINGS
        + "WHERE milking_start.tank = ? AND e.ended_at IS NULL ORDER BY milking_start.started_at DESC LIMIT 1",
        tank,
    )
    return None if row is None else MilkingRow(**dict(row))


MINUTE_S = 60
"""Of a logger's readings one a minute is given, the warmest: what a rule or a chart needs of them."""

_BY_HAND = (
    "SELECT read_at, tank_mC, typed, source, agitator, temperature.entry AS entry, 0 AS logged "
    f"FROM temperature {stands('temperature')} "
)
_LOGGED = (
    "SELECT {read_at}, {tank_mC}, '' AS typed, reading_batch.probe AS source, NULL AS agitator, "
    "reading_batch.entry AS entry, 1 AS logged "
    f"FROM reading CROSS JOIN reading_batch ON reading_batch.id = reading.batch {stands('reading_batch')} "
)


def temperatures(connection: sqlite3.Connection, tank: int, from_s: int, to_s: int) -> list[sqlite3.Row]:
    """A tank's readings in a span, oldest first, by hand and by loggers.

    Of each logger the warmest reading of every minute; a sooner look at it would only flatter the tank.

    Returns:
        Rows of `read_at`, `tank_mC`, `typed`, `source` (a logger's probe), `agitator`, `entry`, `logged`.
    """
    by_hand = _BY_HAND + "WHERE tank = ? AND read_at >= ? AND read_at < ?"
    # with a bare max() SQLite takes the other columns from the row that has it
    logged = (
        _LOGGED.format(read_at="read_at", tank_mC="max(tank_mC) AS tank_mC")
        + "WHERE reading.tank = ? AND read_at >= ? AND read_at < ? "
        f"GROUP BY read_at / {MINUTE_S}, reading_batch.probe"
    )
    span = (tank, from_s, to_s)
    return rows(connection, f"{by_hand} UNION ALL {logged} ORDER BY read_at, logged", *span, *span)


def last_temperature(connection: sqlite3.Connection, tank: int, at_s: int) -> sqlite3.Row | None:
    """A tank's newest reading at an instant, by hand or by a logger."""
    by_hand = first(
        connection,
        _BY_HAND + "WHERE tank = ? AND read_at <= ? ORDER BY read_at DESC, temperature.id DESC LIMIT 1",
        tank,
        at_s,
    )
    logged = first(
        connection,
        _LOGGED.format(read_at="read_at", tank_mC="tank_mC")
        + "WHERE reading.tank = ? AND read_at <= ? ORDER BY read_at DESC LIMIT 1",
        tank,
        at_s,
    )
    found = [row for row in (by_hand, logged) if row is not None]
    return max(found, key=lambda row: int(row["read_at"]), default=None)


def pickups(
    connection: sqlite3.Connection, from_s: int, to_s: int, tank: int | None = None
) -> list[sqlite3.Row]:
    """Pickups in a span, oldest first; of one tank or of all."""
    return rows(
        connection,
        f"SELECT pickup_ticket.* FROM pickup_ticket {stands('pickup_ticket')} WHERE picked_at >= ? AND picked_at < ? "
        "AND (? IS NULL OR tank = ?) ORDER BY picked_at, pickup_ticket.id",
        from_s,
        to_s,
        tank,
        tank,
    )


_TAKEN_OUT = (
    "SELECT pickup_ticket.id, tank, picked_at, milk_g, emptied, pickup_ticket.entry, 0 AS poured "
    f"FROM pickup_ticket {stands('pickup_ticket')} UNION ALL "
    "SELECT milk_dump.id, tank, dumped_at AS picked_at, milk_g, emptied, milk_dump.entry, 1 AS poured "
    f"FROM milk_dump {stands('milk_dump')} "
)


def taken_out(connection: sqlite3.Connection, tank: int, from_s: int, to_s: int) -> list[sqlite3.Row]:
    """Milk that left a tank in a span, picked up or poured away (`poured`), oldest first."""
    return rows(
        connection,
        f"SELECT * FROM ({_TAKEN_OUT}) WHERE tank = ? AND picked_at >= ? AND picked_at < ? ORDER BY picked_at, id",
        tank,
        from_s,
        to_s,
    )


def last_emptied(connection: sqlite3.Connection, tank: int, before_s: int) -> sqlite3.Row | None:
    """The last pickup or pouring away before an instant that left the tank empty."""
    return first(
        connection,
        f"SELECT * FROM ({_TAKEN_OUT}) WHERE tank = ? AND emptied = 1 AND picked_at < ? "
        "ORDER BY picked_at DESC, id DESC LIMIT 1",
        tank,
        before_s,
    )


def next_emptied(connection: sqlite3.Connection, tank: int, after_s: int) -> sqlite3.Row | None:
    """The first pickup or pouring away at or after an instant that left the tank empty."""
    return first(
        connection,
        f"SELECT * FROM ({_TAKEN_OUT}) WHERE tank = ? AND emptied = 1 AND picked_at >= ? "
        "ORDER BY picked_at, id LIMIT 1",
        tank,
        after_s,
    )
