"""What a chore asks for: each field's words, how typed text is understood and shown back, and its bounds.

One list of fields serves the command line's options, the screens' slips, JSON, the manual and the checks.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from herdbook.chores.ground import Ground
from herdbook.clock import parse_day, parse_moment, shown_day, span_words
from herdbook.errors import Refused
from herdbook.plain import plain
from herdbook.units import (
    FRACTION_PPM,
    LENGTH_UM,
    MASS_G,
    MASS_MG,
    TEMPERATURE_MC,
    FarmUnits,
    Kept,
    parse_number,
    show_number,
)

HOUR_S = 3600
AHEAD_S = 10 * 60
"""A thing that happened may lie this far ahead: two clocks on one farm differ by minutes, not by hours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """One field of a chore.

    Args:
        label: what people call it, as it stands on a slip.
        help: one line for the manual and the command line.
    """

    label: str
    help: str = ""

    @property
    def kind(self) -> str:
        """A word for the manual: what is typed here."""
        return type(self).__name__.lower()

    def unit_word(self, units: FarmUnits) -> str:
        """The unit a bare number takes, for showing beside the field."""
        return ""

    def choices(self, ground: Ground) -> Sequence[str] | None:
        """The words to pick from, where there are any."""
        return None

    def understand(self, text: str, ground: Ground) -> Any:
        """The kept value of what was typed; raises `Refused` with the field's name."""
        raise NotImplementedError

    def shown(self, value: Any, ground: Ground) -> str:
        """What was understood, in words, so that a person can see it before it counts."""
        return str(value)

    def typed_again(self, value: Any, ground: Ground) -> str:
        """Text that gives the kept value back when typed; for correcting an entry."""
        return self.shown(value, ground)

    def doubt(self, value: Any, ground: Ground) -> str:
        """A question worth asking about a value that is possible but unlikely; empty when there is none."""
        return ""

    def check(self, value: Any) -> None:
        """Refuse a value that cannot be, whoever made it."""


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
        value = quantity.stored(_unit_of(self.kept), parts=self.kept.parts)
        if not self.least <= value <= self.most:
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

    def typed_again(self, value: int, ground: Ground) -> str:
        symbol = self.unit(ground.units)
        return f"{self.kept.shown_exactly(value, symbol, decimal=ground.units.decimal)} {symbol}"

    def doubt(self, value: int, ground: Ground) -> str:
        if self.likely is None or self.likely[0] <= value <= self.likely[1]:
            return ""
        low, high = (self._in_words(bound, ground.units, self.decimals) for bound in self.likely)
        return f"{self.shown(value, ground)}? Usual is {low} to {high}."

    def check(self, value: int) -> None:
        if not isinstance(value, int) or not self.least <= value <= self.most:
            raise Refused(
                f"{self.label}: {value!r} is out of bounds.",
                remedy=f"It lies from {self.least} to {self.most}.",
                field=self.label,
            )

    def _in_words(self, value: int, units: FarmUnits, decimals: int) -> str:
        symbol = self.unit(units)
        text = show_number(self.kept.value_in(value, symbol), decimals, decimal=units.decimal)
        if "." in text and decimals == 3:
            text = text.rstrip("0").rstrip(units.decimal)
        return f"{text} {symbol}"


def _unit_of(kept: Kept) -> Any:
    from herdbook.units import unit

    return unit(kept.base)


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


@dataclass(frozen=True, slots=True, kw_only=True)
class PerHead(Measure):
    """A weight per head and day; `17.3 lb dm` says that it is meant as dry matter."""

    def understand(self, text: str, ground: Ground) -> int:
        return Measure.understand(self, without_dm(text), ground)


