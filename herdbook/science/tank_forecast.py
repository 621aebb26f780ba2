"""When will this tank be cold, how surely, and will it be in time: the forecast of one milking.

While milk comes in the heat balance is followed, afterwards the cooling; this tank's last milkings are what is
held before its first reading. Where neither milk nor past is known, `reach_estimate` of the cooling curve answers.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from functools import cache
from itertools import accumulate
from statistics import NormalDist

from herdbook.science.cooling_curve import Estimate, Reading, reach_estimate
from herdbook.science.tank_filter import Belief, State, cooler_of, follow, thinned
from herdbook.science.tank_motion import HEAT_kWh, Pour, hours_to, onward_degC
from herdbook.science.tank_prior import (
    STILL_S,
    USUAL_HOURS,
    TankMilking,
    TankPrior,
    points_of,
    pour_of,
    stands_still,
    start_of,
    usable,
)

LOW, HIGH = 0.1, 0.9
"""The range said is the middle 80 %."""
LIKELY = 0.5
"""With all milk in, a chance of being late above it is an alarm: late is likelier than not."""
SURE = 0.95
"""While milk flows, hours are left and readings are rough: an alarm waits until late is nearly sure. Our judgement."""
LESS_HEAT = "the cooler takes out less than usual"
WARM_MILK = "the milk comes in warmer than usual"
_DRAWS = 64
_LEAST_WEIGHT = 0.003
# Beside the usual tank: one whose cooler gives less, and milk that comes in as warm as from the cow. Judgement.
_WEAK = (0.015, 0.6, 0.45)  # how often; how much less (ln) and how widely
_WARM = (0.002, 34.0, 1.5)  # how often; its inflow and how widely
# Where no past is known, the one wide start in parts narrow enough to be followed: share, ln of power off, spread.
_ANY = ((0.5, 0.0, 0.35), (0.22, 0.7, 0.35), (0.23, -0.8, 0.4), (0.05, -2.0, 0.6))
_WANDERS = 0.03  # of the power, in an hour ahead
_COLDEST_degC = -15.0
_TOO_FAST = 0.6  # ln: a tank that falls this much faster than its cooler can is not being stirred


@dataclass(frozen=True, slots=True)
class Wanted:
    """A limit to forecast.

    Attributes:
        limit_mC: thousandths of a degree C.
        deadline_s: UTC seconds by when; None where that is not known, or there is none.
        after_end_s: seconds after the end of milking, where a deadline counts from an end that lies ahead; the sooner
            of the two holds where both are given.
    """

    limit_mC: int
    deadline_s: int | None = None
    after_end_s: int | None = None


@dataclass(frozen=True, slots=True)
class LimitForecast(Estimate):
    """When one limit is expected to be reached: as likely sooner as later, with its range.

    Attributes:
        limit_mC: the limit.
        deadline_s: by when.
        low_s: reached before it with a chance of 10 %; None where no range can be said.
        high_s: reached by then with 90 %; None also where later than any milk stays.
        chance_late: of missing the deadline, 0 to 1; None without a deadline, or where nothing can be said.
        rests_on: readings used and past milkings, in words.
        flows: milk still comes in.
        by_heat: from the heat balance of the milk; else by the readings alone.
    """

    limit_mC: int = 0
    deadline_s: int | None = None
    low_s: int | None = None
    high_s: int | None = None
    chance_late: float | None = None
    rests_on: str = ""
    flows: bool = False
    by_heat: bool = False

    def is_late(self, deadline_s: int | None) -> bool:
        """Whether late is likelier than not, and nearly sure while milk flows.

        Where no chance can be said it is as the estimate alone says it.
        """
        if self.chance_late is not None:
            return self.chance_late > (SURE if self.flows else LIKELY)
        return Estimate.is_late(self, deadline_s)


@dataclass(frozen=True, slots=True)
class TankForecast:
    """The forecast of one milking.

    Attributes:
        limits: one for each limit wanted, in their order.
        heat_kW: heat taken out of the milk at its temperature now; None where milk was not metered.
        usual_heat_kW: what this tank's cooler usually takes out at that temperature.
        used: readings used.
        prior_milkings: past milkings it rests on.
        doubt: why the thermometer should not be believed as it is; empty where there is no reason.
        cause: `LESS_HEAT` or `WARM_MILK`, when likely.
        why: why nothing is said; empty where something is.
    """

    limits: tuple[LimitForecast, ...]
    heat_kW: float | None = None
    usual_heat_kW: float | None = None
    used: int = 0
    prior_milkings: int = 0
    doubt: str = ""
    cause: str = ""
    why: str = ""


def forecast(
    milking: TankMilking,
    readings: Iterable[Reading],
    wanted: Sequence[Wanted],
    now_s: int,
    *,
    prior: TankPrior | None = None,
    step_degC: float = 0.06,
) -> TankForecast:
    """Forecast the newest milking of a tank from what was read by now.

    Args:
        milking: the milking, its milk and the milk before it as far as known.
        readings: the tank's readings since it began, in any order and at any spacing.
        wanted: the limits.
        now_s: UTC seconds; readings after it are not looked at, and an end after it is not known yet.
        prior: what the tank's last milkings say (`tank_prior`).
        step_degC: the step the thermometer is read to.

    Returns:
        The forecast. Without a prior and without milk known it is `reach_estimate`, with no range and no chance.
    """
    known = [item for item in readings if item.at_s <= now_s]
    ended_s = milking.ended_s if milking.ended_s is not None and milking.ended_s <= now_s else None
    if prior is None and not (milking.is_metered and ended_s is not None):
        return _by_readings_alone(known, wanted, ended_s, now_s)
    pour = _pour(milking, ended_s, prior, now_s)
    mine = usable(milking, pour, known, now_s)
    points = points_of(milking, thinned(mine))
    if prior is None and not points:
        return _nothing(wanted, "no forecast yet, no reading and no earlier milking of this tank")
    beliefs = _beliefs(milking, pour, prior)
    follow(beliefs, pour, points, step_degC)
    heavy = _weighted(beliefs)
    still_s = _still_s(known, ended_s)
    rests_on = _rests_on(len(mine), prior)
    ahead = _Ahead(milking, pour, heavy, _hours_spread(milking, ended_s, prior), now_s)
    limits = []
    for one in wanted:
        found = _reached(known, one, ended_s, rests_on, len(mine)) or ahead.limit(one, len(mine), rests_on)
        if still_s and found.how != "reached":
            found = _standing_still(found, still_s)
        limits.append(found)
    best = max(heavy, key=lambda pair: pair[1])[0]
    is_metered = milking.is_metered and (prior is None or prior.metered)
    heat, usual = _heats(best, prior) if is_metered and points else (None, None)
    return TankForecast(
        tuple(limits),
        heat,
        usual,
        len(mine),
        prior.milkings if prior else 0,
        _still_words(still_s) if still_s else _too_fast(best, prior),
        _cause(heavy, prior) if points else "",
    )


def _by_readings_alone(
    known: Sequence[Reading], wanted: Sequence[Wanted], ended_s: int | None, now_s: int
) -> TankForecast:
    """No milk known and no past: the curve of the readings since the milk was in, and no range."""
    if ended_s is None:
        return _nothing(wanted, "milk is still coming in, no forecast yet")
    cooled = [item for item in known if item.at_s >= ended_s]
    limits = []
    for one in wanted:
        plain = reach_estimate(cooled, one.limit_mC, now_s)
        limits.append(_with(plain, limit_mC=one.limit_mC, deadline_s=one.deadline_s,
                            rests_on=_rests_on(plain.used, None)))  # fmt: skip
    why = limits[0].why if limits and all(one.how == "none" for one in limits) else ""
    return TankForecast(tuple(limits), used=len(cooled), why=why)


def _nothing(wanted: Sequence[Wanted], why: str) -> TankForecast:
    limits = tuple(
        LimitForecast(None, "none", why, limit_mC=one.limit_mC, deadline_s=one.deadline_s) for one in wanted
    )
    return TankForecast(limits, why=why)


def _with(plain: Estimate, **more: object) -> LimitForecast:
    same = {one.name: getattr(plain, one.name) for one in fields(plain)}
    return LimitForecast(**{**same, **more})


def _pour(milking: TankMilking, ended_s: int | None, prior: TankPrior | None, now_s: int) -> Pour:
    usual_h = prior.hours if prior else USUAL_HOURS
    end_s = ended_s if ended_s is not None else max(milking.started_s + usual_h * 3600, now_s + 600)
    hours = max((end_s - milking.started_s) / 3600, 1 / 60)
    metered = prior.metered if prior else True
    usual_kg = prior.added_kg if prior else (milking.added_g or 1_000_000) / 1000
    if ended_s is None:  # the pace is what is known; a milking that runs on brings more
        usual_kg *= hours / usual_h
    return pour_of(milking, metered=metered, usual_kg=usual_kg, hours=hours)


def _hours_spread(milking: TankMilking, ended_s: int | None, prior: TankPrior | None) -> float:
    return prior.hours_spread if prior and ended_s is None else 0.0


def _beliefs(milking: TankMilking, pour: Pour, prior: TankPrior | None) -> list[Belief]:
    """The usual tank; and, where the usual is known, a weak cooler and milk that was not pre-cooled."""
    usual = start_of(milking, pour, prior)
    if prior is None:
        return _any_cooler(milking, pour)
    weak, warm = start_of(milking, pour, prior), start_of(milking, pour, prior)
    share, less, width = _WEAK
    weak.mean[1] -= less
    weak.cov[1][1] = width**2
    weak.log_weight, weak.why = math.log(share), LESS_HEAT
    share, inflow, width = _WARM
    if prior.inflow_degC > inflow - 3:
        return [usual, weak]
    warm.mean[3], warm.cov[3][3] = inflow, width**2
    if not milking.milkings_before:
        warm.mean[0] = inflow
        warm.cov[0][0] = warm.cov[0][3] = warm.cov[3][0] = width**2
    warm.log_weight, warm.why = math.log(share), WARM_MILK
    return [usual, weak, warm]


def _any_cooler(milking: TankMilking, pour: Pour) -> list[Belief]:
    """A tank nothing is known of: its cooler's power may be far off, so it is followed from several starts."""
    found = []
    for share, off, width in _ANY:
        one = start_of(milking, pour, None)
        one.mean[1] += off
        one.cov[1][1] = width**2
        one.log_weight = math.log(share)
        found.append(one)
    return found


