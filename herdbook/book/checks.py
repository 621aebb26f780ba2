"""Verifying a book without writing to it: SQLite's own checks, guards, the chain of hashes, the rules of the book."""

from __future__ import annotations

import heapq
import os
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from herdbook.book.chain import START, chained_tables, entry_hash
from herdbook.book.migrations import NEWEST, bring_up_to_date, version_of
from herdbook.book.opening import UNREADABLE, connect, look_at
from herdbook.book.walking import chain_is_whole
from herdbook.errors import DamagedBook, HerdbookError

if TYPE_CHECKING:
    from herdbook.book.sealing import Seal

MOST_FILE_FAULTS = 100
LONG_BOOK_BYTES = 8_000_000
"""From this size on, a second process for half of the check saves more than it costs."""

_HEAD = "SELECT number, hash FROM entry ORDER BY number DESC LIMIT 1"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is not as it should be.

    Args:
        part: "file", "guards", "chain", "seal" or "book": what was looked at.
        about: what it is about, such as "tank North" or "entry 12".
        says: what is wrong with it, in words.
        entries: the entries it lies in.
        farm_day: the farm day it belongs to; empty where it has none.
    """

    part: str
    about: str
    says: str
    entries: tuple[int, ...] = ()
    farm_day: str = ""


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check looked at and found.

    Args:
        entries: how many entries the book has.
        head: hash of the last one, the seal of everything before it; empty where it cannot be read.
        findings: everything that is not as it should be.
    """

    entries: int
    head: str
    findings: tuple[Finding, ...]


def check_book(path: Path, now_s: int, seals: Iterable[Seal] = ()) -> Checked:
    """Check a book while others use it; the file is not written to.

    The chain and the guards are read in one consistent look, the file and the rules of the book in another; on a
    long book a second process takes the latter, so that two cores share the check.

    Args:
        path: the book.
        now_s: the instant it is, UTC seconds; what lies after it is a finding.
        seals: seals written down before, which nothing up to their entry may have changed since.

    Raises:
        NoBook: no such file.
        NotABook: not a herdbook; a herdbook that cannot be read is a finding, not an error.
    """
    try:
        look_at(path)
    except DamagedBook as error:
        return Checked(0, "", (Finding("file", "the file", error.message),))
    try:
        with _beside(path, now_s) as others, _look(path) as connection:
            guards = _found("guards", missing_guards(connection))
            chain = _found("chain", chain_faults(connection)) + _found("chain", _logger_faults(connection))
            broken = _found("seal", _broken(connection, seals, chain))
            head = connection.execute(_HEAD).fetchone()
            count = connection.execute("SELECT count(*) FROM entry").fetchone()[0]
            file, rules = others()
    except UNREADABLE as error:
        return Checked(0, "", (Finding("file", "the file", f"cannot be read: {error}."),))
    return Checked(count, head["hash"] if head else "", (*file, *guards, *chain, *broken, *rules))


_Findings = tuple[list[Finding], list[Finding]]


@contextmanager
def _beside(path: Path, now_s: int) -> Iterator[Callable[[], _Findings]]:
    """Findings of the file and of the rules, from a second process if that is worth its start, else when asked."""
    import threading

    long, alone = path.stat().st_size >= LONG_BOOK_BYTES, threading.active_count() == 1
    if not (long and alone and hasattr(os, "fork") and (os.cpu_count() or 1) > 1):
        yield lambda: _file_and_rules(path, now_s)
        return
    from concurrent.futures import BrokenExecutor, Future, ProcessPoolExecutor
    from multiprocessing import get_context

    asked: Future[_Findings] | None = None

    def answer() -> _Findings:
        if asked is not None:
            with suppress(
                BrokenExecutor
            ):  # someone ended the second process: then this one does its half too
                return asked.result()
        return _file_and_rules(path, now_s)

    # a fork is safe where no other thread runs and no book is open yet, and need not import anything again
    with ProcessPoolExecutor(1, get_context("fork")) as pool:
        with suppress(OSError):  # none to be had: too many run, or this one may start none, behind the door
            asked = pool.submit(_file_and_rules, path, now_s)
        yield answer


