"""Farm time: typed days and times, the farm's own day, and the two nights a year on which clocks change."""

from __future__ import annotations

from contextlib import suppress
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.clock import FarmClock, parse_day, parse_moment, shown_day, span_words, utc_now, zone
from herdbook.errors import Refused

CHICAGO, BERLIN, AUCKLAND, HAVANA = "America/Chicago", "Europe/Berlin", "Pacific/Auckland", "America/Havana"
NOW = int(datetime(2026, 3, 10, 15, 0, tzinfo=UTC).timestamp())  # Tuesday, 10:00 in Chicago
FARM = FarmClock(CHICAGO)


def utc(*when: int) -> int:
    """UTC seconds of a UTC wall clock."""
    return int(datetime(*when, tzinfo=UTC).timestamp())  # type: ignore[misc]


def moment(text: str, clock: FarmClock = FARM, now_s: int = NOW) -> int:
    return parse_moment(text, clock=clock, now_s=now_s, field="read")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", NOW),
        ("now", NOW),
        ("NOW", NOW),
        ("640", utc(2026, 3, 10, 11, 40)),
        ("6.40", utc(2026, 3, 10, 11, 40)),
        ("06:40", utc(2026, 3, 10, 11, 40)),
        ("6h40", utc(2026, 3, 10, 11, 40)),
        ("0000", utc(2026, 3, 10, 5, 0)),
        ("-15", NOW - 900),
        ("−15", NOW - 900),
        ("y 1810", utc(2026, 3, 9, 23, 10)),
        ("yest 1810", utc(2026, 3, 9, 23, 10)),
        ("-1 1810", utc(2026, 3, 9, 23, 10)),
        ("9 1012", utc(2026, 3, 9, 15, 12)),
        ("9 mar 1012", utc(2026, 3, 9, 15, 12)),
        ("mon 0610", utc(2026, 3, 9, 11, 10)),
        ("2026-03-09 10:12", utc(2026, 3, 9, 15, 12)),
        ("2026-03-09T10:12", utc(2026, 3, 9, 15, 12)),
        ("2026-03-09T10:12:00-05:00", utc(2026, 3, 9, 15, 12)),
        ("2026-03-09T15:12:00Z", utc(2026, 3, 9, 15, 12)),
        ("2026-03-07 10:12", utc(2026, 3, 7, 16, 12)),  # winter time still
    ],
)
def test_typed_times_mean_what_people_mean(text: str, expected: int) -> None:
    assert moment(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("today", date(2026, 3, 10)),
        ("", date(2026, 3, 10)),
        ("y", date(2026, 3, 9)),
        ("yesterday", date(2026, 3, 9)),
        ("-2", date(2026, 3, 8)),
        ("+1", date(2026, 3, 11)),
        ("tue", date(2026, 3, 10)),
        ("Wednesday", date(2026, 3, 4)),
        ("9", date(2026, 3, 9)),
        ("11", date(2026, 2, 11)),
        ("3 mar", date(2026, 3, 3)),
        ("3. march", date(2026, 3, 3)),
        ("3 sept", date(2026, 9, 3)),
        ("28 dec", date(2025, 12, 28)),
        ("3 mar 2025", date(2025, 3, 3)),
        ("2026-03-01", date(2026, 3, 1)),
        ("2026-3-1", date(2026, 3, 1)),
    ],
)
def test_typed_days_mean_what_people_mean(text: str, expected: date) -> None:
    assert parse_day(text, today=date(2026, 3, 10)) == expected


@pytest.mark.parametrize(
    "text",
    ["2026-02-30", "31 feb", "32", "0", "monkey", "marzipan", "3 marzipan", "mo", "3 ma", "tomorrow morning",
     "2026-13-01", "1850-01-01", "9999-01-01", "-99999", "x" * 500, "\x1b[31mx", "10/3", "٣"],
)  # fmt: skip
def test_what_is_no_day_is_refused_with_the_field_named(text: str) -> None:
    with pytest.raises(Refused) as refused:
        parse_day(text, today=date(2026, 3, 10), field="since")
    assert refused.value.field == "since"
    assert refused.value.message.startswith("since: ")


@pytest.mark.parametrize(
    "text",
    ["25:00", "640x", "1260", "6", "noon", "y", "9999", "2026-02-30 10:00", "0001-01-01T00:00:00Z",
     "9999-12-31T23:59:59Z", "0001-01-01T00:00:00+14:00", "2026-03-09T10:12:00+99:00", "-99999",
     "640" + " " * 5 + "x" * 50, "٦٤٠", "money 0640"],
)  # fmt: skip
def test_what_is_no_time_is_refused_with_the_field_named(text: str) -> None:
    with pytest.raises(Refused) as refused:
        moment(text)
    assert refused.value.field == "read"
    assert refused.value.message.startswith("read: ")


@given(st.text(max_size=60) | st.text(st.sampled_from("0123456789-:. TtZzyb+nowmaresun"), max_size=40))
def test_whatever_is_typed_is_a_time_or_refused_and_nothing_else(text: str) -> None:
    for clock in (FARM, FarmClock(AUCKLAND, 270), FarmClock(HAVANA)):
        with suppress(Refused):
            clock.iso(moment(text, clock))
        with suppress(Refused):
            parse_day(text, today=date(2026, 3, 31))


