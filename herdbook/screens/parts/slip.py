"""A record form that rises from the bottom edge: rows of fields, one question before it is written."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Literal

from rich.text import Text
from textual import events
from textual.message import Message
from textual.timer import Timer

from herdbook.screens.parts.field import READ_BACK_AFTER_S
from herdbook.screens.parts.lines import heading, pieces
from herdbook.screens.parts.says import Says
from herdbook.screens.parts.slip_drawing import draw_rows
from herdbook.screens.parts.slip_sheet import SlipAsk, SlipSheet, Texts
from herdbook.screens.parts.text import Painted

# Lines of the screen that stay for the frame and at least a few rows of the list above the slip.
LEFT_TO_THE_SCREEN = 10
FEWEST_LINES = 4


class Slip(Painted, can_focus=True):
    """A slip of fields. Enter goes on, on the last field it asks, and the next Enter writes.

    Tab, shift+tab, up and down move; ctrl+s writes at once when nothing is wrong or in doubt; Escape takes
    back the question, else it leaves the slip (`Left`), and what was typed stays a draft.

    Args:
        title: what is being written, such as `Pickup`.
        asks: its questions.
        texts: what stands in the fields at first.
        notes: cautions and asides that must stand on the slip, one line each.
        confirm: makes the words of the question from the texts; by default what was understood.
        careful: only the key Y answers the question, because what is written throws milk away or ends a hold.
    """

    DEFAULT_CSS = "Slip { height: auto; }"

    class Changed(Message):
        """Something was typed; `texts` is the draft."""

        def __init__(self, slip: Slip, texts: Texts) -> None:
            super().__init__()
            self.slip, self.texts = slip, texts

        @property
        def control(self) -> Slip:
            return self.slip

    class Asked(Changed):
        """Every field is settled and the person is asked whether to write `texts`."""

    class Written(Changed):
        """The person said yes: `texts` is to be written. Keys are off until `not_written` or removal."""

    class Left(Changed):
        """The person stepped back; `texts` is the draft that stays."""

    def __init__(
        self,
        title: str,
        asks: Sequence[SlipAsk],
        *,
        texts: Mapping[str, str | Sequence[str]] | None = None,
        notes: Sequence[str] = (),
        confirm: Callable[[Texts], str] | None = None,
        careful: bool = False,
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self.title = title
        self.sheet = SlipSheet(asks, texts)
        self._notes, self._confirm, self._careful = list(notes), confirm, careful
        self._stage: Literal["fields", "asking", "writing"] = "fields"
        self._first = 0
        self._pause: Timer | None = None
        self.sheet.read()

    @property
    def texts(self) -> Texts:
        """The draft as it stands."""
        return self.sheet.texts()

    @property
    def stage(self) -> Literal["fields", "asking", "writing"]:
        """Where the slip is: in its fields, waiting for yes, or being written."""
        return self._stage

    def note(self, lines: Sequence[str]) -> None:
        """Let other lines stand on the slip: cautions, or what would come of what is asked."""
        if self._notes != list(lines):
            self._notes = list(lines)
            self._show(layout=True)

    def not_written(self, sentences: str, *, name: str = "") -> None:
        """Give the slip back after a refusal: said on the say line, the cursor in the field `name`."""
        self._stage = "fields"
        if name and self.sheet.go_to(name):
            self.sheet.answer.refuse(sentences)
        self.post_message(Says(sentences, "wrong"))
        self._show()

    # -- keys -----------------------------------------------------------------------------------------

    def check_consume_key(self, key: str, character: str | None) -> bool:
        return character is not None and character.isprintable()

    async def on_key(self, event: events.Key) -> None:
        take = {
            "fields": self._key_in_fields,
            "asking": self._key_in_question,
            "writing": self._key_while_writing,
        }
        if take[self._stage](event):
            event.stop()
            event.prevent_default()

    def _key_while_writing(self, event: events.Key) -> bool:
        return event.is_printable or event.key in (
            "enter",
            "escape",
            "tab",
            "shift+tab",
            "ctrl+s",
            "up",
            "down",
        )

    def _key_in_question(self, event: events.Key) -> bool:
        yes = event.key in ("y", "Y") or (not self._careful and event.key in ("enter", "ctrl+s"))
        if yes:
            self._stage = "writing"
            self._show()
            self.post_message(self.Written(self, self.sheet.texts(resolved=True)))
        elif event.key in ("escape", "n", "N", "shift+tab", "up"):
            self._stage = "fields"
            self.post_message(Says("", "said"))
            self._show()
        return self._key_while_writing(event)

    def _key_in_fields(self, event: events.Key) -> bool:
        answer = self.sheet.answer
        if event.key == "enter":
            self._enter()
        elif event.key == "ctrl+s":
            self._write_at_once()
        elif event.key == "escape":
            self._stop_waiting()
            if answer.stop_picking():
                self._show()
            else:
                self.post_message(self.Left(self, self.texts))
        elif event.key in ("tab", "shift+tab"):
            self._moved(self.sheet.step(1 if event.key == "tab" else -1))
        elif event.key in ("up", "down"):
            by = 1 if event.key == "down" else -1
            if answer.pick(by):
                self._show()
                self.post_message(self.Changed(self, self.texts))
            else:
                self._moved(self.sheet.step_rows(by))
        elif event.key in ("pageup", "pagedown"):
            page = max(1, self._room(self.size.height) - 1)
            self._moved(self.sheet.step_rows(page if event.key == "pagedown" else -page))
        elif event.is_printable and event.character:
            self._edited(answer.line.type(event.character))
        elif (changed := answer.line.press(event.key)) is not None:
            self._edited(changed)
        else:
            return False
        return True

    def on_paste(self, event: events.Paste) -> None:
        event.stop()
        event.prevent_default()
        if self._stage == "fields":
            self._edited(self.sheet.answer.line.paste(event.text))

    def _edited(self, changed: bool) -> None:
        if changed:
            if self.sheet.answer.state in ("wrong", "asks"):
                self.post_message(Says("", "said"))
            self.sheet.answer.changed()
            self._stop_waiting()
            self._pause = self.set_timer(READ_BACK_AFTER_S, self._paused)
        self._show()

    def _paused(self) -> None:
        self._stop_waiting()
        self.sheet.read()
        self._show()
        self.post_message(self.Changed(self, self.texts))

    def _stop_waiting(self) -> None:
        if self._pause is not None:
            self._pause.stop()
            self._pause = None

    def _moved(self, moved: bool) -> None:
        if moved:
            self._stop_waiting()
            self._show()
            self.post_message(self.Changed(self, self.texts))

    def _enter(self) -> None:
        self._stop_waiting()
        ends = self.sheet.ends_here
        rows = len(self.sheet.rows)
        goes_on, sentences, kind = self.sheet.go_on()
        self.post_message(self.Changed(self, self.texts))
        if not goes_on:
            self.post_message(Says(sentences, kind))
        elif ends:
            self._ask()
        else:
            self.post_message(Says("", "said"))
        self._show(layout=len(self.sheet.rows) != rows)

    def _ask(self) -> None:
        """Ask before writing, or go to the first field that cannot be written."""
        if unsettled := self.sheet.first_unsettled():
            self.post_message(Says(*unsettled))
            return
        self._stage = "asking"
        words = self._confirm(self.sheet.texts(resolved=True)) if self._confirm else self._summary()
        yes = "Y yes" if self._careful else "Enter yes"
        self.post_message(Says(f"Write?  {words}   {yes}   Esc back", "asks"))
        self.post_message(self.Asked(self, self.sheet.texts(resolved=True)))

    def _summary(self) -> str:
        return f"{self.title} {self.sheet.summary()}".strip() + "."

    def _write_at_once(self) -> None:
        self._stop_waiting()
        self.sheet.leave()
        self.post_message(self.Changed(self, self.texts))
        self._ask()
        if self._stage == "asking" and not self._careful:
            self._stage = "writing"
            self.post_message(self.Written(self, self.sheet.texts(resolved=True)))
        self._show()

    # -- drawing --------------------------------------------------------------------------------------

    def _show(self, *, layout: bool = False) -> None:
        if layout:
            self.refresh(layout=True)
        else:
            self.freshen()

    def on_focus(self) -> None:
        self.freshen()

    def on_blur(self) -> None:
        self.freshen()

    def lines_wanted(self, width: int) -> int:
        most = max(FEWEST_LINES, self.app.size.height - LEFT_TO_THE_SCREEN)
        return min(1 + len(self._notes) + len(self.sheet.rows), most)

    def _room(self, height: int) -> int:
        return max(1, height - 1 - len(self._shown_notes(height)))

    def _shown_notes(self, height: int) -> list[str]:
        # Cautions stay, but never push the last field off the screen.
        return self._notes[: max(0, height - 2)]

    def paint(self, width: int, height: int) -> Sequence[Text]:
        room, count, at = self._room(height), len(self.sheet.rows), self.sheet.row
        self._first = min(max(self._first, at - room + 1, 0), at, max(0, count - room))
        last = min(count, self._first + room)
        hidden = [
            f"{self._first} above" if self._first else "",
            f"{count - last} more below" if last < count else "",
        ]
        title = heading(self.title.upper(), "", width, self.signs, at_end=", ".join(filter(None, hidden)))
        notes = [pieces("   ", (note, "hay")) for note in self._shown_notes(height)]
        rows = draw_rows(
            self.sheet.rows,
            range(self._first, last),
            width,
            at=(at, self.sheet.cell) if self._stage == "fields" else None,
            focused=self.has_focus,
            signs=self.signs,
        )
        return [title, *notes, *rows]
