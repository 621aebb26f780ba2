"""The forecast says when the limit is reached, or says plainly that it cannot."""

import math
import random

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from herdbook.science.cooling_curve import Estimate, Reading, reach_estimate, too_slow

HOUR = 3600
F45 = 7222


def mC(degF):
    return round((degF - 32) * 5000 / 9)


def readings(*pairs):
    """Readings from (minutes, °F)."""
    return [Reading(round(minutes * 60), mC(degF), key) for key, (minutes, degF) in enumerate(pairs)]


def curve(minutes, coolant=2500, start=30_000, tau_min=45.0, step=0):
    """Readings on an exact exponential, rounded to a step of a degree F when one is given."""
    made = []
    for key, at in enumerate(minutes):
        degC = (coolant + (start - coolant) * math.exp(-at / tau_min)) / 1000
        degF = degC * 9 / 5 + 32
        made.append(Reading(round(at * 60), mC(round(degF / step) * step if step else degF), key))
    return made


def test_the_old_1_h_plus_1_h_rule_is_an_exact_exponential():
    """90, 50, 40 °F an hour apart: coolant 36.6667 °F, time constant 0.721348 h, 45 °F at 1.33904 h."""
    found = reach_estimate(readings((0, 90), (60, 50), (120, 40)), mC(38), 120 * 60)
    assert found.how == "exponential"
    assert found.coolant_mC == pytest.approx(2592.59, abs=2)
    assert found.tau_s / HOUR == pytest.approx(0.721348, abs=1e-4)
    assert found.at_s / HOUR == pytest.approx(2.66096, abs=1e-3)


def test_two_readings_give_a_straight_line():
    found = reach_estimate(readings((0, 60), (30, 54)), mC(45), 30 * 60)
    assert (found.how, found.used) == ("line", 2)
    assert found.at_s == pytest.approx(75 * 60, abs=1)
    assert found.slope_mC_per_h == pytest.approx(-12 * 5000 / 9, abs=2)


def test_readings_on_a_line_stay_a_line_however_many():
    found = reach_estimate(readings((0, 60), (10, 58), (35, 53), (50, 50)), mC(45), 50 * 60)
    assert found.how == "line"
    assert found.at_s == pytest.approx(75 * 60, abs=2)


def test_rounding_alone_makes_no_bend():
    """A line read to whole degrees looks bent; taking the bend for real would cry never."""
    found = reach_estimate(readings((0, 62), (15, 58), (30, 55)), F45, 30 * 60)
    assert found.how == "line"
    assert not found.never


@pytest.mark.parametrize("given_", [[], readings((5, 60))])
def test_less_than_two_readings_give_no_forecast(given_):
    found = reach_estimate(given_, F45, HOUR)
    assert (found.how, found.at_s, found.never) == ("none", None, False)
    assert found.why.startswith("no forecast yet, ")
    assert not too_slow(found, 0)


@pytest.mark.parametrize("last", [50.0, 50.4, 58.0])
def test_equal_or_rising_readings_are_refused(last):
    found = reach_estimate(readings((0, 50), (10, last)), F45, 600)
    assert found.how == "none"
    assert found.at_s is None
    assert "do not fall" in found.why


def test_a_rise_after_a_fall_is_refused():
    found = reach_estimate(readings((0, 60), (15, 54), (30, 55)), F45, 1800)
    assert (found.how, found.at_s) == ("none", None)


def test_a_tank_that_stands_still_for_a_quarter_of_an_hour_warns():
    found = reach_estimate(readings((0, 62), (10, 62), (20, 62.1)), F45, 1200)
    assert found.never
    assert too_slow(found, 10**9)


def test_a_cooler_that_stops_half_way_is_seen():
    found = reach_estimate(curve([0, 15, 30, 45, 60, 90], coolant=9000, step=0.1), F45, 90 * 60)
    assert (found.how, found.at_s) == ("exponential", None)
    assert found.never
    assert "never" in found.why
    assert too_slow(found, 10**9)


def test_a_reading_already_there_is_reached_at_the_first_such_reading():
    found = reach_estimate(readings((0, 60), (30, 45), (60, 41)), F45, HOUR)
    assert (found.how, found.at_s) == ("reached", 30 * 60)


def test_readings_after_now_are_not_looked_at():
    early = reach_estimate(readings((0, 60), (30, 54), (60, 45)), F45, 40 * 60)
    assert (early.how, early.used) == ("line", 2)


def test_a_forecast_that_is_already_past_asks_for_a_reading():
    found = reach_estimate(readings((0, 60), (30, 50)), F45, 3 * HOUR)
    assert found.at_s < 3 * HOUR
    assert "read the tank" in found.why


def test_two_readings_at_the_same_moment_count_once_the_last_written():
    twice = [Reading(0, mC(60), 1), Reading(1800, mC(75), 2), Reading(1800, mC(54), 3)]
    assert reach_estimate(twice, F45, 1800) == reach_estimate(readings((0, 60), (30, 54)), F45, 1800)


