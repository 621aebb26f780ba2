"""Typed quantities are read exactly, kept as whole numbers and shown so that typing them again gives them back."""

from __future__ import annotations

from contextlib import suppress
from decimal import Decimal
from fractions import Fraction

import pytest
import scipy.constants
from hypothesis import example, given
from hypothesis import strategies as st

from herdbook.errors import Refused
from herdbook.science.limits_compare import Limit, above_mC, at_or_under, hundredths
from herdbook.units import (
    FRACTION_PPM,
    LENGTH_UM,
    MASS_G,
    MASS_MG,
    TEMPERATURE_MC,
    UNITS,
    VOLUME_ML,
    FarmUnits,
    Kept,
    Unit,
    parse,
    parse_number,
    registry,
    show_number,
    unit,
)

KEPT = {
    "grams": MASS_G,
    "milligrams": MASS_MG,
    "thousandths of a degree": TEMPERATURE_MC,
    "parts per million": FRACTION_PPM,
    "micrometres": LENGTH_UM,
    "millilitres": VOLUME_ML,
}
MARKS = [".", ","]


def value_of(text: str, dimension: str, default: str, *, decimal: str = ".") -> Fraction:
    """What was typed, in the default unit."""
    return parse(text, dimension=dimension, default=default, decimal=decimal).to(unit(default))


@pytest.mark.parametrize(
    ("text", "dimension", "default", "expected"),
    [
        ("1940", "mass", "lb", Fraction(1940)),
        ("1 940 lb", "mass", "lb", Fraction(1940)),
        ("1,940 lb", "mass", "lb", Fraction(1940)),
        ("39.2F", "temperature", "°F", Fraction(392, 10)),
        ("4.1 °C", "temperature", "°C", Fraction(41, 10)),
        ("33 1/4 in", "length", "in", Fraction(133, 4)),
        ("12 cwt", "mass", "lb", Fraction(1200)),
        ("16.8%", "fraction", "%", Fraction(168, 10)),
        ("1940lb", "mass", "lb", Fraction(1940)),
        ("1940 LBS.", "mass", "lb", Fraction(1940)),
        ("  1940  pounds ", "mass", "lb", Fraction(1940)),
        ("2 ton", "mass", "lb", Fraction(4000)),
        ("1\u00a0940", "mass", "lb", Fraction(1940)),
        ("1\u202f940", "mass", "lb", Fraction(1940)),
        ("-2 C", "temperature", "°C", Fraction(-2)),
        ("−2 °C", "temperature", "°C", Fraction(-2)),
        (".5 in", "length", "in", Fraction(1, 2)),
        ("5. in", "length", "in", Fraction(5)),
        ("1/4", "length", "in", Fraction(1, 4)),
        ("33-1/4", "length", "in", Fraction(133, 4)),
        ('33 1/4"', "length", "in", Fraction(133, 4)),
        ("2 ft", "length", "in", Fraction(24)),
        ("0.3 ppm", "fraction", "%", Fraction(3, 100_000)),
        ("1,234,567.8", "mass", "lb", Fraction(12_345_678, 10)),
        ("52 cows", "count", "head", Fraction(52)),
    ],
)
def test_what_people_type_is_read_exactly(
    text: str, dimension: str, default: str, expected: Fraction
) -> None:
    assert value_of(text, dimension, default) == expected


@pytest.mark.parametrize(
    ("text", "with_point", "with_comma"),
    [
        ("3,5", Fraction(7, 2), Fraction(7, 2)),
        ("3.5", Fraction(7, 2), Fraction(7, 2)),
        ("1,940", Fraction(1940), Fraction(194, 100)),
        ("1.940", Fraction(194, 100), Fraction(1940)),
        ("1.940,5", None, Fraction(19405, 10)),
        ("1,940.5", Fraction(19405, 10), None),
        ("12,3456", Fraction(123456, 10_000), Fraction(123456, 10_000)),
        ("0,123", Fraction(123, 1000), Fraction(123, 1000)),
        ("1,94,000", None, None),
        ("1 940,5", Fraction(19405, 10), Fraction(19405, 10)),
        ("1 940.5", Fraction(19405, 10), Fraction(19405, 10)),
        ("1,940,000", Fraction(1_940_000), None),
        ("1.940.000", None, Fraction(1_940_000)),
    ],
)
def test_the_farms_decimal_mark_decides_what_is_ambiguous(
    text: str, with_point: Fraction | None, with_comma: Fraction | None
) -> None:
    for decimal, expected in ((".", with_point), (",", with_comma)):
        if expected is None:
            with pytest.raises(ValueError, match=r".*"):
                parse_number(text, decimal=decimal)
        else:
            assert parse_number(text, decimal=decimal) == expected


