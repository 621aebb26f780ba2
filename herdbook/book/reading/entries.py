"""Entries as they were written, struck or not, and what leans on them."""

from __future__ import annotations

import sqlite3
from typing import Any

from herdbook.book.chain import chained_tables
from herdbook.book.reading.rows import first, rows

_ENTRY = (
    "SELECT entry.*, (SELECT name FROM person_card WHERE person_card.person = entry.person "
    "ORDER BY person_card.id DESC LIMIT 1) AS who FROM entry "
)


def entry(connection: sqlite3.Connection, number: int) -> sqlite3.Row | None:
    """One entry with the name of who wrote it (`who`)."""
    return first(connection, _ENTRY + "WHERE number = ?", number)


def newest_entries(connection: sqlite3.Connection, most: int, before: int | None = None) -> list[sqlite3.Row]:
    """The newest entries, newest first, optionally only those before a number."""
    return rows(
        connection,
        _ENTRY + "WHERE number < ? ORDER BY number DESC LIMIT ?",
        before if before is not None else 2**62,
        most,
    )


def entries_of_days(connection: sqlite3.Connection, from_day: str, to_day: str) -> list[sqlite3.Row]:
    """Entries of a span of farm days, newest first."""
    return rows(connection, _ENTRY + "WHERE farm_day BETWEEN ? AND ? ORDER BY number DESC", from_day, to_day)


def rows_of(connection: sqlite3.Connection, number: int) -> dict[str, list[dict[str, Any]]]:
    """Everything an entry wrote: table -> rows in order."""
    found = {}
    for table in chained_tables(connection):
        its = rows(connection, f"SELECT * FROM {table} WHERE entry = ? ORDER BY id", number)  # noqa: S608 (own names)
        if its:
            found[table] = [dict(row) for row in its]
    return found


def leaning_on(connection: sqlite3.Connection, number: int) -> list[int]:
    """The standing entries whose rows point at rows that this entry wrote, other than itself."""
    mine = {table: [row["id"] for row in its] for table, its in rows_of(connection, number).items()}
    leaning: set[int] = set()
    for table in chained_tables(connection):
        for link in rows(connection, f"PRAGMA foreign_key_list({table})"):
            for row_id in mine.get(link["table"], ()):
                column = link["from"]
                sql = (
                    f"SELECT DISTINCT t.entry FROM {table} t JOIN entry e ON e.number = t.entry AND e.struck_by IS NULL "  # noqa: S608
                    f"WHERE t.{column} = ? AND t.entry <> ?"
                )
                leaning.update(row["entry"] for row in rows(connection, sql, row_id, number))
    return sorted(leaning)
