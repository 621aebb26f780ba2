"""Today: the tank's clock, what is due, what is wrong, and yesterday in five figures."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rich.text import Text
from textual.app import ComposeResult

from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.reports.figures import Report
from herdbook.screens import keys
from herdbook.screens.book_place import WRITE, BookPlace
from herdbook.screens.deadlines import deadline_of
from herdbook.screens.feeding_walk import with_cows
from herdbook.screens.parts.deadline_clock import badge_of, clock_line, expected_words, range_line
from herdbook.screens.parts.digits import big
from herdbook.screens.parts.lines import heading, padded, pieces, two_ends
from herdbook.screens.parts.rows_table import Column, Row, RowsTable
from herdbook.screens.parts.text import Block
from herdbook.screens.sheet import Wrapped
from herdbook.screens.tank_part import TankPart

if TYPE_CHECKING:
    from herdbook.reports.cooling import TankState
    from herdbook.reports.due import Due
    from herdbook.reports.today import TodayData
    from herdbook.screens.desk import Look
    from herdbook.screens.place import Place

DUE_COLUMNS = (
    Column("", 6, role="dust"),
    Column("", 26, grows=True),
    Column("", 24, role="dust", grows=True, from_width=66),
    Column("", 7, role="dust"),
)

LOOK_AT = "Look at cow "
"""How the line of a cow of the walk begins."""


class TankFace(TankPart):
    """The tank in large figures: temperature, minutes left, and the deadline on its line."""

    DEFAULT_CSS = "TankFace { height: 6; }"

    def __init__(self) -> None:
        super().__init__("face")

    def lines_wanted(self, width: int) -> int:
        return 6

    def paint(self, width: int, height: int) -> Sequence[Text]:
        state, ground = self.state, self.ground
        if ground is None:
            return []
        if state is None:
            return [Text(), pieces("   ", ("There is no tank yet. W writes one.", "dust"))]
        temperature = self._temperature(state, ground)
        minutes = self._minutes(state, ground)
        clock = self._clock(state, ground, max(20, width - 46))
        rows = zip(temperature, minutes, clock, strict=True)
        return [Text(), *(pieces("   ", padded(a, 21), padded(b, 22), c) for a, b, c in rows)]

    def _temperature(self, state: TankState, ground: Ground) -> list[Text]:
        last = state.readings[-1] if state.milkings and state.readings else None
        figure = "--" if last is None else ground.units.temperature(last["tank_mC"], with_unit=False)
        word = (
            "tank empty" if not state.milkings else "no reading yet" if last is None else ground.units.warmth
        )
        word += f", {state.trend}" if state.trend else ""
        return [*big(figure, self.signs, role="ice"), Text(word, "dust")]

    def _minutes(self, state: TankState, ground: Ground) -> list[Text]:
        verdict = state.in_view
        running = verdict is not None and verdict.state in ("open", "missed") and verdict.reached_s is None
        if verdict is None or verdict.deadline_s is None or not running:
            return [Text()] * 4
        left = verdict.deadline_s - ground.now_s
        if left < 0:
            late = f"{-left // 60}" if left > -6000 else f"{-left // 3600}:{-left % 3600 // 60:02}"
            word = f"{'min' if left > -6000 else 'hours'} late, {verdict.clause.limit}"
            return [*big(late, self.signs, role="hay"), Text(word, "hay")]
        figure = str(left // 60) if left < 6000 else f"{left // 3600}:{left % 3600 // 60:02}"
        word = f"min left to {verdict.clause.limit}" if left < 6000 else f"hours to {verdict.clause.limit}"
        return [*big(figure, self.signs, role="chalk"), Text(word, "dust")]

    def _clock(self, state: TankState, ground: Ground, cells: int) -> list[Text]:
        verdict = state.in_view
        if verdict is None:
            held = ground.units.mass(state.held_g) if state.held_g is not None else "–"
            return [Text(f"{state.tank.name}, {held}", "bold"), Text(), Text(), Text("Nothing runs.", "dust")]
        shown = deadline_of(verdict, state, ground)
        words = expected_words(shown)
        start = f"{shown.start:%H:%M}" if shown.start else ""
        limit = f"limit {shown.limit:%H:%M}" if shown.limit else f"limit {verdict.clause.limit}"
        title = pieces(badge_of(shown, self.signs), f"  {shown.title}")
        return [
            title,
            clock_line(shown, cells, self.signs),
            range_line(shown) or two_ends(Text(start, "dust"), Text(limit, "dust"), cells),
            words,
        ]


class Today(BookPlace):
    """What is due and what is wrong; a shared terminal rests here."""

    ID = "today"
    CLOCKED = True
    KEYS = (
        WRITE,
        keys.Key(
            "today.open", "enter", "open_due", "open", "Opens the chosen line where it is done.", "Enter"
        ),
        keys.Key("today.closed", "k", "close_cow", "close cow", "Closes the chosen cow of the walk."),
        keys.Key("today.alerts", "a", "alerts", "alerts", "Shows every alert in full."),
    )
    DEFAULT_CSS = """
    Today #due { height: auto; max-height: 9; }
    Today #alerts { height: 1fr; }
    Today #yesterday { dock: bottom; height: 1; }
    Today.-narrow #face, Today.-short #face { display: none; }
    Today.-short #due { max-height: 7; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.face = TankFace()
        self.due_title = Block(id="due-title")
        self.due = RowsTable(
            DUE_COLUMNS, noun="things due", header=False, signed=True, id="due", empty="Nothing is due."
        )
        self.alerts_title = Block(id="alerts-title")
        self.alerts = Wrapped("A shows all", id="alerts")
        self.yesterday = Block(id="yesterday")
        self._report: Report | None = None
        self._first_steps: Sequence[Step] = ()

    def compose_body(self) -> ComposeResult:
        yield self.face
        yield self.due_title
        yield self.due
        yield self.alerts_title
        yield self.alerts
        yield self.yesterday

    def keys_line(self) -> Sequence[tuple[str, str]]:
        return [
            ("Enter", "open"),
            ("↑↓", "choose"),
            ("T", "tank"),
            ("N", "note"),
            ("W", "write"),
            ("A", "alerts"),
        ]

    def load(self, data: Look) -> tuple[Ground, Any]:
        """Read at one moment of the book; open cows of the walk can be named."""
        with data.at_once() as (connection, plain_ground):
            ground = with_cows(connection, plain_ground)
            return ground, self.read(connection, ground)

    def read(self, connection: Any, ground: Ground) -> tuple[Report, Sequence[Step]]:
        from herdbook.reports import today

        return today.make(connection, ground), first_steps(connection, ground)

    def shown(self, found: tuple[Report, Sequence[Step]]) -> None:
        assert self.ground is not None
        (report, self._first_steps), ground = found, self.ground
        self._report, data = report, self._data(report)
        local = ground.clock.local(ground.now_s)
        invented = " (made up)" if data.farm.invented else ""
        self.title_line.show(
            f"{local:%A} {local.day} {local:%B}", f"{data.farm.name}{invented}, {self.desk.name}"
        )
        self.face.show(_most_pressing(data.tanks), ground)
        width = self.size.width
        self.due_title.show([heading("NEXT", "", width, self.home.signs)])
        self.due.show(
            [self._due_row(str(index), one) for index, one in enumerate(data.due)]
            + [Row(f"step {step.chore}", ("", step.what, step.details, "here")) for step in self._first_steps]
        )
        gap = [] if self.has_class("-short") else [Text()]
        self.alerts_title.show([*gap, heading("ALERTS", "", width, self.home.signs)])
        self.alerts.show(self._alert_lines(data) or [Text("   Nothing is wrong.", "dust")])
        self.yesterday.show([self._yesterday(report)])

    def _data(self, found: Report) -> TodayData:
        data: TodayData = found.data
        return data

    def _due_row(self, key: str, one: Due) -> Row:
        assert self.ground is not None
        at = "" if one.at_s is None else self.ground.clock.shown_time(one.at_s)
        sign: Text | str = Text(self.home.signs.look, "warn") if one.late else ""
        return Row(key, (at, one.what, one.details, one.place), sign)

    def _alert_lines(self, data: TodayData) -> list[Text]:
        look = self.home.signs.look
        return [
            pieces("   ", (look, "warn"), " ", (f"{plain(one.about):<7}  ", "bold"), plain(one.says))
            for one in data.alerts
        ]

    def _yesterday(self, found: Report) -> Text:
        from herdbook.reports.showing import shown

        assert self.ground is not None
        line = pieces((" Yesterday", "dust"))
        for key, word in (
            ("milk_yesterday_kg", "milk"),
            ("dm_eaten_kg", "eaten"),
            ("refused_percent", "refused"),
            ("feed_cost_cents", "feed"),
        ):
            value = shown(found.facts[key], found.columns[key], self.ground, with_unit=True)
            line.append_text(pieces((f"  {word} ", "dust"), (value, "bold")))
        return line

    def action_open_due(self) -> None:
        """Open the chosen line where it is done."""
        if self._report is None or self.due.chosen is None:
            return
        if self.due.chosen.startswith("step "):
            self.open_chore(self.due.chosen.removeprefix("step "))
            return
        one = self._data(self._report).due[int(self.due.chosen)]
        place_id = {"Milk": "milk", "Feeding": "feeding"}.get(one.place, "today")
        self.home.go(place_id, _taker(one))

    def action_close_cow(self) -> None:
        """Close the chosen cow of the walk: how it ended."""
        chosen = self.due.chosen or ""
        one = self._data(self._report).due[int(chosen)] if self._report and chosen.isdecimal() else None
        if one is None or not one.what.startswith(LOOK_AT):
            self.say("Choose a cow of the walk first; then K closes her line.")
            return
        cow, what = one.what.removeprefix(LOOK_AT), one.details.partition(",")[0]
        self.open_chore("walk-close", texts={"walk": f"{cow} {what}"})

    def on_rows_table_opened(self) -> None:
        """Enter on a line opens it."""
        self.action_open_due()

    def action_alerts(self) -> None:
        """Show every alert whole, over the body."""
        if self._report is None:
            return
        lines: list[Text | str] = []
        for one in self._data(self._report).alerts:
            lines += [pieces((f" {plain(one.about)}", "bold")), f"   {plain(one.says)}", ""]
        self.open_sheet("ALERTS", "Esc closes", lines or ["Nothing is wrong."])

    def list_to_find_in(self) -> RowsTable:
        """What is due."""
        return self.due

    def why(self) -> Sequence[Text | str]:
        """Yesterday's figures and the tank's state, each with what it rests on."""
        if self._report is None:
            return ()
        lines: list[Text | str] = []
        for key in ("milk_yesterday_kg", "dm_eaten_kg", "refused_percent", "feed_cost_cents"):
            column = self._report.columns[key]
            lines += [*self.explain(column.label, self._report.facts[key], column), ""]
        for line in self._report.table("tanks").lines:
            lines += [*self.explain(f"{line.name}, cooling", line["state"]), ""]
        return lines


