"""A second verifier of a book, written from the description alone and sharing no code with the program.

Every entry's hash is SHA-256, in hexadecimal, over a JSON text with sorted keys and no spaces: the entry's own
columns (all but its hash and the later mark that it was struck) and the rows that name the entry, table by table
in order of id; columns without a value are left out. `previous` is the hash before, 64 noughts for the first.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

NOT_HASHED = {"hash", "struck_by"}
OUTSIDE = {"entry", "draft", "notice", "alarm_gone", "reading"}


def faults(path: Path) -> list[str]:
    """Everything that is wrong with a book; empty for a sound one."""
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
        return faults_seen_by(connection)


def faults_seen_by(connection: sqlite3.Connection) -> list[str]:
    """The same, as a connection sees the book in the middle of a transaction."""
    connection.row_factory = sqlite3.Row
    try:
        sound = connection.execute("PRAGMA integrity_check").fetchone()[0]
        found = [] if sound == "ok" else [f"integrity: {sound}"]
        found += [f"foreign key: {tuple(row)}" for row in connection.execute("PRAGMA foreign_key_check")]
        return found + list(_chain(connection))
    except (sqlite3.DatabaseError, UnicodeDecodeError, OverflowError) as error:
        return [f"unreadable: {error}"]


def _chain(connection: sqlite3.Connection) -> Iterator[str]:
    tables = [
        row["name"]
        for row in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
        if row["name"] not in OUTSIDE and not row["name"].startswith("sqlite_")
    ]
    written: dict[object, dict[str, list[dict[str, object]]]] = {}
    for table in tables:
        for row in connection.execute(f"SELECT * FROM {table} ORDER BY id"):
            written.setdefault(row["entry"], {}).setdefault(table, []).append(_full(row))
    before, expected, strikes = "0" * 64, 1, {}
    for entry in connection.execute("SELECT * FROM entry ORDER BY number"):
        number = entry["number"]
        if number != expected:
            yield f"entry {expected} is missing"
        if entry["previous"] != before:
            yield f"entry {number} does not follow the one before"
        rows = written.pop(number, {})
        columns = {key: value for key, value in _full(entry).items() if key not in NOT_HASHED}
        text = json.dumps(
            {"entry": columns, "rows": rows}, sort_keys=True, separators=(",", ":"), ensure_ascii=False
        )
        if hashlib.sha256(text.encode()).hexdigest() != entry["hash"]:
            yield f"entry {number} is not what was written"
        if entry["strikes"] is not None:
            strikes[entry["strikes"]] = number
        before, expected = entry["hash"], number + 1
    marked = {
        row["number"]: row["struck_by"]
        for row in connection.execute("SELECT * FROM entry WHERE struck_by IS NOT NULL")
    }
    if marked != strikes:
        yield f"struck marks {marked} are not what the entries say {strikes}"
    for number, rows in written.items():
        yield f"rows of {', '.join(rows)} belong to entry {number}, which is not there"


def _full(row: sqlite3.Row) -> dict[str, object]:
    return {key: row[key] for key in row.keys() if row[key] is not None}  # noqa: SIM118 (a Row iterates its values)
