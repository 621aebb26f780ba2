"""Writing in the book: one chore, one immediate transaction, rows first, the entry that binds them last."""

from __future__ import annotations

import random
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy.exc import DBAPIError
from sqlmodel import Session, insert

from herdbook.book.chain import START, entry_hash
from herdbook.book.migrations import NEWEST, version_of
from herdbook.book.opening import in_plain_words, open_engine
from herdbook.book.tables.chain import Entry, Row
from herdbook.errors import BookBusy, ChoreRefused

if TYPE_CHECKING:
    from sqlalchemy.engine import Engine

WAIT_S = 10.0
"""How long a chore waits for its turn before it says that someone else is writing."""


class Book:
    """A book open for writing; `path` is the file, `engine` makes sessions in the thread that asks.

    Args:
        path: the book's file.
        waiting: called once when a chore has waited a second for its turn, so a screen can say so.
    """

    def __init__(self, path: Path, *, waiting: Callable[[], None] | None = None) -> None:
        self.path = path
        self.waiting = waiting
        self._engine: Engine | None = None

    @property
    def engine(self) -> Engine:
        """The engine, opened on first use."""
        if self._engine is None:
            self._engine = open_engine(self.path)
        return self._engine

    def close(self) -> None:
        """Let go of the file."""
        if self._engine is not None:
            self._engine.dispose()
            self._engine = None


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands over a chore's rows: everything of the entry but its number and hashes.

    Args:
        person: who writes.
        chore: name of the chore.
        farm_day: the farm's own day the entry belongs to.
        written_ms: UTC milliseconds.
        request: made once by the form or the command, sent again with a retry, so nothing is written twice.
        note: free words; why something was struck.
        said: what the person is told was written.
        asked: the chore's draft as JSON.
        strikes: number of the entry this one strikes out.
    """

    person: int
    chore: str
    farm_day: date
    written_ms: int
    request: str
    note: str = ""
    said: str = ""
    asked: str = "{}"
    strikes: int | None = None


@dataclass(slots=True)
class Turn:
    """A chore's turn at the book: add rows to it; the entry is made when the turn ends well.

    `raw` is the session's own connection, for questions without SQLAlchemy's cost; what was added is seen there
    once it is flushed.
    """

    session: Session
    raw: sqlite3.Connection
    number: int
    previous: str
    added: list[Row] = field(default_factory=list)

    def add(self, row: Row) -> None:
        """Add a row of this entry."""
        row.entry = self.number
        self.added.append(row)
        self.session.add(row)

    def put(self, row: Row) -> int:
        """Add a row and get its id at once."""
        self.add(row)
        self.session.flush()
        assert row.id is not None
        return row.id


@contextmanager
def writing(book: Book, heading: Callable[[Turn], Heading]) -> Iterator[Turn]:
    """Take a turn, yield it, and bind what was added under one entry of the chain.

    Args:
        book: the open book.
        heading: called at the end of the turn, when the chore knows what it wrote.

    Raises:
        BookBusy: no turn within `WAIT_S`.
        ChoreRefused: the disk or the database refused; nothing was written.
    """
    try:
        with Session(book.engine.execution_options(begin="IMMEDIATE")) as session:
            _take_turn(book, session)
            with _undone_on_error(session):
                raw = _driver_connection(session)
                _see_version(raw)
                last = raw.execute("SELECT number, hash FROM entry ORDER BY number DESC LIMIT 1").fetchone()
                number, previous = (last[0] + 1, last[1]) if last else (1, START)
                turn = Turn(session, raw, number, previous)
                yield turn
                _bind(turn, heading(turn))
                session.commit()
    except DBAPIError as error:
        original = error.orig if isinstance(error.orig, sqlite3.Error) else error
        raise in_plain_words(book.path, original) from error
    except sqlite3.Error as error:  # from a question put to `raw`
        raise in_plain_words(book.path, error) from error


def _driver_connection(session: Session) -> sqlite3.Connection:
    found = session.connection().connection.driver_connection
    assert isinstance(found, sqlite3.Connection)
    return found


@contextmanager
def _undone_on_error(session: Session) -> Iterator[None]:
    try:
        yield
    except BaseException:
        session.rollback()
        raise


def _see_version(raw: sqlite3.Connection) -> None:
    """See that the book is still the one this program knows: another version may have been at it meanwhile.

    Raises:
        ChoreRefused: a newer program has brought the book up to its version, or an older copy was put in its place.
    """
    version = version_of(raw)
    if version > NEWEST:
        raise ChoreRefused(
            f"A newer herdbook has changed this book (version {version}, this program knows {NEWEST}). "
            "Nothing was written.",
            remedy="Leave, and start herdbook again; update it if it was not updated here.",
        )
    if version < NEWEST:
        raise ChoreRefused(
            f"Another, older book lies in this one's place (version {version}). Nothing was written.",
            remedy="Leave, and start herdbook again.",
        )


def _take_turn(book: Book, session: Session) -> None:
    """Begin immediately, trying again after a short random rest: SQLite's own waiting is unfair to the unlucky."""
    began, told = time.monotonic(), False
    while True:
        try:
            session.connection()
            return
        except (DBAPIError, sqlite3.Error) as error:
            session.rollback()
            original = getattr(error, "orig", None) or error
            if not isinstance(in_plain_words(book.path, original), BookBusy):
                raise
            waited_s = time.monotonic() - began
            if waited_s > WAIT_S:
                raise BookBusy(waited_s) from error
            if waited_s > 1 and not told and book.waiting is not None:
                told = True
                book.waiting()
            time.sleep(random.uniform(0.001, 0.02))


def rows_as_stored(turn: Turn) -> dict[str, list[dict[str, Any]]]:
    """This turn's rows read back from the database: what is hashed is what will be read."""
    turn.session.flush()
    first_ids: dict[str, int] = {}
    for row in turn.added:
        assert row.id is not None
        table = str(row.__tablename__)
        first_ids[table] = min(row.id, first_ids.get(table, row.id))
    cursor = turn.raw.cursor()
    cursor.row_factory = sqlite3.Row
    return {
        table: [
            dict(row)
            for row in cursor.execute(
                f"SELECT * FROM {table} WHERE id >= ? AND entry = ? ORDER BY id", (first, turn.number)
            )
        ]
        for table, first in sorted(first_ids.items())
    }


def _bind(turn: Turn, heading: Heading) -> None:
    rows = rows_as_stored(turn)
    columns = {
        "number": turn.number,
        "written_ms": heading.written_ms,
        "person": heading.person,
        "chore": heading.chore,
        "farm_day": heading.farm_day.isoformat(),
        "note": heading.note,
        "said": heading.said,
        "asked": heading.asked,
        "strikes": heading.strikes,
        "request": heading.request,
        "previous": turn.previous,
    }
    turn.session.connection().execute(insert(Entry), columns | {"hash": entry_hash(columns, rows)})
    if heading.strikes is not None:
        struck = turn.raw.execute(
            "UPDATE entry SET struck_by = ? WHERE number = ? AND struck_by IS NULL",
            (turn.number, heading.strikes),
        )
        if struck.rowcount != 1:
            raise ChoreRefused(
                f"Entry {heading.strikes} has been struck already.", remedy="Look at it with `show entries`."
            )


def written_before(turn: Turn, request: str) -> int | None:
    """The entry a request was written under before, if it was."""
    found = turn.raw.execute("SELECT number FROM entry WHERE request = ?", (request,)).fetchone()
    return int(found[0]) if found else None
