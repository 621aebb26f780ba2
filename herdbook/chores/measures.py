"""Asking for quantities: weights, temperatures, shares, stick readings and prices, with their bounds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from herdbook.chores.asking import LONGEST_NUMBER, Ask
from herdbook.chores.ground import Ground
from herdbook.errors import Refused
from herdbook.plain import plain
from herdbook.units import (
    FRACTION_PPM,
    LENGTH_UM,
    LONGEST_TYPED,
    MASS_G,
    MASS_MG,
    TEMPERATURE_MC,
    UNITS,
    FarmUnits,
    Kept,
    Quantity,
    parse_number,
    show_number,
    unit,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure(Ask):
    """A quantity kept as whole parts of a base unit.

    Args:
        kept: how the book keeps it.
        unit: the unit a bare number takes on this farm.
        least, most: bounds in the kept unit, both allowed.
        likely: bounds outside which the person is asked once more, in the kept unit.
        decimals: decimals when shown.
    """

    kept: Kept
    unit: Callable[[FarmUnits], str]
    least: int
    most: int
    likely: tuple[int, int] | None = None
    decimals: int = 0

    def unit_word(self, units: FarmUnits) -> str:
        return self.unit(units)

    def understand(self, text: str, ground: Ground) -> int:
        quantity = ground.units.parse(
            text, dimension=self.kept.dimension, default=self.unit(ground.units), field=self.label
        )
        value = quantity.stored(unit(self.kept.base), parts=self.kept.parts)
        below_nought = self.least >= 0 and quantity.to(unit(self.kept.base)) < 0  # though it rounds to nought
        if below_nought or not self.least <= value <= self.most:
            low, high = (self._in_words(bound, ground.units, 3) for bound in (self.least, self.most))
            side = f"more than {high}" if value > self.most else f"less than {low}"
            raise Refused(
                f"{self.label}: {quantity.typed} is {side}.",
                remedy=f"It lies from {low} to {high}.",
                field=self.label,
            )
        return value

    def shown(self, value: int, ground: Ground) -> str:
        return self._in_words(value, ground.units, self.decimals)

    def shown_short(self, value: int, ground: Ground) -> str:
        """As precisely as it is kept, without noughts at the end."""
        return self._in_words(value, ground.units, 3)

    def typed_again(self, value: int, ground: Ground) -> str:
        symbol = self.unit(ground.units)
        return f"{self.kept.shown_exactly(value, symbol, decimal=ground.units.decimal)} {symbol}"

    def doubt(self, value: int, ground: Ground) -> str:
        if self.likely is None or self.likely[0] <= value <= self.likely[1]:
            return ""
        low, high = (self._in_words(bound, ground.units, self.decimals) for bound in self.likely)
        return f"{self.shown(value, ground)}? Usual is {low} to {high}."

    def check(self, value: object) -> None:
        if not isinstance(value, int) or not self.least <= value <= self.most:
            raise Refused(
                f"{self.label}: {value!r} is out of bounds.",
                remedy=f"It lies from {self.least} to {self.most}.",
                field=self.label,
            )

    def _in_words(self, value: int, units: FarmUnits, decimals: int) -> str:
        symbol = self.unit(units)
        text = show_number(self.kept.value_in(value, symbol), decimals, decimal=units.decimal)
        if decimals == 3:
            text = text.rstrip("0").rstrip(units.decimal)
        return f"{text} {symbol}"


def ask_weight(
    label: str, *, least_g: int = 1, most_g: int = 60_000_000, help: str = "", bulk: bool = False
) -> Measure:
    """A weight in grams, in the farm's unit of loads; up to 60 t, past any tank or lorry a farm fills."""
    return Measure(
        label=label,
        help=help,
        kept=MASS_G,
        unit=(lambda u: u.bulk) if bulk else (lambda u: u.load),
        least=least_g,
        most=most_g,
    )


