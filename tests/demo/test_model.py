"""The parts of the made-up farm do what they say: the order of rounds, the tank, the stick, the herd."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from itertools import pairwise
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.demo import tank_made_up
from herdbook.demo.clockwork import Clockwork
from herdbook.demo.cows import MOVES, Herd
from herdbook.demo.happenings import PERIOD_DAYS, pickup_today, place
from herdbook.demo.milking_days import swapped
from herdbook.demo.rations_made_up import RATIONS, high_items
from herdbook.demo.tank_made_up import MadeUpTank, milk_at_stick_lb, stick_at_milk_in, stick_chart
from herdbook.science.newton_cooling import filling_temperature_degC


def round_of(name: str, instants: list[int], done: list[tuple[str, int]]) -> Iterator[int]:
    for instant in instants:
        yield instant
        done.append((name, instant))


def test_rounds_are_taken_in_order_of_time_and_what_lies_ahead_never_happens() -> None:
    done: list[tuple[str, int]] = []
    clockwork = Clockwork()
    clockwork.begin(0, round_of("milker", [10, 30, 50], done))
    clockwork.begin(0, round_of("feeder", [5, 30, 51], done))
    clockwork.run(50)
    assert done == [("feeder", 5), ("milker", 10), ("milker", 30), ("feeder", 30), ("milker", 50)]


def test_a_round_that_asks_for_a_moment_gone_by_goes_on_at_once() -> None:
    done: list[tuple[str, int]] = []
    clockwork = Clockwork()
    clockwork.begin(100, round_of("late", [40, 120], done))
    clockwork.begin(0, round_of("other", [60, 110], done))
    clockwork.run(200)
    assert done == [("other", 60), ("late", 40), ("other", 110), ("late", 120)]


@pytest.mark.parametrize("power_share", [1.0, 0.36])
def test_the_tank_follows_the_heat_balance_while_it_fills(power_share: float) -> None:
    tank = MadeUpTank(0, held_kg=3000, milk_degC=4.0, power_share=power_share)
    tank.let_in(6800, 9000, 26.0)
    tank.go_on_to(9000)
    wanted = filling_temperature_degC(
        held=3000,
        held_at=4.0,
        flow=6800 * 0.45359237 / 2.5,
        added_at=26.0,
        power=tank_made_up.FULL_POWER_kW * power_share - tank_made_up.WARMING_kW,
        hours=2.5,
        specific_heat=0.93 * 4.1868,
    )
    assert tank.held_kg == pytest.approx(3000 + 6800 * 0.45359237)
    assert tank.milk_degC == pytest.approx(wanted, abs=0.02)


def test_a_full_cold_tank_stays_between_the_thermostats_marks() -> None:
    tank = MadeUpTank(0, held_kg=9000, milk_degC=3.0)
    seen = []
    for hour in range(1, 200):
        tank.go_on_to(hour * 3600)
        seen.append(tank.milk_degC)
    assert 2.6 < min(seen) < max(seen) < 3.9


def test_an_empty_tank_has_no_temperature_to_change() -> None:
    tank = MadeUpTank(0, held_kg=9000, milk_degC=3.0)
    tank.empty()
    tank.go_on_to(100_000)
    assert (tank.held_kg, tank.milk_degC) == (0.0, 3.0)


def test_the_stick_reads_a_round_tank() -> None:
    whole = (
        math.pi * 44**2 * 186 / 231 * 8.6
    )  # cylinder of 88 by 186 inches, 231 cubic inches a gallon, 8.6 lb
    assert milk_at_stick_lb(88) == pytest.approx(whole)
    assert milk_at_stick_lb(44) == pytest.approx(whole / 2)
    assert milk_at_stick_lb(0) == 0


@given(st.integers(min_value=0, max_value=88 * 16))
def test_a_stick_reading_comes_back_from_its_milk(sixteenths: int) -> None:
    stick = Fraction(sixteenths, 16)
    assert abs(stick_at_milk_in(milk_at_stick_lb(float(stick))) - stick) <= Fraction(1, 16)


def test_the_chart_has_about_25_lines_that_rise() -> None:
    chart = stick_chart()
    assert 20 <= len(chart) <= 30
    assert all(a[0] < b[0] and a[1] < b[1] for a, b in pairwise(chart))
    assert chart[-1][1] <= tank_made_up.CAPACITY_LB


def test_cows_that_move_come_round_again() -> None:
    herd = Herd(lambda day, what: Random(f"{day} {what}"), date(2026, 6, 10))
    before = [pen.head for pen in herd.pens]
    for _ in MOVES:
        assert herd.move()
        assert sum(pen.head for pen in herd.pens) == sum(before)
    assert [pen.head for pen in herd.pens] == before


def test_cows_eat_no_more_than_they_get_and_milk_follows() -> None:
    herd = Herd(lambda day, what: Random(f"{day} {what}"), date(2026, 6, 10))
    day = date(2026, 5, 1)
    pen = herd.pen("High 1")
    usual = herd.milk_lb(day, morning=True)
    eaten = herd.eat(pen, day, offered_lb=40.0 * pen.head)
    assert 39 * pen.head < eaten < 40 * pen.head
    assert herd.milk_lb(day, morning=True) < usual
    assert herd.eat(pen, day, offered_lb=80.0 * pen.head) < 54 * pen.head


def test_digits_typed_the_wrong_way_round() -> None:
    assert swapped("48.3") == "43.8"


def test_the_lorry_never_comes_on_the_last_day_nor_does_the_sequence_break_its_step() -> None:
    assert not pickup_today(0)
    assert PERIOD_DAYS % 2 == 0
    assert [place(days_ago) for days_ago in (0, 5, 44, 49)] == [0, 5, 0, 5]


def test_versions_of_the_high_ration_differ_in_two_feeds() -> None:
    assert high_items(1) == RATIONS[0].items == high_items(3)
    assert len(set(high_items(1)) ^ set(high_items(2))) == 4
