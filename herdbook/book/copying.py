"""Checked copies of a book, made while people work: a copy gets its name only after it was found sound."""

from __future__ import annotations

import os
import re
import secrets
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from herdbook.book.chain import chained_tables
from herdbook.book.checks import Finding, chain_faults, file_faults, knowing_bounds, missing_guards
from herdbook.book.locking import LOCKED, Lock
from herdbook.book.opening import UNREADABLE, connect, in_plain_words, look_at, plain_words
from herdbook.errors import BookBusy, ChoreRefused, DamagedBook, HerdbookError, Refused

NAME = re.compile(r"farm-(\d{8}T\d{6}Z)-e(\d{1,12})-([0-9a-f]{12})\.book(?:\.age)?")
"""When it was made (UTC), its last entry, and the first letters of that entry's hash; age where it is locked."""

STAMP = "%Y%m%dT%H%M%SZ"
CHECK_THE_BOOK = "It was not kept. Run `herdbook check`: a book that is not sound needs an older copy."

AHEAD_S = 3_600
"""A copy's stamp may lie this far ahead of the clock before it is taken for a wrong clock's."""


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy as its name tells: where it lies, when it was made (UTC seconds), its last entry, its hash's start."""

    path: Path
    made_s: int
    number: int
    head: str

    @property
    def locked(self) -> bool:
        """Whether it takes a key to read it."""
        return self.path.suffix == LOCKED


@dataclass(frozen=True, slots=True)
class Contents:
    """What a book holds up to an entry: the entry's number and hash, and rows by table; 0 and "" for an empty book."""

    number: int
    head: str
    rows: dict[str, int]


@dataclass(frozen=True, slots=True)
class Copied:
    """What was done.

    Args:
        copy: the new copy.
        doubts: faults of the book's guards, which the copy carries on.
        removed: older copies that made room.
        left: copies over the number that were left, each with why.
    """

    copy: Copy
    doubts: tuple[Finding, ...]
    removed: tuple[Path, ...] = ()
    left: tuple[tuple[Path, str], ...] = ()


def copies_in(folder: Path) -> list[Copy]:
    """The copies in a folder by their names, oldest first; other files, links and folders are passed by."""
    found = []
    with suppress(OSError):
        for path in folder.iterdir():
            told = NAME.fullmatch(path.name)
            if told and path.is_file() and not path.is_symlink():
                with suppress(ValueError):  # 31 February
                    made = datetime.strptime(told[1], STAMP).replace(tzinfo=UTC)
                    found.append(Copy(path, int(made.timestamp()), int(told[2]), told[3]))
    return sorted(found, key=lambda copy: (copy.made_s, copy.number))


def newest_copy(folder: Path, now_s: int | None = None) -> Copy | None:
    """The newest copy in a folder; one whose stamp lies ahead of `now_s` counts only if there is no other."""
    copies = copies_in(folder)
    past = [copy for copy in copies if now_s is None or copy.made_s <= now_s + AHEAD_S]
    return next(reversed(past or copies), None)


def copies_are_old(folder: Path, *, now_s: int, limit_s: int) -> bool:
    """Whether a folder holds no copy that is younger than the limit, by the copies' names.

    Args:
        folder: where the copies lie; a folder that is not there holds none.
        now_s: the instant it is, UTC seconds.
        limit_s: how old the newest may be, seconds.
    """
    newest = newest_copy(folder, now_s)
    return newest is None or not -AHEAD_S <= now_s - newest.made_s <= limit_s


def contents(connection: sqlite3.Connection, up_to: int | None = None) -> Contents:
    """What a book holds, whole or up to an entry; ask it within one consistent look."""
    limit = f"<= {int(up_to)}" if up_to is not None else "IS NOT NULL"
    last = connection.execute(
        f"SELECT number, hash FROM entry WHERE number {limit} ORDER BY number DESC LIMIT 1"
    ).fetchone()
    rows = {
        table: connection.execute(f"SELECT count(*) FROM {table} WHERE entry {limit}").fetchone()[0]
        for table in chained_tables(connection)
    }
    rows["entry"] = connection.execute(f"SELECT count(*) FROM entry WHERE number {limit}").fetchone()[0]
    return Contents(last[0] if last else 0, last[1] if last else "", rows)


@contextmanager
def look(path: Path) -> Iterator[sqlite3.Connection]:
    """One consistent look at a book of any version this program knows, which is not brought up to date."""
    with closing(connect(path, "ro")) as connection:
        connection.execute("BEGIN")
        connection.execute("PRAGMA schema_version").fetchone()  # the look begins with the first thing read
        yield connection


def sound_contents(path: Path, called: str, remedy: str) -> tuple[Contents, list[Finding]]:
    """What a book holds, and what is wrong with its guards, after its file and its chain were found whole.

    Args:
        path: the file.
        called: what a sentence calls it.
        remedy: what to do if it is not sound.

    Raises:
        ChoreRefused: the file or the chain has a fault; the sentence names the first.
        HerdbookError: not a book, or one a newer program made.
    """
    look_at(path)
    try:
        with look(path) as connection, knowing_bounds(path) as bounded:
            for faults in (file_faults(bounded), chain_faults(connection)):
                for fault in faults:
                    raise ChoreRefused(f"{called} is not sound: {fault.about} {fault.says}", remedy=remedy)
            return contents(connection), list(missing_guards(connection))
    except UNREADABLE as error:
        raise ChoreRefused(f"{called} cannot be read to its end: {error}.", remedy=remedy) from None


