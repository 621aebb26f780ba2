"""When will this tank be cold, how surely, and will it be in time: the forecast of one milking.

While milk comes in the heat balance is followed, afterwards the cooling; this tank's last milkings are what is
held before its first reading. Where neither milk nor past is known, `reach_estimate` of the cooling curve answers.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import fields

from herdbook.science.cooling_curve import Estimate, Reading, reach_estimate
from herdbook.science.tank_filter import Belief, follow, thinned
from herdbook.science.tank_forecast_draws import Ahead
from herdbook.science.tank_forecast_limits import LimitForecast, TankForecast, Wanted
from herdbook.science.tank_forecast_starts import LESS_HEAT, WARM_MILK, beliefs_of, weighted
from herdbook.science.tank_motion import Pour
from herdbook.science.tank_prior import (
    STILL_S,
    USUAL_HOURS,
    TankMilking,
    TankPrior,
    points_of,
    pour_of,
    stands_still,
    usable,
)

_TOO_FAST = 0.6  # ln: a tank that falls this much faster than its cooler can is not being stirred


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
    beliefs = beliefs_of(milking, pour, prior)
    follow(beliefs, pour, points, step_degC)
    heavy = weighted(beliefs)
    still_s = _still_s(known, ended_s)
    rests_on = _rests_on(len(mine), prior)
    ahead = Ahead(milking, pour, heavy, _hours_spread(milking, ended_s, prior), now_s)
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
                 chance_late=chance, stands_still=True)  # fmt: skip


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
