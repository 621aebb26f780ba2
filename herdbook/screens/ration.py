"""The ration desk: a ration's feeds a head, and every figure against its low, aim and high."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from herdbook.chores.ground import Ground
from herdbook.errors import HerdbookError
from herdbook.reports.figures import Figure, Line, Report
from herdbook.screens import keys
from herdbook.screens.book_place import WRITE, BookPlace
from herdbook.screens.parts.bullet_bar import Bullet, bullet, verdict_of
from herdbook.screens.parts.lines import heading, pieces
from herdbook.screens.parts.rows_table import Column, Row, RowsTable
from herdbook.screens.parts.text import Block

if TYPE_CHECKING:
    from herdbook.reports.ration import RationSheet

FEED_COLUMNS = (
    Column("Feed", 11, grows=True),
    Column("As fed", 6, align="right"),
    Column("DM %", 5, align="right", from_width=31, role="dust"),
    Column("DM", 5, align="right"),
    Column("Cost", 5, align="right", from_width=40, role="dust"),
)
FIGURE_COLUMNS = (
    Column("", 10, grows=True),
    Column("", 6, align="right"),
    Column("", 11),
    Column("", 5),
)
BAR_CELLS = 11
WIDE_FIGURES = (Column("", 12, grows=True), Column("", 7, align="right"), Column("", 20), Column("", 9))
WIDE_BAR_CELLS = 20
NARROW_FIGURES = (Column("", 8, grows=True), Column("", 5, align="right"), Column("", 8), Column("", 1))
NARROW_BAR_CELLS = 8


@dataclass(frozen=True, slots=True)
class RationData:
    """Every ration's report as of now, those that have one; and the names of those that do not."""

    reports: Sequence[Report]
    without: Sequence[str]
    used_by: dict[str, list[str]]


