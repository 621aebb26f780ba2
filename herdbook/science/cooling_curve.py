"""When will the milk be cold: a forecast from the readings of one cooling, or a plain refusal to guess.

Two shapes are tried. A tank whose cooler takes out the same heat all the time falls on a straight line; one
that cools towards a coolant falls on an exponential. The exponential is used only where the readings bend
more than their own rounding can explain, so that thermometers read to a whole degree do not make up a bend.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

How = Literal["line", "exponential", "reached", "none"]

_HOUR_S = 3600.0
_RECENT_S = 600  # readings closer together than this may be equal by rounding alone
_STILL_S = (
    900  # a tank that does not fall in a quarter of an hour after milking is not cooling; our judgement
)
_HORIZON_S = 48 * 3600  # no milk stays longer; a forecast beyond is a line drawn too far
_FULL_FIT = 120  # readings used at most; a logger's minute readings are thinned evenly beyond that
_STEPS_mC = ((1800, 32000, 1000), (1000, 0, 1000), (1800, 32000, 100), (1000, 0, 100))
_SHORTEST_TAU_S = (
    300  # no tank cools faster; a shorter one is stirring, or rounding of readings close together
)
_COLDEST_COOLANT_mC = -15_000  # an asymptote below any coolant in use means that the curve is a line


@dataclass(frozen=True, slots=True)
class Reading:
    """One temperature reading of the tank.

    Attributes:
        at_s: UTC seconds.
        tank_mC: thousandths of a degree C, as stored.
        key: the reader's own number for it.
    """

    at_s: int
    tank_mC: int
    key: int


@dataclass(frozen=True, slots=True)
class Estimate:
    """When a limit is expected to be reached, or why nothing is said.

    Attributes:
        at_s: UTC seconds when the limit is expected, or was read; None when there is no forecast.
        how: "line", "exponential", "reached" (a reading is already there) or "none".
        why: one clause for a person.
        coolant_mC: temperature an exponential curve tends to.
        tau_s: its time constant.
        slope_mC_per_h: how fast the tank fell at the last readings; negative when cooling.
        used: readings used.
        never: the readings say that the limit is not reached at all at this rate.
    """

    at_s: int | None
    how: How
    why: str
    coolant_mC: int | None = None
    tau_s: float | None = None
    slope_mC_per_h: float | None = None
    used: int = 0
    never: bool = False

    def is_late(self, deadline_s: int | None) -> bool:
        """Whether a deadline is expected to be missed; without one, whether the limit is never reached.

        Args:
            deadline_s: UTC seconds; reaching the limit at that very second is in time.
        """
        return self.never if deadline_s is None else too_slow(self, deadline_s)

    def is_alarm(self, deadline_s: int | None) -> bool:
        """Whether people are to be woken for it; an estimate without a chance has one grade only.

        Args:
            deadline_s: UTC seconds; None where there is none.
        """
        return self.is_late(deadline_s)


class _Line(NamedTuple):
    level: float
    slope: float
    rms: float


class _Curve(NamedTuple):
    coolant: float
    gap: float
    tau: float
    rms: float


def reach_estimate(readings: Iterable[Reading], limit_mC: int, now_s: int) -> Estimate:
    """Estimate when the tank reaches a limit, from the readings since all the milk is in.

    Least squares through the readings: a straight line from two readings on, from three on the exponential
    T = coolant + gap * exp(-t / tau) where the bend is larger than the readings' own rounding. The tank's
    mass, the weather and earlier milkings are not known here.

    Args:
        readings: the readings since the end of the milking, in any order and at any spacing.
        limit_mC: the limit in thousandths of a degree C.
        now_s: UTC seconds; readings after it are not looked at.

    Returns:
        The estimate; `how` is "none" and `why` says what is missing where nothing honest can be said. One
        whose curve stays above the limit has `never` set.
    """
    points = _in_order(readings, now_s)
    used = len(points)
    for point in points:
        if point.tank_mC <= limit_mC:
            return Estimate(point.at_s, "reached", "read at or under the limit", used=used)
    if used < 2:
        what = "no reading since the milk was in" if not points else "one reading is not enough"
        return Estimate(None, "none", f"no forecast yet, {what}", used=used)
    slope = _line(_recent(points)).slope * _HOUR_S
    if slope >= 0 or points[-1].tank_mC > points[-2].tank_mC + _step(points):
        return _not_falling(points, slope)
    forecast = _by_curve(points, limit_mC, slope) or _by_line(points, limit_mC)
    if forecast.at_s is not None and forecast.at_s < now_s:
        return _replace_why(forecast, "expected by now, read the tank")
    return forecast


def too_slow(estimate: Estimate, deadline_s: int) -> bool:
    """Whether an estimate says that a deadline will be missed; False where the estimate says nothing.

    Args:
        estimate: from `reach_estimate`.
        deadline_s: UTC seconds of the deadline; reaching the limit at that very second is in time.
    """
    if estimate.at_s is None:
        return estimate.never
    return estimate.at_s > deadline_s


def _in_order(readings: Iterable[Reading], now_s: int) -> list[Reading]:
    """One reading an instant, the last written of them, oldest first, thinned evenly when very many."""
    by_time = {item.at_s: item for item in sorted(readings, key=lambda item: (item.at_s, item.key))}
    points = [item for at_s, item in sorted(by_time.items()) if at_s <= now_s]
    every = -(-len(points) // _FULL_FIT)
    return points[::-1][:: max(every, 1)][::-1]


def _recent(points: Sequence[Reading]) -> Sequence[Reading]:
    """The readings from the newest one that is at least ten minutes older than the last, or all of them."""
    before = points[-1].at_s - _RECENT_S
    older = sum(1 for item in points if item.at_s <= before)
    return points[max(older - 1, 0) :]


def _step(points: Sequence[Reading]) -> float:
    """The coarsest step all readings lie on: a whole or a tenth of a degree F or C, else a hundredth of a
    degree C.

    A reading typed in °F is stored to a thousandth of a degree C, so it may lie 0.9 thousandths of a °F off.
    """
    for scale, zero, step in _STEPS_mC:
        if all(_off_step(item.tank_mC * scale / 1000 + zero, step) <= 1 for item in points):
            return step * 1000 / scale
    return 10.0


def _off_step(value: float, step: int) -> float:
    return abs(value - step * round(value / step))


def _not_falling(points: Sequence[Reading], slope: float) -> Estimate:
    last = points[-1]
    never = any(last.at_s - item.at_s >= _STILL_S and item.tank_mC <= last.tank_mC for item in points)
    why = "not cooling" if never else "no forecast yet, the last readings do not fall"
    return Estimate(None, "none", why, slope_mC_per_h=slope, used=len(points), never=never)


def _by_line(points: Sequence[Reading], limit_mC: int) -> Estimate:
    """Straight on at the pace of all readings where they lie on a line, else of the last three."""
    line = _line(points)
    used = len(points)
    if line.rms > _step(points) / 2 or line.slope >= 0:
        line, used = _line(points[-3:]), min(3, len(points))
        if line.slope >= 0:
            return _not_falling(points, line.slope * _HOUR_S)
    last = points[-1]
    seconds = max((line.level - limit_mC) / -line.slope, 0.0)
    slope = line.slope * _HOUR_S
    if seconds > _HORIZON_S:
        why = "no forecast yet, hardly falling"
        return Estimate(None, "none", why, slope_mC_per_h=slope, used=used, never=_span(points) >= _STILL_S)
    return Estimate(
        last.at_s + math.ceil(seconds), "line", "straight on at this pace", slope_mC_per_h=slope, used=used
    )


def _by_curve(points: Sequence[Reading], limit_mC: int, slope: float) -> Estimate | None:
    """The exponential, or None where the readings do not bend like one."""
    step = _step(points)
    if len(points) < 3 or _line(points).rms <= step / 2:
        return None
    curve = _curve(points)
    if curve is None or curve.coolant < _COLDEST_COOLANT_mC or curve.tau < _SHORTEST_TAU_S:
        return None
    if curve.rms > _line(points).rms / 2:
        return None
    coolant, used = round(curve.coolant), len(points)
    if curve.coolant >= limit_mC:
        why = "never at this rate, the curve stays above the limit"
        return Estimate(None, "exponential", why, coolant, curve.tau, slope, used, never=True)
    seconds = curve.tau * math.log(curve.gap / (limit_mC - curve.coolant))
    why = "on the curve of these readings"
    return Estimate(
        points[0].at_s + math.ceil(max(seconds, _span(points))),
        "exponential",
        why,
        coolant,
        curve.tau,
        slope,
        used,
    )


def _span(points: Sequence[Reading]) -> int:
    return points[-1].at_s - points[0].at_s


def _line(points: Sequence[Reading]) -> _Line:
    """Least squares line: level at the last reading, slope per second, how far the readings lie off."""
    count = len(points)
    end = points[-1].at_s
    times = [item.at_s - end for item in points]
    mean_t = sum(times) / count
    mean_T = sum(item.tank_mC for item in points) / count
    spread = sum((time - mean_t) ** 2 for time in times)
    along = sum((time - mean_t) * (item.tank_mC - mean_T) for time, item in zip(times, points, strict=True))
    slope = along / spread if spread else 0.0
    level = mean_T - slope * mean_t
    off = sum((level + slope * time - item.tank_mC) ** 2 for time, item in zip(times, points, strict=True))
    return _Line(level, slope, math.sqrt(off / count))


def _curve(points: Sequence[Reading]) -> _Curve | None:
    """Least squares exponential: for each time constant the rest is linear, so only that one is searched."""
    span = _span(points)
    taus = [span * 10 ** (power / 10) for power in range(-15, 21)]
    fits = [_fit(points, tau) for tau in taus]
    best = min(range(len(fits)), key=lambda index: fits[index].rms)
    low, high = taus[max(best - 1, 0)], taus[min(best + 1, len(taus) - 1)]
    ratio = (math.sqrt(5) - 1) / 2
    for _ in range(40):
        inner, outer = high - ratio * (high - low), low + ratio * (high - low)
        if _fit(points, inner).rms <= _fit(points, outer).rms:
            high = outer
        else:
            low = inner
    found = _fit(points, (low + high) / 2)
    return found if found.gap > 0 else None


def _fit(points: Sequence[Reading], tau: float) -> _Curve:
    start = points[0].at_s
    shape = [math.exp(-(item.at_s - start) / tau) for item in points]
    count = len(points)
    mean_s = sum(shape) / count
    mean_T = sum(item.tank_mC for item in points) / count
    spread = sum((value - mean_s) ** 2 for value in shape)
    along = sum((value - mean_s) * (item.tank_mC - mean_T) for value, item in zip(shape, points, strict=True))
    gap = along / spread if spread else 0.0
    coolant = mean_T - gap * mean_s
    off = sum((coolant + gap * value - item.tank_mC) ** 2 for value, item in zip(shape, points, strict=True))
    return _Curve(coolant, gap, tau, math.sqrt(off / count))


def _replace_why(estimate: Estimate, why: str) -> Estimate:
    return Estimate(
        estimate.at_s, estimate.how, why, estimate.coolant_mC, estimate.tau_s, estimate.slope_mC_per_h,
        estimate.used, estimate.never,
    )  # fmt: skip