NIGHTS = {  # zone -> clocks forward at, clocks back at, as UTC instants (tz database)
    CHICAGO: (utc(2026, 3, 8, 8), utc(2026, 11, 1, 7)),
    BERLIN: (utc(2026, 3, 29, 1), utc(2026, 10, 25, 1)),
    AUCKLAND: (utc(2026, 9, 26, 14), utc(2026, 4, 4, 14)),
    HAVANA: (utc(2026, 3, 8, 5), utc(2026, 11, 1, 5)),  # at midnight, which then does not exist
}


@pytest.mark.parametrize("name", NIGHTS)
def test_the_hour_that_no_clock_shows_is_refused(name: str) -> None:
    clock, forward = FarmClock(name), NIGHTS[name][0]
    gap = clock.local(forward - 1).replace(tzinfo=None) + timedelta(seconds=1, minutes=30)
    with pytest.raises(Refused, match="clocks went forward"):
        moment(gap.strftime("%Y-%m-%d %H:%M"), clock, forward + 86_400)


@pytest.mark.parametrize("name", NIGHTS)
def test_the_doubled_hour_is_the_first_one_unless_b_is_typed(name: str) -> None:
    clock, back = FarmClock(name), NIGHTS[name][1]
    twice = clock.local(back + 1800).replace(tzinfo=None)
    typed = twice.strftime("%Y-%m-%d %H:%M")
    assert moment(f"{typed}b", clock, back + 86_400) == back + 1800
    assert moment(typed, clock, back + 86_400) == back - 1800


@pytest.mark.parametrize("day_start_min", [0, 30, 150, 270, 1439])
@pytest.mark.parametrize("name", NIGHTS)
def test_farm_days_follow_each_other_without_gap_or_overlap_on_both_nights(
    name: str, day_start_min: int
) -> None:
    clock = FarmClock(name, day_start_min)
    for change in NIGHTS[name]:
        around = range(change - 2 * 86_400, change + 2 * 86_400, 600)
        days = [clock.farm_day(instant) for instant in around]
        assert days == sorted(days)
        for instant, day in zip(around, days, strict=True):
            assert clock.day_starts(day) <= instant < clock.day_starts(day + timedelta(days=1))
        begins = clock.day_starts(clock.local(change).date())
        assert clock.farm_day(begins) == clock.farm_day(begins - 1) + timedelta(days=1)


def test_an_ordinary_farm_day_begins_at_its_own_minute() -> None:
    clock = FarmClock(CHICAGO, 270)
    assert clock.day_starts(date(2026, 3, 10)) == utc(2026, 3, 10, 9, 30)
    assert clock.farm_day(utc(2026, 3, 10, 9, 29)) == date(2026, 3, 9)
    assert clock.farm_day(utc(2026, 3, 10, 9, 30)) == date(2026, 3, 10)


def test_the_days_of_the_two_nights_have_23_and_25_hours() -> None:
    spring, autumn = date(2026, 3, 8), date(2026, 11, 1)
    for day, hours in ((spring, 23), (autumn, 25), (date(2026, 3, 9), 24)):
        assert FARM.day_starts(day + timedelta(days=1)) - FARM.day_starts(day) == hours * 3600


@given(
    st.integers(utc(1990, 1, 3), utc(2199, 12, 28)),
    st.sampled_from(sorted(NIGHTS)),
    st.sampled_from([0, 150, 270]),
)
def test_every_instant_comes_back_from_its_iso_text(instant: int, name: str, day_start_min: int) -> None:
    clock = FarmClock(name, day_start_min)
    assert moment(clock.iso(instant), clock) == instant
    day = clock.farm_day(instant)
    assert clock.day_starts(day) <= instant < clock.day_starts(day + timedelta(days=1))


@pytest.mark.parametrize(
    "name", ["", "Mars/Base", "../../etc/passwd", "America", "\x00", "x" * 300, "America/Chicago "]
)
def test_a_zone_that_is_none_is_refused(name: str) -> None:
    with pytest.raises(Refused) as refused:
        zone(name)
    assert refused.value.field == "time zone"


@pytest.mark.parametrize(
    ("instant", "expected"),
    [
        (NOW, "10:00"),
        (NOW - 86_400, "Mon 10:00"),
        (NOW - 8 * 86_400, "2 Mar 09:00"),
        (NOW - 400 * 86_400, "2025-02-03 09:00"),
        (NOW + 86_400, "Wed 10:00"),
    ],
)
def test_times_are_shown_no_longer_than_needed(instant: int, expected: str) -> None:
    assert FARM.shown(instant, today=date(2026, 3, 10)) == expected


def test_a_day_is_read_back_with_its_weekday() -> None:
    assert shown_day(date(2026, 3, 10)) == "Tue 10 Mar"


@pytest.mark.parametrize(
    ("seconds", "expected"),
    [
        (0, "0 min"),
        (4080, "68 min"),
        (19_200, "5 h 20 min"),
        (7200, "2 h"),
        (-900, "15 min"),
        (259_200, "3 days"),
    ],
)
def test_spans_are_said_as_people_say_them(seconds: int, expected: str) -> None:
    assert span_words(seconds) == expected


def test_the_programs_clock_is_in_utc() -> None:
    assert utc_now().utcoffset() == timedelta(0)
