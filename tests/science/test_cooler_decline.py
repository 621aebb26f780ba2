"""A loss of cooling power is found among milkings of all kinds; weather, bad days and few milkings are not one."""

from __future__ import annotations

import math
import random

import pytest

from herdbook.science.cooler_decline import FEWEST_AFTER, FEWEST_BEFORE, CoolerCourse, Taken, cooler_course

DAY_S = 86_400


def milkings(
    count: int,
    *,
    lost: float = 0.0,
    since: int = 0,
    noise: float = 0.04,
    weather: float = 0.0,
    seed: int = 1,
) -> list[Taken]:
    """Two milkings a day, emptied every other day: 20 kW the first in the tank, 24 kW the later ones."""
    dice = random.Random(seed)
    found = []
    for number in range(count):
        before = number % 4
        air = 15 + 8 * math.sin(number / 9)
        ln_kW = math.log(24 if before else 20) + dice.gauss(0, noise) + weather * (air - 15)
        ln_kW += math.log(1 - lost) if lost and number >= since else 0.0
        found.append(Taken(number * DAY_S // 2, ln_kW, before, number % 2 == 0, air))
    return found


def test_fifteen_percent_are_found_within_ten_milkings_and_dated_within_four() -> None:
    found = cooler_course(milkings(60, lost=0.15, since=50)).decline
    assert found is not None
    assert found.lost == pytest.approx(0.15, abs=0.05)
    assert found.low < 0.15 < found.high
    assert abs(found.since_s - 50 * DAY_S // 2) <= 4 * DAY_S // 2
    assert (found.before + found.after, found.weathered) == (60, 60)


@pytest.mark.parametrize("seed", range(20))
def test_a_steady_cooler_has_lost_nothing(seed: int) -> None:
    assert cooler_course(milkings(80, seed=seed)).decline is None


@pytest.mark.parametrize("seed", range(10))
def test_weather_that_swings_by_sixteen_degrees_is_no_loss(seed: int) -> None:
    assert cooler_course(milkings(80, weather=-0.012, seed=seed)).decline is None


def test_two_bad_milkings_are_no_loss() -> None:
    its = milkings(60)
    bad = [Taken(one.at_s, one.ln_kW - 0.7 * (n in (55, 56)), one.milkings_before, one.is_morning, one.air_degC)
           for n, one in enumerate(its)]  # fmt: skip
    assert cooler_course(bad).decline is None


def test_a_loss_that_was_mended_is_over() -> None:
    its = milkings(80, lost=0.3, since=30)
    mended = its[:40] + milkings(80)[40:]
    assert cooler_course(mended).decline is None


def test_another_rhythm_of_pickups_is_no_loss() -> None:
    # emptied daily from the 40th milking on: the weaker first milkings are compared with first milkings
    its = milkings(40)
    daily = [
        Taken((40 + n) * DAY_S // 2, one.ln_kW, one.milkings_before, one.is_morning, one.air_degC)
        for n, one in enumerate(milkings(120, seed=2)[::4])
    ]
    assert cooler_course(its + daily[:20]).decline is None


def test_without_weather_a_loss_is_still_found() -> None:
    bare = [
        Taken(one.at_s, one.ln_kW, one.milkings_before, one.is_morning)
        for one in milkings(60, lost=0.15, since=48)
    ]
    found = cooler_course(bare).decline
    assert found is not None
    assert found.weathered == 0


def test_too_few_milkings_say_how_many_are_needed() -> None:
    course = cooler_course(milkings(FEWEST_BEFORE + FEWEST_AFTER - 1))
    assert course == CoolerCourse(course.taken, (), None, "20 milkings show their heat, 21 are needed")


def test_how_far_off_each_milking_is_told_against_the_usual_before_the_loss() -> None:
    course = cooler_course(milkings(60, lost=0.2, since=45, noise=0.01))
    assert course.decline is not None
    assert [round(math.exp(off), 1) for off in course.off[:40:5]] == [1.0] * 8
    assert [round(math.exp(off), 1) for off in course.off[46:]] == [0.8] * 14


def test_the_order_milkings_are_given_in_is_no_matter() -> None:
    its = milkings(60, lost=0.15, since=50)
    assert cooler_course(its[::-1]) == cooler_course(its)
