"""Asking for the hours that a label or a veterinarian states: written down as given, never supplied by the book."""

from __future__ import annotations

import re
from dataclasses import dataclass

from herdbook.chores.asking import LONGEST_NUMBER, Ask
from herdbook.chores.ground import Ground
from herdbook.errors import Refused
from herdbook.units import FarmUnits

MOST_H = 9_600
"""400 days: past what any label states."""
NOT_OURS = (
    "Type what the label or the veterinarian states, such as 96 h, 4 d, or 0; this book never supplies it. "
    "Where it is not stated, ask the veterinarian before any of her milk or meat is used."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedHours(Ask):
    """Hours from the last dose as somebody who may says them: `96`, `96 h` or `4 d`; nought counts as stated."""

    def unit_word(self, units: FarmUnits) -> str:
        return "h"

    def understand(self, text: str, ground: Ground) -> int:
        typed = self.short(text, LONGEST_NUMBER)
        said = re.fullmatch(r"([0-9]{1,5})\s*(h|hours?|d|days?)?", typed.lower())
        if said is None:
            raise Refused(
                f"{self.label}: {typed!r} is not a number of hours or days.",
                remedy=NOT_OURS,
                field=self.label,
            )
        hours = int(said[1]) * (24 if (said[2] or "h").startswith("d") else 1)
        if hours > MOST_H:
            raise Refused(
                f"{self.label}: {typed} is more than {MOST_H} h.",
                remedy="Read the label again; 96 is 96 hours.",
                field=self.label,
            )
        return hours

    def shown(self, value: int, ground: Ground) -> str:
        days, rest = divmod(value, 24)
        return f"{value} h" + (f", {days} day{'s' * (days > 1)}" if days and not rest else "")

    def typed_again(self, value: int, ground: Ground) -> str:
        return f"{value} h"

    def check(self, value: object) -> None:
        if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= MOST_H:
            raise Refused(
                f"{self.label}: {value!r} is not a number of hours.", remedy=NOT_OURS, field=self.label
            )
