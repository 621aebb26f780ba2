"""A deadline on one fixed line: start, now, limit and when it is expected, with the words for its state."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from rich.text import Text

from herdbook.clock import span_words
from herdbook.screens.parts.lines import fit, pieces, two_ends
from herdbook.screens.parts.signs import UNICODE, SignSet
from herdbook.screens.parts.text import Painted

State = Literal["waiting", "running", "no forecast", "slow", "late", "goal missed", "met", "undecided"]


@dataclass(frozen=True)
class Deadline:
    """One deadline as the clock shows it; all moments in the farm's own time.

    Attributes:
        title: what must be reached and by when: `45 °F by 08:14`.
        state: as decided by the report, never by the drawing.
        start: where the line begins, None while waiting for it.
        now: the present moment.
        limit: the deadline itself, None while it is not known.
        expected: when it is expected to be reached, None without a forecast.
        met_at: when it was reached, None until then.
        note: said instead of the clock's own words, such as `read at 06:45`.
        span: the 80 % range of what is expected, `08:12 to 08:55`; empty where none is said.
        late_percent: the chance of missing the limit; None where none is said.
    """

    title: str
    state: State
    now: datetime
    start: datetime | None = None
    limit: datetime | None = None
    expected: datetime | None = None
    met_at: datetime | None = None
    note: str = ""
    span: str = ""
    late_percent: float | None = None


def left_words(deadline: Deadline) -> str:
    """Say how long is left to the limit, or how long ago it was."""
    if deadline.state == "waiting" or deadline.limit is None:
        return ""
    if deadline.state == "met":
        return f"limit was {deadline.limit:%H:%M}"
    to_go = deadline.limit - deadline.now
    words = span_words(to_go.total_seconds())
    return f"{words} left" if to_go >= timedelta() else f"{words} ago"


def badge_of(deadline: Deadline, signs: SignSet = UNICODE) -> Text:
    """Give the one word of the state, with its sign and role."""
    return {
        "waiting": Text("waiting", "dust"),
        "running": Text("ok", "clover"),
        "no forecast": Text("no forecast yet", "dust"),
        "slow": Text(f"{signs.look} too slow", "warn"),
        "late": Text(f"{signs.late} LATE", "alert"),
        "goal missed": Text(f"reached {deadline.met_at:%H:%M}", "hay")
        if deadline.met_at
        else Text(f"{signs.look} not yet", "warn"),
        "met": Text(f"met {deadline.met_at:%H:%M}" if deadline.met_at else "met", "clover"),
        "undecided": Text("not decided by the rule", "dust"),
    }[deadline.state]


def expected_words(deadline: Deadline) -> Text:
    """Say when it is expected and how late that is; the deadline's note instead, when it has one."""
    if deadline.note:
        return Text(deadline.note, "dust")
    if deadline.expected is None or deadline.state == "met":
        return Text()
    if deadline.limit is None or deadline.expected <= deadline.limit:
        return Text(f"expected {deadline.expected:%H:%M}", "dust")
    return Text(f"{deadline.expected:%H:%M}, {_late_words(deadline.expected - deadline.limit)}", "hay")


def range_line(deadline: Deadline) -> Text:
    """Say the range of what is expected and the chance of being late: `08:12 to 08:55, late 12 %`."""
    if deadline.state == "met" or not deadline.span:
        return Text()
    late = deadline.late_percent
    if late is None or deadline.state == "late":
        return Text(deadline.span, "dust")
    said = "under 1" if late < 1 else "over 99" if late > 99 else f"{late:.0f}"
    return pieces((f"{deadline.span}, ", "dust"), (f"late {said} %", "hay" if late > 50 else "dust"))


def _late_words(late_by: timedelta) -> str:
    # Under a minute late is still late: it is rounded up, never to "0 late".
    minutes = max(1, -int(-late_by.total_seconds() // 60))
    return f"{minutes if minutes < 120 else span_words(minutes * 60)} late"


def clock_line(deadline: Deadline, cells: int, signs: SignSet = UNICODE) -> Text:
    """Draw the deadline on a line of `cells` with the limit at 3/4.

    Now and the expected moment stand on their own side of the limit whatever the rounding; a moment
    exactly at the limit is in time.
    """
    cells = max(cells, 5)
    start, limit = deadline.start, deadline.limit
    limit_seat = min(max(round(0.75 * (cells - 1)), 1), cells - 2)
    track = [(signs.rule, "rule")] * cells
    if start is None or limit is None:
        return pieces(*track)
    whole_s = max((limit - start).total_seconds(), 1.0)

    def seat(moment: datetime) -> int:
        at = round((moment - start).total_seconds() / whole_s * limit_seat)
        after = moment > limit
        return min(max(at, limit_seat + 1 if after else 0), cells - 1 if after else limit_seat - 1)

    here = deadline.met_at if deadline.state == "met" and deadline.met_at else deadline.now
    role = "clover" if deadline.state == "met" else "ice"
    here_seat = seat(here) if here >= start else -1
    for at in range(here_seat):
        track[at] = (signs.heavy, role)
    track[limit_seat] = (signs.limit, "chalk")
    expected = None if deadline.state in ("met", "waiting") else deadline.expected
    if expected is not None:
        beyond = (
            seat(expected) == cells - 1 and (expected - start).total_seconds() / whole_s * limit_seat > cells
        )
        sign = signs.off_right if beyond else signs.expected
        track[_beside(seat(expected), here_seat, limit_seat, cells)] = (
            sign,
            "hay" if expected > limit else "ice",
        )
    if here_seat >= 0:
        track[here_seat] = (signs.now, role)
    return pieces(*track)


def _beside(seat: int, taken: int, limit_seat: int, cells: int) -> int:
    """Move the expected sign off the seat of now when there is room on its side of the limit."""
    if seat != taken:
        return seat
    return seat + 1 if seat + 1 not in (limit_seat, cells) else seat


def clock_lines(deadline: Deadline, width: int, signs: SignSet = UNICODE) -> list[Text]:
    """Draw the deadline in three lines: title and state, the line, what is left and expected."""
    return [
        two_ends(Text(deadline.title, "bold"), badge_of(deadline, signs), width, signs),
        fit(clock_line(deadline, width, signs), width, signs),
        two_ends(Text(left_words(deadline), "bold"), expected_words(deadline), width, signs),
    ]


def clock_in_one_line(deadline: Deadline, width: int, signs: SignSet = UNICODE) -> Text:
    """Draw the deadline in one line: title, line, what is left, state and expected."""
    words = pieces(
        "  ", (left_words(deadline), "bold"), "  ", badge_of(deadline, signs), "  ", expected_words(deadline)
    )
    words.rstrip()
    room = width - len(deadline.title) - 2 - len(words.plain)
    track = pieces("  ", clock_line(deadline, room, signs)) if room >= 9 else Text()
    return fit(pieces((deadline.title, "bold"), track, words), width, signs)


class DeadlineClock(Painted):
    """The deadline in three lines; nothing to focus, nothing that moves by itself."""

    DEFAULT_CSS = "DeadlineClock { height: 3; }"

    def __init__(
        self, deadline: Deadline | None = None, *, id: str | None = None, classes: str | None = None
    ) -> None:
        super().__init__(id=id, classes=classes)
        self._deadline = deadline

    def show(self, deadline: Deadline | None) -> None:
        """Show another state of the deadline, or nothing."""
        self._deadline = deadline
        self.freshen()

    def lines_wanted(self, width: int) -> int:
        return 3

    def paint(self, width: int, height: int) -> Sequence[Text]:
        return clock_lines(self._deadline, width, self.signs) if self._deadline else []
