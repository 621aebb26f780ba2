"""How questions are put: rows by name, and the words that leave out what was struck."""

from __future__ import annotations

import sqlite3
from typing import Any


def stands(table: str) -> str:
    """The join that keeps only rows of `table` whose entry stands.

    The plus keeps SQLite from starting at the index of struck entries: nearly all stand, and it would walk them all.
    """
    return f"JOIN entry ON entry.number = {table}.entry AND +entry.struck_by IS NULL"


def rows(connection: sqlite3.Connection, sql: str, *values: Any) -> list[sqlite3.Row]:
    """All rows of a question, each readable by column name."""
    cursor = connection.cursor()
    cursor.row_factory = sqlite3.Row
    return cursor.execute(sql, values).fetchall()


def first(connection: sqlite3.Connection, sql: str, *values: Any) -> sqlite3.Row | None:
    """The first row of a question, if it has any."""
    found = rows(connection, sql, *values)
    return found[0] if found else None
