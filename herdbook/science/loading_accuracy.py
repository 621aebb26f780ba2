"""How near loadings came to their targets, with how sure that is, and how much a pen's intake goes up and down."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import sqrt
from statistics import NormalDist, fmean, stdev
from typing import NamedTuple

HIT_PERCENT = 2.0
"""The usual hit: 33 herds made 46.7 % of 386,011 loadings so (Barry, abstract W324)."""
WIDE_PERCENT = 5.0
"""The wider bound, usual for small ingredients: convention, from memory."""
SURE = 0.95
TURNS_OF_CHANCE = 200 / 3
"""Per cent of turning points in days that vary by chance alone: of three different days the middle one is highest or
lowest in four of six orders."""


class Interval(NamedTuple):
    """A share or a mean with the bounds it lies in, 19 times in 20; bounds are None where they cannot be told."""

    value: float
    low: float | None
    high: float | None


class Accuracy(NamedTuple):
    """Loadings against their targets, %.

    Attributes:
        loadings: how many.
        bias: mean of the signed errors.
        error: mean of the errors without sign.
        spread: standard deviation of the signed errors; None of one loading.
        within_hit, within_wide: share within 2 and within 5 %.
    """

    loadings: int
    bias: Interval
    error: float
    spread: float | None
    within_hit: Interval
    within_wide: Interval


def loading_accuracy(errors: Sequence[float]) -> Accuracy:
    """Sum up loading errors, per cent of the target, over (above zero) and under.

    The bias is bounded by Student's t, the shares by Wilson's score interval. Both take loadings to be independent;
    those of one load share its scale and its hands, so the truth is somewhat less sure.

    Args:
        errors: at least one; as `loading-deviation` makes them.

    References:
        .. [1] Wilson (1927), Probable inference, the law of succession, and statistical inference, J. Am. Stat. Assoc.
            22:209, from memory.
        .. [2] Abramowitz, Stegun, Handbook of Mathematical Functions, 26.7.5 (t from the normal), from memory.
    """
    count = len(errors)
    mean = fmean(errors)
    spread = stdev(errors) if count > 1 else None
    bias = Interval(mean, None, None)
    if spread is not None:
        half = student_t(count - 1) * spread / sqrt(count)
        bias = Interval(mean, mean - half, mean + half)
    return Accuracy(
        count,
        bias,
        fmean(abs(one) for one in errors),
        spread,
        _share(errors, HIT_PERCENT),
        _share(errors, WIDE_PERCENT),
    )


def _share(errors: Sequence[float], bound: float) -> Interval:
    # a pound off is not told apart from a pound off by the last digit of a division
    hits, count = sum(abs(one) <= bound + 1e-9 for one in errors), len(errors)
    share, z = hits / count, NormalDist().inv_cdf((1 + SURE) / 2)
    middle = (share + z**2 / (2 * count)) / (1 + z**2 / count)
    half = z * sqrt(share * (1 - share) / count + z**2 / (4 * count**2)) / (1 + z**2 / count)
    return Interval(100 * share, 100 * max(0.0, middle - half), 100 * min(1.0, middle + half))


def student_t(freedom: int, sure: float = SURE) -> float:
    """The two-sided quantile of Student's t, within 1 % from three degrees of freedom on; exact for one and two.

    Args:
        freedom: degrees of freedom, 1 or more.
        sure: the share between the bounds.
    """
    from math import pi, tan

    if freedom == 1:
        return tan(pi * sure / 2)
    if freedom == 2:
        return sure * sqrt(2 / (1 - sure**2))
    x, n = NormalDist().inv_cdf((1 + sure) / 2), freedom
    return (
        x
        + (x**3 + x) / (4 * n)
        + (5 * x**5 + 16 * x**3 + 3 * x) / (96 * n**2)
        + (3 * x**7 + 19 * x**5 + 17 * x**3 - 15 * x) / (384 * n**3)
    )


class Sawtooth(NamedTuple):
    """How much intake goes up and down from day to day.

    Attributes:
        days: days that are known.
        step: mean change from a day to the next without sign, % of the mean.
        turns: share of inner days that are above or below both neighbours, %; None where no three follow on.
    """

    days: int
    step: float | None
    turns: float | None


def sawtooth(eaten: Sequence[float | None]) -> Sawtooth:
    """Sum up a pen's intake from day to day.

    Chance alone turns on two days of three; clearly more is a sawtooth: much on one day, little on the next.

    Args:
        eaten: kg a head of days that follow on; None where it is not known.
    """
    known = [kg for kg in eaten if kg is not None]
    steps = [abs(b - a) for a, b in pairwise(eaten) if a is not None and b is not None]
    inner = [
        (b - a) * (b - c) > 0
        for a, b, c in zip(eaten, eaten[1:], eaten[2:], strict=False)
        if a is not None and b is not None and c is not None
    ]
    mean = fmean(known) if known else 0.0
    return Sawtooth(
        len(known),
        100 * fmean(steps) / mean if steps and mean > 0 else None,
        100 * sum(inner) / len(inner) if inner else None,
    )
