"""Whether a tank's cooler has lost power: a change point in the heat it took out of its last milkings.

Each milking's heat at 10 °C is set against those of as much milk in the tank at that time of day, and against the
weather; then every milking of the last weeks is tried as the one from which less was taken out. The change that stands
out most from the milkings' own spread is called a decline when it stands out enough.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

WINDOW = 80
"""How many of the last milkings are looked at: forty days of two; older ones had another season."""
FEWEST_BEFORE, FEWEST_AFTER = 16, 5
"""So many milkings must show the usual, and so many the loss: fewer may be one hot day. Our judgement."""
LONGEST_AFTER = 40
SCORE = 6.0
"""How many spreads a loss must stand out by; set on simulated coolers, see `scripts/simulate_decline.py`."""
LEAST_LOSS = 0.10
"""A smaller loss is not called: weather and milk make as much. Our judgement."""
WEATHER, WEATHER_SPREAD = -0.012, 0.006
"""Of the heat, for each °C of air: what is held before the farm's own days say; from memory, condensers differ."""
LEAST_SPREAD = 0.02
"""Milkings never differ by less: readings to a tenth of a degree say no more. Our judgement."""
_LEVELS = 2  # a third milking in the tank and more are as the second
_FAR = 2.5  # spreads; a milking further off counts as if it lay there


@dataclass(frozen=True, slots=True)
class Taken:
    """Heat taken out of one milking.

    Attributes:
        at_s: UTC seconds when it began.
        ln_kW: natural logarithm of the kW taken out of milk at 10 °C.
        milkings_before: milkings in the tank with it.
        is_morning: it began before noon of the farm's clock.
        air_degC: mean air temperature of its day; None where it is not known.
    """

    at_s: int
    ln_kW: float
    milkings_before: int
    is_morning: bool
    air_degC: float | None = None


@dataclass(frozen=True, slots=True)
class Decline:
    """A loss of cooling power.

    Attributes:
        since_s: when the first milking with the loss began.
        lost: share of the power lost.
        low: the loss is at least so much with a chance of 90 %.
        high: at most so much with 90 %.
        before: milkings that show the usual.
        after: milkings that show the loss.
        spread: of one milking, as a share.
        weathered: milkings whose day's air temperature is known.
        score: the loss in spreads of its own.
    """

    since_s: int
    lost: float
    low: float
    high: float
    before: int
    after: int
    spread: float
    weathered: int
    score: float


@dataclass(frozen=True, slots=True)
class CoolerCourse:
    """The heat of the last milkings, evened.

    Attributes:
        taken: the milkings looked at, oldest first.
        off: each one's heat against the usual of its like, as ln.
        decline: the loss that stands out; None where none does.
        why: why nothing can be said; empty where something can.
    """

    taken: tuple[Taken, ...]
    off: tuple[float, ...]
    decline: Decline | None
    why: str = ""


def cooler_course(taken: Sequence[Taken]) -> CoolerCourse:
    """Look for a loss of power in a tank's last milkings.

    Args:
        taken: heat taken out of each, in any order; the last `WINDOW` count.

    Returns:
        Their course, with the decline where one stands out.

    References:
        .. [1] Page, "Continuous inspection schemes", Biometrika 41 (1954), for the test of a change at an unknown
           moment; its limit and the evening out are this program's own, set on simulated coolers.
    """
    last = sorted(taken, key=lambda one: one.at_s)[-WINDOW:]
    if len(last) < FEWEST_BEFORE + FEWEST_AFTER:
        few = f"{len(last)} milkings show their heat, {FEWEST_BEFORE + FEWEST_AFTER} are needed"
        return CoolerCourse(tuple(last), (), None, few)
    slope = _weather_slope(last)
    mild = _middle_air(last)
    evened = [
        one.ln_kW - (0.0 if one.air_degC is None or mild is None else slope * (one.air_degC - mild))
        for one in last
    ]
    kinds = _kinds(last)
    spread = _spread(evened, kinds)
    found = _change(last, evened, kinds, spread)
    start = len(last) if found is None else len(last) - found.after
    usual = _usual(evened[:start], kinds[:start])
    whole = median(evened[:start])
    off = tuple(value - usual.get(kind, whole) for value, kind in zip(evened, kinds, strict=True))
    return CoolerCourse(tuple(last), off, found)


