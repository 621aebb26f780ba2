"""The forecast of one milking: on made-up curves whose end is known, and on readings that mislead."""

from __future__ import annotations

from dataclasses import replace

import pytest

from herdbook.science.cooling_curve import Reading
from herdbook.science.tank_forecast import LESS_HEAT, LimitForecast, TankForecast, Wanted, forecast
from herdbook.science.tank_motion import Cooler, Pour, hours_to, onward_degC
from herdbook.science.tank_prior import PastMilking, TankMilking, TankPrior, tank_prior

START_S = 1_700_000_000
HOURS = 1.5
KG = 2000
USUAL = Cooler(18.0, 0.04, 30.0)
DUE_S = START_S + int((HOURS + 2) * 3600)
LIMIT_mC = 7222  # 45 °F


def milking(start_s: int = START_S, *, metered: bool = True) -> TankMilking:
    return TankMilking(
        start_s, start_s + int(HOURS * 3600), 0, 0 if metered else None, KG * 1000 if metered else None
    )


def degrees(cooler: Cooler, hours: float, *, at_a_time: Cooler | None = None) -> float:
    """The made-up tank's temperature so many hours after the milking began."""
    pour = Pour(1e-3, float(KG), HOURS, 0.12 * HOURS)
    if at_a_time is None or hours <= HOURS:
        return onward_degC(cooler.inflow_degC, cooler, pour, 0.0, hours)
    full = onward_degC(cooler.inflow_degC, cooler, pour, 0.0, HOURS)
    return onward_degC(full, at_a_time, pour, HOURS, hours)


def read(start_s: int, cooler: Cooler, until_h: float, after: Cooler | None = None) -> list[Reading]:
    """A reading every quarter of an hour, to a tenth of a degree C."""
    times = [0.5 + 0.25 * n for n in range(int((until_h - 0.5) / 0.25) + 1)]
    return [
        Reading(start_s + int(h * 3600), round(10 * degrees(cooler, h, at_a_time=after)) * 100, n)
        for n, h in enumerate(times)
    ]


def past(count: int = 6, *, metered: bool = True) -> TankPrior:
    half_day = 43_200
    found = []
    for back in range(count, 0, -1):
        start_s = START_S - back * half_day
        found.append(PastMilking(milking(start_s, metered=metered), tuple(read(start_s, USUAL, 5.0))))
    prior = tank_prior(found, starts_s=START_S)
    assert prior is not None
    return prior


def look(readings: list[Reading], at_h: float, prior: TankPrior | None, **more: bool) -> TankForecast:
    return forecast(
        milking(**more), readings, [Wanted(LIMIT_mC, DUE_S, 7200)], START_S + int(at_h * 3600), prior=prior
    )


def reached_s(cooler: Cooler, after: Cooler | None = None) -> float:
    full = degrees(cooler, HOURS)
    return START_S + 3600 * (HOURS + hours_to(LIMIT_mC / 1000, full, after or cooler, float(KG)))


def test_the_usual_cooler_is_foreseen_from_the_end_of_milking_within_five_minutes_and_said_to_be_in_time():
    found = look(read(START_S, USUAL, 1.75), 1.8, past())
    (limit,) = found.limits
    assert limit.at_s == pytest.approx(reached_s(USUAL), abs=300)
    assert limit.low_s is not None
    assert limit.high_s is not None
    assert limit.low_s < reached_s(USUAL) < limit.high_s
    assert limit.chance_late is not None
    assert limit.chance_late < 0.05
    assert not limit.is_late(DUE_S)


def test_one_reading_is_enough_where_the_last_milkings_are_known_and_a_range_is_said_with_none():
    without = look([], 0.1, past()).limits[0]
    with_one = look(read(START_S, USUAL, 0.5), 0.6, past()).limits[0]
    assert without.at_s is not None
    assert with_one.at_s is not None
    assert with_one.low_s is not None
    assert with_one.high_s is not None
    assert with_one.rests_on == "1 reading of this milking and the 6 milkings before it"


def test_a_cooler_at_four_tenths_is_called_late_more_than_45_minutes_before_the_deadline_with_its_cause():
    weak = USUAL._replace(power_kW=0.4 * USUAL.power_kW)
    readings = read(START_S, weak, 5.0)
    called = next(
        item.at_s
        for item in readings
        if look(readings, (item.at_s - START_S) / 3600, past()).limits[0].is_late(DUE_S)
    )
    assert DUE_S - called >= 45 * 60
    assert look(readings, 2.5, past()).cause == LESS_HEAT


def test_heat_taken_out_is_the_coolers_own():
    found = look(read(START_S, USUAL, 2.25), 2.3, past())
    assert found.heat_kW == pytest.approx(USUAL.heat_kW(degrees(USUAL, 2.25)), rel=0.08)
    assert found.usual_heat_kW == pytest.approx(found.heat_kW, rel=0.08)


