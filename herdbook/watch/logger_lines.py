"""Lines of a logger as they come: their layout is found out once, then each is a reading or a line of the log."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from herdbook.chores.logger_files import dates_of, find_layout, read_rows
from herdbook.chores.logger_layouts import Given, Layout
from herdbook.chores.logger_series import Grows, series_of
from herdbook.errors import Refused
from herdbook.watch.reading_feed import Feed

MOST_FAULTS_SAID = 5


class LoggerLines:
    """The lines of one file or stream, in order, into a feed.

    Args:
        name: what it is called in the log and the book.
        given: what is told of it.
        feed: where its readings go.
        say: takes a line for the log.
    """

    def __init__(self, name: str, given: Given, feed: Feed, say: Callable[[str], None]) -> None:
        self.name = name
        self._given = given
        self._feed = feed
        self._say = say
        self._layout: Layout | None = None
        self._head: list[str] = []
        self._told = ""
        self._line = 1
        self._last_s: int | None = None

    def take(self, lines: Sequence[str]) -> None:
        """Take whole lines that came after those before.

        What cannot be understood yet is kept: more lines may tell the order of the dates or the unit.
        """
        if not lines:
            return
        if self._layout is None or not self._layout.unit:
            self._head += lines
            self._begin()
        else:
            self._read(self._layout, lines, self._line)
            self._line += len(lines)

    def leave(self, what: str) -> None:
        """Say that something is left out that is no whole line."""
        self._say(f"{self.name}: {what}. Left out.")

    def _begin(self) -> None:
        try:
            layout = self._layout or find_layout(
                self._head, self._given, self._feed.ground(), partial(dates_of, self._head)
            )
            layout = self._read(layout, self._head[layout.first_line - 1 :], layout.first_line)
        except Refused as error:
            if str(error) != self._told:
                self._say(f"{self.name}: not read yet. {error}")
            self._told = str(error)
            return
        self._layout = layout
        self._line, self._head = 1 + len(self._head), []
        for said in layout.says():
            self._say(f"{self.name}: {said}")

    def _read(self, layout: Layout, lines: Sequence[str], first_line: int) -> Layout:
        rows = read_rows(layout, lines, first_line)
        ground = self._feed.ground()
        found = series_of(rows, ground.now_s, ground.clock.iso, Grows(self._last_s))
        if len(found.series):
            self._last_s = found.series.read_at[-1]
        for fault in found.faults[:MOST_FAULTS_SAID]:
            self._say(f"{self.name}, {fault} Left out.")
        if len(found.faults) > MOST_FAULTS_SAID:
            self._say(f"{self.name}: {len(found.faults) - MOST_FAULTS_SAID} more lines left out")
        self._feed.add(zip(found.series.read_at, found.series.tank_mC, strict=True), self.name)
        why = dict(layout.why) | ({"unit": found.why_unit} if found.why_unit else {})
        is_told = layout.unit or len(rows.at)
        return replace(layout, unit=found.unit if is_told else "", decimal=rows.decimal, why=why)
