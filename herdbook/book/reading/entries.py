"""Entries as they were written, struck or not, and what leans on them."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from typing import Any

from herdbook.book.chain import chained_tables
from herdbook.book.reading.rows import first, rows, stands

_ENTRY = (
    "SELECT entry.*, (SELECT name FROM person_card WHERE person_card.person = entry.person "
    "ORDER BY person_card.id DESC LIMIT 1) AS who FROM entry "
)


def entry(connection: sqlite3.Connection, number: int) -> sqlite3.Row | None:
    """One entry with the name of who wrote it (`who`)."""
    return first(connection, _ENTRY + "WHERE number = ?", number)


def began_ms(connection: sqlite3.Connection) -> int | None:
    """When the book's first entry was written, UTC milliseconds; None for a book without one."""
    found = first(connection, "SELECT written_ms FROM entry ORDER BY number LIMIT 1")
    return None if found is None else int(found["written_ms"])


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
        its = rows(connection, f"SELECT * FROM {table} WHERE entry = ? ORDER BY id", number)
        if its:
            found[table] = [dict(row) for row in its]
    return found


def first_of_corrections(connection: sqlite3.Connection, number: int) -> sqlite3.Row | None:
    """The entry that a chain of corrections began with; the entry itself where it corrects none."""
    found = entry(connection, number)
    while found is not None and found["strikes"] is not None:
        found = entry(connection, found["strikes"])
    return found


NAMED_BY = {
    "person_card": "person",
    "pen_card": "pen",
    "feed_card": "feed",
    "ration_card": "ration",
    "mixer_card": "mixer",
    "tank_card": "tank",
    "load_plan": "load",
    "milking_start": "milking",
    "pickup_ticket": "pickup",
    "walk_note": "walk",
    "alarm_raised": "alarm",
    "treatment_card": "treatment",
}
"""The tables that say what a thing is: without a standing row there, the thing is not in the book any more."""


def leaning_on(connection: sqlite3.Connection, number: int) -> list[int]:
    """The standing entries that would hang in the air without this one, other than itself.

    They point at rows it wrote, or at things that nothing but this entry gives a name, a plan or a start.
    """
    wrote = rows_of(connection, number)
    mine = {table: [row["id"] for row in its] for table, its in wrote.items()}
    for card, thing in NAMED_BY.items():
        for row in wrote.get(card, ()):
            if not _named_elsewhere(connection, card, thing, row[thing], number):
                mine.setdefault(thing, []).append(row[thing])
    leaning: set[int] = set()
    for table, column, pointed_at in links(connection):
        for row_id in mine.get(pointed_at, ()):
            sql = (
                f"SELECT DISTINCT {table}.entry FROM {table} {stands(table)} "
                f"WHERE {table}.{column} = ? AND {table}.entry <> ?"
            )
            leaning.update(row["entry"] for row in rows(connection, sql, row_id, number))
    return sorted(leaning)


def links(connection: sqlite3.Connection) -> Iterator[tuple[str, str, str]]:
    """Every column of a chained table that points at another: table, column, what it points at."""
    for table in chained_tables(connection):
        for link in rows(connection, f"PRAGMA foreign_key_list({table})"):
            yield table, link["from"], link["table"]


def _named_elsewhere(
    connection: sqlite3.Connection, card: str, thing: str, thing_id: int, number: int
) -> bool:
    sql = f"SELECT 1 FROM {card} {stands(card)} WHERE {card}.{thing} = ? AND {card}.entry <> ? LIMIT 1"
    return first(connection, sql, thing_id, number) is not None


def entries_of_chores(
    connection: sqlite3.Connection, chores: tuple[str, ...], most: int
) -> list[sqlite3.Row]:
    """The newest entries of some chores, struck or not, newest first."""
    marks = ",".join("?" * len(chores))
    return rows(connection, _ENTRY + f"WHERE chore IN ({marks}) ORDER BY number DESC LIMIT ?", *chores, most)
