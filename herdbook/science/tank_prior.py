"""What a tank's last milkings say of its next one: its cooler, its milk, and how much they differ.

Each past milking is read on its own, from a wide start; then they are put together by their middle, so that one
bad milking among them does not become the usual one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import median

from herdbook.science.cooling_curve import Reading
from herdbook.science.tank_filter import Belief, THERMOSTAT_degC, follow, thinned
from herdbook.science.tank_motion import HEAT_kWh, Pour

PRIOR_MILKINGS = 12
"""How many of the last milkings count: six days of two; older ones had other weather. Our judgement."""
UNMETERED_KG = 1000.0
"""Milk of every milking of a tank whose milk is never metered: only shares matter then, and no kW is said."""
USUAL_HOURS = 1.5
COVERED_SHARE = 0.12  # of a first milking, until milk covers stirrer and thermometer; our judgement
STILL_S, STILL_READINGS = 1200, 3

# A tank nothing is known of: common practice, and wide.
_START_HOURS, _START_SPREAD = 2.5, 0.7  # the cooler takes a milking from 35 to 4 °C in so long
_BEND, _BEND_SPREAD = 0.04, 0.03  # between constant power and Newton towards 0 °C
_INFLOW_degC, _INFLOW_SPREAD = 30.0, 6.0  # pre-cooled or not
_HELD_degC, _HELD_SPREAD = 4.0, 1.5
# Least spreads from one milking to the next: weather, water, flow.
_POWER_FLOOR, _BEND_FLOOR, _INFLOW_FLOOR = 0.04, 0.006, 0.9
_DAY_S, _NEAR_S = 86_400, 3 * 3600
_FIRST_SURE = 0.25  # spread of the power a milking must have come down to before anything was learned from it


@dataclass(frozen=True, slots=True)
class TankMilking:
    """One milking into a tank, as far as it is known.

    Attributes:
        started_s: UTC seconds when milk began to flow.
        ended_s: when it stopped; None while it flows.
        milkings_before: milkings already in the tank; 0 into an empty one.
        held_g: milk in the tank before; None where it was not metered.
        added_g: milk of this milking; None where it is not known, or not yet.
        held_mC: temperature of the milk in the tank before; None where it was not read.
    """

    started_s: int
    ended_s: int | None
    milkings_before: int = 0
    held_g: int | None = None
    added_g: int | None = None
    held_mC: int | None = None

    @property
    def is_metered(self) -> bool:
        """Whether both masses are known."""
        return bool(self.added_g) and (self.held_g is not None or not self.milkings_before)


@dataclass(frozen=True, slots=True)
class PastMilking:
    """A milking that is over, with its readings from its start to the next milking or emptying."""

    milking: TankMilking
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class Learned:
    """What one past milking showed.

    Attributes:
        power: ln of kW at 10 °C (of an unmetered milking: of its nominal mass).
        bend: of the heat taken out, per °C.
        inflow_degC: temperature of the milk let in.
        cov: their covariance, in this order.
        hours: length of the milking.
        added_kg: milk of it.
        metered: whether kg are real.
        started_s: UTC seconds when it began.
    """

    power: float
    bend: float
    inflow_degC: float
    cov: tuple[tuple[float, float, float], ...]
    hours: float
    added_kg: float
    metered: bool
    started_s: int


@dataclass(frozen=True, slots=True)
class TankPrior:
    """What is held of a tank before its next milking is read.

    Attributes:
        milkings: past milkings it rests on.
        power: ln of kW at 10 °C.
        power_spread: standard deviation of it.
        bend: per °C.
        bend_spread: standard deviation.
        inflow_degC: milk let in.
        inflow_spread: standard deviation.
        hours: usual length of a milking.
        hours_spread: as a share of it.
        added_kg: usual milk of a milking.
        metered: whether kg and kW are real.
    """

    milkings: int
    power: float
    power_spread: float
    bend: float
    bend_spread: float
    inflow_degC: float
    inflow_spread: float
    hours: float
    hours_spread: float
    added_kg: float
    metered: bool

    @property
    def power_kW(self) -> float:
        """Heat taken out of milk at 10 °C."""
        return math.exp(self.power)


def pour_of(milking: TankMilking, *, metered: bool, usual_kg: float, hours: float) -> Pour:
    """The milk that comes in; what is not known is taken to be as usual."""
    known = milking.is_metered and metered
    added = milking.added_g / 1000 if known and milking.added_g else usual_kg
    if metered and milking.held_g is not None:
        held = milking.held_g / 1000
    else:
        held = milking.milkings_before * usual_kg
    covered = 0.0 if milking.milkings_before else COVERED_SHARE * hours
    return Pour(max(held, 1e-3), added, hours, covered)


def start_of(milking: TankMilking, pour: Pour, prior: TankPrior | None) -> Belief:
    """What is held at the start of a milking, from this tank's past or from none."""
    if prior is None:
        power = math.log(pour.added_kg * HEAT_kWh * 31 / _START_HOURS)
        mean, spread = (power, _BEND, _INFLOW_degC), (_START_SPREAD, _BEND_SPREAD, _INFLOW_SPREAD)
    else:
        mean = (prior.power, prior.bend, prior.inflow_degC)
        spread = (prior.power_spread, prior.bend_spread, prior.inflow_spread)
    cov = [[0.0] * 4 for _ in range(4)]
    for index, one in enumerate(spread, start=1):
        cov[index][index] = one**2
    if milking.milkings_before:
        known = milking.held_mC is not None
        T = milking.held_mC / 1000 if milking.held_mC is not None else _HELD_degC
        cov[0][0] = (0.5 if known else _HELD_SPREAD) ** 2
    else:  # the first milk in an empty tank is as warm as what comes in
        T = mean[2]
        cov[0][0] = cov[0][3] = cov[3][0] = spread[2] ** 2
    return Belief(0.0, [T, *mean], cov)