def ask_scale_step(label: str, *, help: str = "") -> Measure:
    """The step of a scale in milligrams, up to 1 t: 5 lb is no whole number of grams, and its rounding would add up."""
    return Measure(
        label=label, help=help, kept=MASS_MG, unit=lambda u: u.load, least=1, most=1_000_000_000, decimals=3
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class PerHead(Measure):
    """A weight per head and day; `17.3 lb dm` says that it is meant as dry matter."""

    def understand(self, text: str, ground: Ground) -> int:
        return Measure.understand(self, without_dm(text), ground)

    def typed_like(self, value: int, typed: str, ground: Ground) -> str:
        return f"{self.typed_again(value, ground)}{' dm' if is_dm(typed) else ''}"


def without_dm(text: str) -> str:
    """The amount without the letters that say it is dry matter."""
    shown = plain(text, longest=LONGEST_TYPED + 3)
    return shown[:-2].strip() if is_dm(shown) else shown


def is_dm(text: str) -> bool:
    """Whether an amount was typed as dry matter."""
    return text.strip().lower().endswith("dm")


def ask_per_head(label: str, *, help: str = "") -> PerHead:
    """A weight per head and day in milligrams; up to 150 kg, past what any cow eats or drinks in a day."""
    return PerHead(
        label=label, help=help, kept=MASS_MG, unit=lambda u: u.load, least=1, most=150_000_000, decimals=2
    )


def ask_warmth(label: str, *, help: str = "") -> Measure:
    """A temperature in millidegrees Celsius, -5 to 60 °C: milk neither freezes solid nor boils in a tank."""
    return Measure(
        label=label,
        help=help,
        kept=TEMPERATURE_MC,
        unit=lambda u: u.warmth,
        least=-5_000,
        most=60_000,
        likely=(0, 40_000),
        decimals=1,
    )


def ask_share(label: str, *, least_ppm: int = 1, most_ppm: int = 1_000_000, help: str = "") -> Measure:
    """A share in parts per million, typed in per cent."""
    return Measure(
        label=label,
        help=help,
        kept=FRACTION_PPM,
        unit=lambda _: "%",
        least=least_ppm,
        most=most_ppm,
        decimals=1,
    )


def ask_stick(label: str, *, help: str = "") -> Measure:
    """A stick reading in micrometres; up to 3 m, past any tank's stick."""
    return Measure(
        label=label, help=help, kept=LENGTH_UM, unit=lambda u: u.stick, least=0, most=3_000_000, decimals=3
    )


def ask_rain(label: str, *, least_um: int = 0, help: str = "") -> Measure:
    """Rain in micrometres of water, up to 2 m in a day: more than has ever been measured."""
    return Measure(
        label=label,
        help=help,
        kept=LENGTH_UM,
        unit=lambda u: u.rain,
        least=least_um,
        most=2_000_000,
        likely=(0, 150_000),
        decimals=2,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class PricePerWeight(Ask):
    """A price of feed, kept in cents a tonne.

    A bare number is per bulk unit of the farm; `0.12/lb` names its own.
    """

    PARTS = 1  # of a cent, in what is kept

    def per(self, units: FarmUnits) -> str:
        """The weight that a bare number is for."""
        return units.bulk

    def unit_word(self, units: FarmUnits) -> str:
        return f"{units.currency}/{self.per(units)}"

    def understand(self, text: str, ground: Ground) -> int:
        typed = self.short(text, LONGEST_NUMBER)
        sign = ground.units.currency
        amount, mark, per = typed.removeprefix(sign).partition("/")
        amount = amount.strip().removesuffix(sign).strip()
        per = per.strip() if mark else self.per(ground.units)
        fitting = {u.symbol.lower(): u for u in UNITS if u.dimension == "mass"} | {
            s: u for u in UNITS if u.dimension == "mass" for s in u.spellings
        }
        try:
            value = parse_number(amount, decimal=ground.units.decimal)
            divisor = Quantity(Fraction(1), fitting[per.lower()], "").to(unit("t"))
        except (ValueError, KeyError):
            raise Refused(
                f"{self.label}: {typed!r} is not a price.",
                remedy="Type a price such as 412, or 0.12/lb.",
                field=self.label,
            ) from None
        cents = round(value * 100 * self.PARTS / divisor)
        self.check(cents)
        return cents

    def shown(self, value: int, ground: Ground) -> str:
        per = self.per(ground.units)
        each = value * Quantity(Fraction(1), unit(per), "").to(unit("t")) / (100 * self.PARTS)
        return f"{ground.units.currency}{ground.units.number(each, 2)} a {per}"

    def typed_again(self, value: int, ground: Ground) -> str:
        decimals = len(str(100 * self.PARTS)) - 1
        return f"{show_number(Fraction(value, 100 * self.PARTS), decimals, decimal=ground.units.decimal)}/t"

    def check(self, value: object) -> None:
        if not isinstance(value, int) or not 0 <= value <= 10**9 * self.PARTS:
            raise Refused(
                f"{self.label}: that is not a price.",
                remedy="It lies from 0 to 10,000,000 a tonne.",
                field=self.label,
            )
