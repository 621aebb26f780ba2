"""Readings on their way into the book: gathered as they come, written in small batches, each once whatever happens."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from herdbook.book.opening import reading
from herdbook.book.writing import Book
from herdbook.chores.doing import Who, find_chore
from herdbook.chores.readings import PROBE, ReadingsDraft, Series, Sifted, sift
from herdbook.errors import ChoreRefused, HerdbookError
from herdbook.reports.catalogue import ground_for_reading

if TYPE_CHECKING:
    from herdbook.chores.ground import Ground
    from herdbook.clock import Now

EVERY_S, MOST = 300.0, 50
"""A batch is an entry of the book: one every five minutes makes some hundred thousand a year, a minute's five times
that. Common practice, no source."""

MOST_CONFLICTS_SAID = 5


@dataclass(slots=True)
class Feed:
    """What one probe of one tank sends to the book.

    Args:
        path: the book's file.
        tank: the tank.
        by: who the watcher writes as.
        now: the clock.
        say: takes a line for the log.
        probe: which thermometer of the tank.
        every_s: a reading waits no longer than this, seconds.
        most: nor when so many wait.
    """

    path: Path
    tank: int
    by: Who
    now: Now
    say: Callable[[str], None]
    probe: str = PROBE
    every_s: float = EVERY_S
    most: int = MOST
    _waiting: dict[int, tuple[int, str]] = field(default_factory=dict)
    _then: list[Callable[[], None]] = field(default_factory=list)
    _since: float = 0.0
    _failed: str = ""

    def ground(self) -> Ground:
        """The farm's clock, units and names as the book has them now."""
        with reading(self.path) as connection:
            return ground_for_reading(connection, int(self.now().timestamp()))

    def add(
        self, pairs: Iterable[tuple[int, int]], source: str, then: Callable[[], None] | None = None
    ) -> None:
        """Take readings to be written.

        Args:
            pairs: UTC seconds and millidegrees C.
            source: where they came from.
            then: called once they are in the book for good.
        """
        if not self._waiting and not self._then:
            self._since = time.monotonic()
        for at, warmth in pairs:
            before = self._waiting.setdefault(at, (warmth, source))
            if before[0] != warmth:
                ground = self.ground()
                warm, when = ground.units.temperature, ground.clock.iso(at)
                self.say(
                    f"left out: {when} came twice, as {warm(before[0])} and {warm(warmth)}; the first is kept"
                )
        if then is not None:
            self._then.append(then)

    @property
    def is_due(self) -> bool:
        """Whether what waits is to be written now."""
        if not self._waiting and not self._then:
            return False
        return len(self._waiting) >= self.most or time.monotonic() - self._since >= self.every_s

    def write_due(self) -> None:
        """Write what waits, if its time has come; what cannot be written now waits on."""
        if self.is_due:
            self.write()

    def write(self) -> bool:
        """Write what waits under one entry for each source; whether nothing waits any more."""
        try:
            for source in dict.fromkeys(source for _, source in self._waiting.values()):
                self._write(source)
        except HerdbookError as error:
            if str(error) != self._failed:
                self.say(f"{len(self._waiting)} readings wait, tried again soon: {error}")
            self._failed = str(error)
            return False
        self._failed = ""
        done, self._then = self._then, []
        for then in done:
            then()
        return True

    def _write(self, source: str) -> None:
        mine = sorted((at, warmth) for at, (warmth, of) in self._waiting.items() if of == source)
        ground, sifted = self._sifted(Series.of(mine))
        for conflict in sifted.conflicts[:MOST_CONFLICTS_SAID]:
            self.say(f"left out: {conflict.says(ground)}")
        if len(sifted.conflicts) > MOST_CONFLICTS_SAID:
            self.say(
                f"left out: {len(sifted.conflicts) - MOST_CONFLICTS_SAID} more that the book has otherwise"
            )
        if len(sifted.new):
            self._enter(sifted.new, source)
        for at, _ in mine:
            del self._waiting[at]

    def _sifted(self, series: Series) -> tuple[Ground, Sifted]:
        with reading(self.path) as connection:
            ground = ground_for_reading(connection, int(self.now().timestamp()))
            return ground, sift(connection, self.tank, self.probe, series)

    def _enter(self, new: Series, source: str) -> None:
        """One entry; its request is made of what it holds, so that a second watcher writes nothing twice."""
        from herdbook.book.batches import batch_hash

        draft = ReadingsDraft(tank=self.tank, probe=self.probe, source=source).carry(new)
        request = f"readings {self.tank} {self.probe} {batch_hash(new.read_at, new.tank_mC)[:32]}"
        book = Book(self.path)
        try:
            written = find_chore("readings")(book, draft, by=self.by, now=self.now, request=request)
        except ChoreRefused:
            if len(self._sifted(new)[1].new):
                raise
            return  # a second watcher was quicker
        finally:
            book.close()
        self.say(f"entry {written.entry}: {written.said}")