@pytest.mark.parametrize("decimal", MARKS)
@pytest.mark.parametrize("name", KEPT)
@given(share=st.integers(-(10**12), 10**12))
@example(share=0)
@example(share=1)
@example(share=-1)
@example(share=10**12)
def test_what_is_shown_exactly_gives_itself_back_when_typed(name: str, decimal: str, share: int) -> None:
    kept = KEPT[name]
    for one in (u for u in UNITS if u.dimension == kept.dimension):
        shown = f"{kept.shown_exactly(share, one.symbol, decimal=decimal)} {one.symbol}"
        if len(shown) > 60:
            continue
        read = parse(shown, dimension=kept.dimension, default=kept.base, decimal=decimal)
        assert read.stored(unit(kept.base), parts=kept.parts) == share, shown


@given(st.integers(0, 60_000_000), st.sampled_from(["lb", "kg", "cwt", "ton", "t"]))
def test_a_weight_typed_to_the_tenth_is_shown_as_it_was_typed(tenths: int, symbol: str) -> None:
    """One gram is finer than a tenth of any of these, so what was typed comes back to the digit."""
    typed = f"{tenths // 10}.{tenths % 10}"
    kept = parse(typed, dimension="mass", default=symbol).stored(unit("g"))
    again = parse_number(MASS_G.shown_exactly(kept, symbol))
    assert again == Fraction(typed)


@given(st.integers(-50, 1_400))
def test_a_reading_typed_to_the_tenth_of_a_degree_f_is_shown_as_it_was_typed(tenths: int) -> None:
    typed = f"{tenths / 10:.1f}"
    kept = parse(typed, dimension="temperature", default="°F").stored(unit("°C"), parts=1000)
    assert parse_number(TEMPERATURE_MC.shown_exactly(kept, "°F")) == Fraction(typed)
    assert FarmUnits("us").temperature(kept, with_unit=False) == typed.replace("-0.0", "0.0")


@pytest.mark.parametrize(
    ("typed", "limit"),
    [
        ("45 F", Limit(Decimal(45), "degF")),
        ("50 F", Limit(Decimal(50), "degF")),
        ("40F", Limit(Decimal(40), "degF")),
        ("7 C", Limit(Decimal(7), "degC")),
        ("10 °C", Limit(Decimal(10), "degC")),
        ("4.4C", Limit(Decimal("4.4"), "degC")),
        ("39.2 F", Limit(Decimal("39.2"), "degF")),
    ],
)
def test_a_temperature_typed_at_a_limit_is_at_the_limit(typed: str, limit: Limit) -> None:
    kept = parse(typed, dimension="temperature", default="°F").stored(unit("°C"), parts=1000)
    assert hundredths(kept, limit.unit) == limit.hundredths
    assert at_or_under(kept, limit)
    assert above_mC(kept, limit) == 0


@given(st.integers(-500, 14_000), st.sampled_from(["degF", "degC"]))
def test_every_hundredth_of_a_degree_compares_as_it_was_typed(value: int, scale: str) -> None:
    limit = Limit(Decimal(value) / 100, scale)  # type: ignore[arg-type]
    for step, passes in ((-1, True), (0, True), (1, False)):
        typed = f"{Decimal(value + step) / 100} {'F' if scale == 'degF' else 'C'}"
        kept = parse(typed, dimension="temperature", default="°C").stored(unit("°C"), parts=1000)
        assert at_or_under(kept, limit) is passes, typed


