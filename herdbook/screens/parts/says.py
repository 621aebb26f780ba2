"""The message by which a part asks for words on the say line."""

from __future__ import annotations

from typing import Literal

from textual.message import Message

Kind = Literal["asks", "wrong", "said"]


class Says(Message):
    """A part has something to say on the say line.

    Args:
        text: one or two sentences, never markup; empty: nothing to say any more.
        kind: `asks` waits for an answer, `wrong` is about a field, `said` is only told.
    """

    def __init__(self, text: str, kind: Kind = "said") -> None:
        super().__init__()
        self.text, self.kind = text, kind
