"""The number field: digits start it, and until then letters belong to the place around it."""

from __future__ import annotations

from herdbook.screens.parts.field import Field

# What a number may start with; a slash, a comma or a unit comes later.
STARTS = frozenset("0123456789.,+-−")


class NumberField(Field):
    """A field for a number with an optional unit. While empty, only digits, points and signs are text."""

    LETTERS_START = False

    def _starts(self, character: str) -> bool:
        return character in STARTS
