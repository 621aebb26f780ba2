"""The day and time field: `now`, `640`, `-15`, `y 1610`, `9 1012`, `2026-03-09 10:12`."""

from __future__ import annotations

from herdbook.screens.parts.field import Field


class MomentField(Field):
    """A field for a moment; letters are text from the start, because `now` and `y` begin with one."""
