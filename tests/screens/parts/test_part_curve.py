"""The curve: heights, limits, gaps, forecast, and both sign sets."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from parts_stage import Stage, shown

from herdbook.screens.parts.curve import AXIS_CELLS, Curve, CurveSheet, LimitLine, curve
from herdbook.screens.parts.signs import PLAIN, UNICODE

# Eleven columns of one second, rows of one degree from 0 to 4 (five rows), and the axis below.
SHEET = CurveSheet(first_s=0, last_s=10, lowest=0, highest=4, gap_s=5)
SIZE = (AXIS_CELLS + 11, 6)


def plot(sheet: CurveSheet, signs=UNICODE) -> list[str]:
    return [line.plain[AXIS_CELLS:] for line in curve(sheet, *SIZE, signs)[:-1]]


@pytest.mark.parametrize(("level", "sign"), [(2 - 1 / 3, "▁"), (2.0, "─"), (2 + 1 / 3, "▔")])
def test_a_row_has_three_heights(level, sign):
    rows = plot(replace(SHEET, forecast=[(0, level), (10, level)]))
    assert rows[2].startswith(f"{sign} {sign}")


def test_readings_are_dots_and_the_line_joins_them():
    rows = plot(replace(SHEET, readings=[(0, 2), (4, 2)]))
    assert rows[2].rstrip() == "●───●"


def test_a_gap_is_left_as_a_gap():
    rows = plot(replace(SHEET, readings=[(0, 2), (2, 2), (9, 2)]))
    assert rows[2].rstrip() == "●─●      ●"


def test_forecast_is_spaced_and_never_a_solid_line():
    row = plot(replace(SHEET, forecast=[(2, 2), (10, 2)]))[2]
    assert row == "  ─ ─ ─ ─ ─"


def test_the_deadline_crosses_its_limit_line_and_the_expected_moment_stands_after_it():
    late = replace(
        SHEET,
        limits=[LimitLine(2, "max")],
        deadline_s=6,
        deadline_level=2,
        expected=(6.2, 2),
    )
    rows = plot(late)
    assert rows[2][6] == "┃"
    assert rows[2].index("◆") == 7
    assert [row[6] for row in rows[:2]] == ["│", "│"]


def test_what_is_off_the_scale_is_an_arrow_at_the_edge_not_left_out():
    rows = plot(replace(SHEET, readings=[(3, 40), (8, -40)], gap_s=1))
    assert rows[0][3] == UNICODE.rising
    assert rows[-1][8] == UNICODE.falling


@given(level=st.floats(-5, 9, allow_nan=False))
def test_the_same_level_stands_in_the_same_row_whatever_else_is_drawn(level):
    alone = plot(replace(SHEET, readings=[(5, level)]))
    among = plot(replace(SHEET, readings=[(0, 0), (5, level), (10, 4)], gap_s=1))
    assert [row[5] for row in alone] == [row[5] for row in among]


def test_levels_and_times_are_named_at_the_axes():
    sheet = replace(SHEET, levels=[(2, "45")], times=[(0, "04:00"), (10, "05:00")], unit="°F")
    lines = [line.plain for line in curve(sheet, *SIZE)]
    assert lines[2].startswith("  45 ")
    assert lines[0].startswith("  °F ")
    assert lines[-1].split() == ["04:00", "05:00"]


def test_times_that_would_run_into_each_other_are_left_out():
    sheet = replace(SHEET, times=[(0, "04:00"), (1, "04:30"), (10, "05:00")])
    assert curve(sheet, *SIZE)[-1].plain.split() == ["04:00", "05:00"]


def test_plain_signs_are_ascii():
    sheet = replace(
        SHEET,
        readings=[(0, 1), (3, 3), (5, 2.5)],
        forecast=[(5, 2.5), (10, 1)],
        limits=[LimitLine(2, "max")],
        deadline_s=7,
        deadline_level=2,
        expected=(8, 2),
    )
    assert all(line.plain.isascii() for line in curve(sheet, *SIZE, PLAIN))


sizes = st.tuples(st.integers(0, 90), st.integers(0, 25))
points = st.lists(st.tuples(st.floats(-5, 20), st.floats(-10, 20)), max_size=6).map(sorted)


@given(size=sizes, readings=points, forecast=points)
def test_a_curve_fits_any_place(size, readings, forecast):
    sheet = replace(SHEET, readings=readings, forecast=forecast, limits=[LimitLine(3, "a very long word")])
    lines = curve(sheet, *size)
    assert len(lines) == size[1]
    assert all(len(line.plain) <= size[0] for line in lines)


async def test_a_curve_fills_its_place_and_shows_the_next_sheet():
    widget = Curve(replace(SHEET, readings=[(0, 2)]))
    app = Stage(widget)
    async with app.run_test(size=(40, 12)) as pilot:
        assert len(shown(widget)) == 12
        assert sum(line.count("●") for line in shown(widget)) == 1
        widget.show(replace(SHEET, readings=[(0, 2), (9, 2)]))
        await pilot.pause()
        assert sum(line.count("●") for line in shown(widget)) == 2


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (40, 10), (20, 3)])
async def test_a_curve_draws_itself_for_the_size_it_gets(size):
    seen = []

    def sheet(width: int, height: int) -> CurveSheet:
        seen.append((width, height))
        return SHEET

    async with Stage(Curve(sheet)).run_test(size=size):
        assert seen[-1] == size
