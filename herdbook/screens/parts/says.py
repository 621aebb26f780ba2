"""The message by which a part asks for words on the say line."""

from __future__ import annotations

from typing import Literal

from textual.message import Message

Kind = Literal["ask", "wrong", "told"]


class Says(Message):
    """A part has something to say on the say line.

    Args:
        text: one or two sentences, never markup; empty: nothing to say any more.
        kind: `ask` waits for an answer, `wrong` is about a field, `told` is only told.
    """

    def __init__(self, text: str, kind: Kind = "told") -> None:
        super().__init__()
        self.text, self.kind = text, kind
