"""Pens and how many head stood in them at an instant."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from herdbook.book.reading.rows import first, rows, stands


@dataclass(frozen=True, slots=True)
class PenRow:
    """A pen as it stands."""

    pen: int
    name: str
    kind: str
    walk: int
    entry: int


@dataclass(frozen=True, slots=True)
class Head:
    """A head count and the entry under it."""

    head: int
    counted_at: int
    entry: int


def pens(connection: sqlite3.Connection) -> list[PenRow]:
    """Every pen in walking order."""
    found: dict[int, PenRow] = {}
    for row in rows(connection, f"SELECT pen_card.* FROM pen_card {stands('pen_card')} ORDER BY pen_card.id"):
        found[row["pen"]] = PenRow(row["pen"], row["name"], row["kind"], row["walk"], row["entry"])
    return sorted(found.values(), key=lambda pen: (pen.walk, pen.pen))


def head_at(connection: sqlite3.Connection, pen: int, instant_s: int) -> Head | None:
    """Head in a pen at an instant, from the newest count not after it."""
    row = first(
        connection,
        f"SELECT head_count.* FROM head_count {stands('head_count')} WHERE pen = ? AND counted_at <= ? "
        "ORDER BY counted_at DESC, head_count.id DESC LIMIT 1",
        pen,
        instant_s,
    )
    return None if row is None else Head(row["head"], row["counted_at"], row["entry"])


def head_counts(connection: sqlite3.Connection, from_s: int, to_s: int) -> list[sqlite3.Row]:
    """Counts of every pen inside a span, and each pen's last one before it; in order of time."""
    before = [
        row
        for pen in pens(connection)
        for row in rows(
            connection,
            f"SELECT head_count.* FROM head_count {stands('head_count')} WHERE pen = ? AND counted_at < ? "
            "ORDER BY counted_at DESC, head_count.id DESC LIMIT 1",
            pen.pen,
            from_s,
        )
    ]
    inside = rows(
        connection,
        f"SELECT head_count.* FROM head_count {stands('head_count')} WHERE counted_at >= ? AND counted_at < ? "
        "ORDER BY counted_at, head_count.id",
        from_s,
        to_s,
    )
    return sorted(before, key=lambda row: (row["counted_at"], row["id"])) + inside
