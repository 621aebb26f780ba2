"""A stick chart is read straight between its marks and nowhere else."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import interp1d

from herdbook.errors import Refused
from herdbook.science.milk_properties import milk_weight_lb
from herdbook.science.stick_chart import (
    StickChart,
    between_marks_gal,
    chart_tolerance_gal,
    division_worth_gal,
    weight_difference_percent,
    weight_watch,
)

CHART = StickChart.of([(33, 337), (34, 345), (30, 310)])


def test_33_and_a_quarter_inches_are_339_gallons_exactly():
    """State of Wisconsin, storage-tank operator training: 33 in is 337, 34 in is 345 gal."""
    assert CHART.amount(Fraction(133, 4)) == 339
    assert between_marks_gal(lower=33, lower_amount=337, upper=34, upper_amount=345, reading=33.25) == 339


@pytest.mark.parametrize(("reading", "amount"), [(30, 310), (33, 337), (34, 345)])
def test_a_mark_is_what_the_chart_says(reading, amount):
    assert CHART.amount(reading) == amount


@pytest.mark.parametrize("reading", [Fraction(2999, 100), Fraction(3401, 100), 0, -1])
def test_outside_the_chart_is_refused_and_never_drawn_on(reading):
    with pytest.raises(Refused, match="outside the chart") as refused:
        CHART.amount(reading)
    assert refused.value.field == "stick"


@pytest.mark.parametrize(
    ("pairs", "says"),
    [
        ([(1, 10)], "two marks"),
        ([(1, 10), (1, 12)], "twice"),
        ([(1, 10), (2, 10)], "does not rise"),
        ([], "two marks"),
    ],
)
def test_a_chart_that_cannot_be_is_refused(pairs, says):
    with pytest.raises(Refused, match=says):
        StickChart.of(pairs)


charts = st.lists(st.tuples(st.integers(1, 50), st.integers(1, 90)), min_size=2, max_size=12).map(
    lambda steps: [
        (sum(rise for rise, _ in steps[: k + 1]), sum(more for _, more in steps[: k + 1]))
        for k in range(len(steps))
    ]
)


@given(pairs=charts, share=st.fractions(0, 1))
def test_reading_a_chart_agrees_with_a_reference_library(pairs, share):
    reading = pairs[0][0] + (pairs[-1][0] - pairs[0][0]) * share
    line = interp1d([mark for mark, _ in pairs], [amount for _, amount in pairs])
    assert float(StickChart.of(pairs).amount(reading)) == pytest.approx(float(line(float(reading))), abs=1e-9)


@given(pairs=charts, shares=st.tuples(st.fractions(0, 1), st.fractions(0, 1)))
def test_more_stick_is_more_milk(pairs, shares):
    chart, low = StickChart.of(pairs), pairs[0][0]
    first, second = (low + (pairs[-1][0] - low) * share for share in sorted(shares))
    assert chart.amount(first) <= chart.amount(second)


@pytest.mark.parametrize(
    ("draft", "gallons", "pounds"),
    [
        (250, 0.5, 4.3),
        (251, 1, 8.6),
        (500, 1, 8.6),
        (501, 2, 17.2),
        (1000, 2, 17.2),
        (1500, 3, 25.8),
        (1501, 4, 34.4),
        (2000, 4, 34.4),
        (2500, 5, 43),
    ],
)
def test_the_tolerance_bands_of_maryland(draft, gallons, pounds):
    """COMAR 15.03.04.05."""
    assert chart_tolerance_gal(draft=draft) == gallons
    assert milk_weight_lb(volume=gallons) == pytest.approx(pounds)


def test_a_tolerance_is_never_less_than_one_division_of_the_rod():
    worth = division_worth_gal(division=1 / 32, length=96, width=60)
    assert milk_weight_lb(volume=worth) == pytest.approx(6.70130, abs=1e-5)
    assert chart_tolerance_gal(draft=200, division_worth=worth) == worth
    assert chart_tolerance_gal(draft=2500, division_worth=worth) == 5


@pytest.mark.parametrize(
    ("plant", "percent", "watch"),
    [
        (9_975, 0.25, "in line"),
        (9_965, 0.35, "in line"),
        (9_960, 0.40, "watch"),
        (9_950, 0.50, "watch"),
        (9_949, 0.51, "look into it"),
        (10_060, -0.60, "look into it"),
    ],
)
def test_farm_10_000_pounds_against_the_plant(plant, percent, watch):
    """J. Dairy Sci. 46(2):161: 0.25 to 0.50 % is satisfactory, steadily above 0.35 % deserves a look."""
    found = weight_difference_percent(farm=10_000, plant=plant)
    assert found == pytest.approx(percent)
    assert weight_watch(found) == watch
