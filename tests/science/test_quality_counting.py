"""Counting bad results: 2 of the last 4, 3 of the last 5, and months sampled."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.geometric_means import rolling_mean
from herdbook.science.limits_compare import at_or_under
from herdbook.science.quality_counting import Result, months_are_sampled, standings
from herdbook.science.quality_limits import quality_limits

TABLE_11 = [  # Alabama Admin. Code ch. 420-3-16, App. E, Table 11; limit 20,000
    (date(2013, 1, 5), 6_000),
    (date(2013, 1, 28), 11_000),
    (date(2013, 2, 11), 12_000),
    (date(2013, 3, 15), 22_000),
    (date(2013, 3, 25), 23_000),
    (date(2013, 4, 2), 9_000),
    (date(2013, 4, 19), 51_000),
]


def judged(pairs, limit=20_000):
    results = [Result(on, value, key) for key, (on, value) in enumerate(pairs)]
    return standings(results, lambda value: value > limit)


def test_the_published_example_of_alabama_goes_step_by_step():
    found = judged(TABLE_11)
    assert [item.violates for item in found] == [False, False, False, True, True, False, True]
    assert [item.notice for item in found] == [
        "none",
        "none",
        "none",
        "none",
        "issued",
        "in force",
        "in force",
    ]
    assert [item.suspend for item in found] == [False] * 6 + [True]
    assert (found[4].resample_from, found[4].resample_until) == (date(2013, 3, 28), date(2013, 4, 15))
    assert [item.in_window for item in found] == [False] * 5 + [True, False]


def test_a_notice_is_lifted_when_fewer_than_two_of_the_last_four_are_bad():
    start = date(2026, 1, 1)
    counts = [30_000, 30_000, 5_000, 5_000, 5_000]
    found = judged([(start + timedelta(days=7 * k), count) for k, count in enumerate(counts)])
    assert [item.notice for item in found] == ["none", "issued", "in force", "in force", "lifted"]


def test_two_samples_of_one_day_are_one_and_the_worse_counts():
    day = date(2026, 1, 1)
    found = judged([(day, 30_000), (day, 40_000), (day, 1_000)])
    assert [(item.result.value, item.notice) for item in found] == [(40_000, "none")]


def test_the_same_engine_judges_cooling_temperatures():
    from herdbook.science.cooling_rules import default_cooling_rule

    limit = default_cooling_rule().clauses[1].limit
    days = [date(2026, 1, 1) + timedelta(days=2 * k) for k in range(3)]
    results = [Result(day, mC) for day, mC in zip(days, (7222, 7500, 8000), strict=True)]
    found = standings(results, lambda mC: not at_or_under(int(mC), limit))
    assert [item.notice for item in found] == ["none", "none", "issued"]


@pytest.mark.parametrize(
    ("key", "count", "violates"),
    [
        ("us-bacteria", 100_000, False),
        ("us-bacteria", 100_001, True),
        ("us-cells", 750_000, False),
        ("us-cells", 750_001, True),
        ("oregon-cells", 499_999, False),
        ("oregon-cells", 500_000, True),
        ("us-bacteria-mixed", 300_000, False),
        ("hawaii-bacteria", 50_001, True),
        ("eu-cells", 400_000, False),
        ("eu-bacteria", 100_001, True),
    ],
)
def test_not_to_exceed_takes_the_limit_itself_and_or_more_does_not(key, count, violates):
    assert quality_limits()[key].violates(count) is violates


def test_oregon_waits_21_days_for_the_extra_sample():
    limit = quality_limits()["oregon-cells"]
    results = [Result(date(2026, 1, 1), 600_000), Result(date(2026, 1, 15), 700_000)]
    found = standings(
        results,
        limit.violates,
        resample_from_days=limit.resample_from_days,
        resample_until_days=limit.resample_until_days,
    )
    assert (found[1].resample_from, found[1].resample_until) == (date(2026, 2, 5), None)


@given(counts=st.lists(st.integers(0, 60_000), max_size=20))
def test_suspension_needs_three_bad_of_five_and_a_notice_two_of_four(counts):
    found = judged([(date(2026, 1, 1) + timedelta(days=k), count) for k, count in enumerate(counts)])
    for index, item in enumerate(found):
        last = counts[: index + 1]
        assert item.suspend == (sum(count > 20_000 for count in last[-5:]) >= 3)
        assert (item.notice in ("issued", "in force")) == (sum(count > 20_000 for count in last[-4:]) >= 2)


@pytest.mark.parametrize(
    ("days", "enough"),
    [
        (["01-10", "02-10", "03-10", "04-10"], True),
        (["01-03", "01-20", "03-10", "05-10"], False),
        (["01-03", "01-23", "03-10", "05-10"], True),
        (["01-03", "01-23", "03-10"], False),
        (["01-03", "01-30", "03-10", "03-30"], False),
    ],
)
def test_four_months_in_six_or_three_when_one_holds_two_samples_20_days_apart(days, enough):
    """Alabama Admin. Code 420-3-16-.07(3)."""
    sampled = [date.fromisoformat(f"2026-{day}") for day in days]
    assert months_are_sampled(sampled, last_month=date(2026, 6, 30)) is enough


def test_a_sample_older_than_six_months_does_not_count():
    sampled = [date(2026, month, 5) for month in (1, 2, 3, 4)]
    assert not months_are_sampled(sampled, last_month=date(2026, 7, 1))


def test_europe_and_the_united_states_judge_the_same_herd_differently():
    """One very bad month among good ones: no two bad results of four, but a rolling mean over the limit."""
    days = [date(2026, month, 10) for month in (1, 2, 3)]
    counts = [390_000, 740_000, 380_000]
    american, european = quality_limits()["us-cells"], quality_limits()["eu-cells"]
    results = [Result(day, count) for day, count in zip(days, counts, strict=True)]
    assert not any(item.violates for item in standings(results, american.violates))
    mean = rolling_mean(
        zip(days, counts, strict=True),
        last_month=days[-1],
        months=european.months,
        least_a_month=european.least_a_month,
    )
    assert mean.enough
    assert european.violates(mean.value)
