"""What may come of a tank: even draws from what is held of it, each carried on to the limits that were asked for."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from functools import cache
from itertools import accumulate
from statistics import NormalDist

from herdbook.science.tank_filter import Belief, State, cooler_of
from herdbook.science.tank_forecast_limits import LimitForecast, Wanted
from herdbook.science.tank_motion import HEAT_kWh, Pour, hours_to, onward_degC
from herdbook.science.tank_prior import TankMilking

LOW, HIGH = 0.1, 0.9
"""The range said is the middle 80 %."""
_DRAWS = 64
_WANDERS = 0.03  # of the power, in an hour ahead
_COLDEST_degC = -15.0


class Ahead:
    """What may come: draws from what is held, each carried on to the limits."""

    def __init__(
        self,
        milking: TankMilking,
        pour: Pour,
        heavy: Sequence[tuple[Belief, float]],
        hours_spread: float,
        now_s: int,
    ) -> None:
        self.started_s, self.now_s, self.best = milking.started_s, now_s, max(heavy, key=lambda p: p[1])[0]
        self.pour = pour
        self.flows = now_s < milking.started_s + pour.hours * 3600
        self.draws: list[tuple[float, State, float, Pour]] = []
        least_h = min(pour.hours, (now_s - milking.started_s) / 3600 + 1 / 12)
        for belief, weight in heavy:
            root = _root(_wandered(belief, pour))
            for z in _normal_draws():
                state = [
                    m + sum(row[k] * z[k] for k in range(4)) for m, row in zip(belief.mean, root, strict=True)
                ]
                mine = pour
                if hours_spread:
                    hours = max(pour.hours * math.exp(hours_spread * z[4]), least_h, belief.at_h)
                    mine = pour._replace(hours=hours, added_kg=pour.added_kg * hours / pour.hours)
                cooler = cooler_of(state)
                if belief.at_h < mine.hours:
                    state[0] = onward_degC(state[0], cooler, mine, belief.at_h, mine.hours)
                self.draws.append((weight / _DRAWS, state, max(belief.at_h, mine.hours), mine))

    def limit(self, one: Wanted, used: int, rests_on: str) -> LimitForecast:
        """One limit's forecast."""
        limit = one.limit_mC / 1000
        ends, late, late_known = [], 0.0, one.deadline_s is not None or one.after_end_s is not None
        fixed_h = math.inf if one.deadline_s is None else (one.deadline_s - self.started_s) / 3600
        after_h = math.inf if one.after_end_s is None else one.after_end_s / 3600
        for weight, state, at_h, pour in self.draws:
            hours = at_h + hours_to(limit, state[0], cooler_of(state), pour.full_kg)
            ends.append((hours, weight))
            late += weight if hours > min(fixed_h, pour.hours + after_h) else 0.0
        ends.sort()
        middle, low, high = (self._at_s(_quantile(ends, share)) for share in (0.5, LOW, HIGH))
        chance = min(late, 1.0) if late_known else None
        return self._said(one, middle, low, high, chance, used, rests_on)

    def _said(
        self, one: Wanted, middle: int | None, low: int | None, high: int | None, chance: float | None,
        used: int, rests_on: str,
    ) -> LimitForecast:  # fmt: skip
        cooler, heat_kWh = self.best.cooler, self.pour.full_kg * HEAT_kWh
        coolant = cooler.coolant_degC
        if coolant is not None and coolant < _COLDEST_degC:  # below any coolant in use the curve is a line
            coolant = None
        slope = -cooler.heat_kW(self.best.mean[0]) / heat_kWh * 1000
        if middle is None:
            why = "never at this rate, it stays above the limit"
        elif middle < self.now_s:
            why = "expected by now, read the tank"
        elif self.best.at_h < self.pour.hours:
            why = "from the heat balance of the milk coming in"
        else:
            why = "from the heat taken out of this milk"
        return LimitForecast(
            middle,
            "line" if coolant is None else "exponential",
            why,
            None if coolant is None else round(coolant * 1000),
            None if coolant is None else heat_kWh / (cooler.power_kW * cooler.bend) * 3600,
            slope,
            used,
            middle is None,
            one.limit_mC,
            one.deadline_s,
            low,
            high,
            chance,
            rests_on,
            self.flows,
            True,
            self.now_s,
        )

    def _at_s(self, hours: float) -> int | None:
        return None if math.isinf(hours) else self.started_s + math.ceil(hours * 3600)


def _wandered(belief: Belief, pour: Pour) -> list[list[float]]:
    """The belief's covariance with what the power may still change on the way to the limit."""
    T = max(belief.mean[0], 8.0)
    left_h = max(pour.hours - belief.at_h, 0.0) + hours_to(6.0, T, belief.cooler, pour.full_kg)
    cov = [row[:] for row in belief.cov]
    cov[1][1] += _WANDERS**2 * min(left_h, 6.0) / 3
    return cov


def _quantile(ends: Sequence[tuple[float, float]], share: float) -> float:
    """Of values sorted with their weights, between the two it lies between."""
    sums = list(accumulate(weight for _, weight in ends))
    wanted = share * sums[-1]
    index = min(bisect_left(sums, wanted), len(ends) - 1)
    if index == 0 or math.isinf(ends[index][0]):
        return ends[index][0]
    before, after = ends[index - 1][0], ends[index][0]
    part = (wanted - sums[index - 1]) / ends[index][1]
    return before + min(max(part, 0.0), 1.0) * (after - before)


def _root(cov: Sequence[Sequence[float]]) -> list[list[float]]:
    """Cholesky's lower triangle; a spread rounded below nothing counts as none."""
    root = [[0.0] * 4 for _ in range(4)]
    for i in range(4):
        for j in range(i + 1):
            left = cov[i][j] - sum(root[i][k] * root[j][k] for k in range(j))
            if i == j:
                root[i][i] = math.sqrt(max(left, 0.0))
            elif root[j][j] > 1e-9:
                root[i][j] = left / root[j][j]
    return root


@cache
def _normal_draws() -> tuple[tuple[float, ...], ...]:
    """Even draws of five normal numbers, each with its mirror: Halton's sequence in the bases below."""
    normal = NormalDist()
    found = []
    for number in range(1, _DRAWS // 2 + 1):
        z = tuple(normal.inv_cdf(_halton(number, base)) for base in (2, 3, 5, 7, 11))
        found += [z, tuple(-value for value in z)]
    return tuple(found)


def _halton(number: int, base: int) -> float:
    found, part = 0.0, 1.0
    while number:
        part /= base
        number, digit = divmod(number, base)
        found += part * digit
    return found
