"""Freezing point: degrees Hortvet are not degrees C, and water shows."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.freezing_point import (
    added_water_percent,
    degC_to_hortvet,
    freezes_too_warm,
    hortvet_to_degC,
    hortvet_to_degC_older,
)


@given(hortvet=st.floats(-0.62, -0.42))
def test_hortvet_and_celsius_come_home(hortvet):
    assert degC_to_hortvet(celsius=hortvet_to_degC(hortvet=hortvet)) == pytest.approx(hortvet)


def test_the_scale_keeps_its_two_fixed_points():
    assert hortvet_to_degC(hortvet=-0.422) == pytest.approx(-0.4074)
    assert hortvet_to_degC(hortvet=-0.621) == pytest.approx(-0.5996)


def test_degrees_hortvet_are_not_degrees_celsius():
    """A laboratory that prints degrees means Hortvet; taken for Celsius, sound milk would look watered."""
    sound = hortvet_to_degC(hortvet=-0.530)
    assert not freezes_too_warm(hortvet=-0.530)
    assert freezes_too_warm(hortvet=sound)


def test_the_older_line_is_0_0007_away():
    gap = hortvet_to_degC(hortvet=-0.525) - hortvet_to_degC_older(hortvet=-0.525)
    assert gap == pytest.approx(0.0007, abs=0.00005)


@pytest.mark.parametrize(
    ("hortvet", "warm"), [(-0.525, False), (-0.524, True), (-0.5254, False), (-0.540, False)]
)
def test_the_legal_limit_is_minus_0_525_hortvet(hortvet, warm):
    assert freezes_too_warm(hortvet=hortvet) is warm


@given(base=st.floats(-0.56, -0.51), share=st.floats(0, 0.3))
def test_added_water_is_the_share_that_lifted_the_freezing_point(base, share):
    assert added_water_percent(base=base, found=base * (1 - share)) == pytest.approx(100 * share, abs=1e-9)
