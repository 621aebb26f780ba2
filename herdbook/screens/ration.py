"""The ration desk: a ration's feeds a head, and every figure against its low, aim and high."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from herdbook.chores.ground import Ground
from herdbook.errors import HerdbookError
from herdbook.plain import plain
from herdbook.reports.figures import Figure, Line, Report
from herdbook.screens import keys
from herdbook.screens.book_place import WRITE, BookPlace
from herdbook.screens.parts.bullet_bar import bullet, verdict_of
from herdbook.screens.parts.lines import heading, pieces
from herdbook.screens.parts.rows_table import Column, Row, RowsTable
from herdbook.screens.parts.text import Block
from herdbook.screens.sheet import Wrapped

if TYPE_CHECKING:
    from herdbook.reports.ration import RationSheet


def feed_columns(unit: str) -> list[Column]:
    """The feeds' columns; amounts a head in the farm's unit."""
    return [
        Column("Feed", 11, grows=True),
        Column("As fed", 6, align="right"),
        Column("DM %", 5, align="right", from_width=31, role="dust"),
        Column(f"DM {unit}", 5, align="right"),
        Column("Cost", 5, align="right", from_width=44, role="dust"),
    ]


@dataclass(frozen=True, slots=True)
class FiguresLook:
    """How the figures are laid out: name, value, bar, verdict."""

    name_cells: int
    value_cells: int
    bar_cells: int
    verdict_cells: int
    short: bool = False

    @property
    def columns(self) -> list[Column]:
        return [
            Column("", self.name_cells, grows=True),
            Column("", self.value_cells, align="right"),
            Column("", self.bar_cells),
            Column("", self.verdict_cells),
        ]


HOME = FiguresLook(10, 6, 11, 6)
WIDE = FiguresLook(14, 7, 20, 6)
NARROW = FiguresLook(10, 5, 9, 2, short=True)


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
        keys.Key(
            "ration.before", "left", "other_ration(-1)", "ration before", "Shows the ration before.", "←"
        ),
        keys.Key("ration.after", "right", "other_ration(1)", "ration after", "Shows the next ration.", "→"),
        keys.Key(
            "ration.look", "l", "look", "look", "Shows all there is to look at, and rations without feeds."
        ),
        keys.Key(
            "ration.strike", "x", "strike", "strike", "Strikes out the version in view; it stays readable."
        ),
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
    Ration #left { width: 40; }
    Ration #feeds { height: auto; max-height: 13; }
    Ration #sums { height: auto; }
    Ration #figures { width: 1fr; height: 1fr; }
    Ration #said { height: auto; max-height: 5; dock: bottom; }
    Ration.-wide #left { width: 56; }
    Ration.-narrow #left { width: 27; }
    Ration.-short #said { max-height: 4; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.feeds = RowsTable(
            feed_columns(""),
            noun="feeds",
            follows=True,
            gap=1,
            marked=False,
            id="feeds",
            empty="No ration yet. E writes one.",
        )
        self.sums = Block(id="sums")
        self.figures = RowsTable(HOME.columns, noun="figures", header=False, gap=1, id="figures", empty="")
        self.said = Wrapped("L shows all", id="said")
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
            ("←→", "ration"),
            ("E", "version"),
            ("G", "targets"),
            ("A", "analysis"),
            ("L", "look"),
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
            self.sums.show([])
            self.said.show([pieces("   ", (self._next_step(), "dust"))])
            return
        self.feeds.show_columns(feed_columns(ground.units.load))
        name = ground.name_of("ration", sheet.version.ration)
        pens = ", ".join(found.used_by.get(name, [])) or "no pen"
        title = pieces(
            (f"{plain(name)}  version {sheet.version.version}", "bold"),
            f", since {_day(sheet.version.from_day)}",
        )
        self.title_line.show(title, f"for {pens}")
        self.feeds.show(self._feed_rows(report))
        self.sums.show(self._sums(report))
        look = self._look()
        self.figures.show_columns(look.columns)
        self.figures.show([self._figure_row(line, look) for line in report.table("figures").lines])
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

    def _look(self) -> FiguresLook:
        return NARROW if self.has_class("-narrow") else WIDE if self.has_class("-wide") else HOME

    def _next_step(self) -> str:
        """What to write before a ration can be looked at."""
        names = self.ground.names if self.ground is not None else {}
        if not names.get("feed"):
            return "F writes the first feed, A its analysis; then E writes a ration, G its targets."
        if not names.get("ration"):
            return "A writes a feed's analysis; E writes a ration: what a head gets of each feed a day."
        return "No version counts yet. E writes one; P says which pen gets it."

    def _figure_row(self, line: Line, look: FiguresLook) -> Row:
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
            cells=look.bar_cells,
            signs=self.home.signs,
        )
        judged = bool(line["verdict"].value)
        gap = Text("?", "hay") if value.missing else Text()
        cells: list[Text | str] = [
            pieces(figure.label, (_unit(figure.unit), "dust")),
            pieces(words, gap),
            bar.track if judged else Text(),
            verdict_of(bar.side, self.home.signs, short=look.short) if judged else Text(),
        ]
        return Row(line.name, cells)

    def _said_lines(self, report: Report) -> list[Text]:
        lines = [heading("TO LOOK AT", "", self.size.width - 1, self.home.signs)]
        found = [self._warning(words) for words in report.warnings]
        if not found:
            targets = self._sheet is not None and self._sheet.targets
            calm = "Every figure with a target is inside it." if targets else "No targets yet. G sets them."
            found = [Text(f"   {calm}", "dust")]
        return [*lines, *found, *self._without()]

    def _warning(self, words: str) -> Text:
        return pieces("   ", (self.home.signs.look, "warn"), f"  {plain(words)}")

    def _without(self) -> list[Text]:
        names = [plain(name) for name in (self._data.without if self._data else ())]
        return [Text(f"   No version counts of: {', '.join(names)}.", "dust")] if names else []

    # -- keys --

    def action_other_ration(self, by: int) -> None:
        """Show the ration before or after, going round."""
        if self._data is None or not self._data.reports:
            self.say("No ration is in use yet. E writes one.")
            return
        self._at = (self._at + by) % len(self._data.reports)
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
                f"{figure}={' '.join(_typed(bound, ground.units.decimal) for bound in bounds)}"
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

    def action_look(self) -> None:
        """Show everything to look at, whole."""
        if self._report is not None:
            self.open_sheet("TO LOOK AT", "Esc closes", self._said_lines(self._report)[1:])

    def action_strike(self) -> None:
        """Strike out the version in view."""
        self.strike_chosen(None if self._sheet is None else str(self._sheet.version.entry))

    def list_to_find_in(self) -> RowsTable:
        """The figures."""
        return self.figures

    def why(self) -> Sequence[Text | str]:
        """The chosen figure, with every feed's share in it."""
        report = self._report
        if report is None or self.figures.chosen is None:
            return ()
        line = next(one for one in report.table("figures").lines if one.name == self.figures.chosen)
        value: Figure = line["value"]
        return self.explain(str(line["figure"].value), value)


def _day(iso: str) -> str:
    day = date.fromisoformat(iso)
    return f"{day.day} {day:%b %Y}"


def _typed(bound: float | None, decimal: str) -> str:
    return "-" if bound is None else f"{bound:.6f}".rstrip("0").rstrip(".").replace(".", decimal)


def _unit(unit: str) -> str:
    return f" {unit}" if unit in ("%", "mg/kg") else ""
