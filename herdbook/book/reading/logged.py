"""Readings that loggers wrote, and how their files are read."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator

from herdbook.book.reading.rows import first, rows, stands

_STANDING = f"CROSS JOIN reading_batch ON reading_batch.id = reading.batch {stands('reading_batch')}"


def logged_between(
    connection: sqlite3.Connection, tank: int, probe: str, from_s: int, to_s: int
) -> Iterator[tuple[int, int, int]]:
    """A probe's standing readings from one instant up to and with another: instant, millidegrees C, entry."""
    cursor = connection.cursor()
    cursor.row_factory = None
    return cursor.execute(
        f"SELECT reading.read_at, reading.tank_mC, reading_batch.entry FROM reading {_STANDING} "
        "WHERE reading.tank = ? AND reading.read_at BETWEEN ? AND ? AND reading_batch.probe = ? "
        "ORDER BY reading.read_at",
        (tank, from_s, to_s, probe),
    )


def last_logged(connection: sqlite3.Connection, tank: int) -> int | None:
    """When a tank's newest standing reading of any logger was taken, UTC seconds."""
    row = first(
        connection,
        f"SELECT read_at FROM reading {_STANDING} WHERE reading.tank = ? ORDER BY read_at DESC LIMIT 1",
        tank,
    )
    return None if row is None else int(row["read_at"])


def reading_profiles(connection: sqlite3.Connection) -> dict[str, sqlite3.Row]:
    """How loggers' files are read, by name: of several of one name the one written last."""
    found = rows(
        connection,
        f"SELECT reading_profile.* FROM reading_profile {stands('reading_profile')} ORDER BY reading_profile.id",
    )
    return {row["name"]: row for row in found}
