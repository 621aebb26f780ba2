"""A made-up farm for tests: a book, its people, a clock that stands still until told, and chores by typed words."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from herdbook.book.opening import new_book, plain_words
from herdbook.book.reading.farm import farm
from herdbook.book.writing import Book
from herdbook.chores.doing import HAND, NUTRITIONIST, OWNER, READER, Who, Written, find_chore, ground_of
from herdbook.chores.drafting import ChoreDraft, understand
from herdbook.chores.ground import Ground

TEN_O_CLOCK = int(datetime(2026, 3, 9, 15, 0, tzinfo=UTC).timestamp())  # 10:00 in Chicago, a Monday
MINUTE, HOUR, DAY = 60, 3_600, 86_400

ADA = Who(1, "Ada", frozenset({OWNER}))
BEN = Who(2, "Ben", frozenset({NUTRITIONIST}))
CLEO = Who(3, "Cleo", frozenset({HAND}))
DOV = Who(4, "Dov", frozenset({READER}))

START = {"name": "Hollow Farm", "zone": "America/Chicago", "owner": "Ada", "login": "ada"}

TEMPLATE: tuple[tuple[str, dict[str, Any]], ...] = (
    ("person", {"name": "Ben", "roles": "nutritionist"}),
    ("person", {"name": "Cleo", "roles": "hand"}),
    ("person", {"name": "Dov", "roles": "reader"}),
    ("pen", {"name": "High", "head": "52"}),
    ("pen", {"name": "Far dry", "kind": "dry", "head": "18"}),
    ("feed", {"name": "Corn silage", "kind": "forage", "price": "52"}),
    ("feed", {"name": "Mineral mix", "kind": "mineral", "most": "1 lb", "caution": "Tenfold is poison."}),
    ("analysis", {"feed": "corn", "dry": "33.6", "value": ["cp=8.8", "ndf=45", "starch=nd", "ca=0.28"]}),
    ("analysis", {"feed": "mineral", "dry": "97", "value": "ca=20"}),
    ("ration", {"name": "High 1", "item": ["Corn silage=17.3 lb dm", "Mineral mix=0.8"]}),
    ("targets", {"ration": "High 1", "target": ["cp=15.5 16.5 17.5", "dm_intake=48 50 53 lb"]}),
    ("pen-ration", {"pen": "High", "ration": "High 1"}),
    ("mixer", {"name": "Big wagon", "holds": "4 ton", "step": "5 lb"}),
    ("load", {"pen": "High", "started": "-180"}),
    ("weigh", {"load": "1", "feed": "corn", "scale": "2,690", "weighed": "-175"}),
    ("drop", {"load": "1", "pen": "High", "weight": "2600", "dropped": "-160"}),
    (
        "tank",
        {"name": "North", "holds": "21500", "mark": ["10 in=5000 lb", "20 in=11000", "33 1/4 in=20000"]},
    ),
    ("milking", {"started": "-240", "ended": "-120", "cows": "105", "milk": "4310"}),
    ("temperature", {"reading": "39.2F", "read": "-60"}),
)


def write_template(path: Path) -> None:
    """Make the book that tests copy."""
    yard = Yard.started(path, at_s=TEN_O_CLOCK - 5 * HOUR)
    for name, texts in TEMPLATE:
        yard.now_s = TEN_O_CLOCK if name == "load" else yard.now_s
        yard.do(name, **texts)
    yard.book.close()
    with closing(sqlite3.connect(path)) as connection:  # one file, without a log beside it, is copied easily
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")


@dataclass
class Yard:
    """A farm's book and what a test does with it."""

    path: Path
    now_s: int = TEN_O_CLOCK
    book: Book = field(init=False)

    def __post_init__(self) -> None:
        self.book = Book(self.path)

    @classmethod
    def started(cls, path: Path, *, at_s: int = TEN_O_CLOCK, **changes: str) -> Yard:
        """A new book with its farm."""
        new_book(path)
        yard = cls(path, at_s)
        yard.do("start", **START | changes)
        return yard

    def now(self) -> datetime:
        """The clock handed to chores."""
        return datetime.fromtimestamp(self.now_s, UTC)

    def ground(self) -> Ground:
        """What typed words are understood by, now."""
        with self._looking() as connection:
            if connection.execute("SELECT count(*) FROM entry").fetchone()[0] == 0:
                return Ground(now_s=self.now_s)
            return ground_of(connection, farm(connection), self.now_s)

    @contextmanager
    def _looking(self) -> Iterator[sqlite3.Connection]:
        """One look through the connection the yard writes by: a new one would read the whole schema each time."""
        with plain_words(self.path):
            lent = self.book.engine.raw_connection()
            try:
                connection = lent.driver_connection
                assert isinstance(connection, sqlite3.Connection)
                connection.execute("BEGIN")
                yield connection
            finally:
                lent.close()  # ends the look

    def draft(self, chore: str, **texts: Any) -> ChoreDraft:
        """The draft of typed words."""
        return understand(find_chore(chore), texts, self.ground())

    def do(
        self,
        chore: str,
        /,
        *,
        by: Who = ADA,
        request: str = "",
        corrects: int | None = None,
        note: str = "",
        **texts: Any,
    ) -> Written:
        """Do a chore by typed words."""
        return find_chore(chore)(
            self.book,
            self.draft(chore, **texts),
            by=by,
            now=self.now,
            request=request,
            corrects=corrects,
            note=note,
        )

    def rows(self, sql: str, *values: Any) -> list[dict[str, Any]]:
        """Ask the book anything."""
        with closing(sqlite3.connect(f"file:{self.path}?mode=ro", uri=True)) as connection:
            connection.row_factory = sqlite3.Row
            return [dict(row) for row in connection.execute(sql, values)]

    def row(self, sql: str, *values: Any) -> dict[str, Any]:
        """The only row of an answer."""
        (found,) = self.rows(sql, *values)
        return found

    @property
    def entries(self) -> int:
        """How many entries the book has."""
        return int(self.row("SELECT count(*) AS n FROM entry")["n"])

    def pages(self) -> str:
        """A hash over the book's pages, byte by byte: equal when nothing was written, unlike a copy's."""
        with closing(sqlite3.connect(f"file:{self.path}?mode=ro", uri=True)) as connection:
            return hashlib.sha256(connection.serialize()).hexdigest()

    def state(self) -> str:
        """A hash over everything the book holds, however its pages lie: equal in a whole copy too."""
        with closing(sqlite3.connect(f"file:{self.path}?mode=ro", uri=True)) as connection:
            return hashlib.sha256("\n".join(sorted(connection.iterdump())).encode()).hexdigest()
