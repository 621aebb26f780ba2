"""Walking the whole chain quickly: whether every entry still is what was written; `checks` then tells where not."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Sequence
from hashlib import sha256
from json.encoder import encode_basestring as quoted

from herdbook.book.chain import ENTRY_COLUMNS, START, chained_tables

STRIDE = 2_000
"""Entries that are walked at once: so many and their rows are held in memory."""


def chain_is_whole(connection: sqlite3.Connection) -> bool:
    """Whether every entry follows on the one before, is what was hashed, and carries the right mark if struck.

    It makes the same text as `chain.entry_hash` does, several times faster, and stops at the first doubt: what
    cannot be read, is of an odd kind or does not fit is not whole.
    """
    try:
        return _entries_fit(connection) and _marks_fit(connection)
    except (sqlite3.DatabaseError, TypeError, ValueError):  # letters that are none are a ValueError too
        return False


def _entries_fit(connection: sqlite3.Connection) -> bool:
    names = sorted(ENTRY_COLUMNS)
    at_number, at_previous, at_hash = names.index("number"), names.index("previous"), len(names)
    text_of = _row_text(names)
    question = f"SELECT {', '.join(names)}, hash FROM entry WHERE number > ? ORDER BY number LIMIT {STRIDE}"
    rows = _Rows(connection)
    passed, previous = 0, START
    while entries := _plain(connection, question, passed).fetchall():
        written = rows.between(passed, entries[-1][at_number])
        for entry in entries:
            if entry[at_number] != passed + 1 or entry[at_previous] != previous:
                return False
            passed, previous = entry[at_number], entry[at_hash]
            said = f'{{"entry":{text_of(entry)},"rows":{{{written.get(passed, "")}}}}}'
            if sha256(said.encode()).hexdigest() != previous:
                return False
    return True


def _marks_fit(connection: sqlite3.Connection) -> bool:
    strikes = _plain(connection, "SELECT strikes, number FROM entry WHERE strikes IS NOT NULL ORDER BY 1, 2")
    marks = _plain(
        connection, "SELECT number, struck_by FROM entry WHERE struck_by IS NOT NULL ORDER BY 1, 2"
    )
    return strikes.fetchall() == marks.fetchall()


class _Rows:
    """What entries wrote, as text by entry: a part for each table, in order of name."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._tables = [
            (table, sorted(row[1] for row in _plain(connection, f"PRAGMA table_info({table})")))
            for table in chained_tables(connection)
        ]

    def between(self, after: int, last: int) -> dict[int, str]:
        """Entry number -> what it wrote, of the entries after one and up to another."""
        found: dict[int, str] = {}
        for table, names in self._tables:
            at_entry, text_of = names.index("entry"), _row_text(names)
            question = (
                f"SELECT {', '.join(names)} FROM {table} WHERE entry > ? AND entry <= ? ORDER BY entry, id"
            )
            texts: dict[int, str] = {}
            for row in _plain(self._connection, question, after, last):
                number = row[at_entry]
                texts[number] = f"{texts[number]},{text_of(row)}" if number in texts else text_of(row)
            for number, its in texts.items():
                part = f'"{table}":[{its}]'
                found[number] = f"{found[number]},{part}" if number in found else part
        return found


def _row_text(names: Sequence[str]) -> Callable[[Iterable[object]], str]:
    """A function from a row's values, in order of the sorted names, to its canonical JSON without empty columns.

    Whole numbers and text are all that a book stores; anything else is a TypeError.
    """
    keys = [f'"{name}":' for name in names]

    def text_of(row: Iterable[object]) -> str:
        # a row of entries carries its hash behind the columns: what has no key is passed by
        parts = [
            key + (str(value) if type(value) is int else quoted(value))  # type: ignore[arg-type]
            for key, value in zip(keys, row, strict=False)
            if value is not None
        ]
        return "{" + ",".join(parts) + "}"

    return text_of


def _plain(connection: sqlite3.Connection, sql: str, *values: int) -> sqlite3.Cursor:
    cursor = connection.cursor()
    cursor.row_factory = None
    return cursor.execute(sql, values)
