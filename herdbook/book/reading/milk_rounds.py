"""The milk house's rounds: levels read, thermometers checked, washes, and the emptying rule that was chosen."""

from __future__ import annotations

import sqlite3

from herdbook.book.reading.rows import first, rows, stands

EMPTYING = "emptying rule"
"""The choice a farm makes of how long milk may stay in its tank."""
BY_HAND = "by hand"
"""How a reading's source is called where nobody named a thermometer."""


def last_level(connection: sqlite3.Connection, tank: int, after_s: int, at_s: int) -> sqlite3.Row | None:
    """The newest level of a tank read after an instant and not after another."""
    return first(
        connection,
        f"SELECT tank_level.* FROM tank_level {stands('tank_level')} WHERE tank = ? AND read_at > ? AND read_at <= ? "
        "ORDER BY read_at DESC, tank_level.id DESC LIMIT 1",
        tank,
        after_s,
        at_s,
    )


def thermometer_checks(connection: sqlite3.Connection, tank: int | None = None) -> list[sqlite3.Row]:
    """Every check of a tank's thermometers, or of all tanks', oldest first."""
    return rows(
        connection,
        f"SELECT thermometer_check.* FROM thermometer_check {stands('thermometer_check')} "
        "WHERE ? IS NULL OR tank = ? ORDER BY checked_at, thermometer_check.id",
        tank,
        tank,
    )


def washes(connection: sqlite3.Connection, from_s: int, to_s: int) -> list[sqlite3.Row]:
    """Washes of a span, oldest first."""
    return rows(
        connection,
        f"SELECT wash.* FROM wash {stands('wash')} WHERE washed_at >= ? AND washed_at < ? ORDER BY washed_at, wash.id",
        from_s,
        to_s,
    )


def last_wash(connection: sqlite3.Connection, what: str, tank: int | None, at_s: int) -> sqlite3.Row | None:
    """The newest wash of the pipeline, or of a tank, at an instant."""
    return first(
        connection,
        f"SELECT wash.* FROM wash {stands('wash')} WHERE what = ? AND washed_at <= ? AND (? IS NULL OR tank = ?) "
        "ORDER BY washed_at DESC, wash.id DESC LIMIT 1",
        what,
        at_s,
        tank,
        tank,
    )


def struck_temperatures(
    connection: sqlite3.Connection, tank: int, from_s: int, to_s: int
) -> list[sqlite3.Row]:
    """Readings typed in a span that were struck since, with `struck_by`: they count no more and stay readable."""
    return rows(
        connection,
        "SELECT temperature.*, entry.struck_by FROM temperature JOIN entry ON entry.number = temperature.entry "
        "WHERE tank = ? AND read_at >= ? AND read_at < ? AND entry.struck_by IS NOT NULL "
        "ORDER BY read_at, temperature.id",
        tank,
        from_s,
        to_s,
    )
