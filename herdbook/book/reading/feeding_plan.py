"""What a day's feeding is planned from: a mixer's own order, the shares of a pen's feedings, and what was asked for."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from typing import Any

from herdbook.book.reading.rows import first, rows, stands


def mixer_order(connection: sqlite3.Connection, mixer: int, day: str) -> tuple[tuple[int, ...], int | None]:
    """A mixer's own loading order in force on a day, and its entry; nothing where none was written."""
    entry = _newest(connection, "mixer_feed", "mixer", mixer, day)
    if entry is None:
        return (), None
    found = rows(connection, "SELECT feed FROM mixer_feed WHERE entry = ? ORDER BY place, id", entry)
    return tuple(row["feed"] for row in found), entry


def feeding_shares(connection: sqlite3.Connection, pen: int, day: str) -> tuple[dict[int, int], int | None]:
    """Feeding -> share of a pen's day in parts per million as set on a day, and its entry; nothing where none is."""
    entry = _newest(connection, "pen_feeding_share", "pen", pen, day)
    if entry is None:
        return {}, None
    found = rows(
        connection, "SELECT feeding, share_ppm FROM pen_feeding_share WHERE entry = ? ORDER BY feeding", entry
    )
    return {row["feeding"]: row["share_ppm"] for row in found}, entry


def _newest(connection: sqlite3.Connection, table: str, thing: str, of: int, day: str) -> int | None:
    """The entry whose rows are in force: of the newest day, and of that day the one written last."""
    row = first(
        connection,
        f"SELECT {table}.entry FROM {table} {stands(table)} WHERE {thing} = ? AND from_day <= ? "
        f"ORDER BY from_day DESC, {table}.id DESC LIMIT 1",
        of,
        day,
    )
    return None if row is None else int(row["entry"])


def asked_as(connection: sqlite3.Connection, entries: Sequence[int]) -> dict[int, dict[str, Any]]:
    """Entry -> what was asked for in it."""
    marks = ",".join("?" * len(entries))
    found = rows(connection, f"SELECT number, asked FROM entry WHERE number IN ({marks})", *entries)
    return {row["number"]: json.loads(row["asked"] or "{}") for row in found}
