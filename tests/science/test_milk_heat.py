"""Heat, pre-cooling and blends: published and derived figures, and what any answer must obey."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import constants

from herdbook.errors import Refused
from herdbook.science.milk_heat import BTU_KJ, LB_KG, SPECIFIC_HEAT, TON_KW, duty_kW, heat_kJ, hours_at_power
from herdbook.science.milk_properties import GAL_L, milk_volume_gal, milk_weight_lb, pounds_per_gallon
from herdbook.science.plate_cooler import plate_cooler, pre_cooled_percent
from herdbook.science.registry import rule
from herdbook.science.tank_blend import blend_degC, blend_heat, equal_milkings_blend_degC, warmest_let_in_degC
from herdbook.science.tank_insulation import insulation_passes, rise_in_4_h_degC

warmth = st.floats(0, 45)
kg = st.floats(1, 30_000)


def to_degC(degF):
    return (degF - 32) * 5 / 9


def test_units_agree_with_a_reference_library():
    assert pytest.approx(constants.lb) == LB_KG
    assert pytest.approx(constants.Btu / 1000) == BTU_KJ
    assert pytest.approx(constants.gallon_US * 1000) == GAL_L
    assert pytest.approx(12_000 * constants.Btu / 3600 / 1000) == TON_KW
    assert constants.convert_temperature(7, "C", "F") == pytest.approx(44.6, abs=1e-6)
    assert constants.convert_temperature(40, "F", "C") == pytest.approx(4.44444, abs=1e-5)


def test_0_93_btu_a_pound_is_3_89372_kilojoules_a_kilogram():
    assert pytest.approx(3.89372, abs=1e-5) == SPECIFIC_HEAT


def test_56_btu_a_pound_are_130_kilojoules_a_kilogram_and_not_the_printed_27():
    """extension.org prints 56 Btu/lb as 27 kJ/kg: it divided by 2.2046 where it should multiply."""
    per_kg = heat_kJ(milk=1, warm=to_degC(98), cold=to_degC(38))
    assert pytest.approx(130.256, abs=1e-3) == 56 * BTU_KJ / LB_KG
    assert per_kg == pytest.approx(130.256, abs=0.5 * BTU_KJ / LB_KG)
    assert per_kg > 100


def test_the_first_and_second_hour_of_the_older_3_a_test():
    """1,000 gal tank filled to half, 4,300 lb: 159,960 Btu or 13.33 tons, then 39,990 Btu."""
    half = milk_weight_lb(volume=500) * LB_KG
    first = heat_kJ(milk=half, warm=to_degC(90), cold=to_degC(50)) / BTU_KJ
    second = heat_kJ(milk=half, warm=to_degC(50), cold=to_degC(40)) / BTU_KJ
    assert first == pytest.approx(159_960, abs=1)
    assert second == pytest.approx(39_990, abs=1)
    assert first / 12_000 == pytest.approx(13.33, abs=0.005)


def test_a_thousand_litres_from_35_to_4_degrees_are_34_59_kwh():
    assert heat_kJ(milk=1030, warm=35, cold=4, specific_heat=3.9) / 3600 == pytest.approx(34.5908, rel=1e-4)


def test_8_6_pounds_a_gallon_is_1_03051_kilograms_a_litre():
    assert milk_weight_lb(volume=1) * LB_KG / GAL_L == pytest.approx(1.03051, abs=1e-5)
    assert milk_volume_gal(weight=100) == pytest.approx(11.6279, abs=1e-4)


def test_the_convention_understates_cold_milk_by_up_to_0_8_percent():
    heaviest = pounds_per_gallon(density=1.0386)
    assert 100 * (heaviest / 8.6 - 1) == pytest.approx(0.8, abs=0.05)


@given(milk=kg, warm=warmth, cold=warmth, hours=st.floats(0.1, 24))
def test_duty_times_time_is_the_heat_and_time_at_that_duty_comes_home(milk, warm, cold, hours):
    assume(warm - cold > 0.01)
    duty = duty_kW(milk=milk, warm=warm, cold=cold, hours=hours)
    assert duty * hours * 3600 == pytest.approx(heat_kJ(milk=milk, warm=warm, cold=cold))
    assert hours_at_power(milk=milk, warm=warm, cold=cold, power=duty) == pytest.approx(hours)


# Plate cooler ----------------------------------------------------------------------------------------------

COOLER = {"milk_flow": 100, "milk_in": 35, "milk_out": 20, "water_flow": 200, "water_in": 12}


def test_the_milk_gives_what_the_water_takes():
    found = plate_cooler(**COOLER)
    assert found.heat_kW == pytest.approx(200 / 60 * 4.186 * (found.water_out_degC - 12))
    assert found.water_to_milk == 2


@pytest.mark.parametrize("wrong", [{"milk_out": 36}, {"water_flow": 20}])
def test_milk_that_warms_and_water_warmer_than_the_milk_are_refused(wrong):
    with pytest.raises(ValueError, match="warmer"):
        plate_cooler(**COOLER | wrong)


def test_wells_of_55_degrees_save_60_percent_when_milk_leaves_at_62():
    """University of Wisconsin Extension: up to 60 %; from 98 to a tank of 38 °F."""
    found = pre_cooled_percent(milk_in=to_degC(98), milk_out=to_degC(62), tank=to_degC(38))
    assert found == pytest.approx(60, abs=0.5)


def test_more_milk_through_the_same_cooler_is_cooled_less():
    """Fleming and O'Keeffe 1986: water 3,000 L/h; 682, 1,364, 2,728 L/h of milk: 22.2, 25.8, 29.2 °C."""
    shares = [pre_cooled_percent(milk_in=35, milk_out=out, tank=4) for out in (22.2, 25.8, 29.2)]
    assert shares == sorted(shares, reverse=True)


