"""What is held of a tank at the start of a milking: the usual, and beside it what may be amiss."""

from __future__ import annotations

import math
from collections.abc import Sequence

from herdbook.science.tank_filter import Belief
from herdbook.science.tank_motion import Pour
from herdbook.science.tank_prior import TankMilking, TankPrior, start_of

LESS_HEAT = "the cooler takes out less than usual"
WARM_MILK = "the milk comes in warmer than usual"
_LEAST_WEIGHT = 0.003
# Beside the usual tank: one whose cooler gives less, and milk that comes in as warm as from the cow. Judgement.
_WEAK = (0.015, 0.6, 0.45)  # how often; how much less (ln) and how widely
_WARM = (0.002, 34.0, 1.5)  # how often; its inflow and how widely
# Where no past is known, the one wide start in parts narrow enough to be followed: share, ln of power off, spread.
_ANY = ((0.5, 0.0, 0.35), (0.22, 0.7, 0.35), (0.23, -0.8, 0.4), (0.05, -2.0, 0.6))


def beliefs_of(milking: TankMilking, pour: Pour, prior: TankPrior | None) -> list[Belief]:
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


def weighted(beliefs: Sequence[Belief]) -> list[tuple[Belief, float]]:
    top = max(one.log_weight for one in beliefs)
    weights = [math.exp(one.log_weight - top) for one in beliefs]
    total = sum(weights)
    kept = [(one, w / total) for one, w in zip(beliefs, weights, strict=True) if w / total >= _LEAST_WEIGHT]
    return kept