def pour(book: Path, into: Path) -> tuple[Contents, list[Finding]]:
    """Copy a book into an empty file with VACUUM INTO, and check the copy against the book.

    Returns:
        What the copy holds, and what is wrong with its guards.

    Raises:
        ChoreRefused: the copy could not be written, or is not sound; the book was only read.
    """
    try:
        with closing(connect(book, "ro")) as connection:
            before = contents(connection)
            connection.execute("VACUUM INTO ?", (str(into.absolute()),))
    except UNREADABLE as error:
        raise _not_copied(book, into, error) from None
    made, doubts = sound_contents(into, f"The copy of {book}", CHECK_THE_BOOK)
    # others may write meanwhile, but nobody changes what was written: up to the copy's end both must be alike
    with plain_words(book), look(book) as connection:
        there = contents(connection, made.number)
    if made != there or made.number < before.number:
        raise ChoreRefused(f"The copy of {book} does not hold what the book holds.", remedy=CHECK_THE_BOOK)
    to_disk(into)
    return made, doubts


def _not_copied(book: Path, into: Path, error: Exception) -> HerdbookError:
    told = in_plain_words(book, error)
    if isinstance(told, DamagedBook | BookBusy):
        return told
    name = getattr(error, "sqlite_errorname", "") or ""
    if name.startswith("SQLITE_FULL"):
        return ChoreRefused(
            f"No copy was made: the disk under {into.parent} is full.", remedy="Make room and try again."
        )
    return ChoreRefused(
        f"No copy was made in {into.parent}: {error}.", remedy="Check the disk, and who owns the folder."
    )


def copy_book(
    book: Path, folder: Path, *, now_s: int, keep: int | None = None, lock: Lock | None = None
) -> Copied:
    """Make a checked copy in a folder, then take away the oldest over a number.

    A copy that is to be locked is made and checked in the book's own folder, so that no readable part of it ever
    lies where the copy goes.

    Args:
        book: the book; people may go on writing in it.
        folder: where copies lie; it must be there, so that a disk that is not plugged in is not mistaken for one.
        now_s: the instant it is, UTC seconds; it stands in the copy's name.
        keep: how many copies of this book to keep, the new one among them; all if none. Locked copies and others
            are counted apart.
        lock: what to lock it with, if it is to be locked.

    Raises:
        Refused: the folder is none, or `keep` is under 1.
        ChoreRefused: the copy could not be made or is not sound; nothing was left or taken away.
    """
    from herdbook.book.making_room import make_room, sweep  # they stand on this module

    if keep is not None and keep < 1:
        raise Refused("At least one copy must be kept.", remedy="Use --keep 1 or more.", field="keep")
    look_at(book)
    if not folder.is_dir():
        raise Refused(
            f"There is no folder {folder}.",
            remedy="Make it first, or plug in the disk it lies on.",
            field="to",
        )
    part = _part_in(folder if lock is None else book.resolve().parent)
    ready = part if lock is None else _part_in(folder)
    try:
        for place in {part.parent, folder}:
            sweep(place)
        for path in {part, ready}:
            os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        made, doubts = pour(book, part)
        if not made.number:
            raise ChoreRefused("Nothing is written yet that could be copied.")
        if lock is not None:
            lock.close(part, ready)
        stamp = datetime.fromtimestamp(now_s, UTC).strftime(STAMP)
        copy = folder / f"farm-{stamp}-e{made.number}-{made.head[:12]}.book{LOCKED if lock else ''}"
        if copy.exists() and copy.samefile(book):
            raise ChoreRefused("The copy would lie where the book lies.", remedy="Copy to another folder.")
        ready.chmod(book.stat().st_mode & 0o666)
        ready.replace(copy)
        to_disk(folder)
    except OSError as error:
        raise ChoreRefused(
            f"No copy was made in {folder}: {error.strerror or error}.",
            remedy="See that the disk has room and that you may write there.",
        ) from None
    finally:
        throw_away(part)
        throw_away(ready)
    fresh = Copy(copy, now_s, made.number, made.head[:12])
    removed, left = make_room(book, fresh, keep) if keep is not None else ((), ())
    return Copied(fresh, tuple(doubts), removed, left)


def _part_in(folder: Path) -> Path:
    return folder / f".farm-{os.getpid()}-{secrets.token_hex(4)}.part"


def to_disk(path: Path) -> None:
    """Wait until a file, or a folder's names, are on the disk itself."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def throw_away(part: Path) -> None:
    """Take away a half-made copy, if there is one."""
    for path in (part, part.with_name(f"{part.name}-journal")):
        with suppress(OSError):
            path.unlink()
