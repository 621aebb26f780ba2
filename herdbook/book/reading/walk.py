"""Cows seen on the walk: what was seen of each, every look since, and whether it is closed."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass, field

from herdbook.book.reading.rows import rows, stands

NEVER = 2**62


WALK_NAMED_S = 14 * 86_400
"""How long what was closed on the walk can still be named: common practice, no source."""


@dataclass(slots=True)
class WalkRow:
    """One thing seen of a cow: its looks, oldest first, and how it was closed, if it was.

    Each look has `cow`, `pen`, `seen_at`, `what`, `words`, `done`, `watch_again_at`, `vet_called` and `entry`.
    """

    walk: int
    looks: list[sqlite3.Row] = field(default_factory=list)
    closed: sqlite3.Row | None = None

    @property
    def newest(self) -> sqlite3.Row:
        """The look that says when she is looked at again."""
        return self.looks[-1]

    @property
    def cow(self) -> str:
        """The cow's number as written."""
        return str(self.newest["cow"])

    @property
    def vet_called(self) -> bool:
        """Whether the veterinarian was called at any look."""
        return any(look["vet_called"] for look in self.looks)

    @property
    def entries(self) -> tuple[int, ...]:
        """Everything written of it."""
        found = [look["entry"] for look in self.looks]
        return tuple(found + ([self.closed["entry"]] if self.closed is not None else []))


def walks(connection: sqlite3.Connection, *, since_s: int = NEVER) -> list[WalkRow]:
    """What is open, oldest first; with `since_s` also what was closed from that instant on."""
    made: dict[int, WalkRow] = {}
    for row in rows(
        connection,
        f"SELECT walk_note.* FROM walk_note {stands('walk_note')} WHERE walk NOT IN "
        f"(SELECT walk FROM walk_closed {stands('walk_closed')} WHERE closed_at < ?) "
        "ORDER BY seen_at, walk_note.id",
        since_s,
    ):
        made.setdefault(row["walk"], WalkRow(row["walk"])).looks.append(row)
    for row in rows(
        connection,
        f"SELECT walk_closed.* FROM walk_closed {stands('walk_closed')} WHERE closed_at >= ? ORDER BY walk_closed.id",
        since_s,
    ):
        if row["walk"] in made:
            made[row["walk"]].closed = row
    return list(made.values())


def walk_names(connection: sqlite3.Connection, since_s: int) -> dict[str, int]:
    """Name -> walk: `412 lame`; of two alike the newer goes by it, the older by its number too."""
    named: dict[str, int] = {}
    for one in walks(connection, since_s=since_s):
        name = f"{one.cow} {one.newest['what']}"
        if name in named:
            named[f"{name} #{named[name]}"] = named[name]
        named[name] = one.walk
    return named