@dataclass(frozen=True, slots=True)
class Step:
    """Something a new farm writes first."""

    chore: str
    what: str
    details: str


STEPS = (
    Step("pen", "Write a pen", "name, how many cows"),
    Step("feed", "Write a feed", "each one you mix"),
    Step("analysis", "Write a feed's analysis", "the lab's sheet"),
    Step("ration", "Write a ration", "what a cow gets a day"),
    Step("pen-ration", "Give a pen its ration", "and from which day"),
    Step("mixer", "Write the mixer", "size, scale's step"),
    Step("tank", "Write the tank", "size, stick chart"),
)


def first_steps(connection: Any, ground: Ground) -> Sequence[Step]:
    """What a book needs before a day can be written in it, as long as it is not there."""
    from herdbook.book.reading import feeds as read_feeds
    from herdbook.book.reading import rations as read_rations

    day = ground.clock.farm_day(ground.now_s).isoformat()
    names = ground.names
    there = {thing for thing in ("pen", "feed", "ration", "mixer", "tank") if names.get(thing)}
    if any(
        read_feeds.dry_matter_at(connection, feed, ground.now_s, day)
        for feed in names.get("feed", {}).values()
    ):
        there.add("analysis")
    if any(read_rations.pen_ration_on(connection, pen, day) for pen in names.get("pen", {}).values()):
        there.add("pen-ration")
    return [step for step in STEPS if step.chore not in there]


def _most_pressing(tanks: Sequence[TankState]) -> TankState | None:
    return max(
        tanks,
        key=lambda state: (state.worst is not None and state.worst.warns, len(state.verdicts)),
        default=None,
    )


def _taker(one: Due) -> Callable[[Place], None]:
    def arrive(place: Place) -> None:
        take = getattr(place, "take_due", None)
        if take is not None:
            take(one)

    return arrive
