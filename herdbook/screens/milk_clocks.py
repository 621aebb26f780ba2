"""The deadlines of a tank beside its curve."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from herdbook.screens.deadlines import deadline_of
from herdbook.screens.parts.deadline_clock import badge_of, clock_lines, left_words, range_line
from herdbook.screens.parts.lines import two_ends
from herdbook.screens.sheet import wrapped
from herdbook.screens.tank_part import TankPart


class Clocks(TankPart):
    """The deadlines of the tank: the one that matters in three lines, the others in two each."""

    DEFAULT_CSS = "Clocks { width: 37; height: 1fr; }"

    def __init__(self) -> None:
        super().__init__("clocks")

    def lines_wanted(self, width: int) -> int:
        return 10

    def paint(self, width: int, height: int) -> Sequence[Text]:
        state, ground = self.state, self.ground
        if state is None or ground is None:
            return []
        inner = max(10, width - 2)
        first = state.in_view
        if first is None:
            return [Text("Nothing runs.", "dust")]
        shown = deadline_of(first, state, ground)
        lines = clock_lines(shown, inner, self.signs)
        if shown.note:  # a reason is worth its own lines
            lines[2:] = [Text(left_words(shown), "bold"), *wrapped(Text(shown.note, "dust"), inner)]
        if span := range_line(shown):
            lines.append(span)
        lines.append(Text())
        for verdict in reversed(state.verdicts):
            if verdict is not first:
                shown = deadline_of(verdict, state, ground)
                lines.append(two_ends(shown.title, badge_of(shown, self.signs), inner, self.signs))
        return lines
