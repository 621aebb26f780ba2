"""What the farm chose for a question from a day on, such as which published rule something is held against."""

from __future__ import annotations

import sqlite3

from herdbook.book.reading.rows import first, rows, stands


def choices_of(connection: sqlite3.Connection, choice: str) -> list[sqlite3.Row]:
    """Every choice for one question that stands (`from_day`, `chosen`, `entry`), as they come into force."""
    return rows(
        connection,
        f"SELECT farm_choice.* FROM farm_choice {stands('farm_choice')} WHERE choice = ? "
        "ORDER BY from_day, farm_choice.id",
        choice,
    )


def choice_on(connection: sqlite3.Connection, choice: str, day: str) -> sqlite3.Row | None:
    """What the farm had chosen for one question on a day (`chosen`, `from_day`, `entry`)."""
    return first(
        connection,
        f"SELECT farm_choice.* FROM farm_choice {stands('farm_choice')} WHERE choice = ? AND from_day <= ? "
        "ORDER BY from_day DESC, farm_choice.id DESC LIMIT 1",
        choice,
        day,
    )


def chosen_on(connection: sqlite3.Connection, choice: str, day: str) -> str:
    """The key of what was chosen by a day; empty where nothing was."""
    row = choice_on(connection, choice, day)
    return "" if row is None else str(row["chosen"])