@given(
    tau=st.floats(20, 90),
    coolant=st.integers(-3000, 6000),
    start=st.integers(20_000, 36_000),
    minutes=st.lists(st.integers(1, 90), min_size=3, max_size=8, unique=True),
)
def test_unevenly_spaced_readings_on_an_exponential_find_it_again(tau, coolant, start, minutes):
    made = curve(sorted(minutes), coolant, start, tau)
    assume(made[-1].tank_mC > F45)
    found = reach_estimate(made, F45, made[-1].at_s)
    exact_s = tau * 60 * math.log((start - coolant) / (F45 - coolant))
    if found.how == "exponential" and minutes and max(minutes) - min(minutes) > tau / 2:
        assert found.at_s == pytest.approx(exact_s, rel=0.02, abs=60)
    assert found.how in ("exponential", "line", "none")
    assert found.at_s is None or found.at_s >= made[-1].at_s


@given(
    tau=st.floats(30, 70),
    minutes=st.lists(st.integers(0, 75), min_size=5, max_size=9, unique=True).filter(
        lambda found: max(found) - min(found) >= 45
    ),
)
def test_rounding_to_a_tenth_of_a_degree_f_moves_the_forecast_by_minutes_only(tau, minutes):
    """Made curves: no published readings of a farm tank over time were found to test against."""
    made = curve(sorted(minutes), 2500, 33_000, tau, step=0.1)
    assume(made[-1].tank_mC > F45)
    found = reach_estimate(made, F45, made[-1].at_s)
    exact_s = tau * 60 * math.log((33_000 - 2500) / (F45 - 2500))
    assert found.how == "exponential"
    assert abs(found.at_s - exact_s) < 10 * 60


@given(
    slope=st.floats(3, 20),
    minutes=st.lists(st.integers(0, 60), min_size=3, max_size=9, unique=True).filter(
        lambda found: max(found) - min(found) >= 30
    ),
)
def test_constant_cooling_read_to_a_tenth_is_forecast_within_minutes(slope, minutes):
    made = readings(*((at, round(68 - slope * at / 60, 1)) for at in sorted(minutes)))
    found = reach_estimate(made, F45, made[-1].at_s)
    assert found.how == "line"
    assert abs(found.at_s - 23 / slope * HOUR) < 0.04 * 23 / slope * HOUR


@given(
    temperatures=st.lists(st.integers(2000, 36_000), min_size=0, max_size=12),
    gaps=st.lists(st.integers(1, 4000), min_size=12, max_size=12),
    limit=st.integers(3000, 12_000),
)
def test_whatever_the_readings_the_answer_is_honest(temperatures, gaps, limit):
    at, made = 0, []
    for key, (tank_mC, gap) in enumerate(zip(temperatures, gaps, strict=False)):
        at += gap
        made.append(Reading(at, tank_mC, key))
    found = reach_estimate(made, limit, at)
    if found.how == "reached":
        assert min(item.tank_mC for item in made) <= limit
    elif found.at_s is not None:
        assert found.at_s >= made[-1].at_s
        assert made[-1].tank_mC <= made[-2].tank_mC + 1000
    else:
        assert found.why
        assert found.how in ("none", "exponential")


def test_a_thousand_minute_readings_are_thinned_and_agree():
    made = curve([minute / 8 for minute in range(480)], tau_min=60, step=0.1)
    found = reach_estimate(made, F45, made[-1].at_s)
    exact_s = 60 * 60 * math.log((30_000 - 2500) / (F45 - 2500))
    assert found.used <= 120
    assert abs(found.at_s - exact_s) < 5 * 60


def test_a_simulated_tank_with_noise_is_forecast_early_enough():
    """Newton cooling solved by scipy, read every 15 min with 0.1 °F noise: it holds within 10 min."""
    solved = solve_ivp(lambda _, y: -(y - 2.0) / 0.8, (0, 4), [31.0], dense_output=True, rtol=1e-9)
    noise = random.Random(7)
    truth_s = 0.8 * math.log(29.0 / (F45 / 1000 - 2.0)) * HOUR
    for last in (4, 5):
        made = [
            Reading(k * 900, round(float(solved.sol(k / 4)[0]) * 1000 + noise.gauss(0, 55)), k)
            for k in range(last)
        ]
        found = reach_estimate(made, F45, made[-1].at_s)
        assert abs(found.at_s - truth_s) < 10 * 60


def test_reaching_the_limit_at_the_deadline_is_in_time():
    assert not too_slow(Estimate(100, "line", ""), 100)
    assert too_slow(Estimate(101, "line", ""), 100)


def test_two_readings_a_minute_apart_may_be_equal_without_the_cooling_having_stopped():
    found = reach_estimate(readings((0, 60), (29, 54.1), (30, 54.1)), F45, 1800)
    assert found.how == "line"
    assert found.at_s == pytest.approx(15 / 6 * 1800, rel=0.05)
