"""What a field makes of typed text: the value, how it is read back, what it asks, or what is wrong."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from herdbook.errors import HerdbookError


@dataclass(frozen=True)
class Understood:
    """One reading of typed text.

    Attributes:
        value: what will be used; None with `error`, or for an answer left empty.
        shown: the read-back, in the book's unit with its consequence; `ok` at its end is drawn as such.
        ask: a doubt, such as `ten times 107?`; Enter twice accepts the value all the same.
        error: why it cannot be used; its first sentence stands beside the field, all of it on the say line.
    """

    value: object | None = None
    shown: str = ""
    ask: str = ""
    error: str = ""


Understand = Callable[[str], Understood]


def understand_safely(understand: Understand, text: str) -> Understood:
    """Ask for a reading; an error of ours is one about the text."""
    try:
        return understand(text)
    except HerdbookError as error:
        return Understood(error=str(error))


def as_typed(text: str) -> Understood:
    """Take text as it was typed."""
    return Understood(value=text)
