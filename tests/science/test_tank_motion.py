"""The tank's heat balance against curves worked out by hand from textbook algebra, and against itself in steps."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.milk_heat import BTU_KJ, SPECIFIC_HEAT
from herdbook.science.tank_motion import Cooler, HEAT_kWh, Pour, hours_to, onward_degC

EMPTY_KG = 1e-9


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


# A filling problem: 62.3 lb/cu ft, 1 Btu/lb.°F, 5 cu ft in the tank, 1 cu ft/min at 99.5 °F, 300 Btu/min taken out.
# T = Tin - q t / (rho cp (V0 + F t)); once 100 cu ft are in it takes 1,244.45 min more to 35 °F.
CUBIC_FOOT_KG = 62.3 * BTU_KJ * 1.8 / SPECIFIC_HEAT  # milk with the heat of a cubic foot of that water
WATER = Pour(5 * CUBIC_FOOT_KG, 95 * CUBIC_FOOT_KG, 95 / 60, 0.0)
TAKES_OUT = Cooler(300 * BTU_KJ / 60, 0.0, celsius(99.5))


@pytest.mark.parametrize(("minutes", "fahrenheit"), [(10, 96.2897), (50, 95.1224), (95, 94.9254)])
def test_a_tank_that_fills_under_constant_power_follows_the_worked_problem(minutes, fahrenheit):
    found = onward_degC(celsius(99.5), TAKES_OUT, WATER, 0.0, minutes / 60)
    assert found == pytest.approx(celsius(fahrenheit), abs=1e-4)


def test_the_full_tank_of_that_problem_is_cold_when_it_says():
    full = onward_degC(celsius(99.5), TAKES_OUT, WATER, 0.0, 95 / 60)
    assert 60 * hours_to(celsius(35), full, TAKES_OUT, WATER.full_kg) == pytest.approx(1244.45, abs=0.01)


def test_a_thousand_litres_milked_into_an_empty_tank_with_twelve_kilowatts():
    # 1.03 kg/L, 3.9 kJ/kg.K, 1.5 h at 35 °C: 35 - 12 * 1.5 * 3600 / (1030 * 3.9) = 18.8686 °C; 4 °C at 2.88257 h
    pour = Pour(EMPTY_KG, 1030 * 3.9 / SPECIFIC_HEAT, 1.5, 0.0)
    cooler = Cooler(12.0, 0.0, 35.0)
    full = onward_degC(35.0, cooler, pour, 0.0, 1.5)
    assert full == pytest.approx(18.8686, abs=1e-4)
    assert 1.5 + hours_to(4.0, full, cooler, pour.full_kg) == pytest.approx(2.88257, abs=1e-5)


def newton(coolant_degC: float, tau_h: float, kg: float = 1000.0) -> Cooler:
    bend = 1 / (10 - coolant_degC)
    return Cooler(kg * HEAT_kWh / (tau_h * bend), bend, 35.0)


STANDING = Pour(1000.0, 1e-9, 1e-6, 0.0)


@pytest.mark.parametrize(("hours", "fahrenheit"), [(0.25, 74.3790), (0.5, 63.3333), (3.0, 37.5)])
def test_the_old_90_50_40_curve_is_newtons(hours, fahrenheit):
    # 90, 50 and 40 °F an hour apart: coolant 36.6667 °F, time constant 0.721348 h
    cooler = newton(celsius(36.6667), 0.721348)
    assert onward_degC(celsius(90), cooler, STANDING, 1e-6, 1e-6 + hours) == pytest.approx(
        celsius(fahrenheit), abs=1e-3
    )


@pytest.mark.parametrize(("fahrenheit", "hours"), [(45, 1.33904), (38, 2.66096)])
def test_the_times_of_that_curve(fahrenheit, hours):
    cooler = newton(celsius(36.6666667), 0.7213475)
    assert hours_to(celsius(fahrenheit), celsius(90), cooler, 1000.0) == pytest.approx(hours, abs=1e-4)


def test_35_to_4_in_three_hours_towards_a_coolant_of_1():
    cooler = newton(1.0, 1.23571)
    assert onward_degC(35.0, cooler, STANDING, 1e-6, 1 + 1e-6) == pytest.approx(16.1365, abs=1e-3)
    assert onward_degC(35.0, cooler, STANDING, 1e-6, 2 + 1e-6) == pytest.approx(7.73866, abs=1e-3)
    assert hours_to(4.0, 10.0, cooler, 1000.0) == pytest.approx(1.35757, abs=1e-4)


def test_a_limit_at_the_coolant_is_never_reached():
    assert math.isinf(hours_to(1.0, 10.0, newton(1.0, 1.2), 1000.0))


@given(
    power=st.floats(2, 60),
    bend=st.floats(0, 0.3),
    held=st.floats(1, 8000),
    added=st.floats(200, 8000),
    hours=st.floats(0.5, 4),
)
def test_one_long_step_is_many_short_ones_while_it_fills(power, bend, held, added, hours):
    cooler, pour = Cooler(power, bend, 30.0), Pour(held, added, hours, 0.0)
    at_once = onward_degC(5.0, cooler, pour, 0.0, hours)
    T = 5.0
    for step in range(20):
        T = onward_degC(T, cooler, pour, hours * step / 20, hours * (step + 1) / 20)
    assert pytest.approx(at_once, abs=1e-6) == T
