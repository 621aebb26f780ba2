"""The base of all fields on one line: keys, states, and a read-back that waits until typing pauses."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rich.text import Text
from textual import events
from textual.message import Message
from textual.timer import Timer

from herdbook.screens.parts.answer import Answer, State, nothing_to_choose
from herdbook.screens.parts.field_drawing import draw_field, well_cells
from herdbook.screens.parts.lines import pieces
from herdbook.screens.parts.says import Says
from herdbook.screens.parts.text import Painted
from herdbook.screens.parts.understood import Understand, as_typed

# Waiting for a pause in typing saves a read-back, and its bytes, for all digits but the last.
READ_BACK_AFTER_S = 0.15


class Field(Painted, can_focus=True):
    """A field on one line: ` Scale reads 750          lb  → soy hulls 109 lb, +2 lb  ok`.

    Empty until typed in, the present value beside it. What is typed stays as typed, even when wrong.
    Enter goes on (`Entered`); on a doubt it must be pressed twice; on something wrong it stays.

    Args:
        label: word before the field.
        unit_word: unit a bare number takes.
        hint: said beside the empty field.
        understand: reads typed text.
        present: value that stays when nothing is typed.
        required: whether empty is refused when there is no present value.
        choices: gives names to pick from, or None.
        label_cells: width of the label's column, 0 for the label's own.
    """

    DEFAULT_CSS = "Field { height: 1; }"
    LETTERS_START = True
    """Whether letters may be the first thing typed; else they belong to the place while it is empty."""
    WIDE_TEXT = False
    """Whether the place typed in takes a good part of the line."""

    class Typed(Message):
        """The text changed and was read (once typing paused)."""

        def __init__(self, field: Field, text: str) -> None:
            super().__init__()
            self.field, self.text = field, text

        @property
        def control(self) -> Field:
            return self.field

    class Entered(Message):
        """Enter was pressed on something that can be used.

        Args:
            field: the field.
            value: what was understood; None when nothing was typed and the present value stays.
            text: as typed, or the name picked.
        """

        def __init__(self, field: Field, value: object | None, text: str) -> None:
            super().__init__()
            self.field, self.value, self.text = field, value, text

        @property
        def control(self) -> Field:
            return self.field

    def __init__(
        self,
        label: str = "",
        *,
        unit_word: str = "",
        hint: str = "",
        understand: Understand = as_typed,
        present: str = "",
        required: bool = False,
        choices: Callable[[], Sequence[str] | None] = nothing_to_choose,
        label_cells: int = 0,
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self._answer = Answer(label, unit_word, hint, present, required, understand, choices)
        self._label_cells = label_cells
        self._pause: Timer | None = None

    def ask(
        self,
        label: str,
        understand: Understand,
        *,
        unit_word: str = "",
        hint: str = "",
        present: str = "",
        required: bool = False,
        text: str = "",
    ) -> None:
        """Ask for something else in the same place: everything typed goes, `text` stands in its place."""
        self._stop_waiting()
        self._answer = Answer(label, unit_word, hint, present, required, understand, self._answer.choices)
        if text:
            self._answer.put(text)
            self._answer.read()
        self.freshen()

    @property
    def text(self) -> str:
        return self._answer.text

    @property
    def state(self) -> State:
        return self._answer.state

    @property
    def is_empty(self) -> bool:
        """Whether nothing is typed: then letters may belong to the place."""
        return not self._answer.text

    def put(self, text: str) -> None:
        """Put text in the field, as when a draft comes back, and read it."""
        self._answer.put(text)
        self.read_now()

    def writing(self) -> None:
        """Dim the field and take no keys until `written` or `not_written`."""
        self._stop_waiting()
        self._answer.busy = "writing"
        self.freshen()

    def written(self) -> None:
        """Empty the field: what it held is in the book."""
        self._answer.put("")
        self._answer.busy = "written"
        self.freshen()

    def not_written(self, sentences: str = "") -> None:
        """Give the field back as it was typed; with `sentences` it is marked wrong and they are said."""
        self._answer.busy = ""
        if sentences:
            self._answer.refuse(sentences)
            self.post_message(Says(sentences, "wrong"))
        self.freshen()

    def read_now(self) -> None:
        """Read the text without waiting for a pause, and show what was understood."""
        self._stop_waiting()
        if self._answer.busy != "writing":
            self._answer.read()
            self.freshen()

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Say whether a key is text here; others, and letters while empty, are left to the place."""
        if character is None or not character.isprintable() or self._answer.busy == "writing":
            return False
        return self._starts(character) if self.is_empty else True

    def _starts(self, character: str) -> bool:
        return self.LETTERS_START and character != " "

    async def on_key(self, event: events.Key) -> None:
        if self._take_key(event):
            event.stop()
            event.prevent_default()

    def _take_key(self, event: events.Key) -> bool:
        answer, character = self._answer, event.character
        if answer.busy == "writing":
            return event.key in ("enter", "backspace", "delete") or event.is_printable
        if event.key == "enter":
            self._enter()
        elif event.key in ("up", "down"):
            if not answer.pick(1 if event.key == "down" else -1):
                return False
            self.freshen()
        elif event.key == "escape" and (answer.text or answer.picking):
            if not answer.stop_picking():
                answer.put("")
            self.read_now()
            self.post_message(Says("", "said"))
            self.post_message(self.Typed(self, answer.text))
        elif character is not None and self.check_consume_key(event.key, character):
            self._edited(answer.line.type(character))
        elif self.is_empty or (changed := answer.line.press(event.key)) is None:
            return False
        else:
            self._edited(changed)
        return True

    def _edited(self, changed: bool) -> None:
        """Show the text at once; wait with the reading until typing pauses."""
        if changed:
            before_bad = self._answer.state in ("wrong", "asks")
            self._answer.changed()
            if before_bad:
                self.post_message(Says("", "said"))
            self._stop_waiting()
            self._pause = self.set_timer(READ_BACK_AFTER_S, self._paused)
        self.freshen()

    def _paused(self) -> None:
        self.read_now()
        self.post_message(self.Typed(self, self.text))

    def _stop_waiting(self) -> None:
        if self._pause is not None:
            self._pause.stop()
            self._pause = None

    def _enter(self) -> None:
        self._stop_waiting()
        answer = self._answer
        goes_on, sentences, kind = answer.press_enter()
        self.freshen()
        if goes_on:
            value = answer.understood.value if answer.understood else None
            self.post_message(self.Entered(self, value, answer.resolved))
        elif sentences:
            self.post_message(Says(sentences, kind))

    def on_paste(self, event: events.Paste) -> None:
        event.stop()
        event.prevent_default()
        if self._answer.busy != "writing":
            self._edited(self._answer.line.paste(event.text))

    def on_focus(self) -> None:
        self.freshen()

    def on_blur(self) -> None:
        self.freshen()

    def paint(self, width: int, height: int) -> Sequence[Text]:
        cells = well_cells(width, wide_text=self.WIDE_TEXT)
        field = draw_field(
            self._answer,
            width - 1,
            label_cells=self._label_cells,
            cells=cells,
            focused=self.has_focus,
            signs=self.signs,
        )
        return [pieces(" ", field)]
