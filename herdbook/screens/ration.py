"""The ration desk: a ration's feeds a head, and every figure against its low, aim and high."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.reports.figures import Report
from herdbook.screens import keys
from herdbook.screens.book_place import WRITE
from herdbook.screens.parts.lines import heading, pieces
from herdbook.screens.parts.rows_table import RowsTable
from herdbook.screens.parts.text import Block
from herdbook.screens.ration_desk import DESK_KEYS, WRITERS, RationDesk
from herdbook.screens.ration_drawing import (
    HOME,
    NARROW,
    WIDE,
    FiguresLook,
    RationDrawing,
    feed_columns,
    offer_columns,
)
from herdbook.screens.ration_limits import limit_columns, limit_rows, said_of_limits
from herdbook.screens.ration_reports import REPORTS_KEY, RationReports
from herdbook.screens.ration_said import said_of_draft, said_of_offer, said_of_version
from herdbook.screens.ration_suggestion import LEAST_COST
from herdbook.screens.sheet import Wrapped

if TYPE_CHECKING:
    from herdbook.book.reading.rations import Version
    from herdbook.reports.ration import RationSheet
    from herdbook.reports.what_if import WhatIf
    from herdbook.screens.ration_intake import Eater
    from herdbook.screens.ration_reading import RationData


NOBODY_KNOWN = (
    "No equation has its inputs: W, then cows of a pen, says what they weigh, milk and how long they milk."
)


class Ration(RationDesk, RationReports):
    """The nutritionist's place."""

    ID = "ration"
    KEYS = (
        WRITE,
        *DESK_KEYS,
        REPORTS_KEY,
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
            "ration.version",
            "e",
            "edit",
            "new version",
            "Writes the next version as a form, from what is in view.",
        ),
        keys.Key(
            "ration.targets", "g", "targets", "targets", "Sets the targets: low, aim and high of each figure."
        ),
        keys.Key(
            "ration.analysis",
            "a",
            "analysis",
            "analysis",
            "Writes an analysis of a feed; in a suggestion takes all lines, or leaves all.",
        ),
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
    Ration.-binds #figures { display: none; }
    Ration.-binds #left, Ration.-binds.-narrow #left, Ration.-binds.-wide #left { width: 1fr; }
    Ration.-wide #left { width: 56; }
    Ration.-narrow #left { width: 27; }
    Ration.-short #said { max-height: 4; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.sums = Block(id="sums")
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

    def compose_entry(self) -> ComposeResult:
        self.may_draft = self.desk.may(WRITERS)
        if self.may_draft:
            yield self.amount
            yield self.offer_line

    def keys_line(self) -> Sequence[tuple[str, str]]:
        if not self.may_draft:
            return [("←→", "ration"), ("↑↓", "figure"), ("L", "look"), ("V", "versions"), ("=", "why")]
        if self.offer is not None:
            is_cheapest = self.offer.suggested.question.asked.aim == LEAST_COST
            other = ("M", "smallest change") if is_cheapest else ("S", "least cost")
            return [("Space", "take"), ("Enter", "into draft"), ("Esc", "leave"), other, ("L", "look")]
        if self.binds:
            return [("↑↓", "feed"), ("←→", "bound"), ("Space", "hold"), ("S", "suggest"), ("Esc", "back")]
        if self.figures.has_focus:
            return [("↑↓", "figure"), ("=", "why"), ("/", "find"), ("Tab", "feeds"), ("S", "suggest")]
        if self.tried is not None and self.tried.is_changed:
            return [
                ("U", "use"),
                ("S", "suggest"),
                ("Z", "put back"),
                ("Esc", "throw away"),
                ("Space", "hold"),
                ("V", "versions"),
            ]
        return [
            ("↑↓", "feed"),
            ("S", "suggest"),
            ("←→", "ration"),
            ("G", "targets"),
            ("V", "versions"),
            ("Tab", "figures"),
        ]

    # -- reading and showing --

    def read(self, connection: Any, ground: Ground) -> RationData:
        from herdbook.screens.ration_reading import read_rations

        return read_rations(connection, ground)

    @property
    def _report(self) -> Report | None:
        if self._data is None or not self._data.reports:
            return None
        return self._data.reports[self._at % len(self._data.reports)]

    @property
    def _sheet(self) -> RationSheet | None:
        report = self._report
        return None if report is None else report.data

    @property
    def tried(self) -> WhatIf | None:
        if self._data is None or not self._data.tried:
            return None
        return self._data.tried[self._at % len(self._data.tried)]

    @property
    def version(self) -> Version | None:
        sheet = self._sheet
        return None if sheet is None else sheet.version

    @property
    def pens_of_ration(self) -> Sequence[str]:
        tried = self.tried
        return () if tried is None or self._data is None else self._data.used_by.get(tried.name, ())

    @property
    def _eaters(self) -> Sequence[Eater]:
        """What is known of the cows that get the ration in view."""
        tried = self.tried
        return () if tried is None or self._data is None else self._data.eaters.get(tried.name, ())

    def shown(self, found: RationData) -> None:
        if found is not self._data:
            self._take_over(found)
        self.draw()
        self.ask_amount()
        if self.offer is None and not self.amount.is_empty and self.amount.is_attached:
            self.try_typed()
        self.show_keys()

    def _take_over(self, found: RationData) -> None:
        """Take what was read; drafts are laid over it, the ration in view stays."""
        before, at = self.tried, self.drafts.at
        self._before_typing = None
        self._data = found
        for report, tried in zip(found.reports, found.tried, strict=True):
            version = report.data.version
            if told := self.drafts.put_in(version.ration, tried, version.entry):
                self.say(told)
        rations = [report.data.version.ration for report in found.reports]
        if at is not None and at[0] in rations:
            self._at = rations.index(at[0])
        if self.offer is not None and before is not None and not _same_ground(before, self.tried):
            self.leave_offer("What it rested on has changed; S asks again.")
        self.call_after_refresh(self.warm_up)

    def draw(self, *, typing: bool = False, figures: bool = True) -> None:
        """Show the ration in view as it is tried, or the suggestion beside it; while typing only what moves."""
        report, sheet, ground, tried = self._report, self._sheet, self.ground, self.tried
        if report is None or sheet is None or ground is None or tried is None:
            self._draw_nothing()
            return
        drawing = RationDrawing(ground, self.home.signs, self._look())
        if not typing:
            self.title_line.show(*self._title(tried, sheet))
        if self.binds and self._data is not None:
            store, chosen = self._data.store_g, self.feeds.chosen
            self.feeds.show_columns(limit_columns(ground))
            rows = limit_rows(tried, self.limits, store, self.bound_at, chosen, ground, self.home.signs)
            self.feeds.show(rows)
            self.sums.show([])
        elif self.offer is None:
            self.feeds.show_columns(feed_columns(ground.units.load))
            self.feeds.show(drawing.feed_rows(tried))
            if figures:
                self.sums.show(drawing.sums(tried, self._eaters))
        else:
            self.feeds.show_columns(offer_columns())
            self.feeds.show(drawing.offer_rows(self.offer))
            self.sums.show(drawing.offer_sums(self.offer))
        at_amounts = self.offer is None and not self.binds
        if at_amounts and self.drafts.at is not None and self.drafts.at[0] == sheet.version.ration:
            self.feeds.choose(str(self.drafts.at[1]))
        if figures:
            self.figures.show_columns(drawing.look.columns)
            self.figures.show(drawing.figure_rows(tried if self.offer is None else self.offer.trial))
        if not typing:
            self.said.show(self._said_lines(report, tried, drawing))

    def _draw_nothing(self) -> None:
        self.title_line.show("Ration desk", "no ration in use yet")
        for table in (self.feeds, self.figures):
            table.show([])
        self.sums.show([])
        self.said.show([pieces("   ", (self._next_step(), "dust"))])

    def _title(self, tried: WhatIf, sheet: RationSheet) -> tuple[Text, str]:
        name, number = plain(tried.name), sheet.version.version
        if self.binds:
            return pieces((f"{name}  bounds of suggestions", "bold")), "the book is not changed"
        if self.offer is not None:
            aim = self.offer.suggested.question.asked.aim.replace("-", " ")
            found = aim if self.offer.suggested.is_answer else "no mix fits"
            beside = "the draft" if tried.is_changed else f"version {number}"
            return pieces((f"{name}  {found}", "bold"), f" beside {beside}"), "nothing changes before Enter"
        pens = ", ".join(self._data.used_by.get(name, []) if self._data else []) or "no pen"
        if tried.is_changed:
            return pieces((f"{name}  draft", "bold"), f" beside version {number}, in use"), f"for {pens}"
        since = f", since {_day(sheet.version.from_day)}"
        return pieces((f"{name}  version {number}", "bold"), since), f"for {pens}"

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

    def _said_lines(self, report: Report, tried: WhatIf, drawing: RationDrawing) -> list[Text]:
        """What stands under the tables: of a suggestion, of the draft, or of the version in use."""
        width = self.size.width - 1
        if self.binds:
            return [heading("BOUNDS", "", width, self.home.signs), *said_of_limits(self.limits)]
        if self.offer is not None:
            return said_of_offer(self.offer, drawing, width)
        number = 0 if self.version is None else self.version.version
        if tried.is_changed:
            return said_of_draft(tried, number, drawing, width)
        without = self._data.without if self._data else ()
        return said_of_version(report, drawing, width, without)

    # -- keys --

    def action_other_ration(self, by: int) -> None:
        """Show the ration before or after, going round; among bounds go to another of the chosen feed."""
        if self.binds:
            self.step_bound(by)
            return
        if self._data is None or not self._data.reports:
            self.say("No ration is in use yet. E writes one.")
            return
        self.stop_typing()
        if self.offer is not None:
            self.leave_offer("")
        self._at = (self._at + by) % len(self._data.reports)
        self.drafts.at = None
        self.draw()
        if self.feeds.rows:
            self.feeds.choose(self.feeds.rows[0].key)
        self.ask_amount()
        self.show_keys()

    def action_edit(self) -> None:
        """Write the next version as a form, from what is in view."""
        self.open_chore("ration", texts=None if self.tried is None else self.tried.texts(), fixed=self.seen())

    def action_targets(self) -> None:
        """Set the targets, starting from those in force."""
        sheet, ground = self._sheet, self.ground
        texts: dict[str, Any] = {}
        seen: dict[str, str] = {}
        if sheet is not None and ground is not None:
            seen["seen"] = str(
                sheet.newest_targets or 1
            )  # the first entry is the farm's own: older than any targets
            texts["ration"] = ground.name_of("ration", sheet.version.ration)
            texts["target"] = [_target_typed(key, bounds, ground) for key, bounds in sheet.targets.items()]
        self.open_chore("targets", texts=texts, fixed=seen)

    def action_analysis(self) -> None:
        """Write an analysis; in a suggestion take all its lines, or leave all."""
        if self.offer is not None:
            self.take_all_lines()
        else:
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
        report, tried, ground = self._report, self.tried, self.ground
        if report is None or tried is None or ground is None:
            return
        drawing = RationDrawing(ground, self.home.signs, self._look())
        title, *lines = self._said_lines(report, tried, drawing)
        if self.offer is not None:
            from herdbook.screens.ration_offer import told_whole

            lines = [*lines, Text(), *(Text(f"   {words}") for words in told_whole(self.offer, ground))]
        self.open_sheet(title.plain.strip(" -─"), "Esc closes", lines)

    def action_strike(self) -> None:
        """Strike out the version in view."""
        self.strike_chosen(None if self._sheet is None else str(self._sheet.version.entry))

    def list_to_find_in(self) -> RowsTable:
        """The figures."""
        return self.figures

    def why(self) -> Sequence[Text | str]:
        """The chosen figure of the ration as it is tried, with every feed's share in it."""
        from herdbook.screens.ration_why import figure_explained

        if self.tried is None or self.version is None or self.ground is None or self.figures.chosen is None:
            return ()
        tried = self.tried if self.offer is None else self.offer.trial
        lines = figure_explained(self.desk.path, self.ground, self.version, tried, self.figures.chosen)
        if self.figures.chosen != "dm_intake":
            return lines
        from herdbook.screens.ration_intake import predicted, told

        found = list(told(predicted(self._eaters, tried), tried, self.ground))
        first = list(lines).index("") if "" in lines else len(lines)
        return [*lines[:first], "", "Predicted intake", *(found or [NOBODY_KNOWN]), *lines[first:]]


def _same_ground(before: WhatIf, after: WhatIf | None) -> bool:
    """Whether a suggestion made for one still stands on the other: same items, feeds, prices and targets."""
    if after is None:
        return False
    return (before.items, before.feeds, before.targets) == (after.items, after.feeds, after.targets)


def _day(iso: str) -> str:
    day = date.fromisoformat(iso)
    return f"{day.day} {day:%b %Y}"


def _target_typed(key: str, bounds: Sequence[float | None], ground: Ground) -> str:
    """A target as it is typed in the farm's units: written again, it is the very same."""
    from herdbook.chores.nutrient_asks import TargetBounds
    from herdbook.science.figures import ration_figures

    millionths = [None if bound is None else round(bound * 1_000_000) for bound in bounds]
    typed = TargetBounds(label="bounds", key=key).typed_again(millionths, ground)
    unit = ration_figures()[key].unit
    return f"{key}={typed if unit == 'kg' else typed.removesuffix(unit).strip()}"