# Blend -----------------------------------------------------------------------------------------------------


@given(held=kg, held_at=warmth, added=kg, added_at=warmth)
def test_a_blend_lies_between_its_parts(held, held_at, added, added_at):
    coldest, warmest = sorted((held_at, added_at))
    blend = blend_degC(held=held, held_at=held_at, added=added, added_at=added_at)
    assert coldest - 1e-9 <= blend <= warmest + 1e-9


@given(held=kg, held_at=st.floats(0, 9), added=kg, limit=st.floats(9.5, 15))
def test_the_warmest_milk_let_in_blends_to_the_limit(held, held_at, added, limit):
    warmest = warmest_let_in_degC(held=held, held_at=held_at, added=added, limit=limit)
    assert blend_degC(held=held, held_at=held_at, added=added, added_at=warmest) == pytest.approx(limit)


@given(milking=st.integers(2, 12), held_at=st.floats(0, 8), added_at=st.floats(10, 38))
def test_the_blend_of_equal_milkings_is_a_blend_by_mass(milking, held_at, added_at):
    by_mass = blend_degC(held=1000 * (milking - 1), held_at=held_at, added=1000, added_at=added_at)
    assert equal_milkings_blend_degC(milking=milking, held_at=held_at, added_at=added_at) == pytest.approx(
        by_mass
    )


def test_only_the_second_to_fourth_equal_milking_passes_50_degrees():
    found = [
        equal_milkings_blend_degC(milking=milking, held_at=to_degC(38), added_at=35) > 10
        for milking in range(2, 8)
    ]
    assert found == [True, True, True, False, False, False]


def test_a_blend_under_the_limit_needs_no_cooling():
    found = blend_heat(held=9000, held_at=3, added=500, added_at=35, limit=10, hours=2)
    assert found == (0, 0)


def test_every_registered_heat_rule_refuses_milk_from_an_oven():
    with pytest.raises(Refused, match="warm"):
        rule("milk-heat").compute(milk=100, warm=99, cold=4)


def test_a_blend_of_nothing_is_refused():
    with pytest.raises(Refused):
        rule("blend-temperature").compute(held=0, held_at=3, added=0, added_at=35)


def test_the_warm_density_line_is_refused_where_it_was_not_measured():
    with pytest.raises(Refused, match="range the source covers"):
        rule("milk-density-warm").compute(known_density=1.03, known_at=20, temperature=4)
    assert math.isfinite(
        rule("milk-density-warm").compute(known_density=1.03, known_at=20, temperature=30).value
    )


@pytest.mark.parametrize(
    ("kelvin", "celsius", "fahrenheit"),
    [(277.3, 4.15, 39.47), (286.8, 13.65, 56.57), (277.4, 4.25, 39.65), (281.9, 8.75, 47.75)],
)
def test_the_measured_tank_of_2006_in_degrees(kelvin, celsius, fahrenheit):
    """Basiouny & Abdallah, Misr J. Agric. Eng. 24(4):956-977, in kelvin."""
    assert constants.convert_temperature(kelvin, "K", "C") == pytest.approx(celsius, abs=0.01)
    assert constants.convert_temperature(kelvin, "K", "F") == pytest.approx(fahrenheit, abs=0.01)


@pytest.mark.parametrize(("end", "passes"), [(4.9, True), (5.0, True), (5.01, False)])
def test_a_full_tank_may_warm_by_one_degree_in_four_hours(end, passes):
    """AS 1187:1996, insulation clause."""
    assert insulation_passes(rise=rise_in_4_h_degC(start=4.0, end=end, hours=4)) is passes
