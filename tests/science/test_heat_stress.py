"""Heat indices against each other and a psychrometrics library."""

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.heat_stress import heat_word, thi_dew_point, thi_humidity, thi_nrc

psychrolib.SetUnitSystem(psychrolib.SI)
air = st.floats(10, 42)
humidity = st.floats(10, 100)


@given(air, humidity)
def test_the_two_humidity_forms_agree_within_what_is_said(air, humidity):
    assert abs(thi_nrc(air=air, humidity=humidity) - thi_humidity(air=air, humidity=humidity)) <= 0.29


@given(st.floats(20, 34), st.floats(30, 70))
def test_the_dew_point_form_stays_within_three_points_on_a_summer_day(air, humidity):
    dew_point = psychrolib.GetTDewPointFromRelHum(air, humidity / 100)
    assert thi_dew_point(air=air, dew_point=dew_point) == pytest.approx(
        thi_nrc(air=air, humidity=humidity), abs=3
    )


@given(st.floats(20, 40), st.floats(10, 90), st.floats(0.5, 10))
def test_damper_and_warmer_are_worse(air, humidity, more):
    here = thi_nrc(air=air, humidity=humidity)
    assert thi_nrc(air=air, humidity=humidity + more) > here
    assert thi_nrc(air=air + more, humidity=humidity) > here


@given(st.floats(15, 40), humidity)
def test_wetting_by_the_wet_bulb_never_reads_hotter_than_saturated_air(air, humidity):
    wet_bulb = psychrolib.GetTWetBulbFromRelHum(air, humidity / 100, 101_325)
    saturated = thi_nrc(air=wet_bulb, humidity=100)
    assert saturated <= thi_nrc(air=air, humidity=100) + 1e-6


def test_fahrenheit_form_is_the_same():
    # TF - (0.55 - 0.0055 RH)(TF - 58)
    for fahrenheit, share in ((72, 45), (90, 60), (100, 20)):
        in_fahrenheit = fahrenheit - (0.55 - 0.0055 * share) * (fahrenheit - 58)
        assert thi_nrc(air=(fahrenheit - 32) / 1.8, humidity=share) == pytest.approx(in_fahrenheit)


@pytest.mark.parametrize(
    ("thi", "word"),
    [(60, "none"), (67.9, "none"), (68, "mild"), (72, "moderate"), (79.9, "moderate"), (80, "severe")],
)
def test_words_for_heat(thi, word):
    assert heat_word(thi) == word