@pytest.mark.parametrize(
    "text",
    [
        "", " ", "lb", "abc", "12 12", "1 94 lb", "12 xyz", "5 F", "5 ppm", "1e5", "nan", "inf", "-inf", "0x10",
        "1_000", "--5", "+-5", "1/0", "1/0 lb", "5 7/3", "5 3/2", "1..5", "1,,5", ".", ",", "-", "٣", "½", "5 lb lb",
        "lb 5", "5;6", "0" * 61, "0" * 59 + "12", "1" * 200, "5 " + "l" * 100, "\x1b", "5\x00.5\ud800 hh", "1 2 3 4",
        "1 000 00",
    ],
)  # fmt: skip
def test_nonsense_is_refused_with_the_field_named(text: str) -> None:
    with pytest.raises(Refused) as refused:
        parse(text, dimension="mass", default="lb", field="weight")
    assert refused.value.field == "weight"
    assert refused.value.message.startswith("weight: ")
    assert refused.value.remedy


def test_the_refusal_says_what_was_typed_and_what_is_expected() -> None:
    with pytest.raises(Refused, match=r"weight: 'abc' is not a weight\. Type a weight such as 1940"):
        parse("abc", dimension="mass", default="lb", field="weight")
    with pytest.raises(Refused, match=r"°F does not measure a weight\. Use mg, g, "):
        parse("39 F", dimension="mass", default="lb", field="weight")
    with pytest.raises(Refused, match=r"'klg' is not a unit known here\. Did you mean kg\?"):
        parse("39 klg", dimension="mass", default="lb", field="weight")


@given(
    st.text(max_size=80) | st.text(st.sampled_from("0123456789.,-+/ −lbkgF°C%e\u00a0\u202f'\""), max_size=70)
)
def test_whatever_is_typed_is_read_or_refused_and_nothing_else(text: str) -> None:
    for decimal in MARKS:
        for one in UNITS:
            with suppress(Refused):
                parse(text, dimension=one.dimension, default=one.symbol, decimal=decimal)
        with suppress(ValueError):
            assert isinstance(parse_number(text, decimal=decimal), Fraction)


@given(st.integers(-(10**15), 10**15), st.integers(0, 6), st.sampled_from(MARKS))
def test_a_shown_number_is_the_number(millionths: int, decimals: int, decimal: str) -> None:
    value = Fraction(millionths, 10**6)
    shown = show_number(value, decimals, decimal=decimal)
    assert parse_number(shown, decimal=decimal) == round(value, decimals)


@pytest.mark.parametrize(
    ("value", "decimals", "point", "comma"),
    [
        (1234.5, 1, "1,234.5", "1 234,5"),
        (Fraction(5, 2), 0, "2", "2"),
        (Fraction(7, 2), 0, "4", "4"),
        (-0.04, 1, "0.0", "0,0"),
        (-1940, 0, "-1,940", "-1 940"),
        (2**53 + 1, 0, "9,007,199,254,740,993", "9 007 199 254 740 993"),
    ],
)
def test_numbers_are_shown_in_the_farms_way(value: float, decimals: int, point: str, comma: str) -> None:
    assert show_number(value, decimals) == point
    assert show_number(value, decimals, decimal=",") == comma


def test_nothing_is_shown_as_a_dash_and_never_as_nought() -> None:
    units = FarmUnits("metric", ",", "€")
    assert (units.mass(None), units.temperature(None), units.money(None), units.number(None)) == ("–",) * 4
    assert (units.mass(0), units.temperature(0), units.money(0)) == ("0 kg", "0,0 °C", "€0,00")


# Exact sizes as published: NIST Handbook 44 (2023), appendix C; NIST SP 811 (2008), appendix B.8.
PUBLISHED = {
    "lb": ("453.59237", "g"),
    "oz": ("28.349523125", "g"),
    "ton": ("907.18474", "kg"),
    "in": ("25.4", "mm"),
    "ft": ("304.8", "mm"),
    "gal": ("3785.411784", "mL"),
    "kWh": ("3.6", "MJ"),
}


