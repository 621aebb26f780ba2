"""Opening a book: for reading by plain sqlite3, for writing by SQLModel's engine; other files stay untouched."""

from __future__ import annotations

import os
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from herdbook.book.migrations import NEWEST, bring_up_to_date, version_of
from herdbook.errors import BookBusy, ChoreRefused, DamagedBook, HerdbookError, NoBook, NotABook

if TYPE_CHECKING:
    from sqlalchemy.engine import Engine

APPLICATION_ID = 0x48524442
"""Written in the file's header (SQLite's `application_id`): the letters HRDB."""

READ_WAIT_MS = 5_000
WRITE_WAIT_MS = 20
"""SQLite's own waiting for a turn is kept short: `writing` waits better."""

UNREADABLE = (sqlite3.DatabaseError, UnicodeDecodeError)
"""What a damaged file ends in; the second where SQLite's own sentence quotes bytes that are no letters."""

_SQLITE_HEADER = b"SQLite format 3\x00"

_one_first = threading.Lock()
_sqlites: set[tuple[int, int]] = set()
"""Files (device and number) that this process has opened through SQLite, or is about to; from then on nothing else may.

Closing any handle of a file drops every lock that the process has on it (fcntl(2); SQLite, "How To Corrupt An SQLite
Database File", 2.2), and without its lock another program that leaves takes the log away under our feet."""


def _address(path: Path, mode: str) -> str:
    return f"file:{quote(str(path.absolute()))}?mode={mode}"


def connect(path: Path, mode: str = "rw", *, wait_ms: int = READ_WAIT_MS) -> sqlite3.Connection:
    """A bare connection with the book's settings, in autocommit mode; `mode` is SQLite's rw, ro or rwc."""
    with suppress(OSError):
        its = path.stat()
        with _one_first:  # not while another thread has the header open
            _sqlites.add((its.st_dev, its.st_ino))
    connection = sqlite3.connect(
        _address(path, mode), uri=True, isolation_level=None, check_same_thread=False
    )
    for line in (
        "foreign_keys = ON",
        "recursive_triggers = ON",  # else REPLACE deletes without asking the delete trigger
        "trusted_schema = OFF",
        f"busy_timeout = {wait_ms}",
        "synchronous = FULL",
    ):
        connection.execute(f"PRAGMA {line}")
    return connection


def look_at(path: Path) -> int:
    """The version of the book at `path`, found without changing a byte of the file.

    Raises:
        NoBook: no such file.
        NotABook: not a herdbook, or one a newer program made.
        DamagedBook: a herdbook that SQLite cannot read.
    """
    file = _file_at(path)
    with _one_first:
        if file not in _sqlites:
            _see_header(path)
            _sqlites.add(file)
    try:
        with closing(sqlite3.connect(_address(path, "ro"), uri=True)) as connection:
            if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                raise _no_book(path)  # another file has the number of one that is gone
            version = version_of(connection)
    except UNREADABLE as error:
        if getattr(error, "sqlite_errorname", "") == "SQLITE_NOTADB":
            raise _no_book(path) from None
        raise in_plain_words(path, error) from None
    if version > NEWEST:
        raise NotABook(
            f"{path} was written by a newer herdbook (version {version} of the book, this program knows "
            f"{NEWEST}); it was left untouched.",
            remedy="Update herdbook on this computer.",
        )
    return version


def _no_book(path: Path) -> NotABook:
    return NotABook(
        f"{path} is not a herdbook; it was left untouched.", remedy="Name the right file with --book."
    )


def _file_at(path: Path) -> tuple[int, int]:
    """Which file is there, by device and number; one that is not a regular file is refused, as a pipe would never end.

    Raises:
        NoBook: no such file.
        NotABook: not a file, or not to be looked at.
    """
    try:
        if not path.exists():
            raise NoBook(
                f"There is no book at {path}.",
                remedy="Start one with `herdbook new`, or name it with --book.",
            )
        if not path.is_file():
            raise NotABook(f"{path} is not a file.", remedy="Name a book with --book.")
        its = path.stat()
    except OSError as error:
        raise _unreadable(path, error) from None
    return its.st_dev, its.st_ino


def _see_header(path: Path) -> None:
    """See by its first bytes that a regular file is a book.

    Raises:
        NotABook: it is not, or cannot be read.
    """
    try:
        with path.open("rb") as file:
            header = file.read(100)
    except OSError as error:
        raise _unreadable(path, error) from None
    if header.startswith(b"age-encryption.org/"):
        raise NotABook(
            f"{path} is a locked copy.",
            remedy="Bring it back with `herdbook restore`, --onto another place to look into it.",
        )
    if not header.startswith(_SQLITE_HEADER) or int.from_bytes(header[68:72], "big") != APPLICATION_ID:
        raise _no_book(path)


def _unreadable(path: Path, error: OSError) -> NotABook:
    return NotABook(f"{path} cannot be read: {error.strerror}.", remedy="Check who owns the file.")


def new_book(path: Path) -> None:
    """Make an empty book at `path`, all or nothing.

    Raises:
        ChoreRefused: something is already there, or the folder cannot be written.
    """
    half_made = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        if not path.parent.is_dir():
            path.parent.mkdir(parents=True)
        if path.exists():
            raise FileExistsError
        half_made.unlink(missing_ok=True)
        with closing(connect(half_made, "rwc")) as connection:
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            bring_up_to_date(connection)
            connection.execute("PRAGMA journal_mode = WAL")
        give_name(half_made, path)
    except FileExistsError:
        if not path.exists():
            raise _not_made(path, f"{path.parent} is not a folder") from None
        raise ChoreRefused(
            f"{path} already exists; it was left untouched.", remedy="Choose another name for the new book."
        ) from None
    except (OSError, ValueError, sqlite3.OperationalError) as error:
        raise _not_made(path, getattr(error, "strerror", "") or str(error)) from None
    finally:
        with suppress(OSError, ValueError):
            half_made.unlink(missing_ok=True)


