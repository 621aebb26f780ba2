"""Putting a checked copy in a book's place: nothing is replaced unseen, and what was there is kept beside it."""

from __future__ import annotations

import os
import secrets
import shutil
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from herdbook.book.checks import Finding
from herdbook.book.copying import STAMP, Contents, look, pour, sound_contents, throw_away, to_disk
from herdbook.book.opening import UNREADABLE, connect, look_at
from herdbook.errors import ChoreRefused, DamagedBook, HerdbookError, NoBook, NotABook, Refused

LOCK_AT, LOCK_LENGTH = 0x4000_0000, 512
"""The bytes of a file that SQLite locks in: pending, reserved, and the shared ones every open book holds
(SQLite, "File Locking And Concurrency"; `PENDING_BYTE` in its source)."""

LEAVE_S = 15.0
"""How long those who opened the old file in the very moment are waited for: longer than a chore waits its turn."""

LOGS = ("-wal", "-journal")
"""What SQLite keeps beside a file and takes for the file's own newest pages."""

ANOTHER_COPY = "Try an older copy."


@dataclass(frozen=True, slots=True)
class Stretch:
    """Entries that one of two books holds and the other does not: how many, first and last, and who wrote how many."""

    count: int
    first: int
    last: int
    first_day: str
    last_day: str
    by: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """A book beside a copy.

    Args:
        book: the book's state, as `standing` tells it, to be given back to `restore_book`.
        found: "missing", "unreadable", "another" (not of the same chain) or "same chain".
        lost: what the book holds and the copy does not; None if nothing, or if it cannot be told.
        gained: what the copy holds and the book does not.
    """

    book: tuple[int, ...]
    found: str
    lost: Stretch | None = None
    gained: Stretch | None = None


@dataclass(frozen=True, slots=True)
class Restored:
    """What was done: the book's last entry and hash now, and where lies what was replaced, if anything was."""

    number: int
    head: str
    kept: Path | None


def sound_copy(copy: Path) -> Contents:
    """What a copy holds, after everything in it was verified.

    Raises:
        ChoreRefused: the file, its guards or its chain have a fault.
        HerdbookError: not a book, or one a newer program made.
    """
    try:
        held, doubts = sound_contents(copy, str(copy), ANOTHER_COPY)
    except (NotABook, DamagedBook) as error:
        error.remedy = ANOTHER_COPY
        raise
    except NoBook as error:
        raise NoBook(error.message, remedy="Name a copy.") from None
    _no_doubts(copy, doubts)
    if not held.number:
        raise ChoreRefused(f"{copy} is an empty book.", remedy=ANOTHER_COPY)
    return held


def _no_doubts(copy: Path, doubts: list[Finding]) -> None:
    for fault in doubts:
        raise ChoreRefused(f"{copy} is not sound: {fault.about} {fault.says}", remedy=ANOTHER_COPY)


def standing(book: Path) -> tuple[int, ...]:
    """What tells whether a book was written to: its file and its logs, by number, size and time."""
    found: list[int] = []
    for end in ("", *LOGS):
        with suppress(OSError):
            its = Path(f"{book}{end}").stat()
            found += [its.st_ino, its.st_size, its.st_mtime_ns] if its.st_size or not end else []
    return tuple(found)


def compare(book: Path, copy: Path) -> Comparison:
    """What lies between a book, which may be missing or damaged, and a sound copy."""
    book = book.resolve()  # SQLite looks for a log beside the file itself, not beside a link to it
    before = standing(book)
    if not book.exists():
        return Comparison(before, "missing")
    try:
        look_at(book)
        with look(book) as there, look(copy) as here:
            common = _last_common(there, here)
            lost, gained = _stretch(there, common), _stretch(here, common)
    except (HerdbookError, *UNREADABLE, TypeError):
        return Comparison(before, "unreadable")
    return Comparison(before, "same chain" if common or not lost else "another", lost, gained)


def _last_common(one: sqlite3.Connection, other: sqlite3.Connection) -> int:
    """The last entry two chains share; every entry before it is shared too, since each hash holds the one before."""
    question = "SELECT hash FROM entry WHERE number = ?"
    shared, beyond = 0, 1 + min(_last(one), _last(other))
    while beyond - shared > 1:
        middle = (shared + beyond) // 2
        hashes = {tuple(book.execute(question, (middle,)).fetchone() or ()) for book in (one, other)}
        shared, beyond = (middle, beyond) if len(hashes) == 1 else (shared, middle)
    return shared


def _last(connection: sqlite3.Connection) -> int:
    return int(connection.execute("SELECT max(number) FROM entry").fetchone()[0] or 0)


def _stretch(connection: sqlite3.Connection, after: int) -> Stretch | None:
    ends = [
        connection.execute(
            f"SELECT number, farm_day FROM entry WHERE number > ? ORDER BY number {way} LIMIT 1", (after,)
        ).fetchone()
        for way in ("ASC", "DESC")
    ]
    if ends[0] is None:
        return None
    by = connection.execute(
        "SELECT coalesce((SELECT name FROM person_card WHERE person_card.person = entry.person "
        "ORDER BY id DESC LIMIT 1), 'person ' || person), count(*) FROM entry WHERE number > ? "
        "GROUP BY person ORDER BY count(*) DESC, person",
        (after,),
    ).fetchall()
    return Stretch(sum(n for _, n in by), ends[0][0], ends[1][0], ends[0][1], ends[1][1], tuple(by))