def without_dm(text: str) -> str:
    """The amount without the letters that say it is dry matter."""
    shown = plain(text, longest=80)
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Count(Ask):
    """A whole number."""

    least: int = 0
    most: int = 100_000
    noun: str = ""

    def unit_word(self, units: FarmUnits) -> str:
        return self.noun

    def understand(self, text: str, ground: Ground) -> int:
        shown = plain(text, longest=40)
        try:
            value = parse_number(
                shown.removesuffix(self.noun).strip() if self.noun else shown, decimal=ground.units.decimal
            )
        except ValueError:
            raise Refused(
                f"{self.label}: {shown!r} is not a whole number.",
                remedy="Type a number such as 52.",
                field=self.label,
            ) from None
        if value.denominator != 1 or not self.least <= value <= self.most:
            raise Refused(
                f"{self.label}: {shown} cannot be.",
                remedy=f"Type a whole number from {self.least} to {self.most:,}.",
                field=self.label,
            )
        return int(value)

    def shown(self, value: int, ground: Ground) -> str:
        return f"{ground.units.number(value)} {self.noun}".strip()

    def check(self, value: int) -> None:
        if not isinstance(value, int) or not self.least <= value <= self.most:
            raise Refused(
                f"{self.label}: {value!r} is out of bounds.",
                remedy=f"It lies from {self.least} to {self.most}.",
                field=self.label,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment(Ask):
    """When something happened, UTC seconds; what lies ahead is refused."""

    oldest_days: int = 400

    def understand(self, text: str, ground: Ground) -> int:
        value = parse_moment(text, clock=ground.clock, now_s=ground.now_s, field=self.label)
        if value > ground.now_s + AHEAD_S:
            raise Refused(
                f"{self.label}: {ground.clock.shown(value)} is {span_words(value - ground.now_s)} ahead.",
                remedy="Type when it happened; `y 1810` is yesterday.",
                field=self.label,
            )
        if value < ground.now_s - self.oldest_days * 86_400:
            raise Refused(
                f"{self.label}: {ground.clock.iso(value)} is more than {self.oldest_days} days ago.",
                remedy="Check the year.",
                field=self.label,
            )
        return value

    def shown(self, value: int, ground: Ground) -> str:
        today = ground.clock.local(ground.now_s).date()
        ago = ground.now_s - value
        return f"{ground.clock.shown(value, today=today)}, {span_words(ago)} ago" if ago >= 60 else "now"

    def typed_again(self, value: int, ground: Ground) -> str:
        return ground.clock.iso(value)

    def check(self, value: int) -> None:
        if not isinstance(value, int) or not 631_152_000 <= value <= 7_258_118_400:
            raise Refused(f"{self.label}: {value!r} is not an instant.", field=self.label)


@dataclass(frozen=True, slots=True, kw_only=True)
class Day(Ask):
    """A farm day."""

    ahead_days: int = 0
    oldest_days: int = 4_000

    def understand(self, text: str, ground: Ground) -> date:
        today = ground.clock.farm_day(ground.now_s)
        value = parse_day(text, today=today, field=self.label)
        if (value - today).days > self.ahead_days:
            raise Refused(
                f"{self.label}: {shown_day(value)} lies ahead.",
                remedy="Type a day that has begun.",
                field=self.label,
            )
        if (today - value).days > self.oldest_days:
            raise Refused(
                f"{self.label}: {value.isoformat()} is too long ago.",
                remedy="Check the year.",
                field=self.label,
            )
        return value

    def shown(self, value: date, ground: Ground) -> str:
        return shown_day(value)

    def typed_again(self, value: date, ground: Ground) -> str:
        return value.isoformat()

    def check(self, value: date) -> None:
        if not isinstance(value, date):
            raise Refused(f"{self.label}: {value!r} is not a day.", field=self.label)


@dataclass(frozen=True, slots=True, kw_only=True)
class Name(Ask):
    """A thing in the book, by any part of its name that fits one alone."""

    thing: str

    def choices(self, ground: Ground) -> Sequence[str]:
        return list(ground.names.get(self.thing, {}))

    def understand(self, text: str, ground: Ground) -> int:
        return ground.find(self.thing, text, label=self.label)

    def shown(self, value: int, ground: Ground) -> str:
        return ground.name_of(self.thing, value)

    def check(self, value: int) -> None:
        if not isinstance(value, int) or value < 1:
            raise Refused(f"{self.label}: {value!r} is not a {self.thing}.", field=self.label)


@dataclass(frozen=True, slots=True, kw_only=True)
class Word(Ask):
    """One of a few words; any beginning that fits one alone will do."""

    words: tuple[str, ...]

    def choices(self, ground: Ground) -> Sequence[str]:
        return self.words

    def understand(self, text: str, ground: Ground) -> str:
        typed = plain(text, longest=60).lower()
        fitting = [word for word in self.words if word.lower() == typed] or [
            word for word in self.words if typed and word.lower().startswith(typed)
        ]
        if len(fitting) == 1:
            return fitting[0]
        raise Refused(
            f"{self.label}: {typed!r} is not one of the words.",
            remedy=f"Use {_listed(self.words)}.",
            field=self.label,
        )

    def check(self, value: str) -> None:
        if value not in self.words:
            raise Refused(
                f"{self.label}: {value!r} is not one of the words.",
                remedy=f"Use {_listed(self.words)}.",
                field=self.label,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Words(Ask):
    """Free words, made harmless."""

    least: int = 0
    longest: int = 200

    def understand(self, text: str, ground: Ground) -> str:
        typed = plain(text, longest=self.longest + 1)
        if len(typed) > self.longest:
            raise Refused(
                f"{self.label}: that is longer than {self.longest} letters.",
                remedy="Say it shorter.",
                field=self.label,
            )
        if len(typed) < self.least:
            raise Refused(
                f"{self.label}: nothing was typed.", remedy=f"Type a {self.label}.", field=self.label
            )
        return typed

    def check(self, value: str) -> None:
        if (
            not isinstance(value, str)
            or value != plain(value)
            or not self.least <= len(value) <= self.longest
        ):
            raise Refused(
                f"{self.label}: that cannot be written.",
                remedy=f"Use {self.least} to {self.longest} ordinary letters.",
                field=self.label,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class YesNo(Ask):
    """Yes or no."""

    def choices(self, ground: Ground) -> Sequence[str]:
        return ("yes", "no")

    def understand(self, text: str, ground: Ground) -> bool:
        typed = plain(text, longest=20).lower()
        if typed in ("y", "yes", "true", "1", "on"):
            return True
        if typed in ("n", "no", "false", "0", "off"):
            return False
        raise Refused(
            f"{self.label}: {typed!r} is neither yes nor no.", remedy="Type yes or no.", field=self.label
        )

    def shown(self, value: bool, ground: Ground) -> str:
        return "yes" if value else "no"

    def check(self, value: bool) -> None:
        if not isinstance(value, bool):
            raise Refused(f"{self.label}: {value!r} is neither yes nor no.", field=self.label)


@dataclass(frozen=True, slots=True, kw_only=True)
class PricePerWeight(Ask):
    """A price of feed, kept in cents a tonne; a bare number is per bulk unit of the farm, `0.12/lb` names its own."""

    def unit_word(self, units: FarmUnits) -> str:
        return f"{units.currency}/{units.bulk}"

    def understand(self, text: str, ground: Ground) -> int:
        from herdbook.units import UNITS, Quantity, unit

        typed = plain(text, longest=40)
        amount, _, per = typed.replace(ground.units.currency, "").partition("/")
        per = per.strip() or ground.units.bulk
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
        cents = round(value * 100 / divisor)
        self.check(cents)
        return cents

    def shown(self, value: int, ground: Ground) -> str:
        from herdbook.units import Quantity, unit

        each = value * Quantity(Fraction(1), unit(ground.units.bulk), "").to(unit("t")) / 100
        return f"{ground.units.currency}{ground.units.number(each, 2)} a {ground.units.bulk}"

    def typed_again(self, value: int, ground: Ground) -> str:
        return f"{show_number(Fraction(value, 100), 2, decimal=ground.units.decimal)}/t"

    def check(self, value: int) -> None:
        if not isinstance(value, int) or not 0 <= value <= 10**9:
            raise Refused(
                f"{self.label}: that is not a price of feed.",
                remedy="It lies from 0 to 10,000,000 a tonne.",
                field=self.label,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Several(Ask):
    """A repeated field; each line is understood alone, none may come twice where `once` says so.

    Args:
        each: what one line asks for.
        least: fewest lines.
        most: most lines.
    """

    each: Ask
    least: int = 0
    most: int = 60

    @property
    def kind(self) -> str:
        return f"{self.each.kind}, repeated"

    def unit_word(self, units: FarmUnits) -> str:
        return self.each.unit_word(units)

    def choices(self, ground: Ground) -> Sequence[str] | None:
        return self.each.choices(ground)

    def understand_all(self, texts: Sequence[str], ground: Ground) -> list[Any]:
        """Every line's kept value; raises `Refused` for the first wrong line, naming its number."""
        lines = [text for text in texts if plain(text)]
        if not self.least <= len(lines) <= self.most:
            raise Refused(
                f"{self.label}: {len(lines)} lines were given.",
                remedy=f"Give {self.least} to {self.most}.",
                field=self.label,
            )
        return [self.each.understand(text, ground) for text in lines]

    def understand(self, text: str, ground: Ground) -> list[Any]:
        return self.understand_all([text], ground)

    def shown(self, value: Sequence[Any], ground: Ground) -> str:
        return "; ".join(self.each.shown(one, ground) for one in value)

    def check(self, value: Sequence[Any]) -> None:
        if not isinstance(value, list | tuple) or not self.least <= len(value) <= self.most:
            raise Refused(f"{self.label}: {self.least} to {self.most} lines are wanted.", field=self.label)
        for one in value:
            self.each.check(one)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair(Ask):
    """A name and an amount on one line: `Corn silage=55 lb`."""

    first: Ask
    second: Ask

    @property
    def kind(self) -> str:
        return f"{self.first.kind}={self.second.kind}"

    def unit_word(self, units: FarmUnits) -> str:
        return self.second.unit_word(units)

    def choices(self, ground: Ground) -> Sequence[str] | None:
        return self.first.choices(ground)

    def understand(self, text: str, ground: Ground) -> tuple[Any, Any, str]:
        name, mark, amount = plain(text, longest=200).partition("=")
        if not mark:
            raise Refused(
                f"{self.label}: {name!r} has no amount.",
                remedy=f"Type {self.first.label}=amount.",
                field=self.label,
            )
        first = self.first.understand(name, ground)
        try:
            second = self.second.understand(amount, ground)
        except Refused as error:
            raise Refused(
                f"{self.label} {name.strip()}: {error.message}", remedy=error.remedy, field=self.label
            ) from None
        return first, second, amount.strip()

    def shown(self, value: tuple[Any, Any, str], ground: Ground) -> str:
        return f"{self.first.shown(value[0], ground)} {self.second.shown(value[1], ground)}"

    def typed_again(self, value: tuple[Any, Any, str], ground: Ground) -> str:
        dm = " dm" if len(value) > 2 and is_dm(str(value[2])) and isinstance(self.second, PerHead) else ""
        return f"{self.first.typed_again(value[0], ground)}={self.second.typed_again(value[1], ground)}{dm}"

    def check(self, value: tuple[Any, ...]) -> None:
        if not isinstance(value, tuple | list) or len(value) < 2:
            raise Refused(f"{self.label}: a name and an amount are wanted.", field=self.label)
        self.first.check(value[0])
        self.second.check(value[1])


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
