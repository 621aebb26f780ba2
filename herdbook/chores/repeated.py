"""Asking for several lines, and for a name and an amount on one line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from herdbook.chores.asking import Ask
from herdbook.chores.ground import Ground
from herdbook.errors import Refused
from herdbook.plain import plain
from herdbook.units import LONGEST_TYPED, FarmUnits


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

    def check(self, value: object) -> None:
        if not isinstance(value, list | tuple) or not self.least <= len(value) <= self.most:
            raise Refused(f"{self.label}: {self.least} to {self.most} lines are wanted.", field=self.label)
        for one in value:
            self.each.check(one)

    def stands(self, value: Sequence[Any], ground: Ground) -> None:
        for one in value:
            self.each.stands(one, ground)


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
        typed = self.short(text, 200)
        name, mark, amount = typed.rpartition("=")  # a name may hold the sign, an amount never does
        if not mark:
            raise Refused(
                f"{self.label}: {typed!r} has no amount.",
                remedy=f"Type {self.first.label}=amount.",
                field=self.label,
            )
        try:
            first = self.first.understand(name, ground)
        except Refused as error:
            raise self._mine(f"{self.label}, {error.message}", error) from None
        try:
            second = self.second.beside(first).understand(self.short(amount, LONGEST_TYPED), ground)
        except Refused as error:
            raise self._mine(f"{self.label} {name.strip()}: {error.message}", error) from None
        return first, second, amount.strip()

    def _mine(self, message: str, error: Refused) -> Refused:
        return Refused(message, remedy=error.remedy, field=self.label)

    def shown(self, value: Sequence[Any], ground: Ground) -> str:
        second = self.second.beside(value[0])
        return f"{self.first.shown(value[0], ground)} {second.shown(value[1], ground)}"

    def typed_again(self, value: Sequence[Any], ground: Ground) -> str:
        typed = str(value[2]) if len(value) > 2 else ""
        second = self.second.beside(value[0])
        if not _still_means(second, typed, value[1], ground):
            typed = second.typed_like(value[1], typed, ground)
        return f"{self.first.typed_again(value[0], ground)}={typed}"

    def check(self, value: object) -> None:
        if not isinstance(value, tuple | list) or len(value) < 2:
            raise Refused(f"{self.label}: a name and an amount are wanted.", field=self.label)
        self.first.check(value[0])
        self.second.beside(value[0]).check(value[1])
        typed = value[2] if len(value) > 2 else ""
        if not isinstance(typed, str) or typed != plain(typed, longest=LONGEST_TYPED):
            raise Refused(f"{self.label}: the text of the amount cannot be written.", field=self.label)

    def stands(self, value: Sequence[Any], ground: Ground) -> None:
        self.first.stands(value[0], ground)


def _still_means(ask: Ask, typed: str, value: Any, ground: Ground) -> bool:
    try:
        return bool(typed) and bool(ask.understand(typed, ground) == value)
    except Refused:
        return False
