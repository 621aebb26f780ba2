"""What was in force on each day is right on every day, and asked only as often as it changed."""

from __future__ import annotations

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from herdbook.reports.in_force import InForce

FIRST = date(2026, 1, 1)


@given(changes=st.sets(st.integers(-5, 130), max_size=12), days=st.integers(1, 120))
def test_every_day_has_what_asking_that_day_would_give(changes: set[int], days: int) -> None:
    asked = []

    def ask(thing: int, day: date) -> int | None:
        asked.append(day)
        return max((change for change in changes if change <= (day - FIRST).days), default=None)

    last = FIRST + timedelta(days=days - 1)
    found = InForce(ask, lambda change: change, FIRST, last)
    got = [found.on(7, FIRST + timedelta(days=place)) for place in range(days)]
    assert got == [max((c for c in changes if c <= place), default=None) for place in range(days)]
    inside = sum(0 < change < days for change in changes)
    assert len(asked) <= 2 + 8 * inside  # each change is found by halving: 2 to the 7th is 128 days
