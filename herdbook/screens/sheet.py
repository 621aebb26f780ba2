"""A list that covers a place's body for a moment: all keys, the places, or why a figure is what it is."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from rich.cells import cell_len
from rich.text import Text
from textual import events

from herdbook.screens.parts.lines import heading, pieces
from herdbook.screens.parts.rows_table import more_words, window_of
from herdbook.screens.parts.text import Painted

_ARTICLE = re.compile(r"^(?:an?|the|one) ")
Choice = tuple[str, Callable[[], None]]


def wrapped(line: Text, width: int) -> list[Text]:
    """Break a line at blanks; what goes on stands under the text, not under the word before a wide gap."""
    hang = re.match(r" *(?:\S+(?: \S+)* {2,})?", line.plain)
    indent = min(hang.end() if hang else 0, width // 2)
    parts: list[Text] = []
    while cell_len(line.plain) > width:
        cut = line.plain.rfind(" ", indent + 1, width + 1)
        at = cut if cut > 0 else width
        head, tail = line.divide([at])
        parts.append(head)
        tail = tail[1:] if cut > 0 else tail
        line = pieces(" " * indent, tail)
    return [*parts, line]


class Wrapped(Painted):
    """Lines that are wrapped, never cut; where there is no room for all, the last line says how to see them.

    Args:
        more: which key shows all of them, such as `A shows all`.
    """

    def __init__(self, more: str, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._more = more
        self._lines: list[Text] = []

    def show(self, lines: Sequence[Text]) -> None:
        """Show other lines."""
        before, self._lines = self._lines, list(lines)
        if len(before) != len(self._lines):
            self.refresh(layout=True)
        else:
            self.freshen()

    def _whole(self, width: int) -> list[list[Text]]:
        return [wrapped(line, max(width - 1, 10)) for line in self._lines]

    def lines_wanted(self, width: int) -> int:
        return sum(map(len, self._whole(width)))

    def paint(self, width: int, height: int) -> list[Text]:
        """Write whole entries as long as there is room; the first under a heading is rather begun than left out."""
        whole = self._whole(width)
        if sum(map(len, whole)) <= height:
            return [part for parts in whole for part in parts]
        shown: list[Text] = []
        for at, parts in enumerate(whole):
            left = len(whole) - at
            room = height - 1 - len(shown)
            if len(parts) > room:
                if len(shown) <= 1 and room > 0:  # a heading over nothing tells nobody anything
                    cut = parts[room - 1].copy()
                    cut.truncate(max(width - 6, 1))
                    shown += [*parts[: room - 1], pieces(cut, f" {self.signs.more}")]
                break
            shown += parts
        return [*shown, pieces((f"   {left} more, {self._more}" if at else f"   {self._more}", "dust"))]


class Sheet(Painted):
    """Lines to read, page by page; with choices, one of them is taken with Enter or its digit."""

    DEFAULT_CSS = "Sheet { height: 1fr; background: $ground; color: $chalk; display: none; }"

    def __init__(self) -> None:
        super().__init__(id="sheet")
        self.can_focus = False
        self._heading: tuple[str, str] = ("", "")
        self._lines: list[Text] = []
        self._wrapped: list[Text] = []
        self._wrapped_at = 0
        self._choices: list[Choice] = []
        self._top = 0
        self._chosen = 0
        self._typed = ""
        self._turns: Mapping[str, Callable[[], None]] = {}

    @property
    def is_open(self) -> bool:
        """Whether the sheet covers the body."""
        return bool(self.display) and self.can_focus

    def open(
        self,
        title: str,
        aside: str,
        lines: Sequence[Text | str],
        choices: Sequence[Choice] = (),
        turns: Mapping[str, Callable[[], None]] | None = None,
    ) -> None:
        """Cover the body with these lines, or with lines to choose from.

        Args:
            title, aside: both ends of the heading.
            lines: what is read.
            choices: what is chosen from.
            turns: what other keys do here, by key.
        """
        self._turns = turns or {}
        self._heading = (title, aside)
        self._lines = [line if isinstance(line, Text) else Text(line) for line in lines]
        self._choices = list(choices)
        self._top = self._chosen = self._wrapped_at = 0
        self._typed = ""
        self.can_focus = True
        self.display = True
        self.refresh()
        self.screen.set_focus(self, scroll_visible=False)  # at once: the next key may be on its way

    def close(self) -> None:
        """Uncover the body."""
        self.display = False
        self.can_focus = False

    def paint(self, width: int, height: int) -> list[Text]:
        """Write the heading, the lines in view and how many more there are."""
        shown = [heading(*self._heading, width, self.signs)]
        if self._choices and not self._lines:
            return shown + self._choices_in_view(height - 1)
        self._wrap(width)
        if self._choices:  # both: what is chosen from above, what is read below it as far as there is room
            above = self._choices_in_view(min(len(self._choices) + 1, max(2, (height - 1) // 3)))
            return (shown + above + self._wrapped)[:height]
        room = max(1, height - 2)
        shown += self._wrapped[self._top : self._top + room]
        left = len(self._wrapped) - self._top - room
        if left > 0:
            shown += [pieces((f"   {left} more lines, PgDn", "dust"))]
        return shown

    def _wrap(self, width: int) -> None:
        if width != self._wrapped_at:
            self._wrapped = [part for line in self._lines for part in wrapped(line, width - 1)]
            self._wrapped_at = width

    def _choices_in_view(self, height: int) -> list[Text]:
        window = window_of(len(self._choices), self._chosen, self._top, max(1, height))
        self._top = window.first
        shown = [self._choice(at, self._choices[at][0]) for at in range(window.first, window.last)]
        if window.words:
            shown.append(pieces("   ", more_words(len(self._choices), window, "lines", self.signs)))
        return shown

    def _choice(self, number: int, words: str) -> Text:
        mark = self.signs.chosen if number == self._chosen else " "
        digit = f"{number + 1}" if number < 9 else " "
        return pieces((f" {mark} ", "ice"), (f"{digit}  {words}", "bold" if number == self._chosen else ""))

    async def on_key(self, event: events.Key) -> None:
        """Turn pages or choose."""
        moves = {"down": 1, "up": -1, "pagedown": self.size.height - 2, "pageup": 2 - self.size.height}
        if event.key in moves:
            self._typed = ""
            self._move(moves[event.key])
        elif event.key in ("home", "end"):
            self._move(-len(self._wrapped) if event.key == "home" else len(self._wrapped))
        elif event.key in self._turns:
            self._turns[event.key]()
        elif self._choices and event.character is not None and event.character.isalpha():
            self._jump(event.character)
        elif self._choices and event.key == "enter":
            self._choices[self._chosen][1]()
        elif self._choices and event.key.isdecimal() and 0 < int(event.key) <= len(self._choices):
            self._choices[int(event.key) - 1][1]()
        else:
            return
        event.stop()

    def _jump(self, letter: str) -> None:
        """Go to the choice that begins with the letters typed so far; the same letter again goes to the next."""
        longer = self._typed + letter.lower()
        at = self._begins(longer, self._chosen) if self._typed else None
        if at is None:
            longer, at = letter.lower(), self._begins(letter.lower(), self._chosen + 1)
        if at is not None:
            self._typed = longer
            self._move(at - self._chosen)

    def _begins(self, letters: str, start: int) -> int | None:
        """The first choice from `start` on and round that begins so, its article aside; else with a word inside."""
        count = len(self._choices)
        order = [(start + step) % count for step in range(count)]
        words = {at: _ARTICLE.sub("", self._choices[at][0].lower()) for at in order}
        first = next((at for at in order if words[at].startswith(letters)), None)
        if first is not None:
            return first
        return next((at for at in order if f" {letters}" in words[at]), None)

    def _move(self, by: int) -> None:
        if self._choices:
            count = len(self._choices)
            self._chosen = (
                (self._chosen + by) % count if abs(by) == 1 else min(max(self._chosen + by, 0), count - 1)
            )
        else:
            last = max(0, len(self._wrapped) - max(1, self.size.height - 2))
            self._top = min(max(0, self._top + by), last)
        self.freshen()
