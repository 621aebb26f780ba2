"""Growth in milk is compared, never counted."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.growth_comparison import growth, lowest_temperature_degC, relative_rate
from herdbook.science.registry import rule


def test_growth_at_2_degrees_was_1_78_log_in_96_hours():
    found = growth(before=10**4.37, after=10**6.15, hours=96)
    assert found.log10_steps == pytest.approx(1.78, abs=1e-3)


def test_a_count_that_did_not_rise_has_no_doubling_time():
    """Penn State: 4,300 fresh, 4,100 after a day at 40 °F."""
    with pytest.raises(ValueError, match="did not rise"):
        growth(before=4300, after=4100, hours=24)


def test_every_growth_rule_warns_that_it_is_a_comparison():
    for key in ("growth-rate", "growth-relative", "growth-lowest-temperature"):
        assert "A comparison, not a count" in rule(key).notes


@given(warmer=st.floats(3, 19))
def test_warmer_milk_grows_faster(warmer):
    assert relative_rate(temperature=warmer + 1, reference=4, lowest=-8) > relative_rate(
        temperature=warmer, reference=4, lowest=-8
    )


@given(ratio=st.floats(1.5, 10), colder=st.floats(0, 5), gap=st.floats(2, 10))
def test_the_square_root_law_gives_its_generation_ratio_back(ratio, colder, gap):
    lowest = lowest_temperature_degC(ratio=ratio, colder=colder, warmer=colder + gap)
    assert relative_rate(temperature=colder + gap, reference=colder, lowest=lowest) == pytest.approx(ratio)
