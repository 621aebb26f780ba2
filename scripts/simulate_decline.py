"""Simulated coolers that lose power, to measure how soon a loss is called, and how often one is called in vain.

The tank, the milk, the weather, the thermometer and the hand that reads it are those of `simulate_tank.py`, which
knows nothing of how a decline is looked for. A sound farm runs a year of two milkings a day without a loss; a losing
one runs eighty milkings, then its compressor and evaporator take out so much less heat. What the program is told is
what a book would hold: milk, readings by hand every quarter of an hour, and the day's mean air temperature.

    python scripts/simulate_decline.py --years 20 --losses 60

Sizes and spreads are common practice or guesses, without a source.
"""

from __future__ import annotations

import argparse
import random
import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from simulate_tank import STEP_S, WATCHED_S, Farm, Run, milked

from herdbook.science.cooler_decline import WINDOW, Decline, Taken, cooler_course
from herdbook.science.tank_prior import PastMilking, TankMilking, bend_of_all, learned, power_at

YEAR = 730
FIRST = 80
WATCHED_AFTER = 30


@dataclass(frozen=True)
class Milked:
    """One milking as a book holds it."""

    past: PastMilking
    air_degC: float
    is_morning: bool


def sound(dice: random.Random) -> Farm:
    """A farm whose cooler has none of the sudden faults."""
    return Farm(random.Random(dice.random()))


def course(farm: Farm, milkings: int, loses: float = 0.0, loses_at: int = 0) -> Iterator[Milked]:
    """A farm's milkings; from one of them on compressor and evaporator take out so much less."""
    held = None
    held_kg, before = 0.0, 0
    start_s = 1_700_000_000 // 86_400 * 86_400 + 5 * 3600
    for number in range(milkings):
        farm.next_milking()
        farm.fault, farm.fault_left, farm.offset_degC = "", 0, 0.0
        if loses and number == loses_at:
            farm.power_kW *= 1 - loses
            farm.ua *= 1 - loses
        run, held = milked(farm, start_s, before, held_kg, held)
        yield Milked(past_of(run), mean_air(farm), (start_s // 3600) % 24 < 12)
        held_kg, before, start_s = held_kg + run.milk_kg, before + 1, start_s + 43_200
        held.low = held.top = held.sensor = min(held.whole, 3.5)
        if before >= farm.pickup_after:
            held_kg, before, held = 0.0, 0, None


def mean_air(farm: Farm) -> float:
    """The day's mean, as a weather station says it: not the warmer air at the condenser."""
    return statistics.fmean(farm.outside(hour) for hour in range(0, 24, 3)) - 4


def past_of(run: Run) -> PastMilking:
    """What the book knows of a milking."""
    milking = TankMilking(
        run.started_s,
        run.ended_s,
        run.before,
        round(run.held_kg * 1000),
        round(run.milk_kg * 1000),
        run.held_mC,
    )
    return PastMilking(milking, tuple(run.hand))


def called(milkings: Sequence[Milked], *, weather: bool) -> Iterator[tuple[int, Decline | None]]:
    """What is said after each milking."""
    shown = [(one, learned(one.past)) for one in milkings]
    for number in range(1, len(shown) + 1):
        last = [(one, its) for one, its in shown[max(0, number - WINDOW) : number] if its is not None]
        if not last:
            continue
        bend, _ = bend_of_all([its for _, its in last])
        taken = [
            Taken(
                its.started_s,
                power_at(its, bend),
                one.past.milking.milkings_before,
                one.is_morning,
                one.air_degC if weather else None,
            )
            for one, its in last
        ]
        yield number, cooler_course(taken).decline


def main() -> None:
    """Simulate, look, print."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    ask.add_argument("--years", type=int, default=20, help="sound farms, a year each")
    ask.add_argument("--losses", type=int, default=60, help="farms that lose power")
    ask.add_argument("--loses", type=float, default=0.15, help="share of the power lost")
    ask.add_argument("--seed", type=int, default=2)
    ask.add_argument("--no-weather", action="store_true", help="the book knows no air temperatures")
    wish = ask.parse_args()
    weather = not wish.no_weather
    dice = random.Random(wish.seed)
    found_within, said, early = [], [], 0
    for _ in range(wish.losses):
        its = list(course(sound(dice), FIRST + WATCHED_AFTER, wish.loses, FIRST))
        calls = [(number, one) for number, one in called(its, weather=weather) if one is not None]
        early += any(number <= FIRST for number, _ in calls)
        after = [(number - FIRST, one) for number, one in calls if number > FIRST]
        found_within.append(after[0][0] if after else None)
        said += [after[0][1].lost] if after else []
    known = [number for number in found_within if number is not None]
    within = sum(number <= 10 for number in known)
    print(
        f"cooler that lost {100 * wish.loses:.0f} %, {wish.losses} farms, seed {wish.seed}, weather {weather}"
    )
    print(
        f"  found within 10 milkings        {within} of {wish.losses}   within {WATCHED_AFTER}: {len(known)}"
    )
    if known:
        print(f"  found after, median             {statistics.median(known):.0f} milkings")
        print(f"  loss said then, median          {100 * statistics.median(said):.0f} %")
    print(f"  called before there was one     {early}")
    calls = 0
    years = wish.years
    for _ in range(years):
        its = list(course(sound(dice), YEAR))
        was = False
        for _, one in called(its, weather=weather):
            calls += one is not None and not was  # one that stands is one call
            was = one is not None
    if years:
        print(
            f"sound coolers, {years} years of {YEAR} milkings ({WATCHED_S // 3600} h each, {STEP_S} s steps)"
        )
        print(f"  called in vain                  {calls}, {calls / years:.2f} a year (aim under 1)")


if __name__ == "__main__":
    main()
