"""Quiet hours by the farm's wall clock, over midnight and over the nights the clocks change."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from herdbook.book.reading.alarms import AlarmRules
from herdbook.clock import FarmClock
from herdbook.watch.quiet_hours import quiet_until

ZONE = ZoneInfo("America/Chicago")
CLOCK = FarmClock("America/Chicago", 0)


def at(local: str, fold: int = 0) -> int:
    return int(datetime.fromisoformat(local).replace(tzinfo=ZONE, fold=fold).timestamp())


def rules(from_: int, to: int) -> AlarmRules:
    return AlarmRules(quiet_from_min=from_, quiet_to_min=to)


@pytest.mark.parametrize(
    ("now", "until"),
    [
        ("2026-03-10 21:59", None),
        ("2026-03-10 22:00", "2026-03-11 05:30"),
        ("2026-03-11 00:10", "2026-03-11 05:30"),
        ("2026-03-11 05:29", "2026-03-11 05:30"),
        ("2026-03-11 05:30", None),
    ],
)
def test_a_night_is_quiet_from_evening_to_morning(now: str, until: str | None) -> None:
    found = quiet_until(rules(22 * 60, 5 * 60 + 30), CLOCK, at(now))
    assert found == (None if until is None else at(until))


def test_a_midday_rest_ends_the_same_day() -> None:
    assert quiet_until(rules(12 * 60, 13 * 60), CLOCK, at("2026-03-10 12:20")) == at("2026-03-10 13:00")


def test_without_both_ends_nothing_is_quiet() -> None:
    assert quiet_until(AlarmRules(), CLOCK, at("2026-03-10 02:00")) is None
    assert quiet_until(rules(300, 300), CLOCK, at("2026-03-10 05:00")) is None


def test_an_end_that_no_clock_shows_in_spring_is_the_hour_after_it() -> None:
    assert quiet_until(rules(22 * 60, 150), CLOCK, at("2026-03-08 01:50")) == at("2026-03-08 03:30")


def test_an_end_that_comes_twice_in_autumn_counts_the_next_time_it_comes() -> None:
    assert quiet_until(rules(0, 90), CLOCK, at("2026-11-01 01:10")) == at("2026-11-01 01:30")
    assert quiet_until(rules(0, 90), CLOCK, at("2026-11-01 01:10", fold=1)) == at("2026-11-01 01:30", fold=1)
