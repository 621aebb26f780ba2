"""A reading is compared with a limit in the limit's own unit."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.limits_compare import Limit, above_mC, at_or_under, hundredths, too_cold

F45, C7, F50 = Limit(Decimal(45), "degF"), Limit(Decimal(7), "degC"), Limit(Decimal(50), "degF")


def stored_mC(typed, unit):
    """A typed reading as the book stores it: thousandths of a degree C, rounded once."""
    typed = Decimal(typed)
    return round(typed * 1000) if unit == "degC" else round((typed - 32) * 5000 / 9)


def test_45_degF_is_stored_as_7222_and_passes_45_degF_or_less():
    assert stored_mC("45", "degF") == 7222
    assert at_or_under(7222, F45)
    assert not at_or_under(7222, C7)


@pytest.mark.parametrize("typed", ["44.8", "45.0", "44.61"])
def test_44_8_degF_passes_45_degF_and_fails_7_degC(typed):
    reading = stored_mC(typed, "degF")
    assert at_or_under(reading, F45)
    assert not at_or_under(reading, C7)


def test_44_6_degF_is_exactly_7_degC():
    reading = stored_mC("44.6", "degF")
    assert reading == 7000
    assert at_or_under(reading, C7)


def test_50_point_1_degF_fails_50_and_50_point_0_passes():
    assert at_or_under(stored_mC("50.0", "degF"), F50)
    assert not at_or_under(stored_mC("50.1", "degF"), F50)


@pytest.mark.parametrize("unit", ["degC", "degF"])
def test_every_tenth_typed_is_read_back_to_the_hundredth_and_compares_as_typed(unit):
    limits = [Limit(Decimal(limit) / 2, unit) for limit in range(130)]
    for tenths in range(-60, 1400):
        typed = Decimal(tenths) / 10
        reading = stored_mC(typed, unit)
        assert hundredths(reading, unit) == tenths * 10
        for limit in limits:
            assert at_or_under(reading, limit) == (typed <= limit.value)


@given(tenths=st.integers(-60, 1400), typed_in=st.sampled_from(["degC", "degF"]), limit=st.integers(0, 130))
def test_a_tenth_typed_in_the_other_unit_compares_by_its_exact_value_to_a_hundredth(tenths, typed_in, limit):
    typed = Decimal(tenths) / 10
    own = "degF" if typed_in == "degC" else "degC"
    exact = typed * 9 / 5 + 32 if own == "degF" else (typed - 32) * 5 / 9
    limit = Limit(Decimal(limit) / 2, own)
    if abs(exact - limit.value) > Decimal("0.0061"):
        assert at_or_under(stored_mC(typed, typed_in), limit) == (exact <= limit.value)


@given(reading=st.integers(-5_000, 60_000), value=st.integers(0, 60), unit=st.sampled_from(["degC", "degF"]))
def test_above_is_nothing_exactly_when_the_reading_passes(reading, value, unit):
    limit = Limit(Decimal(value), unit)
    assert (above_mC(reading, limit) == 0) == at_or_under(reading, limit)


@given(reading=st.integers(-5_000, 60_000), warmer=st.integers(0, 5_000), value=st.integers(0, 60))
def test_a_warmer_reading_never_passes_where_a_colder_one_fails(reading, warmer, value):
    limit = Limit(Decimal(value), "degF")
    assert at_or_under(reading, limit) or not at_or_under(reading + warmer, limit)


def test_above_zero_refuses_zero_and_not_below_one_takes_one():
    assert too_cold(0, Limit(Decimal(0), "degC"), open_end=True)
    assert not too_cold(0, Limit(Decimal(0), "degC"), open_end=False)
    assert too_cold(990, Limit(Decimal(1), "degC"), open_end=False)
    assert not too_cold(1000, Limit(Decimal(1), "degC"), open_end=False)


def test_a_limit_is_shown_as_it_is_printed():
    assert [str(F45), str(C7), str(Limit(Decimal("4.50"), "degC"))] == ["45 °F", "7 °C", "4.5 °C"]
