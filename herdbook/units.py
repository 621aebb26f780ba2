"""The trade's units once: exact reading of typed quantities, showing them back, and the one pint registry.

Typed numbers stay exact fractions until they are stored as integers of a base unit, so that a reading typed
in one unit and shown in it again is the same reading. Pint reads the same list and is loaded only when asked
for: it serves compound units (Mcal/kg, $/cwt, lb/day); everyday chores never pay for its import.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from herdbook.errors import Refused
from herdbook.plain import MOST_READ, plain

if TYPE_CHECKING:
    import pint

LONGEST_TYPED = 60


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: how it is written, what it measures, and its exact size in the base unit of its dimension.

    Args:
        symbol: how it is shown, such as "lb" or "°F".
        dimension: what it measures, such as "mass".
        size: base units in one of it (base units: g, m, L, s, kcal, W, 1, K).
        name: a plain name for the pint registry.
        spellings: other ways people write it, lower case.
        zero: where its zero lies in base units; only temperatures have one.
    """

    symbol: str
    dimension: str
    size: Fraction
    name: str
    spellings: tuple[str, ...] = ()
    zero: Fraction = Fraction(0)


def _unit(symbol: str, dimension: str, size: str, name: str, *spellings: str, zero: str = "0") -> Unit:
    return Unit(symbol, dimension, Fraction(size), name, spellings, Fraction(zero))


# Exact by definition: pound 453.59237 g, inch 25.4 mm, US gallon 231 cubic inches (NIST Handbook 44,
# appendix C); thermochemical calorie 4.184 J and IT Btu 1055.05585262 J (NIST SP 811, appendix B.8).
UNITS: tuple[Unit, ...] = (
    _unit("mg", "mass", "1/1000", "milligram"),
    _unit("g", "mass", "1", "gram", "grams", "gramme"),
    _unit("hg", "mass", "100", "hectogram"),
    _unit("kg", "mass", "1000", "kilogram", "kilo", "kilos", "kgs"),
    _unit("t", "mass", "1000000", "tonne", "tonnes"),
    _unit("oz", "mass", "28.349523125", "ounce", "ounces"),
    _unit("lb", "mass", "453.59237", "pound", "lbs", "pounds", "#"),
    _unit("cwt", "mass", "45359.237", "hundredweight"),
    _unit("ton", "mass", "907184.74", "short_ton", "tons"),
    _unit("°C", "temperature", "1", "degree_Celsius", "c", "degc", "celsius", zero="273.15"),
    _unit("°F", "temperature", "5/9", "degree_Fahrenheit", "f", "degf", "fahrenheit", zero="45967/180"),
    _unit("mm", "length", "1/1000", "millimeter"),
    _unit("cm", "length", "1/100", "centimeter"),
    _unit("m", "length", "1", "meter", "metre"),
    _unit("km", "length", "1000", "kilometer"),
    _unit("in", "length", "0.0254", "inch", '"', "inches", "″"),
    _unit("ft", "length", "0.3048", "foot", "feet", "'"),
    _unit("mL", "volume", "1/1000", "milliliter", "ml"),
    _unit("dL", "volume", "1/10", "deciliter", "dl"),
    _unit("L", "volume", "1", "liter", "l", "litre", "litres", "liters"),
    _unit("m³", "volume", "1000", "cubic_meter", "m3"),
    _unit("gal", "volume", "3.785411784", "gallon", "gallons"),
    _unit("ft³", "volume", "28.316846592", "cubic_foot", "ft3"),
    _unit("s", "time", "1", "second", "sec"),
    _unit("min", "time", "60", "minute", "minutes", "mins"),
    _unit("h", "time", "3600", "hour", "hours", "hr", "hrs"),
    _unit("day", "time", "86400", "day", "d", "days"),
    _unit("week", "time", "604800", "week", "weeks"),
    _unit("%", "fraction", "1/100", "percent", "pct", "percent"),
    _unit("g/kg", "fraction", "1/1000", "gram_per_kilogram"),
    _unit("ppm", "fraction", "1/1000000", "ppm", "mg/kg"),
    _unit("ppb", "fraction", "1/1000000000", "ppb", "µg/kg", "ug/kg"),
    _unit("kcal", "energy", "1", "kilocalorie"),
    _unit("Mcal", "energy", "1000", "megacalorie", "mcal"),
    _unit("kJ", "energy", "1000/4184", "kilojoule", "kj"),
    _unit("MJ", "energy", "1000000/4184", "megajoule", "mj"),
    _unit("Btu", "energy", "0.252164400721797", "Btu", "btu"),
    _unit("kWh", "energy", "3600000/4184", "kilowatt_hour", "kwh"),
    _unit("W", "power", "1", "watt", "w"),
    _unit("kW", "power", "1000", "kilowatt", "kw"),
    _unit("head", "count", "1", "head", "cows", "cow", "heads"),
)

