"""A pen against its own last days: falls are found, one wrong or missing day neither cries nor hides."""

from __future__ import annotations

from dataclasses import replace
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.intake_baseline import LB_KG, LIKELY, IntakeDay, judge_day

WOBBLE = (0.4, -0.3, 0.1, -0.5, 0.3, 0.0, -0.2, 0.5, -0.4, 0.2, -0.1, 0.3, -0.3, 0.0, 0.1, -0.2)


def sixteen_days(usual: float = 24.0) -> list[IntakeDay]:
    """Days 0 to 15 about the usual, with 3 % of what is fed left."""
    return [IntakeDay(day, usual + off, (usual + off) / 0.97) for day, off in enumerate(WOBBLE)]


def day_at(number: int, eaten: float, left: float = 0.03) -> IntakeDay:
    return IntakeDay(number, eaten, eaten / (1 - left))


def test_two_days_of_seven_per_cent_less_are_a_likely_fall() -> None:
    days = [*sixteen_days(), day_at(16, 24 * 0.93), day_at(17, 24 * 0.93)]
    verdict = judge_day(days, 17)
    assert verdict is not None
    assert verdict.is_likely_fall
    assert verdict.percent == pytest.approx(-7, abs=1)
    assert verdict.two_days_percent == pytest.approx(-7, abs=1)
    assert verdict.days == 14


def test_a_pen_that_eats_as_usual_is_left_alone() -> None:
    verdict = judge_day([*sixteen_days(), day_at(16, 23.6), day_at(17, 24.1)], 17)
    assert verdict is not None
    assert not verdict.is_likely_fall


def test_one_middling_day_is_not_a_fall_and_one_very_low_day_is() -> None:
    usual = sixteen_days()
    for share, is_fall in ((0.95, False), (0.85, True)):
        verdict = judge_day([*usual, day_at(16, 24 * share)], 16)
        assert verdict is not None
        assert verdict.is_likely_fall is is_fall


def test_a_low_day_is_not_said_again_of_the_day_after_on_which_they_ate_as_usual() -> None:
    verdict = judge_day([*sixteen_days(), day_at(16, 24 * 0.85), day_at(17, 24.1)], 17)
    assert verdict is not None
    assert not verdict.is_likely_fall


def test_a_refusal_nobody_wrote_does_not_hide_a_fall() -> None:
    days = [*sixteen_days(), replace(day_at(16, 24 * 0.92), eaten=None), day_at(17, 24 * 0.92)]
    verdict = judge_day(days, 17)
    assert verdict is not None
    assert verdict.is_likely_fall
    first = judge_day(days, 16)
    assert first is not None
    assert first.estimated
    assert first.eaten == pytest.approx(24 * 0.92)


def test_a_refusal_nobody_wrote_raises_no_alarm() -> None:
    days = [*sixteen_days(), replace(day_at(16, 24.0), eaten=None)]
    verdict = judge_day(days, 16)
    assert verdict is not None
    assert not verdict.is_likely_fall


def test_a_bunk_written_empty_and_cleaned_out_a_day_later_raises_no_alarm() -> None:
    """They ate 24.0 on both days and left 6 %; all of it was weighed on the second."""
    fed, left = 24 / 0.94, 24 / 0.94 * 0.06
    usual = [IntakeDay(day, 24 + off, (24 + off) / 0.94) for day, off in enumerate(WOBBLE)]
    days = [*usual, IntakeDay(16, fed, fed), IntakeDay(17, fed - 2 * left, fed)]
    verdict = judge_day(days, 17)
    assert verdict is not None
    assert not verdict.is_likely_fall
    assert verdict.eaten == pytest.approx(24.0)


@pytest.mark.parametrize("wrong", [2.4, 240.0])
def test_a_tenfold_day_in_the_baseline_moves_nothing(wrong: float) -> None:
    days = [*sixteen_days(), day_at(16, 24 * 0.93), day_at(17, 24 * 0.93)]
    spoilt = [replace(one, eaten=wrong) if one.day == 8 else one for one in days]
    right, other = judge_day(days, 17), judge_day(spoilt, 17)
    assert right is not None
    assert other is not None
    assert other.is_likely_fall
    assert other.usual == pytest.approx(right.usual, abs=0.2)


def test_less_than_a_pound_is_never_said() -> None:
    days = [*sixteen_days(usual=6.0), day_at(16, 6 - 0.99 * LB_KG), day_at(17, 6 - 0.99 * LB_KG)]
    level = [replace(one, eaten=6.0) if one.day < 16 else one for one in days]
    verdict = judge_day(level, 17)
    assert verdict is not None
    assert verdict.score > LIKELY
    assert not verdict.is_likely_fall


def test_nothing_is_judged_of_a_day_not_known_or_with_four_days_before_it() -> None:
    usual = sixteen_days()
    assert judge_day(usual, 16) is None
    assert judge_day([*usual, IntakeDay(16)], 16) is None
    four = [*usual[10:14], day_at(16, 10)]
    assert judge_day(four, 16) is None
    assert judge_day([*usual[9:14], day_at(16, 10)], 16) is not None


@given(st.floats(0.5, 2), st.lists(st.floats(15, 30), min_size=18, max_size=18))
def test_the_verdict_does_not_depend_on_the_size_of_the_cows(times: float, eaten: list[float]) -> None:
    days = [day_at(number, kg) for number, kg in enumerate(eaten)]
    larger = [IntakeDay(one.day, (one.eaten or 0) * times, (one.fed or 0) * times) for one in days]
    one, other = judge_day(days, 17), judge_day(larger, 17)
    assert one is not None
    assert other is not None
    assert other.score == pytest.approx(one.score, abs=1e-6)
    assert other.percent == pytest.approx(one.percent, abs=1e-6)


@given(st.lists(st.floats(15, 30), min_size=18, max_size=18), st.floats(0.1, 5))
def test_eating_less_on_the_day_never_lowers_the_score(eaten: list[float], less: float) -> None:
    days = [day_at(number, kg) for number, kg in enumerate(eaten)]
    lower = [*days[:-1], replace(days[-1], eaten=eaten[-1] - less)]
    one, other = judge_day(days, 17), judge_day(lower, 17)
    assert one is not None
    assert other is not None
    assert other.score >= one.score - 1e-9


@pytest.fixture(scope="module")
def simulated() -> ModuleType:
    path = Path(__file__).parents[2] / "scripts" / "simulate_pens.py"
    spec: Any = spec_from_file_location("simulate_pens", path)
    module = module_from_spec(spec)
    import sys

    sys.modules["simulate_pens"] = module
    spec.loader.exec_module(module)
    return module


def test_simulated_falls_are_found_in_two_days_at_less_than_one_false_alarm_in_sixty(
    simulated: ModuleType,
) -> None:
    told = simulated.run(pens=60, days=180, fall=0.07, seed=11)
    found, false_alarms = simulated.measure(told, LIKELY)
    assert found > 0.8
    assert false_alarms < 1.0


def test_the_simulation_can_fail_a_detector(simulated: ModuleType) -> None:
    told = simulated.run(pens=20, days=120, fall=0.07, seed=11)
    assert simulated.measure(told, 50.0) == (0.0, 0.0)
    assert simulated.measure(told, -50.0)[0] < 1.0  # pounds are asked for whatever the limit
    assert simulated.measure(told, 0.5)[1] > 2.0