def give_name(made: Path, path: Path) -> None:
    """Name the finished file; fails if someone else made one meanwhile, which renaming would not."""
    try:
        os.link(made, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without links, such as a memory stick's
        with path.open("xb"):
            pass
        made.replace(path)


def _not_made(path: Path, why: str) -> ChoreRefused:
    return ChoreRefused(
        f"No book could be made at {path}: {why}.",
        remedy="Choose a folder you may write to.",
    )


def ready(path: Path) -> None:
    """See that the book is one this program can work in; an older one is brought up to date behind a copy."""
    version = look_at(path)
    if version == NEWEST:
        return
    copy_aside(path, f"before-version-{NEWEST}")
    with plain_words(path), closing(connect(path)) as connection:
        bring_up_to_date(connection)


def copy_aside(path: Path, why: str) -> Path:
    """Copy the book beside itself with VACUUM INTO; the copy gets its name once it was found sound.

    Raises:
        ChoreRefused: the copy could not be made or is not sound; the book is as it was.
    """
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    copy = path.with_name(f"{path.name}.{why}.{stamp}.{os.getpid()}")
    part = copy.with_name(f".{copy.name}.part")
    try:
        with closing(connect(path)) as connection:
            connection.execute("VACUUM INTO ?", (str(part),))
        with closing(connect(part, "ro")) as connection:
            sound = connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        if not sound:
            raise ChoreRefused(
                "The book could not be copied aside: the copy is not sound.",
                remedy="Run `herdbook check` on the book.",
            )
        part.replace(copy)
    except (sqlite3.Error, OSError) as error:
        raise ChoreRefused(
            f"The book could not be copied aside: {error}.", remedy="See that the disk has room."
        ) from None
    finally:
        for end in ("", "-journal"):
            with suppress(OSError):
                Path(f"{part}{end}").unlink()
    return copy


@contextmanager
def reading(path: Path) -> Iterator[sqlite3.Connection]:
    """One consistent look at the book: everything read inside sees the same moment.

    Raises:
        HerdbookError: no book, not a book, damaged, or locked for longer than we wait.
    """
    ready(path)
    with plain_words(path):
        connection = connect(path, "ro")
        connection.row_factory = sqlite3.Row
        try:
            connection.execute("BEGIN")
            yield connection
        except (ArithmeticError, AssertionError, LookupError, TypeError, ValueError) as error:
            _see_damage(path, connection, error)
            raise
        finally:
            connection.close()


def _see_damage(path: Path, connection: sqlite3.Connection, error: Exception) -> None:
    """Where what was read could not be understood: say so if no chore wrote it; else it is a fault of the program.

    Raises:
        DamagedBook: the chain is not whole.
    """
    from herdbook.book.walking import chain_is_whole  # seldom needed

    if isinstance(error, UNREADABLE) or chain_is_whole(connection):
        return
    raise DamagedBook(
        f"{path} holds what no chore has written.",
        remedy="Do not write to it. Run `herdbook check`, and bring back the newest copy.",
    ) from error


@contextmanager
def plain_words(path: Path) -> Iterator[None]:
    """Turn SQLite's own errors into the sentences people are shown."""
    try:
        yield
    except UNREADABLE as error:
        raise in_plain_words(path, error) from error


def in_plain_words(path: Path, error: Exception) -> HerdbookError:
    """The sentence for an error of SQLite, by its own result code where it gives one."""
    name = getattr(error, "sqlite_errorname", "") or ""
    said = str(error)
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")) or "locked" in said:
        return BookBusy(READ_WAIT_MS / 1000)
    if name.startswith("SQLITE_FULL") or "disk is full" in said:
        return ChoreRefused(
            "The disk is full; nothing was written.", remedy="Make room on the disk and try again."
        )
    if name.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM")) or "readonly" in said:
        return ChoreRefused(
            f"{path} cannot be opened for this; nothing was written.",
            remedy="Check who owns the file and its folder.",
        )
    if isinstance(error, UnicodeDecodeError):
        said = "it holds bytes that are no letters"
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")) or "malformed" in said or "no letters" in said:
        return DamagedBook(
            f"{path} is damaged: {said}.",
            remedy="Do not write to it. Run `herdbook check`, and bring back the newest copy.",
        )
    if name.startswith("SQLITE_IOERR") or "disk I/O" in said:
        return ChoreRefused(
            "The disk gave an error; nothing was written.", remedy="Check the disk before going on."
        )
    return ChoreRefused(f"The book refused it: {said}.", remedy="Nothing was written.")


def open_engine(path: Path) -> Engine:
    """The engine that writing goes through: every connection gets the book's settings, transactions are ours.

    The caller disposes of it. Sessions are opened in the thread that uses them.
    """
    import sqlalchemy

    ready(path)
    engine = sqlalchemy.create_engine(
        "sqlite://", creator=lambda: connect(path, wait_ms=WRITE_WAIT_MS), poolclass=sqlalchemy.pool.QueuePool
    )

    @sqlalchemy.event.listens_for(engine, "begin")
    def _begin(connection: Any) -> None:
        wanted = connection.get_execution_options().get("begin", "DEFERRED")
        connection.connection.driver_connection.execute(f"BEGIN {wanted}")

    return engine
