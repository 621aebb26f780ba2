"""What all places share: the book, who is at the keyboard, the clock, and one way to look and to write."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from herdbook.chores.ground import Ground
from herdbook.clock import Now, utc_now

if TYPE_CHECKING:
    from herdbook.book.writing import Book
    from herdbook.chores.doing import Chore
    from herdbook.settings import CopiesWatched


@dataclass(slots=True)
class Desk:
    """One person's seat at one book.

    Args:
        path: the book's file.
        person: who is at the keyboard; 0 for someone who only looks.
        name: their name.
        roles: what they may do.
        now: the clock.
        copies: where this computer keeps copies of the book; None for whoever does not mind.
        waiting: called in the writing thread when a chore has waited a second for its turn.
    """

    path: Path
    person: int
    name: str
    roles: frozenset[str]
    now: Now = utc_now
    copies: CopiesWatched | None = None
    waiting: Callable[[], None] | None = field(default=None, repr=False)
    _book: Book | None = field(default=None, repr=False)
    _warming: threading.Thread | None = field(default=None, repr=False)

    @property
    def now_s(self) -> int:
        """The instant it is, UTC seconds."""
        return int(self.now().timestamp())

    def may(self, roles: frozenset[str]) -> bool:
        """Whether the person has one of these roles; the owner may do everything."""
        return bool(self.roles & (roles | {"owner"}))

    def open_look(self) -> Look:
        """Open the book for reading; called once, in the reading thread."""
        return Look(self)

    def write(
        self,
        chore_name: str,
        texts: Mapping[str, str | Sequence[str]],
        *,
        request: str,
        corrects: int | None = None,
    ) -> str:
        """Understand texts and do a chore; in the writing thread.

        Returns:
            What was written, in words.

        Raises:
            HerdbookError: refused; nothing was written.
        """
        from herdbook.book.opening import reading
        from herdbook.book.reading.farm import farm
        from herdbook.book.writing import Book
        from herdbook.chores.doing import Who, find_chore, ground_of
        from herdbook.chores.drafting import understand

        if self._book is None:
            self._book = Book(self.path, waiting=self._waits)
        chore = find_chore(chore_name)
        with reading(self.path) as connection:
            ground = ground_of(connection, farm(connection), self.now_s)
        draft = understand(chore, texts, ground)
        who = Who(self.person, self.name, self.roles)
        written = chore(self._book, draft, by=who, now=self.now, request=request, corrects=corrects)
        return written.said

    def _waits(self) -> None:
        if self.waiting is not None:
            self.waiting()

    def get_ready_to_write(self) -> None:
        """Bring in what writing needs in a thread of its own, so that the first slip opens at once."""
        if self._warming is None and self.roles:
            self._warming = threading.Thread(target=_bring_in_chores, name="warming", daemon=True)
            self._warming.start()

    def chore(self, name: str) -> Chore:
        """A chore by name; brings in what writing needs, so the first call takes a moment."""
        from herdbook.chores.doing import find_chore

        return find_chore(name)


def _bring_in_chores() -> None:
    from herdbook.chores.doing import chores

    chores()


class Look:
    """A book open for reading, kept by the reading thread."""

    def __init__(self, desk: Desk) -> None:
        from herdbook.book.opening import connect, ready

        ready(desk.path)
        self.desk = desk
        self._connection = connect(desk.path, "ro")

    @contextmanager
    def at_a_glance(self) -> Iterator[tuple[Any, Ground]]:
        """The same without the names in the book: for what must be shown before anything else."""
        from herdbook.book.reading.farm import farm

        with self._at_one_moment() as connection:
            its = farm(connection)
            yield connection, Ground(its.units, its.clock, self.desk.now_s)

    @contextmanager
    def at_once(self) -> Iterator[tuple[Any, Ground]]:
        """One consistent moment of the book, and the ground typed text stands on at it."""
        from herdbook.reports.catalogue import ground_for_reading

        with self._at_one_moment() as connection:
            yield connection, ground_for_reading(connection, self.desk.now_s, self.desk.copies)

    @contextmanager
    def _at_one_moment(self) -> Iterator[Any]:
        from herdbook.book.opening import plain_words

        with plain_words(self.desk.path):
            self._connection.execute("BEGIN")
            try:
                yield self._connection
            finally:
                self._connection.execute("COMMIT")

    def version(self) -> int:
        """A number that changes when another connection has written."""
        from herdbook.book.opening import plain_words

        with plain_words(self.desk.path):
            return int(self._connection.execute("PRAGMA data_version").fetchone()[0])

    def close(self) -> None:
        """Let go of the file."""
        self._connection.close()
