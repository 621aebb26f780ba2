"""What a chore asks for: each field's words, how typed text is understood and shown back, and its bounds.

One list of fields serves the command line's options, the screens' slips, JSON, the manual and the checks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from herdbook.chores.ground import Ground
from herdbook.errors import Refused
from herdbook.plain import plain
from herdbook.units import FarmUnits, parse_number

LONGEST_NUMBER = 40


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

    def typed_like(self, value: Any, typed: str, ground: Ground) -> str:
        """`typed_again`, in the manner `typed` was: for amounts whose text says more than their size."""
        return self.typed_again(value, ground)

    def beside(self, first: Any) -> Ask:
        """What is asked beside `first` on one line: the same, unless the name decides what its amount may be."""
        return self

    def stands(self, value: Any, ground: Ground) -> None:
        """Refuse a thing that is not in the book, or no longer; called in the turn that writes it."""

    def short(self, text: str, longest: int) -> str:
        """The typed text made harmless; refused when it is longer than anything this field can mean."""
        typed = plain(text, longest=longest + 1)
        if len(typed) > longest:
            raise Refused(
                f"{self.label}: that is longer than {longest} letters.",
                remedy="Say it shorter.",
                field=self.label,
            )
        return typed

    def doubt(self, value: Any, ground: Ground) -> str:
        """A question worth asking about a value that is possible but unlikely; empty when there is none."""
        return ""

    def check(self, value: object) -> None:
        """Refuse a value that cannot be, whoever made it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Count(Ask):
    """A whole number."""

    least: int = 0
    most: int = 100_000
    noun: str = ""

    def unit_word(self, units: FarmUnits) -> str:
        return self.noun

    def understand(self, text: str, ground: Ground) -> int:
        shown = self.short(text, LONGEST_NUMBER)
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

    def check(self, value: object) -> None:
        if not isinstance(value, int) or not self.least <= value <= self.most:
            raise Refused(
                f"{self.label}: {value!r} is out of bounds.",
                remedy=f"It lies from {self.least} to {self.most}.",
                field=self.label,
            )


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

    def check(self, value: object) -> None:
        if not isinstance(value, int) or value < 1:
            raise Refused(f"{self.label}: {value!r} is not a {self.thing}.", field=self.label)

    def stands(self, value: Any, ground: Ground) -> None:
        if value not in ground.names.get(self.thing, {}).values():
            raise Refused(
                f"{self.label}: that {self.thing} is not in the book.",
                remedy="It may have been struck; choose another.",
                field=self.label,
            )


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

    def check(self, value: object) -> None:
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
        typed = self.short(text, self.longest)
        if len(typed) < self.least:
            raise Refused(
                f"{self.label}: nothing was typed.", remedy=f"Type a {self.label}.", field=self.label
            )
        return typed

    def check(self, value: object) -> None:
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

    def check(self, value: object) -> None:
        if not isinstance(value, bool):
            raise Refused(f"{self.label}: {value!r} is neither yes nor no.", field=self.label)


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