@contextmanager
def _look(path: Path) -> Iterator[sqlite3.Connection]:
    with closing(connect(path, "ro")) as connection:
        connection.row_factory = sqlite3.Row
        connection.execute("BEGIN")
        connection.execute("PRAGMA schema_version").fetchone()  # the look begins with the first thing read
        yield connection


def _file_and_rules(path: Path, now_s: int) -> _Findings:
    with _look(path) as connection, knowing_bounds(path) as bounded:
        return _found("file", file_faults(bounded)), _found("book", _rule_faults(connection, now_s))


@contextmanager
def knowing_bounds(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection for `file_faults`: SQLite checks the bounds of columns only where it might write.

    It is kept from writing by `query_only`. Use it inside a look that has begun: whoever closes a book last folds
    its log into the file, and that must not be this one. Beside a log that waits to be rolled back, reading it is.
    """
    mode = "ro" if path.with_name(f"{path.name}-journal").exists() else "rw"
    with closing(connect(path, mode)) as connection:
        connection.execute("PRAGMA query_only = ON")
        yield connection


def _found(part: str, findings: Iterator[Finding]) -> list[Finding]:
    """All findings of a part; where the file cannot be read further, that is the last of them."""
    found: list[Finding] = []
    try:
        for finding in findings:
            found.append(finding)  # one by one: what was found before the file breaks off is kept
    except UNREADABLE as error:
        found.append(Finding(part, "the file", f"cannot be read to its end: {error}."))
    return found


def _broken(connection: sqlite3.Connection, seals: Iterable[Seal], chain: list[Finding]) -> Iterator[Finding]:
    from herdbook.book.sealing import seal_faults

    for seal in seals:
        yield from seal_faults(connection, seal, chain)


def _rule_faults(connection: sqlite3.Connection, now_s: int) -> Iterator[Finding]:
    if version_of(connection) != NEWEST:
        yield Finding("book", "the book", "is of an older version; open it once, then check it again.")
        return
    from herdbook.book.rules.looking import findings

    try:
        yield from findings(connection, now_s)
    except HerdbookError as error:
        yield Finding("book", "the book", str(error))
    except UNREADABLE:
        raise
    except (ArithmeticError, LookupError, TypeError, ValueError) as error:
        # a damaged file can hold the year 3682550 or a name without letters; no rule is written for that
        says = f"holds what no chore could have written, so not all rules could be looked at: {error}."
        yield Finding("book", "the book", says)


def file_faults(connection: sqlite3.Connection) -> Iterator[Finding]:
    """What SQLite itself finds: pages, indexes, bounds of columns (`knowing_bounds`), keys that point nowhere."""
    for (said,) in connection.execute(f"PRAGMA integrity_check({MOST_FILE_FAULTS})"):
        if said != "ok":
            yield Finding("file", "the file", f"{said}.")
    for row in connection.execute("PRAGMA foreign_key_check"):
        table, row_id, parent = row[0], row[1], row[2]
        yield Finding("file", f"{table} row {row_id}", f"points at a {parent} that is not there.")


def missing_guards(connection: sqlite3.Connection) -> Iterator[Finding]:
    """Tables, indexes and triggers that are not as this version of the book makes them."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as fresh:
        bring_up_to_date(fresh, to=version_of(connection))
        right = _schema(fresh)
    found = _schema(connection)
    for name in sorted(right.keys() - found.keys()):
        yield Finding("guards", f"{name[0]} {name[1]}", "is missing.")
    for name in sorted(found.keys() - right.keys()):
        yield Finding("guards", f"{name[0]} {name[1]}", "does not belong in a book.")
    for name in sorted(name for name in right.keys() & found.keys() if right[name] != found[name]):
        yield Finding("guards", f"{name[0]} {name[1]}", "was changed.")


def _schema(connection: sqlite3.Connection) -> dict[tuple[str, str], str]:
    # SQLite's own objects carry no text, and tables of statistics may come and go
    found = connection.execute("SELECT type, name, sql FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%'")
    return {(kind, name): sql for kind, name, sql in found.fetchall()}


def chain_faults(connection: sqlite3.Connection) -> Iterator[Finding]:
    """Entries in order of number, each with the rows it wrote, hashed anew and compared with what stands there.

    A whole chain is told quickly. Only where there is doubt is every table read once more, in order of entry,
    beside the entries, to name what is wrong; nothing is kept of what was passed.
    """
    if chain_is_whole(connection):
        return
    feed = _RowsByEntry(connection)
    previous, expected = START, 1
    strikes: dict[int, int] = {}
    marked: dict[int, int] = {}
    for entry in _cursor(connection, "SELECT * FROM entry ORDER BY number"):
        number, day = entry["number"], entry["farm_day"]
        about = f"entry {number}"
        if number != expected:
            gap = str(expected) if number == expected + 1 else f"{expected} to {number - 1}"
            yield Finding(
                "chain", about, f"follows on entry {expected - 1}: {gap} is missing.", (number,), day
            )
        elif entry["previous"] != previous:
            yield Finding("chain", about, "does not follow on the entry before it.", (number,), day)
        if _hash(entry, feed.of(number)) != entry["hash"]:
            says = "or something it wrote was changed after it was written."
            yield Finding("chain", about, says, (number,), day)
        if entry["strikes"] is not None:
            strikes[entry["strikes"]] = number
        if entry["struck_by"] is not None:
            marked[number] = entry["struck_by"]
        previous, expected = entry["hash"], number + 1
    for number in sorted(strikes.keys() | marked.keys()):
        if strikes.get(number) != marked.get(number):
            yield _strike_fault(number, strikes.get(number), marked.get(number))


def _logger_faults(connection: sqlite3.Connection) -> Iterator[Finding]:
    """What is wrong with the readings of loggers, which the chain binds batch by batch."""
    from herdbook.book.batches import batch_faults

    if version_of(connection) == NEWEST:
        yield from batch_faults(connection)


def _hash(entry: sqlite3.Row, rows: dict[str, list[dict[str, Any]]]) -> str:
    """The hash of what stands there; empty where a damaged file holds what no entry could have written."""
    try:
        return entry_hash(dict(entry), rows)
    except (TypeError, ValueError):
        return ""


def _strike_fault(number: int, by: int | None, marked: int | None) -> Finding:
    """The mark that an entry was struck is the one thing written later; it must agree with the strike itself."""
    if by is None:
        says = f"is marked as struck by entry {marked}, which strikes nothing of the kind."
    elif marked is None:
        says = f"was struck by entry {by}, but the mark is missing."
    else:
        says = f"was struck by entry {by}, but is marked as struck by {marked}."
    return Finding("chain", f"entry {number}", says, (number,))


def _cursor(connection: sqlite3.Connection, sql: str) -> sqlite3.Cursor:
    cursor = connection.cursor()
    cursor.row_factory = sqlite3.Row
    return cursor.execute(sql)


class _RowsByEntry:
    """The rows of all tables, handed out entry by entry in rising order; one row of each table is held at a time."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._cursors = {
            table: _cursor(connection, f"SELECT * FROM {table} ORDER BY entry, id")
            for table in chained_tables(connection)
        }
        self._next: dict[str, sqlite3.Row] = {}
        self._order: list[tuple[int, str]] = []
        for table in self._cursors:
            self._advance(table)

    def _advance(self, table: str) -> None:
        row = self._cursors[table].fetchone()
        if row is not None:
            self._next[table] = row
            heapq.heappush(self._order, (row["entry"], table))

    def of(self, number: int) -> dict[str, list[dict[str, Any]]]:
        """Table -> rows of an entry; rows of entries that are not there are passed by, the file's check names them."""
        found: dict[str, list[dict[str, Any]]] = {}
        while self._order and self._order[0][0] <= number:
            entry, table = heapq.heappop(self._order)
            if entry == number:
                found.setdefault(table, []).append(dict(self._next[table]))
            self._advance(table)
        return found