def test_without_metered_milk_there_is_a_forecast_and_no_kilowatts():
    found = look(read(START_S, USUAL, 1.75), 1.8, past(metered=False), metered=False)
    assert found.limits[0].at_s == pytest.approx(reached_s(USUAL), abs=600)
    assert (found.heat_kW, found.usual_heat_kW) == (None, None)


def test_one_reading_in_the_foam_moves_the_forecast_by_less_than_a_quarter_of_an_hour():
    readings = read(START_S, USUAL, 2.0)
    foam = [*readings[:-1], replace(readings[-1], tank_mC=readings[-1].tank_mC + 6000)]
    true, odd = look(readings, 2.0, past()).limits[0], look(foam, 2.0, past()).limits[0]
    assert true.at_s is not None
    assert odd.at_s is not None
    assert abs(odd.at_s - true.at_s) < 900


def test_a_missing_hour_leaves_a_forecast_that_holds_the_truth():
    readings = [item for item in read(START_S, USUAL, 2.25) if not 1.0 < (item.at_s - START_S) / 3600 < 2.1]
    limit = look(readings, 2.3, past()).limits[0]
    assert limit.low_s is not None
    assert limit.high_s is not None
    assert limit.low_s - 60 <= reached_s(USUAL) <= limit.high_s + 60


def test_readings_that_stand_still_are_said_to_and_late_is_as_likely_as_not():
    readings = read(START_S, USUAL, 1.75)
    stuck = [Reading(readings[-1].at_s + n * 600, readings[-1].tank_mC, 90 + n) for n in range(1, 5)]
    found = look(readings + stuck, 2.5, past())
    assert "stood still for 40 min" in found.doubt
    assert found.limits[0].at_s is None
    assert found.limits[0].chance_late is not None
    assert found.limits[0].chance_late >= 0.5


def test_readings_after_the_instant_are_not_looked_at():
    readings = read(START_S, USUAL, 5.0)
    assert look(readings, 2.0, past()) == look([r for r in readings if r.at_s <= START_S + 7200], 2.0, past())


def test_a_limit_already_read_is_reached():
    limit = look(read(START_S, USUAL, 4.5), 4.5, past()).limits[0]
    assert (limit.how, limit.chance_late) == ("reached", 0.0)


def test_the_sooner_of_two_deadlines_holds_while_milk_flows():
    flowing = replace(milking(), ended_s=None, added_g=None)
    now_s = START_S + 1800

    def chance(wanted: Wanted) -> float:
        found = (
            forecast(flowing, read(START_S, USUAL, 0.5), [wanted], now_s, prior=past()).limits[0].chance_late
        )
        assert found is not None
        return found

    soon = Wanted(LIMIT_mC, START_S + 6000, 7200)
    assert chance(soon) == chance(Wanted(LIMIT_mC, START_S + 6000)) > chance(Wanted(LIMIT_mC, None, 7200))


@pytest.mark.parametrize(
    ("chance", "flows", "is_late"),
    [(0.49, False, False), (0.51, False, True), (0.94, True, False), (0.96, True, True)],
)
def test_late_is_called_when_it_is_likelier_than_not_and_while_milk_flows_when_it_is_nearly_sure(
    chance: float, flows: bool, is_late: bool
):
    one = LimitForecast(None, "none", "", chance_late=chance, flows=flows)
    assert one.is_late(DUE_S) == is_late


@pytest.mark.parametrize(
    ("chance", "left_min", "more", "wakes"),
    [
        (0.985, 100, {}, False),
        (0.995, 100, {}, True),
        (0.91, 60, {}, True),
        (0.89, 60, {}, False),
        (0.91, 61, {}, False),
        (0.985, 30, {"flows": True}, False),
        (0.995, 30, {"flows": True}, True),
        (0.51, 100, {"stands_still": True}, True),
        (0.49, 100, {"stands_still": True}, False),
    ],
)
def test_people_are_woken_when_late_is_all_but_sure_or_likely_with_an_hour_to_go(
    chance: float, left_min: int, more: dict[str, bool], wakes: bool
):
    one = LimitForecast(None, "none", "", chance_late=chance, said_s=DUE_S - 60 * left_min, **more)
    assert one.is_alarm(DUE_S) == wakes


def test_an_alarm_rests_on_the_time_left_when_the_forecast_was_made():
    weak = USUAL._replace(power_kW=0.4 * USUAL.power_kW)
    readings = read(START_S, weak, 5.0)
    woken = next(
        item.at_s
        for item in readings
        if look(readings, (item.at_s - START_S) / 3600, past()).limits[0].is_alarm(DUE_S)
    )
    assert DUE_S - woken >= 45 * 60
    one = look(readings, 2.5, past()).limits[0]
    assert one.said_s == START_S + int(2.5 * 3600)


def test_a_forecast_says_whether_milk_still_flows():
    readings = read(START_S, USUAL, 2.0)
    assert look(readings, HOURS - 0.1, past()).limits[0].flows
    assert not look(readings, HOURS, past()).limits[0].flows


def test_nothing_known_of_the_tank_and_no_reading_says_so():
    found = look([], 1.8, None)
    assert found.limits[0].at_s is None
    assert "no reading" in found.why
