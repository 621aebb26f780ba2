"""A bare stage for one part at a time, in the app's own colours, and a way to wait for facts."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from textual import events
from textual.app import App, ComposeResult
from textual.message import Message
from textual.pilot import Pilot
from textual.widget import Widget

from herdbook.screens import theme
from herdbook.screens.parts.field import Field
from herdbook.screens.parts.rows_table import RowsTable
from herdbook.screens.parts.says import Says
from herdbook.screens.parts.signs import UNICODE, SignSet
from herdbook.screens.parts.slip import Slip
from herdbook.screens.parts.understood import Understood

HOSTILE = [
    "[@click=app.quit]Barley[/]",
    "[red]x[/red] [/] [",
    "\x1b]0;owned\x07\x1b[2Jgone",
    "\x9b31mred",
    "abc\u202edcb\u2066x\u2069",
    "zero\u200bwidth\ufeff",
    "two\nlines\tand a tab\r",
    "\ud800lone surrogate",
]


class Stage(App[None]):
    """Shows the parts given, remembers what they send and which keys they leave to the place."""

    CSS = "Screen { layout: vertical; background: $ground; color: $chalk; overflow: hidden; }"
    ENABLE_COMMAND_PALETTE = False

    def __init__(self, *parts: Widget, signs: SignSet = UNICODE, skin: theme.Skin = "night") -> None:
        super().__init__()
        self.parts, self.signs = parts, signs
        self.sent: list[Message] = []
        self.left_keys: list[str] = []
        made = theme.theme(skin)
        self.register_theme(made)
        self.theme = made.name

    def compose(self) -> ComposeResult:
        yield from self.parts

    def on_mount(self) -> None:
        for part in self.parts:
            if part.can_focus:
                part.focus()
                break

    def on_key(self, event: events.Key) -> None:
        self.left_keys.append(event.key)

    def on_says(self, message: Says) -> None:
        self.sent.append(message)

    def on_field_typed(self, message: Field.Typed) -> None:
        self.sent.append(message)

    def on_field_entered(self, message: Field.Entered) -> None:
        self.sent.append(message)

    def on_slip_changed(self, message: Slip.Changed) -> None:
        self.sent.append(message)

    def on_slip_written(self, message: Slip.Written) -> None:
        self.sent.append(message)

    def on_slip_left(self, message: Slip.Left) -> None:
        self.sent.append(message)

    def on_rows_table_moved(self, message: RowsTable.Moved) -> None:
        self.sent.append(message)

    def on_rows_table_opened(self, message: RowsTable.Opened) -> None:
        self.sent.append(message)

    def of(self, kind: type[Message]) -> list[Message]:
        """What was sent of exactly one kind, in order."""
        return [message for message in self.sent if type(message) is kind]


def rows_of(app: App[None]) -> list[str]:
    """The screen as text, row by row, right-trimmed."""
    strips = app.screen._compositor.render_strips()
    return [strip.text.rstrip() for strip in strips]


def shown(widget: Widget) -> list[str]:
    """What one part shows, row by row, right-trimmed."""
    return [widget.render_line(y).text.rstrip() for y in range(widget.size.height)]


async def until(pilot: Pilot[None], fact: Callable[[], bool], what: str) -> None:
    """Wait for a fact, not for a time; give up after five seconds."""
    for _ in range(500):
        await pilot.pause()
        if fact():
            return
        await asyncio.sleep(0.01)
    raise AssertionError(f"waited in vain for {what}")


def pounds(text: str) -> Understood:
    """Read whole pounds; more than 5,000 is asked about."""
    digits = text.removesuffix("lb").strip().replace(",", "")
    if not (digits.isascii() and digits.isdigit()):
        return Understood(error="Not a number, kept as typed. Type a weight such as 748.")
    if int(digits) > 5_000:
        return Understood(int(digits), "6,859 lb soy hulls", ask="ten times 107?")
    return Understood(int(digits), f"soy hulls {int(digits) - 641} lb  ok")


@dataclass
class Ask:
    """One question of a slip."""

    name: str
    label: str
    unit_word: str = ""
    required: bool = False
    hint: str = ""
    repeated: bool = False
    names: Sequence[str] | None = None
    reads: Callable[[str], Understood] = field(default=lambda text: Understood(text, "ok"))
    present: str = ""

    def understand(self, text: str) -> Understood:
        return self.reads(text)

    def choices(self) -> Sequence[str] | None:
        return self.names
