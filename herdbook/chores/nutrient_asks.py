"""How nutrients, their figures and their targets are typed."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from fractions import Fraction
from typing import Any, NoReturn

from herdbook.chores.asking import LONGEST_NUMBER, Ask
from herdbook.chores.ground import Ground
from herdbook.errors import Refused
from herdbook.plain import plain
from herdbook.science.figures import RationFigure, ration_figures
from herdbook.science.nitrate import NITRATE_PER_N, POTASSIUM_NITRATE_PER_N
from herdbook.science.nutrients import nutrients
from herdbook.units import LONGEST_TYPED, parse_number

MILLION = 1_000_000
NITRATE = "nitrate_n"
_FORM = re.compile(r"(?P<base>%|ppm|mg/kg)?\s*(?P<form>NO3-N|KNO3|NO3)", re.IGNORECASE)
NOT_DETERMINED = ("nd", "n.d.", "not determined", "–")


def _near(typed: str, known: Sequence[str], label: str) -> Refused:
    near = get_close_matches(typed, known, 1, 0.5)
    hint = f"Did you mean {near[0]}?" if near else f"Known: {', '.join(known)}."
    return Refused(f"{label}: there is no {label} called {typed!r}.", remedy=hint, field=label)


@dataclass(frozen=True, slots=True, kw_only=True)
class NutrientKey(Ask):
    """A nutrient by its key or short label."""

    def choices(self, ground: Ground) -> Sequence[str]:
        return list(nutrients())

    def understand(self, text: str, ground: Ground) -> str:
        typed = plain(text, longest=40).lower()
        known = nutrients()
        by_label = {one.label.lower(): key for key, one in known.items()}
        found = typed if typed in known else by_label.get(typed, "")
        if not found:
            raise _near(typed, list(known), self.label)
        return found

    def shown(self, value: str, ground: Ground) -> str:
        return nutrients()[value].label

    def typed_again(self, value: str, ground: Ground) -> str:
        return value

    def check(self, value: object) -> None:
        if not isinstance(value, str) or value not in nutrients():
            raise _near(str(value), list(nutrients()), self.label)


@dataclass(frozen=True, slots=True, kw_only=True)
class NutrientValue(Ask):
    """A figure of an analysis in millionths of the nutrient's own unit, or none where not determined.

    Bounds: 0 to 100,000,000 of any unit, past any figure a laboratory prints (vitamins reach millions of units
    a kilogram).

    Args:
        key: the nutrient it stands beside; its unit is the one a bare number takes.
    """

    key: str = ""

    def beside(self, first: Any) -> Ask:
        return replace(self, key=first)

    def understand(self, text: str, ground: Ground) -> int | None:
        typed = self.short(text, LONGEST_NUMBER)
        if typed.lower() in NOT_DETERMINED:
            return None
        number, spelled = _split_form(typed) if self.key == NITRATE else split_unit(typed)
        try:
            value = parse_number(number, decimal=ground.units.decimal)
        except ValueError:
            raise Refused(
                f"{self.label}: {typed!r} is not a number.",
                remedy="Type a number, or nd for not determined.",
                field=self.label,
            ) from None
        kept = round(value * self.factor(spelled) * MILLION)
        self.check(kept)
        return kept

    def factor(self, spelled: str) -> Fraction:
        """What a number in the unit that was spelled is multiplied by; nitrate may be told by any of its three forms.

        Raises:
            Refused: it does not measure what the nutrient's own unit does.
        """
        unit = nutrients()[self.key].unit if self.key else ""
        form = _FORM.fullmatch(spelled) if self.key == NITRATE else None
        if form is None:
            return unit_factor(spelled, unit, label=self.label)
        per_n = {"no3-n": "1", "no3": str(NITRATE_PER_N), "kno3": str(POTASSIUM_NITRATE_PER_N)}
        return unit_factor(form["base"] or "", unit, label=self.label) / Fraction(per_n[form["form"].lower()])

    def shown(self, value: int | None, ground: Ground) -> str:
        if value is None:
            return "not determined"
        unit = nutrients()[self.key].unit if self.key else ""
        return f"{exactly(value, ground.units.decimal)} {unit}".strip()

    def typed_again(self, value: int | None, ground: Ground) -> str:
        return "nd" if value is None else exactly(value, ground.units.decimal)

    def check(self, value: object) -> None:
        if value is None:
            return
        if not isinstance(value, int) or value > 100_000_000 * MILLION:
            raise Refused(
                f"{self.label}: that is not a figure of an analysis.",
                remedy="Check the number.",
                field=self.label,
            )
        if value < 0:
            raise Refused(
                f"{self.label}: a share below zero cannot be.", remedy="Check the sign.", field=self.label
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureKey(Ask):
    """A figure of a ration that a target can be set for."""

    def choices(self, ground: Ground) -> Sequence[str]:
        return list(ration_figures().with_amounts())

    def understand(self, text: str, ground: Ground) -> str:
        typed = plain(text, longest=40).lower()
        known = ration_figures().with_amounts()
        by_label = {one.label.lower(): key for key, one in known.items()}
        found = typed if typed in known else by_label.get(typed, "")
        if not found:
            raise _near(typed, list(known), self.label)
        return found

    def shown(self, value: str, ground: Ground) -> str:
        return ration_figures()[value].label

    def typed_again(self, value: str, ground: Ground) -> str:
        return value

    def check(self, value: object) -> None:
        if not isinstance(value, str) or value not in ration_figures():
            raise _near(str(value), list(ration_figures()), self.label)


@dataclass(frozen=True, slots=True, kw_only=True)
class TargetBounds(Ask):
    """Low, aim and high of a figure: `15.5 16.5 17.5`, with `-` where there is none, and a unit if one is meant.

    One number alone is an aim; two are low and high. Bare weights are in the farm's unit of loads.

    Args:
        key: the figure it stands beside.
    """

    key: str = ""

    def beside(self, first: Any) -> Ask:
        return replace(self, key=first)

    def understand(self, text: str, ground: Ground) -> list[int | None]:
        typed = self.short(text, LONGEST_TYPED)
        numbers, spelled = split_unit(typed)
        factor = Fraction(1)
        if (
            self.key
        ):  # a slip reads the bounds before it knows of what they are: the unit is seen to with the figure
            unit = ration_figures()[self.key].unit
            spelled = spelled or (ground.units.load if unit == "kg" else "")
            factor = unit_factor(spelled, unit, label=self.label)
        found = [self._number(word, factor, ground) for word in numbers.split()]
        if len(found) == 1:
            bounds = [None, found[0], None]
        elif len(found) == 2:
            bounds = [found[0], None, found[1]]
        elif len(found) == 3:
            bounds = found
        else:
            self._cannot(typed)
        self.check(bounds)
        return bounds

    def _cannot(self, typed: str) -> NoReturn:
        raise Refused(
            f"{self.label}: {typed!r} is not low, aim and high.",
            remedy="Type three numbers, with - where there is none.",
            field=self.label,
        )

    def _number(self, word: str, factor: Fraction, ground: Ground) -> int | None:
        if word in ("-", "–"):
            return None
        try:
            value = parse_number(word, decimal=ground.units.decimal)
        except ValueError:
            self._cannot(word)
        return round(value * factor * MILLION)

    def shown(self, value: Sequence[int | None], ground: Ground) -> str:
        unit = ration_figures()[self.key].unit if self.key else ""
        words = ["–" if bound is None else exactly(bound, ground.units.decimal) for bound in value]
        return f"{' / '.join(words)} {unit}".strip()

    def typed_again(self, value: Sequence[int | None], ground: Ground) -> str:
        unit = ration_figures()[self.key].unit if self.key else ""
        words = [exactly(bound, ground.units.decimal) for bound in value if bound is not None]
        if unit == "kg" and ground.units.load != unit:
            factor = unit_factor(ground.units.load, unit, label=self.label)
            shorter = [_shortest(bound, factor, ground.units.decimal) for bound in value if bound is not None]
            if all(shorter):
                words, unit = shorter, ground.units.load
        left = iter(words)
        return f"{' '.join('-' if bound is None else next(left) for bound in value)} {unit}".strip()

    def check(self, value: object) -> None:
        if not isinstance(value, list | tuple) or len(value) != 3:
            self._cannot("that")
        given = [bound for bound in value if bound is not None]
        if not given or not all(isinstance(bound, int) for bound in given):
            self._cannot("that")
        if given != sorted(given):
            raise Refused(
                f"{self.label}: low, aim and high are not in order.",
                remedy="Type the lowest first.",
                field=self.label,
            )
        if any(abs(bound) > 10**14 for bound in given):
            raise Refused(f"{self.label}: that is no target.", remedy="Check the numbers.", field=self.label)


def _shortest(millionths: int, factor: Fraction, decimal: str) -> str:
    """The fewest decimals that give the very same number back in another unit; empty where no few do."""
    value = Fraction(millionths, MILLION) / factor
    for decimals in range(9):
        rounded = round(value, decimals)
        if round(rounded * factor * MILLION) == millionths:
            return f"{float(rounded):.{decimals}f}".replace(".", decimal)
    return ""


_FRACTIONS = {
    "%": Fraction(1, 100),
    "g/kg": Fraction(1, 1_000),
    "mg/kg": Fraction(1, 10**6),
    "ppm": Fraction(1, 10**6),
    "ppb": Fraction(1, 10**9),
}
_WEIGHTS = {
    "kg": Fraction(1),
    "lb": Fraction("0.45359237"),
    "oz": Fraction("0.028349523125"),
    "g": Fraction(1, 1_000),
    "mg": Fraction(1, 10**6),
    "ug": Fraction(1, 10**9),
}


def _split_form(typed: str) -> tuple[str, str]:
    """The number of a nitrate figure, and the unit or form behind it, which may hold figures itself."""
    found = re.fullmatch(rf"(?P<number>.*?[0-9.,])\s*(?P<unit>{_FORM.pattern})", typed, re.IGNORECASE)
    return (found["number"], found["unit"].strip()) if found else split_unit(typed)


def split_unit(typed: str) -> tuple[str, str]:
    """The numbers of a text, and the unit that stands after them, if one does."""
    found = re.fullmatch(r"(?P<numbers>.*?)\s*(?P<unit>%|[A-Za-z][A-Za-z/]*)?", typed)
    return (found["numbers"], found["unit"] or "") if found else (typed, "")


def unit_factor(spelled: str, unit: str, *, label: str) -> Fraction:
    """What a number in the unit that was spelled is multiplied by to be in `unit`.

    Raises:
        Refused: the one does not measure what the other does.
    """
    if not spelled or spelled.lower() == unit.lower():
        return Fraction(1)
    if unit in _FRACTIONS and spelled.lower() in _FRACTIONS:
        return _FRACTIONS[spelled.lower()] / _FRACTIONS[unit]
    if unit in _WEIGHTS and spelled.lower() in _WEIGHTS:
        return _WEIGHTS[spelled.lower()] / _WEIGHTS[unit]
    if unit.endswith("/kg") and spelled.lower() == f"{unit.lower().removesuffix('/kg')}/lb":
        return 1 / _WEIGHTS["lb"]
    raise Refused(
        f"{label}: {spelled} is not a unit for it.",
        remedy=f"Use {unit}, or no unit." if unit else "Type it without a unit.",
        field=label,
    )


def exactly(millionths: int, decimal: str) -> str:
    """A kept figure in full, without marks between thousands, so that it can be typed again."""
    whole, part = divmod(abs(millionths), MILLION)
    small = f"{part:06}".rstrip("0")
    return f"{'-' if millionths < 0 else ''}{whole}{decimal + small if small else ''}"


def figure_of(key: str) -> RationFigure:
    """The figure of that key, which a chore has checked."""
    return ration_figures()[key]
