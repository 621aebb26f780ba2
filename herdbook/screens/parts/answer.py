"""One question with what has been typed so far and what was understood of it, without any drawing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Literal

from herdbook.plain import plain
from herdbook.screens.parts.says import Kind
from herdbook.screens.parts.typed_line import TypedLine
from herdbook.screens.parts.understood import Understand, Understood, as_typed, understand_safely

State = Literal["empty", "typing", "reads", "asks", "wrong", "writing", "written"]


def nothing_to_choose() -> Sequence[str] | None:
    """Choices of a question that has none."""
    return None


@dataclass
class Answer:
    """What one field holds.

    Attributes:
        label: word before the field.
        unit_word: unit a bare number takes, behind the field.
        hint: said beside the empty field, such as `with the agitator running`.
        present: the value that stays when nothing is typed, shown beside the empty field.
        required: whether empty is refused (unless there is a present value).
        understand: reads typed text.
        choices: gives the names to pick from, or None.
        cells: width wished for in a slip, 0 leaves it to the slip.
        line: what is typed.
        understood: the latest reading, None while the text is newer than it.
        accepted: the doubt the person has said yes to.
    """

    label: str = ""
    unit_word: str = ""
    hint: str = ""
    present: str = ""
    required: bool = False
    understand: Understand = as_typed
    choices: Callable[[], Sequence[str] | None] = nothing_to_choose
    cells: int = 0
    line: TypedLine = field(default_factory=TypedLine)
    understood: Understood | None = None
    accepted: str = ""
    busy: Literal["", "writing", "written"] = ""
    _asked: str = ""
    _picked: int | None = None
    _spoken: tuple[State, Understood | None] = ("empty", None)

    @property
    def text(self) -> str:
        return self.line.text

    @property
    def state(self) -> State:
        if self.busy:
            return self.busy
        if not self.resolved:
            # A reading of the empty text is there only when empty was refused.
            return "wrong" if self.understood and self.understood.error else "empty"
        return self._state_of(self.understood) if self.understood else "typing"

    def _state_of(self, understood: Understood) -> State:
        if understood.error:
            return "wrong"
        return "asks" if understood.ask and self.accepted != understood.ask else "reads"

    @property
    def spoken(self) -> tuple[State, Understood | None]:
        """What stands beside the field: while typing goes on, what stood there before it."""
        return self._spoken if self.state == "typing" else (self.state, self.understood)

    def put(self, text: str) -> None:
        """Replace what is typed, as when a draft comes back."""
        self.line.put(text)
        self.changed()
        self._spoken = ("empty", None)

    def changed(self) -> None:
        """Forget the reading: the text is newer. A doubt that comes again must be accepted again."""
        if self.understood is not None:
            self._spoken = (self._state_of(self.understood), self.understood)
        elif self.busy:
            self._spoken = ("empty", None)
        self.understood, self.accepted, self._asked, self._picked, self.busy = None, "", "", None, ""

    def read(self) -> None:
        """Read the text as it is now."""
        if text := self.resolved:
            self.understood = understand_safely(self.understand, text)
        elif self.understood and not self.understood.error:
            self.understood = None

    def refuse(self, sentences: str) -> None:
        """Mark the answer as wrong for a reason found elsewhere, such as by the chore that writes it."""
        self.understood = Understood(error=sentences)

    # -- choosing from names ------------------------------------------------------------------------

    @property
    def matches(self) -> list[str]:
        """Names that fit what is typed: all while it is empty, the best fit first."""
        names = self.choices()
        return matching(names, self.text) if names else []

    @property
    def suggested(self) -> str:
        """The name that stands for what is typed, empty when none does."""
        found = self.matches if self.text.strip() or self._picked is not None else []
        return found[(self._picked or 0) % len(found)] if found else ""

    @property
    def picking(self) -> bool:
        """Whether up and down have been used to choose, and nothing is taken yet."""
        return self._picked is not None

    def stop_picking(self) -> bool:
        """Go back to what was typed; says whether there was a choosing to end."""
        if not self.picking:
            return False
        self.changed()
        self.read()
        return True

    @property
    def resolved(self) -> str:
        """The text that counts: the suggested name in place of a part of it."""
        return self.suggested or self.text.strip()

    def pick(self, by: int) -> bool:
        """Move the suggestion among the names; says whether there was one to move to."""
        found = self.matches
        if not found or (self.text in found and not self.picking):
            return False
        if self._picked is None:
            to = 0 if not self.text.strip() else by  # the first name is already suggested for a part of it
        else:
            to = self._picked + by
        self._picked = to % len(found)
        self.understood = understand_safely(self.understand, self.suggested)
        self.accepted = self._asked = ""
        return True

    def take(self) -> bool:
        """Put the suggested name in the field in full; says whether the text changed."""
        name = self.suggested
        if not name or name == self.text:
            return False
        self.line.put(name)
        self._picked = None
        return True

    # -- going on -----------------------------------------------------------------------------------

    def press_enter(self) -> tuple[bool, str, Kind]:
        """Try to go on from this answer.

        Returns:
            Whether it may go on, and else the sentences for the say line and their kind. A doubt is told
            at the first Enter and accepted at the second.
        """
        if self.busy == "writing":
            return False, "", "said"
        self.take()
        if not self.text.strip():
            return self._enter_on_nothing()
        self.understood = understand_safely(self.understand, self.resolved)
        if self.understood.error:
            return False, self.understood.error, "wrong"
        doubt = self.understood.ask
        if doubt and self.accepted != doubt:
            if self._asked != doubt:
                self._asked = doubt
                return False, f"{self.label}: {doubt} Enter again takes it, or type another.", "asks"
            self.accepted = doubt
        return True, "", "said"

    def _enter_on_nothing(self) -> tuple[bool, str, Kind]:
        if self.required and not self.present:
            self.understood = Understood(error="needed")
            return False, f"{self.label or 'This'} is needed.", "wrong"
        self.understood = None
        return True, "", "said"

    @property
    def settled(self) -> bool:
        """Whether the answer can be written as it is."""
        if not self.text.strip():
            return not self.required or bool(self.present)
        return self.state == "reads"


def matching(names: Sequence[str], typed: str) -> list[str]:
    """Give the names that hold what was typed, best first: whole, at the start, at a word, anywhere.

    Case does not matter; among equals the order given stays. Several words may each fit anywhere.
    """
    wanted = plain(typed).casefold()
    if not wanted:
        return list(names)

    def rank(name: str) -> int | None:
        folded = plain(name).casefold()
        if folded == wanted:
            return 0
        if folded.startswith(wanted):
            return 1
        if f" {wanted}" in folded:
            return 2
        if wanted in folded:
            return 3
        return 4 if all(word in folded for word in wanted.split()) else None

    ranked = [(rank(name), at, name) for at, name in enumerate(names)]
    return [name for place, at, name in sorted((r, a, n) for r, a, n in ranked if r is not None)]