@pytest.mark.parametrize("symbol", PUBLISHED)
def test_sizes_of_units_are_the_published_ones(symbol: str) -> None:
    size, other = PUBLISHED[symbol]
    assert value_of(f"1 {symbol}", unit(symbol).dimension, other) == Fraction(size)


# what the general reference library says a unit is, in SI
SCIPY = {
    "oz": ("g", scipy.constants.oz * 1000),
    "lb": ("g", scipy.constants.lb * 1000),
    "ton": ("g", scipy.constants.short_ton * 1000),
    "in": ("m", scipy.constants.inch),
    "ft": ("m", scipy.constants.foot),
    "gal": ("L", scipy.constants.gallon * 1000),
    "ft³": ("L", scipy.constants.foot**3 * 1000),
    "min": ("s", scipy.constants.minute),
    "h": ("s", scipy.constants.hour),
    "day": ("s", scipy.constants.day),
    "week": ("s", scipy.constants.week),
    "kcal": ("kJ", scipy.constants.calorie_th),
    "Btu": ("kJ", scipy.constants.Btu_IT / 1000),
}


@pytest.mark.parametrize("symbol", SCIPY)
def test_sizes_of_units_agree_with_a_reference_library(symbol: str) -> None:
    base, expected = SCIPY[symbol]
    assert float(value_of(f"1 {symbol}", unit(symbol).dimension, base)) == pytest.approx(expected, rel=1e-12)


@given(st.integers(-500, 3_000))
def test_temperatures_agree_with_a_reference_library(tenths: int) -> None:
    ours = value_of(f"{Decimal(tenths) / 10} F", "temperature", "°C")
    theirs = scipy.constants.convert_temperature(tenths / 10, "Fahrenheit", "Celsius")
    assert float(ours) == pytest.approx(theirs, abs=1e-10)


@pytest.mark.parametrize("one", UNITS, ids=lambda one: one.symbol)
def test_the_pint_registry_agrees_with_the_exact_table(one: Unit) -> None:
    pint = registry()
    name = one.name if one.symbol != "g/kg" else "gram/kilogram"
    for other in (u for u in UNITS if u.dimension == one.dimension):
        other_name = other.name if other.symbol != "g/kg" else "gram/kilogram"
        theirs = pint.Quantity(7.5, name).to(other_name).magnitude
        ours = parse("7.5", dimension=one.dimension, default=one.symbol).to(other)
        assert theirs == pytest.approx(float(ours), rel=1e-12, abs=1e-9)


def test_the_pint_registry_reads_compound_units_and_differences() -> None:
    pint = registry()
    assert pint.Quantity("1.6 Mcal/kg").to("MJ/kg").magnitude == pytest.approx(1.6 * 4.184)
    assert pint.Quantity("20 dollar/cwt").to("dollar/kg").magnitude == pytest.approx(20 / 45.359237)
    assert pint.Quantity("50 lb/day").to("kg/day").magnitude == pytest.approx(22.6796185)
    assert pint.Quantity(9, "delta_degree_Fahrenheit").to("delta_degree_Celsius").magnitude == pytest.approx(
        5
    )


def test_no_spelling_means_two_units() -> None:
    seen: dict[str, Unit] = {}
    for one in UNITS:
        for spelling in {one.symbol.lower(), one.name.lower(), *one.spellings}:
            assert seen.setdefault(spelling, one) is one, spelling


def test_an_unknown_unit_is_a_programmers_slip() -> None:
    with pytest.raises(KeyError):
        unit("furlong")


def test_kept_values_are_exact_integers_of_their_base() -> None:
    assert parse("1 lb", dimension="mass", default="lb").stored(unit("g")) == 454
    assert parse("1 lb", dimension="mass", default="lb").stored(unit("g"), parts=1000) == 453_592
    assert Kept("mass", "g", 1000).value_in(453_592, "lb") == pytest.approx(0.99999918)
