"""A list that covers a place's body for a moment: all keys, the places, or why a figure is what it is."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rich.text import Text
from textual import events

from herdbook.screens.parts.lines import heading, pieces
from herdbook.screens.parts.text import Painted

Choice = tuple[str, Callable[[], None]]


class Sheet(Painted):
    """Lines to read, page by page; with choices, one of them is taken with Enter or its digit."""

    DEFAULT_CSS = "Sheet { height: 1fr; background: $ground; color: $chalk; display: none; }"

    def __init__(self) -> None:
        super().__init__(id="sheet")
        self.can_focus = False
        self._heading: tuple[str, str] = ("", "")
        self._lines: list[Text] = []
        self._choices: list[Choice] = []
        self._top = 0
        self._chosen = 0

    @property
    def is_open(self) -> bool:
        """Whether the sheet covers the body."""
        return bool(self.display) and self.can_focus

    def open(
        self, title: str, aside: str, lines: Sequence[Text | str], choices: Sequence[Choice] = ()
    ) -> None:
        """Cover the body with these lines, or with lines to choose from."""
        self._heading = (title, aside)
        self._lines = [line if isinstance(line, Text) else Text(line) for line in lines]
        self._choices = list(choices)
        self._top = self._chosen = 0
        self.can_focus = True
        self.display = True
        self.refresh()
        self.focus(scroll_visible=False)

    def close(self) -> None:
        """Uncover the body."""
        self.display = False
        self.can_focus = False

    def paint(self, width: int, height: int) -> list[Text]:
        """Write the heading, the lines in view and how many more there are."""
        shown = [heading(*self._heading, width, self.signs)]
        if self._choices:
            return shown + [self._choice(number, words) for number, (words, _do) in enumerate(self._choices)]
        room = max(1, height - 2)
        shown += self._lines[self._top : self._top + room]
        left = len(self._lines) - self._top - room
        if left > 0:
            shown += [pieces((f"   {left} more lines, PgDn", "dust"))]
        return shown

    def _choice(self, number: int, words: str) -> Text:
        mark = self.signs.chosen if number == self._chosen else " "
        return pieces(
            (f" {mark} ", "ice"), (f"{number + 1}  {words}", "bold" if number == self._chosen else "")
        )

    async def on_key(self, event: events.Key) -> None:
        """Turn pages or choose."""
        moves = {"down": 1, "up": -1, "pagedown": self.size.height - 2, "pageup": 2 - self.size.height}
        if event.key in moves:
            self._move(moves[event.key])
        elif event.key in ("home", "end"):
            self._move(-len(self._lines) if event.key == "home" else len(self._lines))
        elif self._choices and event.key == "enter":
            self._choices[self._chosen][1]()
        elif self._choices and event.key.isdigit() and 0 < int(event.key) <= len(self._choices):
            self._choices[int(event.key) - 1][1]()
        else:
            return
        event.stop()

    def _move(self, by: int) -> None:
        if self._choices:
            self._chosen = (self._chosen + by) % len(self._choices)
        else:
            last = max(0, len(self._lines) - max(1, self.size.height - 2))
            self._top = min(max(0, self._top + by), last)
        self.freshen()