def _weighted(beliefs: Sequence[Belief]) -> list[tuple[Belief, float]]:
    top = max(one.log_weight for one in beliefs)
    weights = [math.exp(one.log_weight - top) for one in beliefs]
    total = sum(weights)
    kept = [(one, w / total) for one, w in zip(beliefs, weights, strict=True) if w / total >= _LEAST_WEIGHT]
    return kept


def _reached(
    known: Sequence[Reading], one: Wanted, ended_s: int | None, rests_on: str, used: int
) -> LimitForecast | None:
    if ended_s is None:
        return None
    for item in sorted(known, key=lambda reading: (reading.at_s, reading.key)):
        if item.at_s >= ended_s and item.tank_mC <= one.limit_mC:
            late = None if one.deadline_s is None else float(item.at_s > one.deadline_s)
            return LimitForecast(
                item.at_s, "reached", "read at or under the limit", used=used, limit_mC=one.limit_mC,
                deadline_s=one.deadline_s, low_s=item.at_s, high_s=item.at_s, chance_late=late,
                rests_on=rests_on,
            )  # fmt: skip
    return None


class _Ahead:
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


def _still_s(known: Sequence[Reading], ended_s: int | None) -> int:
    """How long the last readings have stood still with all milk in; 0 where they move."""
    if ended_s is None:
        return 0
    run: list[Reading] = []
    for item in sorted(known, key=lambda reading: reading.at_s, reverse=True):
        if item.at_s < ended_s or (run and item.tank_mC != run[0].tank_mC):
            break
        run.append(item)
    run.reverse()
    return run[-1].at_s - run[0].at_s if stands_still(run) else 0


