"""Rolling geometric means by both published ways."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import gmean

from herdbook.science.geometric_means import (
    MonthOfTests,
    geometric_mean,
    mean_by_months,
    mean_by_tests,
    rolling_mean,
)
from herdbook.science.quality_limits import quality_limits

JAN = [438, 540, 413, 402, 283, 345]  # Irish Vet. J. 2017, s13620-017-0083-z, Table 2, counts x 1000
FEB = [513, 328, 463, 662, 408, 504, 414]
MAR = [659, 555, 394, 407, 288, 226, 287]
SEASONAL = [MonthOfTests(JAN, 0.39), MonthOfTests(FEB, 0.74), MonthOfTests(MAR, 1.0)]
PLAIN = [MonthOfTests(JAN), MonthOfTests(FEB), MonthOfTests(MAR)]


@pytest.mark.parametrize(("tests", "mean"), [(JAN, 395.62), (FEB, 460.49), (MAR, 377.65)])
def test_the_published_monthly_geometric_means(tests, mean):
    assert geometric_mean(tests) == pytest.approx(mean, abs=0.005)


def test_the_two_published_ways_give_their_two_published_answers():
    assert mean_by_months(SEASONAL) == pytest.approx(270.79, abs=0.01)
    assert mean_by_tests(SEASONAL) == pytest.approx(278.51, abs=0.01)


def test_without_a_seasonal_factor_the_herd_is_over_400():
    assert mean_by_months(PLAIN) == pytest.approx(409.759, abs=1e-3)
    raw = JAN + FEB + MAR
    assert sum(raw) / len(raw) == pytest.approx(426.450, abs=1e-3)
    assert quality_limits()["eu-cells"].violates(mean_by_months(PLAIN) * 1000)
    assert not quality_limits()["eu-cells"].violates(mean_by_months(SEASONAL) * 1000)


@given(counts=st.lists(st.floats(1, 1e7), min_size=1, max_size=40))
def test_geometric_means_agree_with_a_reference_library(counts):
    assert geometric_mean(counts) == pytest.approx(float(gmean(counts)))
    assert min(counts) * (1 - 1e-9) <= geometric_mean(counts) <= max(counts) * (1 + 1e-9)


@given(counts=st.lists(st.floats(1, 1e6), min_size=6, max_size=6))
def test_both_ways_agree_when_every_month_has_as_many_tests(counts):
    months = [MonthOfTests(counts[:2], 0.5), MonthOfTests(counts[2:4]), MonthOfTests(counts[4:], 0.8)]
    assert mean_by_months(months) == pytest.approx(mean_by_tests(months))


def by_day(*months):
    return [
        (date(2026, number, 2 + 3 * k), count) for number, found in months for k, count in enumerate(found)
    ]


def test_a_rolling_mean_takes_its_window_and_the_seasonal_factors():
    tests = by_day((1, JAN), (2, FEB), (3, MAR), (4, [9999]))
    factors = {1: 0.39, 2: 0.74}
    settings = {"last_month": date(2026, 3, 31), "months": 3, "least_a_month": 1, "factors": factors}
    assert rolling_mean(tests, **settings).value == pytest.approx(270.79, abs=0.01)
    assert rolling_mean(tests, **settings, by="tests").value == pytest.approx(278.51, abs=0.01)
    assert (rolling_mean(tests, **settings).tests, rolling_mean(tests, **settings).enough) == (20, True)


def test_a_window_over_new_year_counts_its_months():
    tests = [(date(2025, 12, 5), 100), (date(2026, 1, 5), 400)]
    found = rolling_mean(tests, last_month=date(2026, 1, 31), months=2, least_a_month=1)
    assert found.value == pytest.approx(200)


def test_a_month_with_too_few_samples_is_said():
    found = rolling_mean(by_day((1, JAN), (2, [500])), last_month=date(2026, 2, 1), months=2, least_a_month=2)
    assert not found.enough
    assert found.why == "2026-02 has 1 of 2 samples"
    assert rolling_mean([], last_month=date(2026, 2, 1), months=2, least_a_month=2).value is None


def test_a_count_of_nothing_has_no_geometric_mean():
    with pytest.raises(ValueError, match="above 0"):
        geometric_mean([0, 100])