def usable(milking: TankMilking, pour: Pour, readings: Iterable[Reading], now_s: int) -> list[Reading]:
    """Readings of this milk, one an instant, oldest first, without those that merely repeat a still thermometer."""
    covered_s = milking.started_s + 1.3 * pour.covered_h * 3600
    by_time = {item.at_s: item for item in sorted(readings, key=lambda one: (one.at_s, one.key))}
    known = [item for at_s, item in sorted(by_time.items()) if covered_s < at_s <= now_s]
    found: list[Reading] = []
    start = 0
    for index in range(1, len(known) + 1):
        if index < len(known) and known[index].tank_mC == known[start].tank_mC:
            continue
        run = known[start:index]
        # first milk in an empty tank may stay at one temperature, where heat in and heat out are even
        fills = not milking.milkings_before and (milking.ended_s is None or run[-1].at_s <= milking.ended_s)
        found += run[:1] if stands_still(run) and not fills else run
        start = index
    return found


def stands_still(run: Sequence[Reading]) -> bool:
    """Whether readings are the same for longer than milk that is cooled can be."""
    return (
        len(run) >= STILL_READINGS
        and run[-1].at_s - run[0].at_s >= STILL_S
        and run[0].tank_mC > THERMOSTAT_degC * 1000
        and all(item.tank_mC == run[0].tank_mC for item in run)
    )


def points_of(milking: TankMilking, readings: Iterable[Reading]) -> list[tuple[float, float]]:
    """Readings as hours since the milking began and °C."""
    return [((item.at_s - milking.started_s) / 3600, item.tank_mC / 1000) for item in readings]


