"""Making room among a book's copies: which may go, and which are never taken away."""

from __future__ import annotations

import sqlite3
import time
from contextlib import suppress
from pathlib import Path

from herdbook.book.copying import Copy, copies_in, look
from herdbook.book.opening import UNREADABLE, look_at
from herdbook.errors import HerdbookError

LEFT_OVER_S = 86_400
"""A half-made copy this old belongs to a program that was stopped; it is swept away."""


def sweep(folder: Path) -> None:
    """Take away half-made copies of programs that were stopped a day or more ago."""
    for path in [*folder.glob(".farm-*.part"), *folder.glob(".farm-*.part-journal")]:
        with suppress(OSError):
            if time.time() - path.stat().st_mtime > LEFT_OVER_S:
                path.unlink()


def make_room(book: Path, fresh: Copy, keep: int) -> tuple[tuple[Path, ...], tuple[tuple[Path, str], ...]]:
    """Take away the copies of this book over a number: those of the fewest entries first, never the fresh one."""
    ours: list[Copy] = []
    left: list[tuple[Path, str]] = []
    for copy in copies_in(fresh.path.parent):
        if copy.path == fresh.path or copy.locked != fresh.locked:
            continue  # a copy that needs a key must not push out one that does not
        why = _why_it_stays(copy, book)
        if why:
            left.append((copy.path, why))
        else:
            ours.append(copy)
    # by entries, not by time: a clock that was wrong must not make an old copy the newest
    ours.sort(key=lambda copy: (copy.number, copy.made_s), reverse=True)
    removed = []
    for copy in ours[keep - 1 :]:
        try:
            copy.path.unlink()
            removed.append(copy.path)
        except OSError as error:
            left.append((copy.path, f"cannot be removed: {error.strerror}"))
    return tuple(removed), tuple(left)


def _why_it_stays(copy: Copy, book: Path) -> str:
    """Why a copy is never taken away; empty where the book itself holds all that it holds."""
    log = copy.path.with_name(f"{copy.path.name}-wal")
    if copy.path.samefile(book) or log.exists():
        return "is in use as a book"
    if copy.locked:
        return _why_locked_stays(copy, book)
    try:
        look_at(copy.path)
        with look(copy.path) as connection:
            held = _ends(connection)
        if not held or held[-1][0] != copy.number or not held[-1][1].startswith(copy.head):
            return "does not hold what its name says"
        with look(book) as connection:
            first, last = (_hash_of(connection, number) for number, _ in held)
    except (HerdbookError, *UNREADABLE):
        return "cannot be read"
    if first != held[0][1]:
        return "is a copy of another book"
    return "" if last == held[-1][1] else "holds entries that the book does not"


def _why_locked_stays(copy: Copy, book: Path) -> str:
    """A locked copy is known by its name alone, which tells its last entry and the start of that entry's hash."""
    try:
        with look(book) as connection:
            ours = _hash_of(connection, copy.number).startswith(copy.head)
    except (HerdbookError, *UNREADABLE):
        return "cannot be compared with the book"
    return "" if ours else "is a copy of another book, or holds entries that the book does not"


def _ends(connection: sqlite3.Connection) -> list[tuple[int, str]]:
    """Number and hash of the first entry and of the last; nothing for an empty book."""
    question = "SELECT number, hash FROM entry ORDER BY number"
    ends = [connection.execute(f"{question} {way} LIMIT 1").fetchone() for way in ("ASC", "DESC")]
    return [(number, text) for number, text in filter(None, ends)]


def _hash_of(connection: sqlite3.Connection, number: int) -> str:
    found = connection.execute("SELECT hash FROM entry WHERE number = ?", (number,)).fetchone()
    return found[0] if found else ""