def restore_book(copy: Path, book: Path, *, seen: tuple[int, ...], now_s: int) -> Restored:
    """Put what a copy holds in a book's place; what was there is kept beside it.

    It is done with renames: whoever stops it anywhere finds the old book, or the new one, or none at all and both
    beside the place. Call it with no connection of this program open on the book.

    Args:
        copy: a copy; it is verified again, and stays where it is.
        book: where the book lies or should lie.
        seen: the book's state when the person was told what lies between (`Comparison.book`).
        now_s: the instant it is, UTC seconds; it stands in the kept file's name.

    Raises:
        ChoreRefused: someone has the book open or wrote in it meanwhile, the copy is not sound, or the disk
            refused; the book is as it was.
    """
    book = book.resolve()
    if book.is_dir() or not book.parent.is_dir():
        raise Refused(f"{book} cannot be a book's place.", remedy="Name a file in a folder.", field="onto")
    sound_copy(copy)
    if book.exists() and book.samefile(copy):
        raise Refused("The copy is the book itself.", remedy="Name a copy.", field="copy")
    staged = book.with_name(f".farm-{os.getpid()}-{secrets.token_hex(4)}.part")
    stamp = datetime.fromtimestamp(now_s, UTC).strftime(STAMP)
    kept = book.with_name(f"{book.stem}-replaced-{stamp}{book.suffix}")
    try:
        os.close(os.open(staged, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        held, doubts = pour(copy, staged)
        _no_doubts(copy, doubts)
        _make_ready(staged, book if book.exists() else copy)
        with _alone(book) as held_open:
            if standing(book) != seen:
                raise ChoreRefused(
                    "Something was written in the book meanwhile.", remedy="Nothing was done; start again."
                )
            kept_any = _swap(staged, book, kept, held_open)
    except OSError as error:
        raise ChoreRefused(
            f"{book} could not be replaced: {error.strerror or error}.",
            remedy="See that the disk has room, and who owns the folder.",
        ) from None
    finally:
        throw_away(staged)
    return Restored(held.number, held.head, kept if kept_any else None)


def _make_ready(staged: Path, like: Path) -> None:
    """Make a copy a book: with a write-ahead log, and owned and readable as the file it stands in for."""
    connection = connect(staged)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.close()
    its = like.stat()
    staged.chmod(its.st_mode & 0o666)
    with suppress(
        OSError, AttributeError
    ):  # only the administrator may give files away, and need not everywhere
        os.chown(staged, its.st_uid, its.st_gid)
    to_disk(staged)


def _swap(staged: Path, book: Path, kept: Path, held_open: int | None) -> bool:
    """Keep what is there under another name, then give its name to what is staged; whether anything was kept."""
    logs = [log for end in LOGS if (log := Path(f"{book}{end}")).exists()]
    full = [log for log in logs if log.stat().st_size]
    if kept.exists():
        raise FileExistsError(17, f"{kept} is there already")
    for old in (book, *full):
        if old.exists():
            into = Path(f"{kept}{old.name.removeprefix(book.name)}")
            _keep(old, into, held_open if old == book else None)
    kept_any = kept.exists() or bool(full)
    to_disk(book.parent)
    if full:
        # a log must never lie beside a file it does not belong to, not even for a moment
        book.unlink(missing_ok=True)
    for beside in (*logs, Path(f"{book}-shm")):
        beside.unlink(missing_ok=True)
    staged.replace(book)
    to_disk(book.parent)
    return kept_any


def _keep(old: Path, kept: Path, held_open: int | None) -> None:
    """Give a file a second name; `held_open` is the handle that keeps others out of it, if there is one."""
    try:
        os.link(old, kept)
    except OSError:  # a file system without links, such as a memory stick's
        # read through that handle: closing another of the same file would let go of the lock (`book/opening.py`)
        with (
            open(old if held_open is None else held_open, "rb", closefd=held_open is None) as source,
            kept.open("xb") as target,
        ):
            shutil.copyfileobj(source, target)
        shutil.copystat(old, kept)
        to_disk(kept)


@contextmanager
def _alone(book: Path) -> Iterator[int | None]:
    """Keep everyone out of a book while its file is replaced; gives the handle that does it, if there is a file.

    Raises:
        ChoreRefused: another program has it open.
    """
    try:
        import fcntl

        handle = os.open(book, os.O_RDWR)
    except (ImportError, FileNotFoundError):  # nobody has open what is not there
        yield None
        return
    try:
        try:
            fcntl.lockf(handle, fcntl.LOCK_EX | fcntl.LOCK_NB, LOCK_LENGTH, LOCK_AT)
        except OSError:
            raise _in_use(book) from None
        if _open_elsewhere(handle):
            raise _in_use(book)
        yield handle
        # who opened the old file just now would go on in it as if it still were the book: they cannot get a lock
        # while we hold it, and give up
        until = time.monotonic() + LEAVE_S
        while _open_elsewhere(handle) and time.monotonic() < until:
            time.sleep(0.05)
    finally:
        os.close(handle)


def _in_use(book: Path) -> ChoreRefused:
    return ChoreRefused(
        f"Another program has {book} open.", remedy="Ask everyone to leave the book, then start again."
    )


def _open_elsewhere(handle: int) -> bool:
    """Whether another program holds the same file open, as far as the system tells (Linux: /proc)."""
    ours, me = os.fstat(handle), str(os.getpid())
    for folder in Path("/proc").glob("[0-9]*/fd"):
        if folder.parent.name == me:
            continue
        with suppress(OSError):
            for one in folder.iterdir():
                with suppress(OSError):
                    its = one.stat()
                    if (its.st_dev, its.st_ino) == (ours.st_dev, ours.st_ino):
                        return True
    return False
