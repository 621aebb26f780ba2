"""Rolling geometric means of counts, by both published ways; they answer differently and are never mixed.

By months: the geometric mean of each month's own geometric mean. By tests: the geometric mean of all single
    tests.
Reports use the mean by months unless the farm's buyer says otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from herdbook.science.registry import Argument, Check, published

SUBJECT = "Rolling means"
MONTHLY = Argument("geometric mean of one month, seasonal factor already in", "", 1, 1e8, floor=1e-9)

By = Literal["months", "tests"]


def geometric_mean(values: Iterable[float]) -> float:
    """The n-th root of the product of n counts.

    Args:
        values: counts, all above 0.

    Raises:
        ValueError: no values, or one that is not above 0 (a count below what the method can see has no
            logarithm: enter what the laboratory prints as the lowest it reports).
    """
    known = list(values)
    if not known:
        raise ValueError("a mean needs at least one count")
    if min(known) <= 0:
        raise ValueError("a geometric mean needs counts above 0")
    return math.exp(math.fsum(math.log(value) for value in known) / len(known))


@dataclass(frozen=True, slots=True)
class MonthOfTests:
    """One month's results, with the factor the authority lets seasonal milk be multiplied by.

    Attributes:
        tests: counts in any one unit.
        factor: seasonal factor; 1 without one.
    """

    tests: Sequence[float]
    factor: float = 1.0


def mean_by_months(months: Sequence[MonthOfTests]) -> float:
    """First published way: the geometric mean of the adjusted monthly geometric means.

    Args:
        months: each with at least one test.

    References:
        .. [1] Irish Veterinary Journal (2017), article s13620-017-0083-z, Table 2.
    """
    return geometric_mean(geometric_mean(month.tests) * month.factor for month in months)


def mean_by_tests(months: Sequence[MonthOfTests]) -> float:
    """Second published way: the geometric mean of all adjusted single tests.

    Args:
        months: with at least one test among them.

    References:
        .. [1] Irish Veterinary Journal (2017), article s13620-017-0083-z, Table 2.
    """
    return geometric_mean(test * month.factor for month in months for test in month.tests)


@published(
    "mean-of-three-months",
    title="Rolling mean of three monthly geometric means",
    subject=SUBJECT,
    formula="mean = (first * second * third)^(1/3)",
    unit="",
    source=("EU853", "IVJ2017"),
    arguments={"first": MONTHLY, "second": MONTHLY, "third": MONTHLY},
    check=(
        Check(
            {"first": 154.29, "second": 340.76, "third": 377.65}, 270.79, 0.01, "table 2, March, by months"
        ),
        Check(
            {"first": 395.62, "second": 460.49, "third": 377.65}, 409.759, 0.01, "derived: no seasonal factor"
        ),
    ),
    notes="The other published way, over all single tests, gives 278.51 on the same herd. Do not mix them.",
)
def mean_of_three_months(*, first: float, second: float, third: float) -> float:
    """Geometric mean of three months, in the unit of the counts given."""
    return geometric_mean((first, second, third))


@dataclass(frozen=True, slots=True)
class RollingMean:
    """A rolling geometric mean, and whether there were samples enough for it to count.

    Attributes:
        value: the mean in the unit of the counts, or None without any test.
        tests: how many tests are in it.
        enough: every month has the samples it must have.
        why: what is missing, empty when nothing is.
    """

    value: float | None
    tests: int
    enough: bool
    why: str


def rolling_mean(
    tests: Iterable[tuple[date, float]],
    *,
    last_month: date,
    months: int,
    least_a_month: int,
    by: By = "months",
    factors: Mapping[int, float] | None = None,
) -> RollingMean:
    """The rolling geometric mean at the end of a month.

    Args:
        tests: pairs of day and count.
        last_month: any day of the last month of the window.
        months: length of the window: 2 for the European plate count, 3 for cells.
        least_a_month: samples each month must have: 2 for the plate count, 1 for cells.
        by: "months" or "tests".
        factors: seasonal factor by month of the year (1-12) where the authority allows one.

    Returns:
        The mean of the months that have tests, marked when one of them has too few.
    """
    last = last_month.year * 12 + last_month.month - 1
    window: dict[int, list[float]] = {number: [] for number in range(last - months + 1, last + 1)}
    for day, count in tests:
        number = day.year * 12 + day.month - 1
        if number in window:
            window[number].append(count)
    short = [number for number, found in window.items() if len(found) < least_a_month]
    why = ", ".join(f"{number // 12}-{number % 12 + 1:02d} has {len(window[number])}" for number in short)
    known = [
        MonthOfTests(found, (factors or {}).get(number % 12 + 1, 1.0))
        for number, found in window.items()
        if found
    ]
    value = (mean_by_months if by == "months" else mean_by_tests)(known) if known else None
    counted = sum(len(found) for found in window.values())
    return RollingMean(value, counted, not short, f"{why} of {least_a_month} samples" if why else "")
