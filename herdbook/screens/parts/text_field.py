"""The text field: a note, a name, a ticket number."""

from __future__ import annotations

from herdbook.screens.parts.field import Field


class TextField(Field):
    """A field for words; it takes a good part of the line and moves its text along with the cursor."""

    WIDE_TEXT = True
