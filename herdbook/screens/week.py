"""The week: totals by farm day, pens, and what is worth a look; the owner's first place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from rich.text import Text
from textual.app import ComposeResult

from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.reports.figures import Column as FigureColumn
from herdbook.reports.figures import Figure, Report
from herdbook.screens import keys
from herdbook.screens.book_place import WRITE, BookPlace
from herdbook.screens.parts.lines import heading, pieces
from herdbook.screens.parts.rows_table import Column, Row, RowsTable
from herdbook.screens.parts.spark import spark
from herdbook.screens.parts.text import Block
from herdbook.screens.sheet import Wrapped

LINES = (
    ("dm_eaten_kg", "DM eaten"),
    ("refused_percent", "Refused %"),
    ("milk_kg", "Milk a cow"),
    ("shipped_kg", "Shipped"),
    ("feed_cost_cents", "Feed a cow"),
    ("warmest_degC", "Warmest"),
    ("exceptions", "To look at"),
    ("head", "Cows milked"),
)
NAMES = dict(LINES)
WEEKS_OF_TREND = 8
PEN_COLUMNS = (
    Column("Pen", 12, grows=True),
    Column("Cows", 6, align="right"),
    Column("DM eaten", 9, align="right"),
    Column("Refused", 8, align="right"),
    Column("Feed", 7, align="right", from_width=60),
    Column("Days", 5, align="right"),
)


@dataclass(frozen=True, slots=True)
class WeekData:
    """The week in view and the week figures of the weeks before it, oldest first."""

    report: Report
    first: date
    before: Sequence[Report]


class Week(BookPlace):
    """Totals, trends, exceptions."""

    ID = "week"
    KEYS = (
        WRITE,
        keys.Key("week.before", "left", "week_before", "week before", "Shows the week before.", "←"),
        keys.Key("week.after", "right", "week_after", "week after", "Shows the week after.", "→"),
        keys.Key(
            "week.days",
            "enter",
            "days",
            "days",
            "Shows the chosen line day by day, with what is missing.",
            "Enter",
        ),
        keys.Key("week.look", "l", "look", "look", "Shows everything that is worth a look, whole."),
        keys.Key("week.pens", "p", "pens", "pens", "Shows the pens of the week."),
    )
    DEFAULT_CSS = """
    Week #lines { height: 9; }
    Week #looks { height: 1fr; }
    Week #pens { height: auto; max-height: 7; }
    Week.-narrow #pens-title, Week.-narrow #pens { display: none; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.lines = RowsTable(
            _columns(range(7)),
            noun="lines",
            gap=1,
            id="lines",
            empty="Nothing is written this week yet.",
        )
        self.looks_title = Block(id="looks-title")
        self.looks = Wrapped("L shows all", id="looks")
        self.pens_title = Block(id="pens-title")
        self.pens = RowsTable(PEN_COLUMNS, noun="pens", follows=True, marked=False, id="pens")
        self._data: WeekData | None = None
        self._of: date | None = None

    def compose_body(self) -> ComposeResult:
        yield self.lines
        yield self.looks_title
        yield self.looks
        yield self.pens_title
        yield self.pens

    def keys_line(self) -> Sequence[tuple[str, str]]:
        return [("←→", "week"), ("Enter", "days"), ("L", "look"), ("P", "pens"), ("=", "why")]

    # -- reading and showing --

    def read(self, connection: Any, ground: Ground) -> WeekData:
        from herdbook.reports import week

        today = ground.clock.farm_day(ground.now_s)
        of = min(self._of or today, today)
        report = week.make(connection, ground, of=of)
        first = of - timedelta(days=of.weekday())
        before = [
            week.make(connection, ground, of=first - timedelta(days=7 * back))
            for back in range(WEEKS_OF_TREND - 1, 0, -1)
        ]
        return WeekData(report, first, before)

    def shown(self, found: WeekData) -> None:
        assert self.ground is not None
        self._data = found
        report, narrow = found.report, self.has_class("-narrow")
        last = found.first + timedelta(days=6)
        number = found.first.isocalendar().week
        gaps = len(report.table("days").lines) - int(report.facts["complete_days"].number or 0)
        aside = f"{gaps} day{'s' if gaps != 1 else ''} not complete" if gaps else "complete"
        self.title_line.show(
            f"Week {number}  {found.first.day} {found.first:%b} to {last.day} {last:%b %Y}", aside
        )
        self.lines.show_columns(_columns(self._days(narrow)))
        self.lines.show([self._row(key, label, narrow) for key, label in LINES])
        width = self.size.width
        count = len(report.table("exceptions").lines)
        self.looks_title.show(
            [heading("WORTH A LOOK", f"{count} this week" if count else "", width, self.home.signs)]
        )
        self.looks.show(self._look_lines(report))
        self.pens_title.show([heading("PENS", "mean of complete days, a head", width, self.home.signs)])
        self.pens.show(self._pen_rows(report))

    def _row(self, key: str, label: str, narrow: bool) -> Row:
        assert self._data is not None
        report, first = self._data.report, self._data.first
        column = next(c for c in report.table("days").columns if c.key == key)
        by_day = {line.name: line[key] for line in report.table("days").lines}
        days = [by_day.get((first + timedelta(days=at)).isoformat()) for at in self._days(narrow)]
        cells = [label, *(self._cell(figure, column) for figure in days), self._week_cell(key, column)]
        cells.append(self._trend(key))
        return Row(key, cells)

    def _days(self, narrow: bool) -> Sequence[int]:
        """Which days of the week have room: all, or the last three that have begun."""
        if not narrow or self.ground is None or self._data is None:
            return range(7)
        begun = (self.ground.clock.farm_day(self.ground.now_s) - self._data.first).days
        last = min(max(begun, 2), 6)
        return range(last - 2, last + 1)

    def _cell(self, figure: Figure | None, column: FigureColumn) -> Text | str:
        if figure is None or figure.value is None:
            return Text("–", "dust")
        words = self._short(figure, column)
        return Text(f"{self.home.signs.look}{words}", "warn") if figure.flag == "!" else words

    def _short(self, figure: Figure, column: FigureColumn) -> str:
        from herdbook.reports.showing import in_farm_units, shown

        assert self.ground is not None
        if column.key == "shipped_kg" and figure.number is not None:
            weight = in_farm_units(figure.number, "kg", self.ground.units)
            return f"{self.ground.units.number(weight / 1000, 1)}k"
        if column.key == "head":
            return self.ground.units.number(figure.number, 0)
        return shown(figure, column, self.ground)

    def _week_cell(self, key: str, column: FigureColumn) -> Text | str:
        from herdbook.reports.showing import shown

        assert self._data is not None
        assert self.ground is not None
        figure = self._data.report.facts.get(key)
        if figure is None or figure.value is None:
            return Text("–", "dust")
        words = shown(figure, column, self.ground)
        return pieces((words, "bold"), ("?" if figure.missing else "", "hay"))

    def _trend(self, key: str) -> Text:
        assert self._data is not None
        values = [report.facts[key].number if key in report.facts else None for report in self._data.before]
        values.append(self._data.report.facts[key].number if key in self._data.report.facts else None)
        return spark(values, cells=WEEKS_OF_TREND, signs=self.home.signs)

    def _look_lines(self, report: Report) -> list[Text]:
        lines = []
        for line in report.table("exceptions").lines:
            day = date.fromisoformat(str(line["day"].value))
            about = str(line["about"].value)
            lines.append(
                pieces(
                    "   ",
                    (self.home.signs.look, "warn"),
                    f" {day:%a} {day.day:<2}  ",
                    (f"{plain(about)} ", "bold"),
                    plain(str(line["says"].value)),
                )
            )
        if lines:
            return lines
        told = any(line[key].value for line in report.table("days").lines for key, _ in LINES)
        calm = "Nothing stood out." if told else "Nothing is written this week yet: F3 feeds, F4 milks."
        return [Text(f"   {calm}", "dust")]

    def _pen_rows(self, report: Report) -> list[Row]:
        from herdbook.reports.showing import shown

        assert self.ground is not None
        table = report.table("pens")
        return [
            Row(
                line.name,
                [
                    shown(line[c.key], c, self.ground)
                    + (" %" if c.unit == "%" and line[c.key].value is not None else "")
                    for c in table.columns
                ],
            )
            for line in table.lines
        ]

    # -- keys --

    def action_week_before(self) -> None:
        """Show the week before."""
        self._go(-7)

    def action_week_after(self) -> None:
        """Show the week after."""
        self._go(7)

    def _go(self, days: int) -> None:
        if self._data is None or self.ground is None:
            return
        today = self.ground.clock.farm_day(self.ground.now_s)
        to = self._data.first + timedelta(days=days)
        if to > today:
            self.say("That week has not begun.")
            return
        self._of = min(to + timedelta(days=6), today)
        self.reload()

    def on_rows_table_opened(self) -> None:
        """Enter shows the days behind the chosen line."""
        self.action_days()

    def action_days(self) -> None:
        """Show the chosen line day by day, whole, with what is missing."""
        from herdbook.reports.showing import shown

        if self._data is None or self.ground is None or self.lines.chosen is None:
            return
        key = self.lines.chosen
        table = self._data.report.table("days")
        column = next(c for c in table.columns if c.key == key)
        lines: list[Text | str] = []
        for line in table.lines:
            day = date.fromisoformat(line.name)
            value = shown(line[key], column, self.ground, with_unit=True)
            missing = f"   {', '.join(line[key].missing)}" if line[key].missing else ""
            lines.append(
                pieces(f"   {day:%a} {day.day:>2} {day:%b}  ", (f"{value:>12}", "bold"), (missing, "dust"))
            )
        self.open_sheet(NAMES[key].upper(), "by farm day, Esc closes", lines)

    def action_look(self) -> None:
        """Show everything that is worth a look, whole."""
        if self._data is not None:
            self.open_sheet("WORTH A LOOK", "Esc closes", self._look_lines(self._data.report))

    def action_pens(self) -> None:
        """Show the pens, where the window is too small for them beside the week."""
        if self._data is None or self.ground is None:
            return
        from herdbook.reports.showing import shown

        lines: list[Text | str] = []
        for line in self._data.report.table("pens").lines:
            lines.append(pieces((f"   {plain(line.name)}", "bold")))
            for column in self._data.report.table("pens").columns[1:]:
                value = shown(line[column.key], column, self.ground, with_unit=True)
                lines.append(f"      {column.label:<14} {value}")
        self.open_sheet(
            "PENS", "mean of complete days, a head, Esc closes", lines or ["There is no pen yet."]
        )

    def list_to_find_in(self) -> RowsTable:
        """The lines of the week."""
        return self.lines

    def why(self) -> Sequence[Text | str]:
        """The chosen line's figure for the week, else its last day."""
        if self._data is None or self.lines.chosen is None:
            return ()
        report, key = self._data.report, self.lines.chosen
        if key in report.facts:
            return self.explain(f"{NAMES[key]}, the week", report.facts[key], report.columns.get(key))
        days = [line for line in report.table("days").lines if line[key].value is not None]
        return self.explain(f"{NAMES[key]}, {days[-1].name}", days[-1][key]) if days else ()


def _columns(days: Sequence[int]) -> list[Column]:
    names = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
    few = len(days) < 7
    return [
        Column("", 11, grows=True),
        *(Column(names[day], 7 if few else 5, align="right") for day in days),
        Column("Week", 7, align="right"),
        Column("8 weeks", 8, from_width=56),
    ]