def _kinds(last: Sequence[Taken]) -> list[tuple[int, bool]]:
    return [(min(one.milkings_before, _LEVELS), one.is_morning) for one in last]


def _middle_air(last: Sequence[Taken]) -> float | None:
    known = [one.air_degC for one in last if one.air_degC is not None]
    return median(known) if known else None


def _weather_slope(last: Sequence[Taken]) -> float:
    """Of the heat with the air, from steps between neighbours of a kind, so that a loss does not look like weather."""
    like: dict[tuple[int, bool], Taken] = {}
    over = under = 0.0
    steps: list[tuple[float, float]] = []
    for one, kind in zip(last, _kinds(last), strict=True):
        before = like.get(kind)
        like[kind] = one
        if before is None or one.air_degC is None or before.air_degC is None:
            continue
        steps.append((one.air_degC - before.air_degC, one.ln_kW - before.ln_kW))
    if not steps:
        return WEATHER
    rough = max(median(abs(heat) for _, heat in steps) * 1.4826, LEAST_SPREAD)
    for air, heat in steps:
        over += air * min(max(heat, -2 * rough), 2 * rough)
        under += air * air
    held = (rough / WEATHER_SPREAD) ** 2
    return (over + held * WEATHER) / (under + held)


def _usual(values: Sequence[float], kinds: Sequence[tuple[int, bool]]) -> dict[tuple[int, bool], float]:
    groups: dict[tuple[int, bool], list[float]] = defaultdict(list)
    for value, kind in zip(values, kinds, strict=True):
        groups[kind].append(value)
    return {kind: median(its) for kind, its in groups.items()}


def _spread(evened: Sequence[float], kinds: Sequence[tuple[int, bool]]) -> float:
    """Of one milking, from differences between neighbours of a kind: a change counts in one of them only."""
    last: dict[tuple[int, bool], float] = {}
    steps = []
    for value, kind in zip(evened, kinds, strict=True):
        if kind in last:
            steps.append(abs(value - last[kind]))
        last[kind] = value
    return max(1.4826 * median(steps) / math.sqrt(2), LEAST_SPREAD) if steps else 0.1


def _change(
    last: Sequence[Taken], evened: Sequence[float], kinds: Sequence[tuple[int, bool]], spread: float
) -> Decline | None:
    """The milking from which the loss stands out most, where it stands out enough and lasts."""
    best: Decline | None = None
    count = len(last)
    for start in range(max(FEWEST_BEFORE, count - LONGEST_AFTER), count - FEWEST_AFTER + 1):
        step = _step(evened, kinds, start, spread)
        if step is None:
            continue
        lost, error = step
        if best is None or lost / error > best.score:
            # the middle 80 % of a normal error, 1.28 spreads to each side
            best = Decline(
                last[start].at_s, 1 - math.exp(-lost), 1 - math.exp(-(lost - 1.28 * error)),
                1 - math.exp(-(lost + 1.28 * error)), start, count - start, spread,
                sum(one.air_degC is not None for one in last), lost / error,
            )  # fmt: skip
    if best is None or best.score < SCORE or best.lost < LEAST_LOSS:
        return None
    return best


def _step(
    evened: Sequence[float], kinds: Sequence[tuple[int, bool]], start: int, spread: float
) -> tuple[float, float] | None:
    """How much less (ln) from a milking on than before it, kind against its like, and the error of that."""
    usual = _usual(evened[:start], kinds[:start])
    counts: dict[tuple[int, bool], int] = defaultdict(int)
    for kind in kinds[:start]:
        counts[kind] += 1
    offs: dict[tuple[int, bool], list[float]] = defaultdict(list)
    for value, kind in zip(evened[start:], kinds[start:], strict=True):
        if kind in usual:
            offs[kind].append(value - usual[kind])
    every = [off for its in offs.values() for off in its]
    if len(every) < FEWEST_AFTER:
        return None
    middle = median(every)
    total = over = 0.0
    for kind, its in offs.items():
        # a median's error is a quarter larger than a mean's
        weight = 1 / (1 / len(its) + 1.57 / counts[kind])
        held = [min(max(off, middle - _FAR * spread), middle + _FAR * spread) for off in its]
        over += weight * sum(held) / len(held)
        total += weight
    lost = -over / total
    if -middle < lost / 2:  # a few bad milkings among good ones are no decline
        return None
    return lost, spread / math.sqrt(total)


__all__ = ["CoolerCourse", "Decline", "Taken", "cooler_course"]