_BY_SPELLING: dict[str, Unit] = {
    spelling: unit for unit in UNITS for spelling in (unit.symbol.lower(), unit.name.lower(), *unit.spellings)
}
_BY_SYMBOL = {unit.symbol: unit for unit in UNITS}

WHAT_IS_MEASURED = {
    "mass": ("a weight", "1940, 1,940 lb or 880 kg"),
    "temperature": ("a temperature", "39.2, 39.2F or 4 °C"),
    "length": ("a length", "33 1/4 in or 84.5 cm"),
    "volume": ("a volume", "900 gal or 3400 L"),
    "time": ("a span of time", "90 min or 1.5 h"),
    "fraction": ("a share", "31.8 % or 0.3 ppm"),
    "energy": ("an energy", "1.6 Mcal"),
    "power": ("a power", "12 kW"),
    "count": ("a number of head", "52"),
}


def unit(symbol: str) -> Unit:
    """The unit of that symbol or spelling; `KeyError` for a programmer's slip."""
    found = _BY_SYMBOL.get(symbol) or _BY_SPELLING.get(symbol.lower())
    if found is None:
        raise KeyError(symbol)
    return found


@dataclass(frozen=True, slots=True)
class Quantity:
    """An exact amount as it was typed: `value` of `unit`, and the text itself."""

    value: Fraction
    unit: Unit
    typed: str

    def to(self, other: Unit) -> Fraction:
        """The same amount in another unit of its dimension."""
        base = self.value * self.unit.size + self.unit.zero
        return (base - other.zero) / other.size

    def stored(self, other: Unit, *, parts: int = 1) -> int:
        """Whole `parts`-ths of `other`, halves to even: what the book keeps."""
        return round(self.to(other) * parts)


_GROUPED = re.compile(r"[0-9]{1,3}(?:[ \u202f][0-9]{3})+")
_MIXED = re.compile(r"(?:(?P<whole>[0-9]+)[ -])?(?P<over>[0-9]+)/(?P<under>[0-9]+)")


def parse_number(text: str, *, decimal: str = ".") -> Fraction:
    """Read a typed number exactly: `1940`, `1 940`, `1,940`, `3,5`, `33 1/4`, `-2`, `.5`.

    The farm's own decimal mark decides only what is truly ambiguous: the *other* mark before exactly three
    digits separates thousands, anywhere else it is taken as a decimal mark too.

    Args:
        text: what was typed, without a unit.
        decimal: the farm's decimal mark, "." or ",".

    Raises:
        ValueError: not a number, or longer than any number of this trade.
    """
    text = text.strip().replace("−", "-").replace("\u00a0", " ")
    if not 0 < len(text) <= LONGEST_TYPED:
        raise ValueError(text)
    sign = -1 if text[0] == "-" else 1
    body = text.lstrip("+-").strip() if text[0] in "+-" else text
    if text[0] in "+-" and body != text[1:].strip():
        raise ValueError(text)  # more than one sign
    mixed = _MIXED.fullmatch(body)
    if mixed:
        over, under = int(mixed["over"]), int(mixed["under"])
        if under == 0 or (over >= under > 1 and mixed["whole"]):
            raise ValueError(text)
        return sign * (int(mixed["whole"] or 0) + Fraction(over, under))
    return sign * _decimal_number(body, decimal)


def _decimal_number(body: str, decimal: str) -> Fraction:
    thousands = "," if decimal == "." else "."
    groups = re.fullmatch(
        rf"(?P<big>[1-9][0-9]{{0,2}}(?:{re.escape(thousands)}[0-9]{{3}})+)(?:{re.escape(decimal)}(?P<small>[0-9]*))?",
        body,
    )
    if groups:
        big = groups["big"].replace(thousands, "")
        return Fraction(f"{big}.{groups['small'] or 0}")
    whole, mark, small = body.replace(",", ".").partition(".")
    if " " in whole or "\u202f" in whole:
        if not _GROUPED.fullmatch(whole):
            raise ValueError(body)
        whole = re.sub("[ \u202f]", "", whole)
    digits = whole + small
    if not digits or not digits.isascii() or not digits.isdigit() or (mark and "." in small):
        raise ValueError(body)
    return Fraction(f"{whole or 0}.{small or 0}")


_NUMBER_THEN_UNIT = re.compile(r"(?P<number>[-+−]?[0-9.,/ \u00a0\u202f-]*[0-9][.,]?)\s*(?P<unit>[^\s0-9].*)?")


