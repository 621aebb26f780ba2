"""The gauge, the small trend, the forecast strip and the large figures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from parts_stage import Stage, shown

from herdbook.screens.parts.digits import BigFigure, big
from herdbook.screens.parts.forecast_strip import Ahead, forecast_strip
from herdbook.screens.parts.gauge import gauge
from herdbook.screens.parts.signs import PLAIN, UNICODE
from herdbook.screens.parts.spark import scale_of, spark

# -- gauge --


def test_a_gauge_shows_the_share():
    assert gauge(641, 2642, 33).plain == "━" * 8 + "─" * 25
    assert gauge(641, 2642, 33, signs=PLAIN).plain == "=" * 8 + "-" * 25


@given(part=st.floats(0, 1e6), whole=st.floats(0.001, 1e6), cells=st.integers(2, 60))
def test_a_gauge_is_full_only_when_all_is_there_and_empty_only_when_nothing_is(part, whole, cells):
    line = gauge(part, whole, cells).plain
    assert len(line) == cells
    assert (UNICODE.rule not in line) == (part >= whole)
    assert (line == UNICODE.rule * cells) == (part == 0)
    assert line.endswith(UNICODE.off_right) == (part > whole)


def test_not_written_is_an_empty_line():
    assert gauge(None, 100, 5).plain == gauge(3, 0, 5).plain == UNICODE.rule * 5


# -- trend --


def test_a_trend_has_its_newest_value_at_the_right_and_leaves_a_missing_one_blank():
    assert spark([0, None, 6], 0, 6).plain == "     ▁ ▆"
    assert spark([0, None, 6], 0, 6, signs=PLAIN).plain == "     _ #"


def test_rows_of_one_kind_share_a_scale():
    low, high = scale_of([[1.0, 2.0], [None, 9.0]])
    assert (low, high) == (1.0, 9.0)
    assert spark([2.0], low, high, cells=1).plain < spark([9.0], low, high, cells=1).plain


def test_a_trend_without_change_lies_in_the_middle_not_at_an_edge():
    assert set(spark([4.0] * 8).plain) == {"▃"}


@given(values=st.lists(st.one_of(st.none(), st.floats()), max_size=20), cells=st.integers(0, 12))
def test_a_trend_is_as_wide_as_asked_and_never_lower_for_a_higher_value(values, cells):
    line = spark(values, cells=cells).plain
    assert len(line) == cells
    pairs = list(zip(values[-cells:] if cells else [], line[-len(values) or len(line) :], strict=False))
    drawn = [(value, UNICODE.steps.index(sign)) for value, sign in pairs if sign != " "]
    assert all(a[1] <= b[1] for a, b in zip(sorted(drawn), sorted(drawn)[1:], strict=False))


# -- strip --

POINTS = [
    Ahead("07:20", "47.2"),
    Ahead("07:35", "46.7"),
    Ahead("07:50", "46.2"),
    Ahead("08:05", "45.8"),
    Ahead("08:14", "45.5", late=True),
    Ahead("08:31", "45.0", late=True),
]


def test_the_limit_stands_where_it_falls():
    top, below = forecast_strip(POINTS, 60, unit="°F")
    assert top.plain == "Expect  07:20  07:35  07:50  08:05 ┃  08:14  08:31"
    assert below.plain == "    °F   47.2   46.7   46.2   45.8 ┃   45.5   45.0"


def test_on_a_narrow_line_the_telling_points_stay():
    top, _ = forecast_strip(POINTS, 40, unit="°F")
    assert top.plain.split() == ["Expect", "07:20", "08:05", "┃", "08:14", "08:31"]


@given(width=st.integers(1, 120), late_from=st.integers(0, 6))
def test_a_strip_is_never_wider_than_its_place(width, late_from):
    points = [point._replace(late=at >= late_from) for at, point in enumerate(POINTS)]
    lines = forecast_strip(points, width, unit="°F")
    assert len(lines) == 2
    assert all(len(line.plain) <= width for line in lines)


def test_without_points_the_strip_says_so():
    assert forecast_strip([], 60)[0].plain == "Expect: no forecast yet"


# -- large figures --


def test_large_figures_are_three_lines_and_read_as_the_figure():
    assert [line.plain for line in big("47.7")] == ["╻ ╻╺━┓ ╺━┓", "┗━┫  ┃   ┃", "  ╹  ╹•  ╹"]
    assert [line.plain.strip() for line in big("--")] == ["", "╺━╸╺━╸", ""]


def test_in_plain_signs_the_figure_is_bold_text():
    middle = big("47.7", PLAIN)[1]
    assert middle.plain == "47.7"
    assert "bold" in str(middle.style)


@given(st.text(max_size=8))
def test_large_figures_take_any_text_without_harm(text):
    lines = big(text)
    assert len(lines) == 3
    assert all(line.plain.isprintable() for line in lines)


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (40, 8)])
async def test_a_large_figure_has_its_word_below(size):
    figure = BigFigure("47.7", "°F, falling")
    async with Stage(figure).run_test(size=size) as pilot:
        assert shown(figure)[3] == "°F, falling"
        figure.show("--", "no reading yet")
        await pilot.pause()
        assert shown(figure)[3] == "no reading yet"
