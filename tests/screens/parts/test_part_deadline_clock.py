"""The deadline clock: where its signs stand, and what it says in each state."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from parts_stage import Stage, shown

from herdbook.screens.parts.deadline_clock import (
    Deadline,
    DeadlineClock,
    badge_of,
    clock_in_one_line,
    clock_line,
    clock_lines,
    expected_words,
    left_words,
)
from herdbook.screens.parts.signs import PLAIN, UNICODE

START, LIMIT = datetime(2026, 3, 10, 6, 14), datetime(2026, 3, 10, 8, 14)


def at(clock: str) -> datetime:
    return datetime.fromisoformat(f"2026-03-10 {clock}")


def deadline(state="slow", now="07:06", expected="08:31", **more) -> Deadline:
    moment = at(expected) if expected else None
    return Deadline("45 °F by 08:14", state, at(now), START, LIMIT, moment, **more)


# Drawn by hand for 33 cells: the limit on cell 24, so 5 minutes a cell.
@pytest.mark.parametrize(
    ("state", "now", "expected", "line"),
    [
        pytest.param("running", "06:44", "07:34", "━━━━━━●─────────◆───────┃────────", id="in time"),
        pytest.param("slow", "06:44", "08:29", "━━━━━━●─────────────────┃──◆─────", id="too slow"),
        pytest.param("late", "08:23", "08:34", "━━━━━━━━━━━━━━━━━━━━━━━━┃━●─◆────", id="late"),
        pytest.param("no forecast", "06:44", None, "━━━━━━●─────────────────┃────────", id="no forecast"),
        pytest.param("slow", "06:44", "12:00", "━━━━━━●─────────────────┃───────▸", id="off the line"),
    ],
)
def test_a_clock_is_drawn_as_a_person_would_draw_it(state, now, expected, line):
    assert clock_line(deadline(state, now, expected), 33).plain == line


minutes = st.integers(-60, 1000)


@given(now=minutes, expected=minutes, cells=st.integers(1, 90))
def test_now_and_expected_stand_on_their_own_side_of_the_limit(now, expected, cells):
    moment = Deadline(
        "x", "running", LIMIT + timedelta(minutes=now), START, LIMIT, LIMIT + timedelta(minutes=expected)
    )
    line = clock_line(moment, cells).plain
    assert len(line) == max(cells, 5)
    limit = line.index(UNICODE.limit)
    if UNICODE.now in line:
        assert (line.index(UNICODE.now) > limit) == (now > 0)
    for sign in (UNICODE.expected, UNICODE.off_right):
        if sign in line:
            assert (line.index(sign) > limit) == (expected > 0)


@given(spans=st.tuples(st.integers(1, 600), st.integers(1, 600)), cells=st.integers(5, 90))
def test_the_limit_stands_at_three_quarters_whatever_the_span(spans, cells):
    one, other = (
        clock_line(Deadline("x", "running", START, START, START + timedelta(minutes=span)), cells).plain
        for span in spans
    )
    assert one.index(UNICODE.limit) == other.index(UNICODE.limit)
    assert abs(one.index(UNICODE.limit) / (cells - 1) - 0.75) <= 1 / (cells - 1)


@pytest.mark.parametrize(
    ("state", "more", "badge"),
    [
        ("waiting", {}, "waiting"),
        ("running", {}, "ok"),
        ("no forecast", {}, "no forecast yet"),
        ("slow", {}, "! too slow"),
        ("late", {}, "!! LATE"),
        ("met", {"met_at": at("07:40")}, "met 07:40"),
        ("undecided", {}, "not decided by the rule"),
    ],
)
def test_every_state_has_a_word_of_its_own(state, more, badge):
    assert badge_of(deadline(state, **more)).plain == badge


def test_left_and_late_are_said_in_minutes():
    assert left_words(deadline()) == "68 min left"
    assert left_words(deadline("late", now="08:23")) == "9 min ago"
    assert expected_words(deadline()).plain == "08:31, 17 late"


def test_late_by_seconds_is_not_said_to_be_in_time():
    hair = Deadline("x", "slow", START, START, LIMIT, LIMIT + timedelta(seconds=1))
    assert expected_words(hair).plain == "08:14, 1 late"


def test_a_note_stands_in_place_of_a_guess():
    assert (
        expected_words(deadline("no forecast", expected=None, note="read at 06:45")).plain == "read at 06:45"
    )


def test_without_a_start_there_is_only_an_empty_line():
    waiting = Deadline("First milking", "waiting", at("07:06"))
    assert clock_line(waiting, 12).plain == UNICODE.rule * 12
    assert left_words(waiting) == ""


@pytest.mark.parametrize("width", [1, 9, 30, 40, 60, 80, 200])
@pytest.mark.parametrize("signs", [UNICODE, PLAIN], ids=["unicode", "plain"])
def test_a_clock_survives_any_width(width, signs):
    for lines in (clock_lines(deadline(), width, signs), [clock_in_one_line(deadline(), width, signs)]):
        assert all(len(line.plain) <= width for line in lines)


def test_plain_signs_are_ascii():
    title = deadline(now="08:23", state="late")
    assert clock_line(title, 33, PLAIN).plain.isascii()


async def test_the_clock_on_screen_changes_when_told_and_says_late_in_words():
    clock = DeadlineClock(deadline())
    app = Stage(clock)
    async with app.run_test(size=(60, 6)) as pilot:
        assert "! too slow" in shown(clock)[0]
        clock.show(deadline("late", now="08:23"))
        await pilot.pause()
        assert "!! LATE" in shown(clock)[0]
        assert not clock.can_focus
