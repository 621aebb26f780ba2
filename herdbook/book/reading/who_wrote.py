"""Who wrote an entry, by number."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable

from herdbook.book.reading.rows import rows


def who_wrote(connection: sqlite3.Connection, entries: Iterable[int]) -> dict[int, int]:
    """Entry -> the person it was written by."""
    wanted = sorted(set(entries))
    found: dict[int, int] = {}
    for start in range(0, len(wanted), 500):
        some = wanted[start : start + 500]
        marks = ",".join("?" * len(some))
        for row in rows(connection, f"SELECT number, person FROM entry WHERE number IN ({marks})", *some):
            found[row["number"]] = row["person"]
    return found