class Ration(BookPlace):
    """The nutritionist's place."""

    ID = "ration"
    KEYS = (
        WRITE,
        keys.Key("ration.next", "left,right", "next_ration", "ration", "Shows the next ration.", "←→"),
        keys.Key(
            "ration.version", "e", "edit", "new version", "Drafts the next version from the one in use."
        ),
        keys.Key(
            "ration.targets", "g", "targets", "targets", "Sets the targets: low, aim and high of each figure."
        ),
        keys.Key("ration.analysis", "a", "analysis", "analysis", "Writes an analysis of a feed."),
        keys.Key("ration.feed", "f", "feed", "feed", "Writes a new feed."),
        keys.Key("ration.pen", "p", "pen_ration", "pen's ration", "Says which pen gets which ration."),
        keys.Key("ration.dry", "d", "dry_matter", "dry matter", "Writes a dry-matter test."),
    )
    DEFAULT_CSS = """
    Ration #desk { height: 1fr; }
    Ration #left { width: 38; }
    Ration #feeds { height: auto; max-height: 13; }
    Ration #sums { height: auto; }
    Ration #figures { width: 1fr; height: 1fr; }
    Ration #said { height: auto; max-height: 5; dock: bottom; }
    Ration.-wide #left { width: 50; }
    Ration.-narrow #left { width: 28; }
    Ration.-short #said { max-height: 3; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.feeds = RowsTable(
            FEED_COLUMNS, noun="feeds", follows=True, id="feeds", empty="No ration yet. E writes one."
        )
        self.sums = Block(id="sums")
        self.figures = RowsTable(
            FIGURE_COLUMNS, noun="figures", header=False, id="figures", empty="No figure yet."
        )
        self.said = Block(id="said")
        self._data: RationData | None = None
        self._at = 0

    def compose_body(self) -> ComposeResult:
        with Horizontal(id="desk"):
            with Vertical(id="left"):
                yield self.feeds
                yield self.sums
            yield self.figures
        yield self.said

    def keys_line(self) -> Sequence[tuple[str, str]]:
        return [
            ("↑↓", "figure"),
            ("←→", "ration"),
            ("E", "version"),
            ("G", "targets"),
            ("A", "analysis"),
            ("=", "why"),
        ]

    # -- reading and showing --

    def read(self, connection: Any, ground: Ground) -> RationData:
        from herdbook.book.reading import herd as read_herd
        from herdbook.book.reading import rations as read_rations
        from herdbook.reports import ration

        reports, without = [], []
        today = ground.clock.farm_day(ground.now_s).isoformat()
        used: dict[str, list[str]] = {}
        for pen in read_herd.pens(connection):
            its = read_rations.pen_ration_on(connection, pen.pen, today)
            if its is not None:
                used.setdefault(ground.name_of("ration", its["ration"]), []).append(pen.name)
        for name, number in ground.names.get("ration", {}).items():
            try:
                reports.append(ration.make(connection, ground, name=number))
            except HerdbookError:
                without.append(name)
        return RationData(reports, without, used)

    @property
    def _report(self) -> Report | None:
        if self._data is None or not self._data.reports:
            return None
        return self._data.reports[self._at % len(self._data.reports)]

    @property
    def _sheet(self) -> RationSheet | None:
        report = self._report
        return None if report is None else report.data

    def shown(self, found: RationData) -> None:
        self._data = found
        report, sheet, ground = self._report, self._sheet, self.ground
        if report is None or sheet is None or ground is None:
            self.title_line.show("Ration desk", "no ration in use yet")
            for table in (self.feeds, self.figures):
                table.show([])
            return
        name = ground.name_of("ration", sheet.version.ration)
        pens = ", ".join(found.used_by.get(name, [])) or "no pen"
        title = pieces(
            (f"{name}  version {sheet.version.version}", "bold"), f", in use since {sheet.version.from_day}"
        )
        self.title_line.show(title, f"for {pens}")
        self.feeds.show(self._feed_rows(report))
        self.sums.show(self._sums(report))
        columns, cells = self._layout()
        self.figures.show_columns(columns)
        self.figures.show([self._figure_row(line, cells) for line in report.table("figures").lines])
        self.said.show(self._said_lines(report))

    def _feed_rows(self, report: Report) -> list[Row]:
        from herdbook.reports.showing import shown

        assert self.ground is not None
        columns = report.table("feeds").columns
        rows = []
        for line in report.table("feeds").lines:
            cells = [shown(line[column.key], column, self.ground) for column in columns]
            rows.append(Row(line.name, cells))
        sums = {
            "as_fed_kg": "as_fed_kg",
            "dm_percent": "dm_percent",
            "dm_kg": "dm_kg",
            "cost_cents": "cost_cents",
        }
        whole = [Text("A head a day", "dust")]
        whole += [Text(shown(report.facts[key], report.columns[key], self.ground), "bold") for key in sums]
        return [*rows, Row("all", whole)]

    def _sums(self, report: Report) -> list[Text]:
        from herdbook.reports.showing import shown

        assert self.ground is not None
        lines = [Text()]
        for key, label in (
            ("dm_kg", "Dry matter"),
            ("forage_percent", "Forage"),
            ("cost_cents", "Feed cost"),
        ):
            value = shown(report.facts[key], report.columns[key], self.ground, with_unit=True)
            mark = f" {report.facts[key].flag}" if report.facts[key].flag else ""
            lines.append(pieces(f"   {label:<12}", (value, "bold"), (mark, "hay")))
        return lines

    def _layout(self) -> tuple[Sequence[Column], int]:
        if self.has_class("-narrow"):
            return NARROW_FIGURES, NARROW_BAR_CELLS
        return (WIDE_FIGURES, WIDE_BAR_CELLS) if self.has_class("-wide") else (FIGURE_COLUMNS, BAR_CELLS)

    def _figure_row(self, line: Line, bar_cells: int) -> Row:
        from herdbook.reports.figures import Column as FigureColumn
        from herdbook.reports.showing import shown
        from herdbook.science.figures import ration_figures

        assert self.ground is not None
        figure = ration_figures()[line.name]
        value = line["value"]
        words = shown(value, FigureColumn("", "", figure.unit, figure.decimals), self.ground)
        bar = bullet(
            value.number,
            line["low"].number,
            line["aim"].number,
            line["high"].number,
            cells=bar_cells,
            signs=self.home.signs,
        )
        judged = bool(line["verdict"].value)
        gap = Text("?", "hay") if value.missing else Text()
        cells: list[Text | str] = [
            pieces(figure.label, (_unit(figure.unit), "dust")),
            pieces(words, gap),
            bar.track if judged else Text(),
            self._word(bar, bar_cells) if judged else Text(),
        ]
        return Row(line.name, cells)

    def _word(self, bar: Bullet, bar_cells: int) -> Text:
        return verdict_of(bar.side, self.home.signs, short=bar_cells == NARROW_BAR_CELLS)

    def _said_lines(self, report: Report) -> list[Text]:
        lines = [heading("TO LOOK AT", "", self.size.width, self.home.signs)]
        look = self.home.signs.look
        lines += [pieces("   ", (look, "warn"), f" {words}") for words in report.warnings]
        return (
            lines
            if report.warnings
            else [*lines, Text("   Every figure with a target is inside it.", "dust")]
        )

    # -- keys --

    def action_next_ration(self) -> None:
        """Show the next ration, going round."""
        if self._data is None or not self._data.reports:
            self.say("No ration is in use yet. E writes one.")
            return
        self._at = (self._at + 1) % len(self._data.reports)
        self.shown(self._data)

    def action_edit(self) -> None:
        """Draft the next version from the one in use."""
        sheet, ground = self._sheet, self.ground
        if sheet is None or ground is None:
            self.open_chore("ration")
            return
        from herdbook.chores.rations import RationDraft
        from herdbook.chores.repeated import Pair, Several

        several = RationDraft.asks()["item"]
        assert isinstance(several, Several)
        assert isinstance(several.each, Pair)
        items = []
        for item in sheet.version.items:
            dm = " dm" if item["basis"] == "dry matter" else ""
            amount = several.each.second.typed_again(item["mg"], ground)
            items.append(f"{ground.name_of('feed', item['feed'])}={amount}{dm}")
        self.open_chore(
            "ration", texts={"name": ground.name_of("ration", sheet.version.ration), "item": items}
        )

    def action_targets(self) -> None:
        """Set the targets, starting from those in force."""
        sheet, ground = self._sheet, self.ground
        texts: dict[str, Any] = {}
        if sheet is not None and ground is not None:
            texts["ration"] = ground.name_of("ration", sheet.version.ration)
            texts["target"] = [
                f"{figure}={' '.join(_typed(bound) for bound in bounds)}"
                for figure, bounds in sheet.targets.items()
            ]
        self.open_chore("targets", texts=texts)

    def action_analysis(self) -> None:
        """Write an analysis."""
        self.open_chore("analysis")

    def action_feed(self) -> None:
        """Write a feed."""
        self.open_chore("feed")

    def action_pen_ration(self) -> None:
        """Say which pen gets which ration."""
        sheet, ground = self._sheet, self.ground
        texts = (
            {}
            if sheet is None or ground is None
            else {"ration": ground.name_of("ration", sheet.version.ration)}
        )
        self.open_chore("pen-ration", texts=texts)

    def action_dry_matter(self) -> None:
        """Write a dry-matter test."""
        self.open_chore("dry-matter")

    def correct(self) -> None:
        """Correct the version in view: the old one stays, struck."""
        if self._sheet is None:
            self.say("No ration is in use yet. E writes one.")
            return
        self.correct_number(self._sheet.version.entry)

    def why(self) -> Sequence[Text | str]:
        """The chosen figure, with every feed's share in it."""
        report = self._report
        if report is None or self.figures.chosen is None:
            return ()
        line = next(one for one in report.table("figures").lines if one.name == self.figures.chosen)
        value: Figure = line["value"]
        return self.explain(str(line["figure"].value), value)


def _typed(bound: float | None) -> str:
    return "-" if bound is None else f"{bound:.6f}".rstrip("0").rstrip(".")


def _unit(unit: str) -> str:
    return f" {unit}" if unit in ("%", "mg/kg") else ""
