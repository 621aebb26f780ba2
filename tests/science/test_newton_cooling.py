"""The algebra of a cooling tank against derived figures and against a solver of differential equations."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from herdbook.science.milk_heat import BTU_KJ, LB_KG, hours_at_power, temperature_at_power_degC
from herdbook.science.newton_cooling import (
    filling_temperature_degC,
    newton_hours,
    newton_temperature_degC,
    newton_three_readings,
    newton_time_constant_h,
)


def to_degC(degF):
    return (degF - 32) * 5 / 9


def to_degF(degC):
    return degC * 9 / 5 + 32


def solved(slope, start, hours):
    """The temperature after some hours of dT/dt = slope(t, T)."""
    found = solve_ivp(slope, (0, hours), [start], rtol=1e-10, atol=1e-10)
    return float(found.y[0][-1])


def test_a_quarter_of_the_gap_is_left_after_each_hour_of_the_older_3_a_pace():
    curve = newton_three_readings(first=to_degC(90), second=10, third=to_degC(40), spacing=1)
    assert curve.tau_h * 60 == pytest.approx(43.2809, abs=1e-4)
    gap = [to_degC(degF) - curve.coolant_degC for degF in (90, 50, 40)]
    assert gap[1] / gap[0] == pytest.approx(0.25)
    assert gap[2] / gap[1] == pytest.approx(0.25)


@given(coolant=st.floats(-3, 6), gap=st.floats(5, 35), tau=st.floats(0.3, 3), spacing=st.floats(0.2, 1.5))
def test_three_points_of_a_curve_give_the_curve_back(coolant, gap, tau, spacing):
    points = [
        newton_temperature_degC(start=coolant + gap, coolant=coolant, tau=tau, hours=k * spacing)
        for k in range(3)
    ]
    found = newton_three_readings(first=points[0], second=points[1], third=points[2], spacing=spacing)
    assert found.coolant_degC == pytest.approx(coolant, abs=1e-5)
    assert found.tau_h == pytest.approx(tau, rel=1e-5)


@pytest.mark.parametrize(
    "points",
    [(20, 15, 10), (20, 16, 10), (20, 20, 18), (20, 21, 22), (20, 15, 16), (10, 10, 10)],
    ids=["straight", "faster and faster", "still at first", "rising", "turning", "flat"],
)
def test_readings_that_are_no_cooling_curve_are_refused(points):
    with pytest.raises(ValueError, match="do not fall like a cooling curve"):
        newton_three_readings(first=points[0], second=points[1], third=points[2], spacing=1)


@given(start=st.floats(10, 38), coolant=st.floats(-3, 6), tau=st.floats(0.2, 3), hours=st.floats(0.05, 4))
def test_newtons_curve_solves_its_differential_equation(start, coolant, tau, hours):
    expected = solved(lambda _, T: -(T - coolant) / tau, start, hours)
    found = newton_temperature_degC(start=start, coolant=coolant, tau=tau, hours=hours)
    assert found == pytest.approx(expected, abs=1e-5)


@given(start=st.floats(10, 38), coolant=st.floats(-3, 3), tau=st.floats(0.2, 3), wanted=st.floats(3.5, 9.5))
def test_the_time_to_a_temperature_leads_there_and_gives_the_time_constant_back(start, coolant, tau, wanted):
    hours = newton_hours(start=start, coolant=coolant, tau=tau, wanted=wanted)
    assert newton_temperature_degC(start=start, coolant=coolant, tau=tau, hours=hours) == pytest.approx(
        wanted
    )
    assume(hours > 1e-3)
    assert newton_time_constant_h(start=start, end=wanted, coolant=coolant, hours=hours) == pytest.approx(tau)


def test_a_curve_that_stays_above_never_gets_there():
    with pytest.raises(ValueError, match="never at this rate"):
        newton_hours(start=30, coolant=8, tau=1, wanted=7)


# Filling while cooling -------------------------------------------------------------------------------------

FILL = {
    "held": 5 * 62.3 * LB_KG,
    "held_at": to_degC(99.5),
    "flow": 62.3 * LB_KG * 60,
    "added_at": to_degC(99.5),
    "power": 300 * 60 * BTU_KJ / 3600,
    "specific_heat": 4.1868,
}


@pytest.mark.parametrize(("minutes", "degF"), [(10, 96.2897), (50, 95.1224), (95, 94.9254)])
def test_a_posted_student_problem_of_filling_while_cooling(minutes, degF):
    """62.3 lb/ft³, 1 Btu/lb.°F, 5 ft³ and 1 ft³/min at 99.5 °F, 300 Btu/min."""
    found = filling_temperature_degC(**FILL, hours=minutes / 60)
    assert to_degF(found) == pytest.approx(degF, abs=1e-3)


def test_the_same_problem_takes_1244_more_minutes_to_35_degrees():
    full = filling_temperature_degC(**FILL, hours=95 / 60)
    hours = hours_at_power(
        milk=100 * 62.3 * LB_KG, warm=full, cold=to_degC(35), power=FILL["power"], specific_heat=4.1868
    )
    assert hours * 60 == pytest.approx(1244.45, abs=0.01)


def test_twelve_kilowatts_cool_a_thousand_litres_to_4_degrees_2_88_hours_after_the_start():
    end = filling_temperature_degC(
        held=0, held_at=0, flow=1030 / 1.5, added_at=35, power=12, hours=1.5, specific_heat=3.9
    )
    assert end == pytest.approx(18.8686, abs=1e-4)
    after = hours_at_power(milk=1030, warm=end, cold=4, power=12, specific_heat=3.9)
    assert 1.5 + after == pytest.approx(2.88257, abs=1e-4)
    there = temperature_at_power_degC(milk=1030, warm=end, power=12, hours=after, specific_heat=3.9)
    assert there == pytest.approx(4)


@given(
    held=st.floats(200, 8000),
    held_at=st.floats(2, 35),
    flow=st.floats(100, 4000),
    added_at=st.floats(15, 38),
    power=st.floats(0, 30),
    hours=st.floats(0.1, 4),
)
def test_filling_solves_its_heat_balance(held, held_at, flow, added_at, power, hours):
    """d(m T)/dt = flow * added_at - power / cp, with m = held + flow * t."""
    cp = 3.9

    def slope(t, T):
        return (flow * (added_at - T) - 3600 * power / cp) / (held + flow * t)

    found = filling_temperature_degC(
        held=held, held_at=held_at, flow=flow, added_at=added_at, power=power, hours=hours, specific_heat=cp
    )
    assert found == pytest.approx(solved(slope, held_at, hours), abs=1e-4)


@given(milk=st.floats(300, 9000), power=st.floats(1, 40), hours=st.floats(0.1, 3))
def test_constant_power_is_a_straight_line_of_the_heat_balance(milk, power, hours):
    found = temperature_at_power_degC(milk=milk, warm=35, power=power, hours=hours, specific_heat=3.9)
    assert found == pytest.approx(solved(lambda _, T: [-3600 * power / (milk * 3.9)], 35, hours), abs=1e-4)