@lru_cache(maxsize=256)
def learned(past: PastMilking, *, metered: bool = True, step_degC: float = 0.06) -> Learned | None:
    """Read one past milking on its own; None where it shows nothing of the cooler.

    Args:
        past: the milking and its readings.
        metered: use its masses; False for a tank whose milk is mostly not metered.
        step_degC: the step the thermometer is read to.
    """
    milking = past.milking
    if (
        milking.ended_s is None
        or milking.ended_s <= milking.started_s
        or (metered and not milking.is_metered)
    ):
        return None
    hours = (milking.ended_s - milking.started_s) / 3600
    pour = pour_of(milking, metered=metered, usual_kg=UNMETERED_KG, hours=hours)
    inside = [item for item in past.readings if item.at_s <= milking.ended_s + 4 * 3600]
    known = usable(milking, pour, inside, milking.ended_s + 4 * 3600)
    cold = next(
        (n for n, r in enumerate(known) if r.at_s >= milking.ended_s and r.tank_mC <= THERMOSTAT_degC * 1000),
        len(known),
    )
    points = points_of(milking, thinned(known[: cold + 1]))
    if len(points) < 2:
        return None
    belief = start_of(milking, pour, None)
    follow([belief], pour, points, step_degC)
    if belief.cov[1][1] > _FIRST_SURE**2:
        return None
    cov = tuple(tuple(belief.cov[i][j] for j in (1, 2, 3)) for i in (1, 2, 3))
    return Learned(
        belief.mean[1], belief.mean[2], belief.mean[3], cov,  # type: ignore[arg-type]
        hours, pour.added_kg, metered, milking.started_s,
    )  # fmt: skip


def tank_prior(
    past: Iterable[PastMilking], *, starts_s: int | None = None, step_degC: float = 0.06
) -> TankPrior | None:
    """What this tank's last milkings say of its next; None where they say nothing.

    Args:
        past: its milkings that are over, oldest first; the last dozen count.
        starts_s: when the next began, UTC seconds: its length and milk are those of past ones at that time of day.
        step_degC: the step the thermometer is read to.
    """
    last = list(past)[-PRIOR_MILKINGS:]
    metered = 2 * sum(one.milking.is_metered for one in last) > len(last)
    found = [one for item in last if (one := learned(item, metered=metered, step_degC=step_degC)) is not None]
    return _together(found, _at_that_time(found, starts_s)) if found else None


def _at_that_time(found: Sequence[Learned], starts_s: int | None) -> Sequence[Learned]:
    """Those that began within three hours of the same time of day; all where that are not two."""
    if starts_s is None:
        return found
    half = _DAY_S // 2
    near = [one for one in found if abs((one.started_s - starts_s + half) % _DAY_S - half) <= _NEAR_S]
    return near if len(near) > 1 else found


def _together(found: Sequence[Learned], near: Sequence[Learned]) -> TankPrior:
    """Milkings by their middle: one bend for all, and each one's power at that bend."""
    bend, bend_spread = bend_of_all(found)
    powers = [power_at(one, bend) for one in found]
    inflows = [one.inflow_degC for one in found]
    hours = [one.hours for one in near]
    return TankPrior(
        len(found),
        median(powers),
        _spread(powers, _POWER_FLOOR, 0.25),
        bend,
        bend_spread,
        median(inflows),
        _spread(inflows, _INFLOW_FLOOR, 3.0),
        median(hours),
        _spread(hours, 0.06, 0.3) / median(hours),
        median(one.added_kg for one in near),
        found[0].metered,
    )


def bend_of_all(found: Sequence[Learned]) -> tuple[float, float]:
    """The bend that all milkings together show, per °C, and its spread from one to the next."""
    # each milking began from the same wide start, which must count once and not once for each of them
    wide = 1 / _BEND_SPREAD**2
    shown = [max(1 / max(one.cov[1][1], 1e-9) - wide, 0.0) for one in found]
    parts = [one.bend / max(one.cov[1][1], 1e-9) - _BEND * wide for one in found]
    total = wide + sum(shown)
    bend = (_BEND * wide + sum(part for part, show in zip(parts, shown, strict=True) if show)) / total
    return max(0.0, bend), math.sqrt(1 / total + _BEND_FLOOR**2)


def power_at(one: Learned, bend: float) -> float:
    """A milking's ln of kW at 10 °C, had its cooler that bend."""
    return one.power + one.cov[0][1] / max(one.cov[1][1], 1e-9) * (bend - one.bend)


def _spread(values: Sequence[float], floor: float, alone: float) -> float:
    """How far the next one may lie from the middle; wider with few to tell from."""
    middle = median(values)
    off = 1.4826 * median(abs(value - middle) for value in values)
    return math.sqrt(floor**2 + off**2 + (alone / len(values)) ** 2)
