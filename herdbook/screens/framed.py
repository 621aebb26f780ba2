"""A screen with the frame's rows, and what comes over its body for a moment: a question, a slip, a sheet."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Container
from textual.screen import Screen
from textual.widget import Widget

from herdbook.errors import HerdbookError
from herdbook.screens import frame, keys
from herdbook.screens.alarm_line import AlarmLine
from herdbook.screens.parts.says import Says
from herdbook.screens.remedies import on_screen
from herdbook.screens.sheet import Choice, Sheet
from herdbook.screens.tank_strip import AlarmBanner, TankStrip


class Framed(Screen[None], inherit_bindings=False):
    """The frame of a place: rows 1 to 3 above its body, entry, say and keys line below.

    Widgets: `places_line`, `tank_line`, `alarm_line`, `title_line`, `body`, `sheet`, `slip_room`, `entry`, `say_line`,
    `keys_row`.
    """

    ID: ClassVar[str] = ""

    AUTO_FOCUS = None
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (frame.NARROW_BELOW, "-home"), (frame.WIDE_FROM, "-wide")]
    VERTICAL_BREAKPOINTS = [(0, "-short"), (frame.SHORT_BELOW, "-high"), (frame.TALL_FROM, "-tall")]
    BINDINGS = [
        ("tab", "app.focus_next", "next field"),
        ("shift+tab", "app.focus_previous", "field before"),
    ]

    def __init__(self) -> None:
        super().__init__(id=self.ID or None)
        self.places_line = frame.PlacesLine(self.ID)
        self.tank_line = frame.TankLine()
        self.alarm_line = AlarmLine()
        self.title_line = frame.TitleLine(keys.title_of(self.ID))
        self.say_line = frame.SayLine()
        self.keys_row = frame.KeysLine()
        self.body = Container(id="body")
        self.entry = Container(id="entry")
        self.slip_room = Container(id="slip")
        self.sheet = Sheet()
        self._focus_before_slip: Widget | None = None
        self.slip_is_rising = False
        self._focus_before_sheet: Widget | None = None

    def compose(self) -> ComposeResult:
        """Lay out the frame; the body comes after the first painting."""
        self.slip_room.display = False
        yield self.places_line
        yield self.tank_line
        yield self.alarm_line
        yield self.title_line
        yield self.body
        yield self.sheet
        yield self.slip_room
        yield self.entry
        yield self.say_line
        yield self.keys_row

    def show_strip(self, strip: TankStrip | None) -> None:
        """Show another state of the tank and of the alarms."""
        self.tank_line.show(strip)
        self.alarm_line.show(strip.alarms if strip is not None else AlarmBanner())

    # -- the say line --

    def say(self, words: str, kind: frame.Kind = "said") -> None:
        """Say something on row 23, plain text only: what was written, what is going on, what is wrong."""
        if not self.say_line.asking:
            self.say_line.say(on_screen(words) if kind == "wrong" else words, kind)

    def wrong(self, error: HerdbookError | str) -> None:
        """Say what is wrong and what to do about it; the fields stay as they are."""
        self.say(str(error), "wrong")

    def ask(
        self,
        question: str,
        yes: Callable[[], None],
        *,
        no: Callable[[], None] | None = None,
        key: str = "enter",
    ) -> None:
        """Ask on row 23; Enter (or another key) is yes, Esc goes back to where the cursor was.

        Args:
            question: what is asked, in plain words.
            yes: what to do then.
            no: what to do on Esc, besides going back.
            key: the key that means yes; ``y`` where a yes cannot be taken back.
        """
        before = (self.focused, self.say_line.words, self.say_line.kind)

        def answered(then: Callable[[], None] | None) -> None:
            self.say_line.say(before[1], before[2])
            if before[0] is not None and before[0].is_attached:
                self.set_focus(before[0], scroll_visible=False)
            if then is not None:
                then()

        self.say_line.ask(question, yes=lambda: answered(yes), no=lambda: answered(no), key=key)

    def withdraw_question(self) -> None:
        """Stop asking, as if nothing had been asked."""
        if self.say_line.asking:
            self.say_line.withdraw()
            self.say_line.say("")
            self.focus_again(None)

    def on_says(self, message: Says) -> None:
        """Say what a field or a slip asks to have said."""
        message.stop()
        self.say(message.text, message.kind)

    # -- a slip at the bottom edge --

    def open_slip(self, slip: Widget) -> None:
        """Let a slip rise from the bottom edge, above the say line; the place stays in view over it."""
        if not self.slip_is_open:
            self._focus_before_slip = self.focused
        self.slip_room.remove_children()
        self.entry.display = False
        self.slip_room.display = True
        self.slip_is_rising = True
        self.slip_room.mount(slip)
        self.call_after_refresh(self._slip_has_risen)

    def _slip_has_risen(self) -> None:
        self.focus_in(self.slip_room)
        self.slip_is_rising = False
        self.slip_is_up()

    def slip_is_up(self) -> None:
        """The slip has the cursor: keys typed ahead may come now."""

    def close_slip(self) -> None:
        """Take the slip away and go back to where the cursor was."""
        if not self.slip_is_open:
            return
        self.slip_room.display = False
        self.slip_room.remove_children()
        self.entry.display = self.has_entry
        self.focus_again(self._focus_before_slip)

    @property
    def slip_is_open(self) -> bool:
        """Whether a slip covers the entry line."""
        return bool(self.slip_room.display)

    @property
    def has_entry(self) -> bool:
        """Whether the place has an entry line."""
        return len(self.entry.children) > 0

    # -- a sheet over the body --

    def open_sheet(
        self,
        title: str,
        aside: str,
        lines: Sequence[Text | str],
        choices: Sequence[Choice] = (),
        turns: Mapping[str, Callable[[], None]] | None = None,
    ) -> None:
        """Cover the body with lines to read or to choose from; `turns` says what other keys do meanwhile."""
        if not self.sheet.is_open:
            self._focus_before_sheet = self.focused
        self.body.display = False
        self.sheet.open(title, aside, lines, choices, turns)

    def close_sheet(self) -> None:
        """Uncover the body."""
        if self.sheet.is_open:
            self.sheet.close()
            self.body.display = True
            self.focus_again(self._focus_before_sheet)

    # -- where the cursor is --

    def focus_again(self, before: Widget | None) -> None:
        """Put the cursor back where it was; where that is gone, in the nearest thing that takes keys."""
        if before is not None and before.is_attached and before.focusable:
            self.set_focus(before, scroll_visible=False)
        elif not any(self.focus_in(room) for room in (self.slip_room, self.entry, self.body)):
            self.set_focus(None)

    def focus_in(self, room: Widget) -> bool:
        """Put the cursor in the first thing of a room that takes keys; False when nothing does."""
        for widget in room.query("*") if room.display else ():
            if widget.focusable:
                self.set_focus(widget, scroll_visible=False)
                return True
        return False
