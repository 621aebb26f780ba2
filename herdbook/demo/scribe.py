"""How the made-up farm's people write: what they would type, through the chores, at the instant they would type it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime

from herdbook.book.opening import reading
from herdbook.book.reading import farm as read_farm
from herdbook.book.writing import Book
from herdbook.chores.doing import OWNER, Who, Written, find_chore, ground_of
from herdbook.chores.drafting import understand
from herdbook.chores.ground import Ground

Typed = str | Sequence[str]

NAMES_THINGS = frozenset({"start", "person", "pen", "feed", "ration", "mixer", "tank", "load", "walk"})
"""Chores after which there is a new name to type."""


class Scribe:
    """Writes entries for the people of the farm; nothing reaches the book by another way.

    Requests are counted, not drawn, so that the same farm written twice has the same chain of hashes.

    Args:
        book: the book to write in.
        story: which farm is written, in a few words; told in every request.
    """

    def __init__(self, book: Book, story: str) -> None:
        self.book = book
        self._story = story
        self._written = 0
        self._ground = Ground()
        self._people: dict[str, Who] = {}

    def start(self, owner: str, at_s: int, typed: Mapping[str, Typed], *, noted: str = "") -> Written:
        """Write the first entry, by the owner."""
        self._people[owner] = Who(1, owner, frozenset({OWNER}))
        return self.write("start", owner, at_s, {"owner": owner, **typed}, noted=noted)

    def write(
        self,
        chore: str,
        who: str,
        at_s: int,
        typed: Mapping[str, Typed],
        *,
        corrects: int | None = None,
        noted: str = "",
    ) -> Written:
        """Write one entry.

        Args:
            chore: the chore's name.
            who: first name of the person who writes.
            at_s: the instant it is for them, UTC seconds.
            typed: what they type into each field.
            corrects: the entry this one strikes and replaces.
            noted: free words for the entry.

        Raises:
            HerdbookError: the chore refused it, which is a fault of the simulation.
        """
        known = find_chore(chore)
        self._written += 1
        written = known(
            self.book,
            understand(known, typed, self.ground(at_s)),
            by=self._people[who],
            now=lambda: datetime.fromtimestamp(at_s, UTC),
            request=f"{self._story}, {self._written}",
            corrects=corrects,
            note=noted,
        )
        if chore in NAMES_THINGS:
            self._read_names(at_s)
        return written

    def moment(self, instant_s: int) -> str:
        """An instant as typed: a wall-clock time alone is not enough in the night the clocks go back."""
        return self._ground.clock.iso(instant_s)

    def newest_load(self) -> str:
        """The name of the load that was begun last."""
        return list(self._ground.names["load"])[-1]

    def ground(self, at_s: int) -> Ground:
        """What typed text is understood by at an instant."""
        return replace(self._ground, now_s=at_s)

    def _read_names(self, at_s: int) -> None:
        with reading(self.book.path) as connection:
            self._ground = ground_of(connection, read_farm.farm(connection), at_s)
            for person in read_farm.people(connection):
                self._people[person.name] = Who(person.person, person.name, person.roles)
