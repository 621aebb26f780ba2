"""Judging quality by counting bad results: 2 of the last 4, 3 of the last 5, and months sampled.

The same engine serves bacteria, cells and cooling temperature. Europe judges by a rolling geometric mean
instead: see `geometric_means`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

NOTICE_BAD, NOTICE_OF = 2, 4
SUSPEND_BAD, SUSPEND_OF = 3, 5

Notice = Literal["none", "issued", "in force", "lifted"]


@dataclass(frozen=True, slots=True)
class Result:
    """One laboratory result, or one temperature, of one producer's milk.

    Attributes:
        on: day the sample was taken.
        value: in the unit of the limit it is judged by.
        key: the reader's own number for it.
    """

    on: date
    value: float
    key: int = 0


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a producer stands after one result.

    Attributes:
        result: the result.
        violates: it breaks the limit.
        notice: "issued" by this result, "in force" from an earlier one, "lifted" by this one, or "none".
        resample_from, resample_until: when the one more sample after the notice is to be taken; set when
            issued. `resample_until` is None where the place gives no end.
        in_window: this result was taken inside the window of the notice in force.
        suspend: 3 of the last 5 break the limit: the permit is suspended, or the milk kept out of Grade A, or
            a fine.
        bad_of_4, bad_of_5: how many of the last 4 and 5 results break the limit.
    """

    result: Result
    violates: bool
    notice: Notice
    resample_from: date | None
    resample_until: date | None
    in_window: bool
    suspend: bool
    bad_of_4: int
    bad_of_5: int


def standings(
    results: Iterable[Result],
    violates: Callable[[float], bool],
    *,
    resample_from_days: int = 3,
    resample_until_days: int = 21,
) -> list[Standing]:
    """Judge results one after the other, oldest first.

    Results of one day count as one, the worst of them: the rule speaks of samples on separate days.

    Args:
        results: in any order.
        violates: whether a value breaks the limit, such as `CountLimit.violates`.
        resample_from_days: first day after a notice on which the next sample counts.
        resample_until_days: last such day; 0 for no end.

    Returns:
        One standing for each day with a result.

    References:
        .. [1] Alabama Admin. Code ch. 420-3-16, App. E; South Dakota 12:17:02:13; Oklahoma 2-7-409.
    """
    found: list[Standing] = []
    bad: list[bool] = []
    in_force, opens, closes = False, None, None
    for result in _one_a_day(results, violates):
        is_bad = violates(result.value)
        bad.append(is_bad)
        of_4, of_5 = sum(bad[-NOTICE_OF:]), sum(bad[-SUSPEND_OF:])
        now = of_4 >= NOTICE_BAD
        notice: Notice = "none"
        if now or in_force:
            notice = ("in force" if in_force else "issued") if now else "lifted"
        in_window = (
            in_force and opens is not None and opens <= result.on and (closes is None or result.on <= closes)
        )
        if notice == "issued":
            opens = result.on + timedelta(days=resample_from_days)
            closes = result.on + timedelta(days=resample_until_days) if resample_until_days else None
        issued = notice == "issued"
        found.append(
            Standing(
                result,
                is_bad,
                notice,
                opens if issued else None,
                closes if issued else None,
                in_window,
                of_5 >= SUSPEND_BAD,
                of_4,
                of_5,
            )
        )
        in_force = now
    return found


def _one_a_day(results: Iterable[Result], violates: Callable[[float], bool]) -> list[Result]:
    days: dict[date, Result] = {}
    for result in sorted(results, key=lambda item: (item.on, item.key)):
        known = days.get(result.on)
        worse = known is None or (violates(result.value), result.value) > (violates(known.value), known.value)
        if worse:
            days[result.on] = result
    return list(days.values())


def months_are_sampled(sampled: Iterable[date], *, last_month: date) -> bool:
    """Whether six months in a row hold enough samples.

    At least 4 samples in at least 4 separate months; 3 months suffice when one of them holds two sampling
    days at least 20 days apart.

    Args:
        sampled: days of sampling.
        last_month: any day of the last of the six months.

    References:
        .. [1] Alabama Admin. Code 420-3-16-.07(3).
    """
    last = last_month.year * 12 + last_month.month
    months: dict[int, list[date]] = {}
    for day in sorted(set(sampled)):
        number = day.year * 12 + day.month
        if last - 6 < number <= last:
            months.setdefault(number, []).append(day)
    samples = sum(len(days) for days in months.values())
    wide = any((days[-1] - days[0]).days >= 20 for days in months.values())
    return samples >= 4 and (len(months) >= 4 or (len(months) == 3 and wide))