def _still_words(still_s: int) -> str:
    return (
        f"the readings have stood still for {still_s // 60} min: cooling stopped, or the thermometer is stuck"
    )


def _standing_still(found: LimitForecast, still_s: int) -> LimitForecast:
    """As likely that nothing cools any more as that the thermometer is stuck: said so, and not in time."""
    chance = None if found.chance_late is None else 0.5 + found.chance_late / 2
    return _with(found, at_s=None, how="none", why=_still_words(still_s), never=True, low_s=None, high_s=None,
                 chance_late=chance)  # fmt: skip


def _rests_on(used: int, prior: TankPrior | None) -> str:
    words = f"{used} reading{'' if used == 1 else 's'} of this milking"
    if prior is None:
        return f"{words}, no earlier milking of this tank"
    return f"{words} and the {prior.milkings} milking{'' if prior.milkings == 1 else 's'} before it"


def _heats(best: Belief, prior: TankPrior | None) -> tuple[float, float | None]:
    T = best.mean[0]
    usual = None if prior is None else prior.power_kW * (1 + prior.bend * (T - 10))
    return best.cooler.heat_kW(T), usual


def _too_fast(best: Belief, prior: TankPrior | None) -> str:
    if prior is None or best.mean[1] - prior.power < _TOO_FAST:
        return ""
    return "it falls faster than this cooler can take out heat: has the agitator run?"


def _cause(heavy: Sequence[tuple[Belief, float]], prior: TankPrior | None) -> str:
    """The likeliest reason for a late tank, where one stands out."""
    if prior is None:
        return ""
    best, weight = max(heavy, key=lambda pair: pair[1])
    if best.why != "usual" and weight > 0.5:
        return best.why
    return LESS_HEAT if best.mean[1] < prior.power - 0.25 else ""


__all__ = ["LESS_HEAT", "STILL_S", "WARM_MILK", "LimitForecast", "TankForecast", "Wanted", "forecast"]
