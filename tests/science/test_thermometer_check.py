"""A thermometer that reads wrong turns a miss into a pass, so the difference is judged on its own."""

import pytest

from herdbook.science.cooling_rules import default_cooling_rule
from herdbook.science.limits_compare import at_or_under
from herdbook.science.thermometer_check import thermometer_error_hundredths_F, thermometer_is_off


def mC(degF):
    return round((degF - 32) * 5000 / 9)


@pytest.mark.parametrize(
    ("shown", "reference", "off"),
    [(42.0, 44.0, False), (42.0, 44.1, True), (47.0, 45.0, False), (47.2, 45.0, True), (40.0, 40.0, False)],
)
def test_two_degrees_fahrenheit_are_allowed_either_way(shown, reference, off):
    assert thermometer_is_off(shown_mC=mC(shown), reference_mC=mC(reference)) is off
    error = thermometer_error_hundredths_F(shown_mC=mC(shown), reference_mC=mC(reference))
    assert error == round((shown - reference) * 100)


def test_three_degrees_of_error_hide_a_missed_limit():
    """J. Milk Food Technol. 29(9):276: about a fifth of 534 tank thermometers were off by more than 3 °F."""
    limit = default_cooling_rule().clauses[1].limit
    shown, really = mC(44.0), mC(47.1)
    assert at_or_under(shown, limit)
    assert not at_or_under(really, limit)
    assert thermometer_is_off(shown_mC=shown, reference_mC=really)
