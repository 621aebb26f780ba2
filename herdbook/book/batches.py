"""Readings of loggers in bulk: written under one batch each, bound by the batch's hash, and checked against it."""

from __future__ import annotations

import hashlib
import sqlite3
import sys
from array import array
from collections.abc import Iterator, Sequence
from itertools import chain, repeat
from typing import TYPE_CHECKING

from herdbook.book.checks import Finding

if TYPE_CHECKING:
    from herdbook.book.writing import Turn


def batch_hash(read_at: Sequence[int], warmth: Sequence[int]) -> str:
    """SHA-256 over readings in order of time, each as two little-endian 64-bit whole numbers, hexadecimal.

    Args:
        read_at: UTC seconds, rising.
        warmth: millidegrees C, one for each.
    """
    pairs = array("q", bytes(16 * len(read_at)))
    pairs[0::2], pairs[1::2] = array("q", read_at), array("q", warmth)
    return _hash(pairs)


def _hash(pairs: array[int]) -> str:
    if sys.byteorder == "big":
        pairs.byteswap()
    return hashlib.sha256(pairs).hexdigest()


def store(turn: Turn, tank: int, batch: int, read_at: Sequence[int], warmth: Sequence[int]) -> None:
    """Write a batch's readings; its own row must be there.

    Args:
        turn: the chore's turn at the book.
        tank: the tank.
        batch: id of the batch's row.
        read_at: UTC seconds, rising, none twice.
        warmth: millidegrees C, one for each.
    """
    turn.raw.executemany(
        "INSERT INTO reading (tank, read_at, batch, tank_mC) VALUES (?, ?, ?, ?)",
        zip(repeat(tank), read_at, repeat(batch), warmth, strict=False),
    )


def batch_faults(connection: sqlite3.Connection) -> Iterator[Finding]:
    """Batches whose readings are not those that were written, and readings that belong to none."""
    counted = 0
    for batch in connection.execute(
        "SELECT b.id, b.entry, b.tank, b.first_at, b.last_at, b.readings, b.sha256, e.farm_day "
        "FROM reading_batch b LEFT JOIN entry e ON e.number = b.entry ORDER BY b.id"
    ).fetchall():
        number, entry, tank, first_at, last_at, readings, sha256, day = batch
        pairs = array("q")
        pairs.extend(
            chain.from_iterable(
                connection.execute(
                    "SELECT read_at, tank_mC FROM reading "
                    "WHERE tank = ? AND read_at BETWEEN ? AND ? AND batch = ? ORDER BY read_at",
                    (tank, first_at, last_at, number),
                )
            )
        )
        found = len(pairs) // 2
        counted += found
        if found != readings:
            says = f"wrote {readings:,} readings of a logger, {found:,} are there."
            yield Finding("chain", f"entry {entry}", says, (entry,), day or "")
        elif _hash(pairs) != sha256:
            says = "wrote readings of a logger, and one of them was changed."
            yield Finding("chain", f"entry {entry}", says, (entry,), day or "")
    there = connection.execute("SELECT count(*) FROM reading").fetchone()[0]
    if there != counted:
        says = f"holds {there - counted:,} that no batch wrote."
        yield Finding("chain", "the readings of loggers", says)