def parse(text: str, *, dimension: str, default: str, decimal: str = ".", field: str = "") -> Quantity:
    """Read a typed quantity; a bare number takes the field's own unit.

    Args:
        text: what was typed, such as "1,940 lb", "39.2F", "33 1/4 in" or "16.8%".
        dimension: what the field measures, such as "mass".
        default: symbol of the unit a bare number takes.
        decimal: the farm's decimal mark.
        field: the field's name, for the message.

    Raises:
        Refused: with a sentence that says what was expected.
    """
    shown = plain(text, longest=LONGEST_TYPED + 1)
    what, example = WHAT_IS_MEASURED[dimension]
    label = f"{field}: " if field else ""
    if not shown:
        raise Refused(f"{label}nothing was typed.", remedy=f"Type {what} such as {example}.", field=field)
    match = _NUMBER_THEN_UNIT.fullmatch(shown)
    try:
        if (
            match is None or len(shown) > LONGEST_TYPED or len(text) > MOST_READ
        ):  # never half of what was typed
            raise ValueError(shown)
        value = parse_number(match["number"], decimal=decimal)
    except ValueError:
        raise Refused(
            f"{label}{shown!r} is not {what}.", remedy=f"Type {what} such as {example}.", field=field
        ) from None
    return Quantity(value, _understood_unit(match["unit"] or default, dimension, label, field), shown)


def _understood_unit(spelled: str, dimension: str, label: str, field: str) -> Unit:
    spelled = spelled.strip().rstrip(".").lower()
    what, _ = WHAT_IS_MEASURED[dimension]
    found = _BY_SPELLING.get(spelled)
    if found is not None and found.dimension == dimension:
        return found
    fitting = [u.symbol for u in UNITS if u.dimension == dimension]
    if found is not None:
        raise Refused(
            f"{label}{found.symbol} does not measure {what}.", remedy=f"Use {_words(fitting)}.", field=field
        )
    near = get_close_matches(spelled, fitting, 1, 0.5)
    hint = f"Did you mean {near[0]}? " if near else ""
    raise Refused(
        f"{label}{spelled!r} is not a unit known here.", remedy=f"{hint}Use {_words(fitting)}.", field=field
    )


def _words(names: Iterable[str]) -> str:
    names = list(names)
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


def show_number(value: float | Fraction, decimals: int, *, decimal: str = ".") -> str:
    """A number rounded half to even, with thousands marked and the farm's decimal mark.

    A true minus sign is not used: what is shown can be typed again.
    """
    rounded = round(Fraction(value), decimals)
    whole, _, small = f"{float(rounded):,.{decimals}f}".partition(".")
    if abs(rounded) >= 2**52:
        whole = f"{int(rounded):,}"
    if decimal == ",":
        whole = whole.replace(",", " ")
    text = whole + (decimal + small if small else "")
    return text.lstrip("-") if not text.strip("-0., ") else text


@dataclass(frozen=True, slots=True)
class Kept:
    """How the book keeps one sort of quantity: whole `parts`-ths of `base`.

    `decimals` are those needed to show a kept value in a unit so that typing it again gives it back.
    """

    dimension: str
    base: str
    parts: int = 1

    def shown_exactly(self, kept: int, symbol: str, *, decimal: str = ".") -> str:
        """The kept value in the unit `symbol`, with just the decimals that bring it back when typed."""
        other, base = unit(symbol), unit(self.base)
        exact = Quantity(Fraction(kept, self.parts), base, "").to(other)
        for decimals in range(13):
            rounded = round(exact, decimals)
            if Quantity(rounded, other, "").stored(base, parts=self.parts) == kept:
                return show_number(rounded, decimals, decimal=decimal)
        return show_number(exact, 12, decimal=decimal)

    def value_in(self, kept: int | float, symbol: str) -> float:
        """The kept value as a plain float of the unit `symbol`."""
        other, base = unit(symbol), unit(self.base)
        return float(Quantity(Fraction(kept) / self.parts, base, "").to(other))


MASS_G = Kept("mass", "g")
MASS_MG = Kept("mass", "g", 1_000)
TEMPERATURE_MC = Kept("temperature", "°C", 1_000)
FRACTION_PPM = Kept("fraction", "ppm")
LENGTH_UM = Kept("length", "m", 1_000_000)
VOLUME_ML = Kept("volume", "mL")


