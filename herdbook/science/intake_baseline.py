"""Whether a pen really eats less: each day against the middle of its own last days, in units of their own spread.

A median and the median absolute deviation are the baseline, so that a day written wrongly neither moves it nor
widens it. A day whose refusal is missing is not left out: what was dropped, less the pen's usual share left, stands
for it with less weight, so that a fall is not hidden by the very morning nobody weighed. One very low day, or two
low days together, are called a likely fall; one middling day is not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt
from statistics import median

LB_KG = 0.45359237
BASELINE_DAYS = 14
"""How many days before the two that are judged make the baseline."""
FEWEST_DAYS = 5
"""With fewer there is no spread of a pen's own to go by."""
USUAL_SPREAD = 0.022
"""What a pen's daily intake is taken to vary by, as a fraction, until its own days say otherwise (no source)."""
USUAL_WORTH_DAYS = 20
"""How many of a pen's own days that usual spread counts for."""
LEAST_SPREAD = 0.012
"""No pen is known more finely: scales, dry matter and heads see to that (no source)."""
ESTIMATED_SPREAD = 1.5
"""How much wider a day is whose refusal was not written."""
HARDLY_ANY = 0.002
"""A bunk with less of what was fed left than this was empty, or was not weighed and nought was written."""
MUCH_MORE = 0.5
"""How much more than usual must be left the day after, as a share of what was missing, to tell the two apart."""
LIKELY = 2.3
"""How far below, in spreads, two days together must lie; set on simulated pens, see `scripts/simulate_pens.py`."""
ONE_DAY_MORE = 0.9
"""How much further one day alone must lie: it may be one wrong weight."""
MAD_TO_SPREAD = 1.4826
"""Makes the median absolute deviation the standard deviation of normal noise."""


@dataclass(frozen=True, slots=True)
class IntakeDay:
    """What is known of a pen's day, dry matter a head.

    Attributes:
        day: ordinal of the farm day.
        eaten: kg; None where the refusal is not written.
        fed: kg; None where nothing was dropped.
    """

    day: int
    eaten: float | None = None
    fed: float | None = None


@dataclass(frozen=True, slots=True)
class IntakeVerdict:
    """One day judged.

    Attributes:
        day: ordinal of the farm day.
        eaten: kg a head, as known or estimated.
        estimated: whether the refusal was missing and the usual share left stands for it.
        usual: middle of the baseline, kg a head.
        spread: of the baseline, as a fraction of `usual`.
        days: how many days the baseline rests on.
        percent: this day against the usual.
        two_days_percent: this day and the one before together; None where that one is not known.
        score: how far below, in spreads; `LIKELY` and more is a likely fall.
    """

    day: int
    eaten: float
    estimated: bool
    usual: float
    spread: float
    days: int
    percent: float
    two_days_percent: float | None
    score: float

    @property
    def is_likely_fall(self) -> bool:
        """Whether a real fall is likely, and by more than a pound a head.

        A pen's intake is not known more finely than a pound: Progressive Dairy 1808 (2008) sets a pound of intake
        against two to three pounds of milk.
        """
        return self.is_fall_at(LIKELY)

    def is_fall_at(self, limit: float) -> bool:
        """`is_likely_fall` at another limit, for measuring how limits do."""
        lower = min(self.percent, 0.0 if self.two_days_percent is None else self.two_days_percent)
        return self.score >= limit and -lower / 100 * self.usual >= LB_KG


def judge_day(days: Sequence[IntakeDay], day: int) -> IntakeVerdict | None:
    """Judge one day of a pen against its own last days.

    Args:
        days: what is known of the pen's days, in any order; days after `day` are not looked at.
        day: ordinal of the farm day to judge.

    Returns:
        None where the day is not known at all or fewer than five days before it are.

    References:
        .. [1] The baseline, the two limits and the weights are this book's own, set on simulated pens; no source.
    """
    known = _evened({one.day: one for one in days if day - BASELINE_DAYS - 1 <= one.day <= day})
    before = [known[one] for one in range(day - BASELINE_DAYS - 1, day - 1) if one in known]
    left = _usual_left(before)
    baseline = [kg for one in before if (kg := one.eaten) is not None]
    if len(baseline) < FEWEST_DAYS or (now := _eaten(known.get(day), left)) is None:
        return None
    usual = median(baseline)
    if usual <= 0:
        return None
    spread = _spread(baseline, usual)
    middle = 1.2533 * spread / sqrt(len(baseline))  # standard error of a median, as a fraction
    today = (now[0] / usual - 1, now[1] * spread)
    score = -today[0] / sqrt(today[1] ** 2 + middle**2) - ONE_DAY_MORE
    last = _eaten(known.get(day - 1), left)
    together = None
    if last is not None:
        parts = (today, (last[0] / usual - 1, last[1] * spread))
        weights = [1 / wide**2 for _, wide in parts]
        together = sum(w * off for w, (off, _) in zip(weights, parts, strict=True)) / sum(weights)
        if today[0] < 0:  # a pen that ate as usual today is not said to fall for yesterday's sake
            score = max(score, -together / sqrt(1 / sum(weights) + middle**2))
    return IntakeVerdict(
        day,
        now[0],
        now[1] > 1,
        usual,
        spread,
        len(baseline),
        100 * today[0],
        None if together is None else 100 * together,
        score,
    )


def _evened(known: dict[int, IntakeDay]) -> dict[int, IntakeDay]:
    """The days with a bunk that was not cleaned out put right: nought was written, and it came with the next day's.

    Such a pair shows as hardly anything left and then about twice the usual; both days then ate their mean.
    """
    left = _usual_left(list(known.values()))
    if left is None:
        return known
    evened = dict(known)
    for day in sorted(known):
        one, after = known[day], known.get(day + 1)
        if after is None or one.eaten is None or after.eaten is None or not one.fed or not after.fed:
            continue
        first, second = 1 - one.eaten / one.fed, 1 - after.eaten / after.fed
        if first <= HARDLY_ANY < left and second >= left + MUCH_MORE * (left - first):
            shift = (second - first) / 2
            evened[day] = replace(one, eaten=one.eaten - shift * one.fed)
            evened[day + 1] = replace(after, eaten=after.eaten + shift * after.fed)
    return evened


def _eaten(one: IntakeDay | None, left: float | None) -> tuple[float, float] | None:
    """What was eaten, and how much wider it is known than a whole day."""
    if one is None:
        return None
    if one.eaten is not None:
        return one.eaten, 1.0
    return None if one.fed is None or left is None else (one.fed * (1 - left), ESTIMATED_SPREAD)


def _usual_left(days: Sequence[IntakeDay]) -> float | None:
    """The middle share of the dry matter fed that the pen leaves."""
    shares = [1 - one.eaten / one.fed for one in days if one.eaten is not None and one.fed]
    return median(shares) if shares else None


def _spread(baseline: Sequence[float], usual: float) -> float:
    """The pen's own spread, drawn towards the usual one while its days are few."""
    own = MAD_TO_SPREAD * median(abs(kg - usual) for kg in baseline) / usual
    count = len(baseline)
    drawn = (count * own**2 + USUAL_WORTH_DAYS * USUAL_SPREAD**2) / (count + USUAL_WORTH_DAYS)
    return max(LEAST_SPREAD, sqrt(drawn))
