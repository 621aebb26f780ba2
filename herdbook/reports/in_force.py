"""What was in force on each day of a span, asked of the book only as often as it changed."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from datetime import date, timedelta
from typing import Generic, TypeVar

Fact = TypeVar("Fact")


class InForce(Generic[Fact]):
    """The newest fact of each thing on each day of a span.

    A newest fact is never followed by an older one, so where both ends of a stretch have the same, every day
    between has it too: a dry matter that changes weekly is asked some fifty times a year, one that stays twice.

    Args:
        ask: thing and day -> the fact in force, none where there is none yet.
        same: tells facts apart, such as by the entries under them.
        first: first day of the span.
        last: last day of the span.
    """

    def __init__(
        self,
        ask: Callable[[int, date], Fact | None],
        same: Callable[[Fact], Hashable],
        first: date,
        last: date,
    ) -> None:
        self._ask, self._same, self._span = ask, same, (first, last)
        self._known: dict[int, dict[date, Fact | None]] = {}

    def on(self, thing: int, day: date) -> Fact | None:
        """The fact of a thing in force on a day of the span."""
        if thing not in self._known:
            first, last = self._span
            days = self._known[thing] = {}
            days[first], days[last] = self._ask(thing, first), self._ask(thing, last)
            self._fill(thing, first, last)
        return self._known[thing][day]

    def _fill(self, thing: int, first: date, last: date) -> None:
        days = self._known[thing]
        between = (last - first).days - 1
        if between < 1:
            return
        before, after = days[first], days[last]
        is_same = before is not None and after is not None and self._same(before) == self._same(after)
        if is_same or (before is None and after is None):
            days |= {first + timedelta(days=place): before for place in range(1, between + 1)}
            return
        middle = first + timedelta(days=(between + 1) // 2)
        days[middle] = self._ask(thing, middle)
        self._fill(thing, first, middle)
        self._fill(thing, middle, last)
