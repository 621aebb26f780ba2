"""Loading errors are summed up with bounds that are as wide as they should be."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from herdbook.science.loading_accuracy import TURNS_OF_CHANCE, loading_accuracy, sawtooth, student_t


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 5, 8, 12, 30, 200])
def test_student_s_t_is_that_of_tables(freedom: int) -> None:
    assert student_t(freedom) == pytest.approx(stats.t.ppf(0.975, freedom), rel=0.01)


def test_bias_and_shares_worked_by_hand() -> None:
    # errors -1, 2, 5, 10: mean 4, without signs 4.5; two of four within 2, three within 5
    # squares from the mean 25 + 4 + 1 + 36 = 66, over 3 is 22; t of 3 is 3.182: 3.182 * sqrt(22 / 4) = 7.46
    found = loading_accuracy([-1, 2, 5, 10])
    assert (found.loadings, found.bias.value, found.error) == (4, 4, 4.5)
    assert found.spread == pytest.approx(22**0.5)
    assert found.bias.low == pytest.approx(4 - 7.46, abs=0.08)
    assert found.bias.high == pytest.approx(4 + 7.46, abs=0.08)
    assert (found.within_hit.value, found.within_wide.value) == (50, 75)
    low, high = stats.binomtest(2, 4).proportion_ci(method="wilson")
    assert (found.within_hit.low, found.within_hit.high) == pytest.approx((100 * low, 100 * high))


def test_one_loading_has_no_bounds_of_its_bias() -> None:
    found = loading_accuracy([3.0])
    assert found.bias == (3.0, None, None)
    assert found.spread is None


@given(st.lists(st.floats(-50, 50), min_size=2, max_size=40))
def test_values_lie_within_their_bounds(errors: list[float]) -> None:
    found = loading_accuracy(errors)
    for one in (found.bias, found.within_hit, found.within_wide):
        assert one.low is not None
        assert one.high is not None
        assert one.low - 1e-9 <= one.value <= one.high + 1e-9
    assert found.error >= abs(found.bias.value) - 1e-9


def test_days_by_chance_turn_two_times_in_three_and_a_sawtooth_every_time() -> None:
    dice = random.Random(5)
    chance = sawtooth([dice.gauss(24, 1) for _ in range(6000)])
    assert chance.turns == pytest.approx(TURNS_OF_CHANCE, abs=2)
    saw = sawtooth([23.0, 25.0] * 5)
    assert saw.turns == 100
    assert saw.step == pytest.approx(100 * 2 / 24)
    assert sawtooth([20.0, 21.0, 22.0, 23.0]).turns == 0


def test_a_day_not_known_breaks_the_row() -> None:
    assert sawtooth([20.0, None, 22.0, None]) == (2, None, None)
    found = sawtooth([20.0, 22.0, None, 22.0, 20.0])
    assert found.days == 4
    assert found.step == pytest.approx(100 * 2 / 21)
    assert found.turns is None