@dataclass(frozen=True, slots=True)
class FarmUnits:
    """How one farm reads and writes: its units, decimal mark and currency sign."""

    system: str = "us"
    decimal: str = "."
    currency: str = "$"

    @property
    def load(self) -> str:
        """Unit of weights at the mixer, the bunk and the tank."""
        return "lb" if self.system == "us" else "kg"

    @property
    def bulk(self) -> str:
        """Unit of bought and stored feed."""
        return "ton" if self.system == "us" else "t"

    @property
    def warmth(self) -> str:
        """Unit of temperatures."""
        return "°F" if self.system == "us" else "°C"

    @property
    def stick(self) -> str:
        """Unit of the tank's stick."""
        return "in" if self.system == "us" else "mm"

    @property
    def rain(self) -> str:
        """Unit of a rain gauge."""
        return "in" if self.system == "us" else "mm"

    @property
    def milk_price(self) -> str:
        """Weight that a milk price is quoted for."""
        return "cwt" if self.system == "us" else "kg"

    def number(self, value: float | Fraction | None, decimals: int = 0) -> str:
        """A number for a person; an en dash where there is none, which is never zero."""
        return "–" if value is None else show_number(value, decimals, decimal=self.decimal)

    def mass(self, grams: float | None, decimals: int = 0, *, with_unit: bool = True) -> str:
        """Grams in the farm's unit of loads."""
        if grams is None:
            return "–"
        text = self.number(MASS_G.value_in(grams, self.load), decimals)
        return f"{text} {self.load}" if with_unit else text

    def temperature(self, milli_celsius: float | None, decimals: int = 1, *, with_unit: bool = True) -> str:
        """Millidegrees Celsius in the farm's degrees."""
        if milli_celsius is None:
            return "–"
        text = self.number(TEMPERATURE_MC.value_in(milli_celsius, self.warmth), decimals)
        return f"{text} {self.warmth}" if with_unit else text

    def money(self, cents: float | None, decimals: int = 2) -> str:
        """Cents with the farm's currency sign."""
        return "–" if cents is None else f"{self.currency}{self.number(cents / 100, decimals)}"

    def parse(self, text: str, *, dimension: str, default: str, field: str = "") -> Quantity:
        """`parse` with this farm's decimal mark."""
        return parse(text, dimension=dimension, default=default, decimal=self.decimal, field=field)


@cache
def registry() -> pint.UnitRegistry[float]:
    """The one pint registry, made on first use from the list above (pint takes about 0.1 s to import).

    Temperature differences are `delta_degree_Celsius`; money is `dollar` and `cent` whatever the currency.
    """
    import pint as pint_package

    made: pint.UnitRegistry[float] = pint_package.UnitRegistry(
        None, autoconvert_offset_to_baseunit=True, preprocessors=[lambda text: text.replace("%", " percent ")]
    )
    bases = {
        "mass": "gram = [mass] = g",
        "length": "meter = [length] = m = metre",
        "time": "second = [time] = s = sec",
        "temperature": "kelvin = [temperature]; offset: 0 = K",
        "count": "head = [head]",
        "money": "dollar = [money] = USD = $",
    }
    for line in bases.values():
        made.define(line)
    for line in _derived_definitions():
        made.define(line)
    return made


def _derived_definitions() -> Iterable[str]:
    own_base = {"gram", "meter", "second", "head"}
    energy_in_base = "gram * meter ** 2 / second ** 2"
    base_of = {
        "mass": "gram",
        "length": "meter",
        "time": "second",
        "volume": "meter ** 3",
        "energy": energy_in_base,
        "power": "gram * meter ** 2 / second ** 3",
        "fraction": "[]",
    }
    # sizes above are in L, kcal and W; pint's are in m³, g·m²/s² and g·m²/s³
    factor_of = {"volume": Fraction(1, 1000), "energy": Fraction(4_184_000), "power": Fraction(1000)}
    for one in UNITS:
        if one.name in own_base:
            continue
        others = [s for s in (one.symbol, *one.spellings) if re.fullmatch(r"[A-Za-zµ³]+[0-9]?", s)]
        aliases = "".join(f" = {s}" for s in dict.fromkeys(o for o in others if o != one.name))
        if one.dimension == "temperature":
            offset = float(one.zero)
            short = "degC" if one.symbol == "°C" else "degF"
            yield f"{one.name} = {float(one.size)!r} * kelvin; offset: {offset!r} = {one.symbol} = {short}"
        elif one.dimension == "fraction":
            if "/" not in one.symbol:
                yield f"{one.name} = {float(one.size)!r}{aliases}"
        else:
            size = one.size * factor_of.get(one.dimension, Fraction(1))
            yield f"{one.name} = {float(size)!r} * {base_of[one.dimension]}{aliases}"
    yield "cent = 0.01 * dollar"
    yield "year = 365.25 * day"
    yield "joule = 1000 * gram * meter ** 2 / second ** 2 = J"
    yield "equivalent = [equivalent] = Eq"
    yield "milliequivalent = 0.001 * equivalent = mEq"
    yield "international_unit = [activity] = IU"
    yield "microgram = 0.000001 * gram = µg = ug"
    yield "micrometer = 0.000001 * meter = µm"
