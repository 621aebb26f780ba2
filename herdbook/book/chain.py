"""What is hashed: an entry and its rows as stored, in canonical JSON, and the hash of the entry before."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterable, Mapping
from typing import Any

START = "0" * 64
"""What stands for the hash before the first entry."""

ENTRY_COLUMNS = (
    "number",
    "written_ms",
    "person",
    "chore",
    "farm_day",
    "note",
    "said",
    "asked",
    "strikes",
    "request",
    "previous",
)
"""The columns of an entry that are hashed: all but its own hash and the mark that it was struck later."""

NOT_CHAINED = {"entry", "draft", "notice", "alarm_gone", "reading"}
"""A reading of a logger is bound by its batch, which is chained and carries a hash over all of its readings."""


def entry_hash(entry: Mapping[str, Any], rows: Mapping[str, Iterable[Mapping[str, Any]]]) -> str:
    """SHA-256 over an entry and its rows, hexadecimal.

    Empty columns are left out, so that a column a later version adds does not change what was hashed before.

    Args:
        entry: at least `ENTRY_COLUMNS`, as stored.
        rows: table name -> rows in order of id, as stored; tables without rows do not appear.
    """
    said = {
        "entry": {name: entry[name] for name in ENTRY_COLUMNS if entry[name] is not None},
        "rows": {
            table: [{key: value for key, value in dict(row).items() if value is not None} for row in its_rows]
            for table, its_rows in rows.items()
        },
    }
    return hashlib.sha256(canonical(said).encode()).hexdigest()


def canonical(said: object) -> str:
    """JSON with sorted keys, no spaces and nothing escaped that need not be."""
    return json.dumps(said, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def chained_tables(connection: sqlite3.Connection) -> list[str]:
    """The tables whose rows belong to entries, by name."""
    found = connection.execute(
        "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name"
    )
    return [name for (name,) in found if name not in NOT_CHAINED]
