"""Checked copies of a book, made while people work: a copy gets its name only after it was found sound."""

from __future__ import annotations

import os
import re
import secrets
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from herdbook.book.chain import chained_tables
from herdbook.book.checks import Finding, chain_faults, file_faults, knowing_bounds, missing_guards
from herdbook.book.opening import UNREADABLE, connect, in_plain_words, look_at, plain_words
from herdbook.errors import BookBusy, ChoreRefused, DamagedBook, HerdbookError, Refused

NAME = re.compile(r"farm-(\d{8}T\d{6}Z)-e(\d{1,12})-([0-9a-f]{12})\.book")
"""When it was made (UTC), its last entry, and the first letters of that entry's hash."""

STAMP = "%Y%m%dT%H%M%SZ"
LEFT_OVER_S = 86_400
"""A half-made copy this old belongs to a program that was stopped; it is swept away."""

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


def copy_book(book: Path, folder: Path, *, now_s: int, keep: int | None = None) -> Copied:
    """Make a checked copy in a folder, then take away the oldest over a number.

    Args:
        book: the book; people may go on writing in it.
        folder: where copies lie; it must be there, so that a disk that is not plugged in is not mistaken for one.
        now_s: the instant it is, UTC seconds; it stands in the copy's name.
        keep: how many copies of this book to keep, the new one among them; all if none.

    Raises:
        Refused: the folder is none, or `keep` is under 1.
        ChoreRefused: the copy could not be made or is not sound; nothing was left or taken away.
    """
    if keep is not None and keep < 1:
        raise Refused("At least one copy must be kept.", remedy="Use --keep 1 or more.", field="keep")
    look_at(book)
    if not folder.is_dir():
        raise Refused(
            f"There is no folder {folder}.",
            remedy="Make it first, or plug in the disk it lies on.",
            field="to",
        )
    part = folder / f".farm-{os.getpid()}-{secrets.token_hex(4)}.part"
    try:
        _sweep(folder)
        os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        made, doubts = pour(book, part)
        if not made.number:
            raise ChoreRefused("Nothing is written yet that could be copied.")
        stamp = datetime.fromtimestamp(now_s, UTC).strftime(STAMP)
        copy = folder / f"farm-{stamp}-e{made.number}-{made.head[:12]}.book"
        if copy.exists() and copy.samefile(book):
            raise ChoreRefused("The copy would lie where the book lies.", remedy="Copy to another folder.")
        part.chmod(book.stat().st_mode & 0o666)
        part.replace(copy)
        to_disk(folder)
    except OSError as error:
        raise ChoreRefused(
            f"No copy was made in {folder}: {error.strerror or error}.",
            remedy="See that the disk has room and that you may write there.",
        ) from None
    finally:
        throw_away(part)
    fresh = Copy(copy, now_s, made.number, made.head[:12])
    removed, left = _make_room(book, fresh, keep) if keep is not None else ((), ())
    return Copied(fresh, tuple(doubts), removed, left)


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


def _sweep(folder: Path) -> None:
    """Take away half-made copies of programs that were stopped a day or more ago."""
    for path in [*folder.glob(".farm-*.part"), *folder.glob(".farm-*.part-journal")]:
        with suppress(OSError):
            if time.time() - path.stat().st_mtime > LEFT_OVER_S:
                path.unlink()


def _make_room(book: Path, fresh: Copy, keep: int) -> tuple[tuple[Path, ...], tuple[tuple[Path, str], ...]]:
    """Take away the copies of this book over a number: those of the fewest entries first, never the fresh one."""
    ours: list[Copy] = []
    left: list[tuple[Path, str]] = []
    for copy in copies_in(fresh.path.parent):
        if copy.path == fresh.path:
            continue
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


def _ends(connection: sqlite3.Connection) -> list[tuple[int, str]]:
    """Number and hash of the first entry and of the last; nothing for an empty book."""
    question = "SELECT number, hash FROM entry ORDER BY number"
    ends = [connection.execute(f"{question} {way} LIMIT 1").fetchone() for way in ("ASC", "DESC")]
    return [(number, text) for number, text in filter(None, ends)]


def _hash_of(connection: sqlite3.Connection, number: int) -> str:
    found = connection.execute("SELECT hash FROM entry WHERE number = ?", (number,)).fetchone()
    return found[0] if found else ""
