"""How nutrients, their figures and their targets are typed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from typing import NoReturn

from herdbook.chores.asking import Ask
from herdbook.chores.ground import Ground
from herdbook.errors import Refused
from herdbook.plain import plain
from herdbook.science.figures import RationFigure, ration_figures
from herdbook.science.nutrients import nutrients
from herdbook.units import parse_number

MILLION = 1_000_000
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

    Bounds: -1,000 to 100,000,000 of any unit, past any figure a laboratory prints (cation-anion differences are
    below zero; vitamins reach millions of units a kilogram).
    """

    def understand(self, text: str, ground: Ground) -> int | None:
        typed = plain(text, longest=40)
        if typed.lower() in NOT_DETERMINED:
            return None
        try:
            value = parse_number(typed.rstrip("%").strip(), decimal=ground.units.decimal)
        except ValueError:
            raise Refused(
                f"{self.label}: {typed!r} is not a number.",
                remedy="Type a number, or nd for not determined.",
                field=self.label,
            ) from None
        kept = round(value * MILLION)
        self.check(kept)
        return kept

    def shown(self, value: int | None, ground: Ground) -> str:
        return "not determined" if value is None else f"{value / MILLION:g}"

    def typed_again(self, value: int | None, ground: Ground) -> str:
        return (
            "nd" if value is None else f"{Fraction(value, MILLION).__float__():.6f}".rstrip("0").rstrip(".")
        )

    def check(self, value: object) -> None:
        if value is None:
            return
        if not isinstance(value, int) or not -1_000 * MILLION <= value <= 100_000_000 * MILLION:
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
        return list(ration_figures())

    def understand(self, text: str, ground: Ground) -> str:
        typed = plain(text, longest=40).lower()
        known = ration_figures()
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
    """Low, aim and high of a figure: `15.5 16.5 17.5`, with `-` where there is none, and a unit if it is a weight.

    One number alone is an aim; two are low and high.
    """

    def understand(self, text: str, ground: Ground) -> list[int | None]:
        typed = plain(text, longest=60)
        words = typed.split(" ")
        unit = words.pop().lower() if words and words[-1].lower() in ("lb", "kg", "%", "g") else ""
        numbers = [self._number(word, unit, ground) for word in words]
        if len(numbers) == 1:
            bounds = [None, numbers[0], None]
        elif len(numbers) == 2:
            bounds = [numbers[0], None, numbers[1]]
        elif len(numbers) == 3:
            bounds = numbers
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

    def _number(self, word: str, unit: str, ground: Ground) -> int | None:
        if word in ("-", "–"):
            return None
        try:
            value = parse_number(word, decimal=ground.units.decimal)
        except ValueError:
            self._cannot(word)
        per = {"lb": Fraction("0.45359237"), "g": Fraction(1, 1000)}.get(unit, Fraction(1))
        return round(value * per * MILLION)

    def shown(self, value: Sequence[int | None], ground: Ground) -> str:
        return " / ".join("–" if bound is None else f"{bound / MILLION:g}" for bound in value)

    def typed_again(self, value: Sequence[int | None], ground: Ground) -> str:
        return " ".join(
            "-" if bound is None else f"{bound / MILLION:.6f}".rstrip("0").rstrip(".") for bound in value
        )

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


def figure_of(key: str) -> RationFigure:
    """The figure of that key, which a chore has checked."""
    return ration_figures()[key]
