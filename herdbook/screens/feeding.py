"""Feeding: the load on the mixer one feed at a time, then drops and refusals pen by pen."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from rich.cells import cell_len
from rich.text import Text
from textual.app import ComposeResult

from herdbook.chores.ground import Ground
from herdbook.errors import HerdbookError
from herdbook.plain import plain
from herdbook.screens import keys
from herdbook.screens.book_place import HANDS, WRITE, BookPlace
from herdbook.screens.feeding_data import FeedingData, feed_columns, feeding_data, pen_columns
from herdbook.screens.parts.field import Field
from herdbook.screens.parts.gauge import gauge
from herdbook.screens.parts.lines import heading, pieces
from herdbook.screens.parts.number_field import NumberField
from herdbook.screens.parts.rows_table import Row, RowsTable
from herdbook.screens.parts.text import Block
from herdbook.screens.parts.understood import Understood

if TYPE_CHECKING:
    from herdbook.book.reading.feeding import LoadRow
    from herdbook.reports.due import Due


LEAST_GAUGE = 8
"""A gauge of fewer cells says nothing."""


class Feeding(BookPlace):
    """The farmhand's place: scale readings are typed, Enter goes to the next feed."""

    ID = "feeding"
    KEYS = (
        WRITE,
        keys.Key("feeding.load", "l", "new_load", "new load", "Begins the next load."),
        keys.Key("feeding.drop", "d", "drop", "drop", "Writes what a pen got."),
        keys.Key("feeding.refused", "r", "refused", "refused", "Writes what was weighed back from a pen."),
        keys.Key("feeding.before", "left", "other_load(-1)", "load before", "Shows the load before.", "←"),
        keys.Key("feeding.after", "right", "other_load(1)", "load after", "Shows the load after.", "→"),
        keys.Key("feeding.strike", "x", "strike", "strike", "Strikes out the weight of the chosen feed."),
        keys.Key("feeding.head", "h", "heads", "heads", "Counts the cows of a pen."),
        keys.Key("feeding.pages", "pagedown", "more_pens(1)", "more pens", "Shows more pens.", "PgDn"),
        keys.Key(
            "feeding.pages.up", "pageup", "more_pens(-1)", "pens before", "Shows the pens before.", "PgUp"
        ),
    )
    DEFAULT_CSS = """
    Feeding #feeds { height: auto; max-height: 11; }
    Feeding #pens { height: 1fr; }
    Feeding.-short #feeds { max-height: 10; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.feeds = RowsTable(
            feed_columns(""),
            noun="feeds",
            signed=True,
            follows=True,
            id="feeds",
            empty="No load is begun. L begins one.",
        )
        self.pens_title = Block(id="pens-title")
        self.pens = RowsTable(
            pen_columns(""),
            noun="pens",
            follows=True,
            marked=False,
            id="pens",
            empty="There is no pen yet. W writes one.",
        )
        self.scale = NumberField("Scale reads", id="scale")
        self._data: FeedingData | None = None
        self._load_at: int | None = None
        self._shown_load: int | None = None
        self._sure = False
        self._may_weigh = True

    def compose_body(self) -> ComposeResult:
        yield self.feeds
        yield self.pens_title
        yield self.pens

    def compose_entry(self) -> ComposeResult:
        self._may_weigh = self.desk.may(HANDS)
        if self._may_weigh:
            yield self.scale

    def typed_in(self) -> Field:
        return self.scale

    def keys_line(self) -> Sequence[tuple[str, str]]:
        return [
            ("Enter", "next"),
            ("L", "new load"),
            ("D", "drop"),
            ("R", "refused"),
            ("←→", "load"),
            ("↑↓", "feed"),
        ]

    # -- reading and showing --

    def read(self, connection: Any, ground: Ground) -> FeedingData:
        return feeding_data(connection, ground)

    def shown(self, found: FeedingData) -> None:
        before = self._load.load if self._load is not None else None
        assert self.ground is not None
        self._data = found
        unit = self.ground.units.load
        self.feeds.show_columns(feed_columns(unit))
        self.pens.show_columns(pen_columns(unit))
        places = {load.load: at for at, load in enumerate(found.loads)}
        if before in places:
            self._load_at = places[before]
        else:
            self._load_at = self._first_open() if found.loads else None
        self._show_load()
        self._show_pens()

    @property
    def _load(self) -> LoadRow | None:
        if self._data is None or self._load_at is None or not self._data.loads:
            return None
        return self._data.loads[min(self._load_at, len(self._data.loads) - 1)]

    def _first_open(self) -> int:
        from herdbook.reports.loads import is_weighed_in

        assert self._data is not None
        open_ones = [at for at, load in enumerate(self._data.loads) if not is_weighed_in(load)]
        return open_ones[0] if open_ones else len(self._data.loads) - 1

    def _show_load(self) -> None:
        assert self._data is not None
        assert self.ground is not None
        load, units = self._load, self.ground.units
        if load is None:
            self.title_line.show("Feeding", "no load begun today")
            self.feeds.show([])
            if self.scale.is_attached:
                self.scale.ask("Scale reads", _nothing, hint="L begins a load first", text=self.scale.text)
            return
        from herdbook.reports.loads import pens_of

        number = f"Load {load.number} of {len(self._data.loads)}"
        weight = f"{units.mass(load.loaded_g, with_unit=False)} of {units.mass(load.planned_g)}"
        title = pieces((number, "bold"), f"  {plain(pens_of(load, self.ground))}, {load.head} cows  ")
        room = self.size.width - cell_len(title.plain) - len(weight) - 4
        if room >= LEAST_GAUGE:
            bar = gauge(load.loaded_g, max(load.planned_g, 1), min(room, 30), signs=self.home.signs)
            title.append_text(bar)
        self.title_line.show(title, Text(weight, "bold"))
        chosen = self.feeds.chosen if load.load == self._shown_load else None
        self._shown_load = load.load
        self.feeds.show(self._feed_rows(load))
        self._go_to_feed(
            chosen if chosen is not None and not self._is_done(load, chosen) else self._next_feed(load)
        )
        self._ask_scale()

    def _feed_rows(self, load: LoadRow) -> list[Row]:
        assert self.ground is not None
        units, running, aim = self.ground.units, 0, 0
        rows = []
        for row in load.planned:
            mine = [w for w in load.weighed if w["feed"] == row["feed"]]
            name = self.ground.name_of("feed", row["feed"])
            if mine:
                loaded = sum(w["loaded_g"] for w in mine)
                running = max(running, *(w["scale_g"] or 0 for w in mine))
                aim = max(aim, running)
                cells: tuple[Text | str, ...] = (
                    name,
                    Text(units.mass(row["planned_g"], with_unit=False), "dust"),
                    Text(units.mass(running - loaded + row["planned_g"], with_unit=False), "dust"),
                    units.mass(running, with_unit=False),
                    self._off(loaded - row["planned_g"], row["planned_g"]),
                )
                rows.append(Row(str(row["feed"]), cells, Text(self.home.signs.done, "clover")))
                continue
            aim += row["planned_g"]
            cells = (
                name,
                units.mass(row["planned_g"], with_unit=False),
                units.mass(aim, with_unit=False),
                "–",
                "",
            )
            rows.append(Row(str(row["feed"]), cells))
        planned = {row["feed"] for row in load.planned}
        for row in load.weighed:
            if row["feed"] not in planned:
                name = self.ground.name_of("feed", row["feed"])
                scale = units.mass(row["scale_g"], with_unit=False)
                cells = (name, "–", "–", scale, Text(f"{self.home.signs.look} not planned", "warn"))
                rows.append(Row(str(row["feed"]), cells, Text(self.home.signs.look, "warn")))
        return rows

    def _off(self, grams: int, planned_g: int) -> Text:
        from herdbook.reports.loads import FEED_TOLERANCE_PERCENT

        assert self.ground is not None
        words = f"{'+' if grams >= 0 else ''}{self.ground.units.mass(grams, with_unit=False)}"
        over = planned_g and 100 * abs(grams) / planned_g > FEED_TOLERANCE_PERCENT
        return Text(f"{self.home.signs.look} {words}", "warn") if over else Text(words)

    def _show_pens(self) -> None:
        assert self._data is not None
        assert self.ground is not None
        title = heading("PENS TODAY", "refused is of the day before", self.size.width, self.home.signs)
        self.pens_title.show([Text(), title] if not self.has_class("-short") else [title])
        units = self.ground.units
        rows = []
        for one in self._data.pens:
            refused = one.yesterday.refused_g if one.yesterday.refusal_entries else None
            percent = one.yesterday.refused_percent.number
            rows.append(
                Row(
                    str(one.pen.pen),
                    (
                        one.pen.name,
                        "–" if one.head is None else str(one.head),
                        units.mass(one.ask_g, with_unit=False),
                        units.mass(one.today.dropped_g if one.today.drop_entries else None, with_unit=False),
                        "–" if one.last_drop_s is None else self.ground.clock.shown_time(one.last_drop_s),
                        units.mass(refused, with_unit=False),
                        "–" if percent is None else f"{units.number(percent, 1)} %",
                    ),
                )
            )
        self.pens.show(rows)

    # -- the scale --

    def _is_done(self, load: LoadRow, feed: str) -> bool:
        return any(str(row["feed"]) == feed for row in load.weighed)

    def _next_feed(self, load: LoadRow) -> str | None:
        left = [str(row["feed"]) for row in load.planned if not self._is_done(load, str(row["feed"]))]
        return left[0] if left else None

    def _go_to_feed(self, feed: str | None) -> None:
        if feed is not None:
            self.feeds.choose(feed)

    def _ask_scale(self) -> None:
        load = self._load
        if load is None or self.ground is None or not self.scale.is_attached:
            return
        if self._next_feed(load) is None and (
            self.feeds.chosen is None or self._is_done(load, self.feeds.chosen)
        ):
            self.scale.ask("Load is in", _nothing, hint="D drops it, L begins the next")
            return
        text = self.scale.text if not self.scale.is_empty else ""
        self.scale.ask(
            "Scale reads",
            self._understand_scale,
            unit_word=self.ground.units.load,
            hint=self._scale_hint(load),
            text=text,
        )

    def _scale_hint(self, load: LoadRow) -> str:
        planned = self._planned(load)
        if planned is None or self.ground is None:
            return ""
        name = self.ground.name_of("feed", int(self.feeds.chosen or 0))
        return f"{name} to {self.ground.units.mass(load.loaded_g + planned)}"

    def _planned(self, load: LoadRow) -> int | None:
        return next((row["planned_g"] for row in load.planned if str(row["feed"]) == self.feeds.chosen), None)

    def _understand_scale(self, text: str) -> Understood:
        from herdbook.chores.mixing import TENFOLD, WeighDraft

        load = self._load
        assert load is not None
        assert self.ground is not None
        ask = WeighDraft.asks()["scale"]
        scale_g = ask.understand(text, self.ground)
        grams, planned, units = scale_g - load.loaded_g, self._planned(load), self.ground.units
        name = self.ground.name_of("feed", int(self.feeds.chosen or 0))
        if grams < 0:
            return Understood(error=f"{units.mass(load.loaded_g)} is in already. Read the scale again.")
        self._sure = False
        if planned and grams >= TENFOLD * planned:
            self._sure = True
            return Understood(
                value=scale_g, ask=f"ten times {units.mass(planned)}? {units.mass(grams)} {name}"
            )
        off = "" if planned is None else f", {self._off(grams - planned, planned).plain} {units.load}"
        ok = "  ok" if planned and abs(grams - planned) * 20 <= planned else ""
        return Understood(value=scale_g, shown=f"{name} {units.mass(grams)}{off}{ok}")

    def on_field_entered(self, message: Field.Entered) -> None:
        """Enter writes the scale's reading and goes to the next feed."""
        message.stop()
        if message.text:
            self.write_typed()
        else:
            self.say("Type what the scale reads, then Enter.")

    def write_typed(self) -> None:
        """Write the scale's reading of the chosen feed."""
        load = self._load
        if load is None or self.ground is None or self.scale.is_empty or self.feeds.chosen is None:
            self.say("Nothing typed to write.")
            return
        if self.scale.state != "reads":
            return
        texts = {
            "load": f"{load.farm_day} {load.number}",
            "feed": self.ground.name_of("feed", int(self.feeds.chosen)),
            "scale": self.scale.text,
            "sure": "yes" if self._sure else "",
        }
        desk, request, clock = self.desk, self._request, self._clock()
        self.scale.writing()
        self.write(
            lambda: f"{clock}  Written: {desk.write('weigh', texts, request=request)}",
            then=self._weighed,
            refused=self._not_weighed,
        )

    def _weighed(self) -> None:
        self.field_is_written(self.scale)

    def _not_weighed(self, error: HerdbookError) -> None:
        self.scale.not_written(str(error))

    async def on_key(self, event: Any) -> None:
        """Up and down choose the feed the scale is read for."""
        if event.key in ("up", "down") and (self.scale.has_focus or not self._may_weigh):
            event.stop()
            self.feeds.step(1 if event.key == "down" else -1)
            self._ask_scale()

    def list_to_find_in(self) -> RowsTable:
        """The feeds of the load; the pens while there is none."""
        return self.feeds if self.feeds.rows else self.pens

    def found_line(self) -> None:
        self._ask_scale()

    # -- keys --

    def action_new_load(self) -> None:
        """Begin the next load, for the pen that comes next and the feeding it is at."""
        texts: dict[str, str | list[str]] = {"pen": self._hungry()}
        if texts["pen"] and (feeding := self._feeding_of(texts["pen"][0])) > 1:
            texts["feeding"] = str(feeding)
        self.open_chore("load", texts=texts)

    def _feeding_of(self, pen: str) -> int:
        """Which feeding of today a pen is at."""
        assert self._data is not None
        number = next(one.pen.pen for one in self._data.pens if one.pen.name == pen)
        begun = [load for load in self._data.loads if number in {row["pen"] for row in load.pens}]
        return 1 + len(begun)

    def _hungry(self) -> list[str]:
        """The pen whose load comes next: of those with feedings left today, the one with the fewest begun."""
        if self._data is None:
            return []
        begun = Counter(row["pen"] for load in self._data.loads for row in load.pens)
        waiting = [one for one in self._data.pens if one.ask_g and begun[one.pen.pen] < one.feedings]
        return [one.pen.name for one in sorted(waiting, key=lambda one: begun[one.pen.pen])][:1]

    def action_drop(self) -> None:
        """Write what a pen got out of the load in view."""
        load = self._load
        texts = {} if load is None else {"load": str(load.number)}
        if load is not None and self.ground is not None and load.pens:
            got = {row["pen"] for row in load.dropped}
            left = [row["pen"] for row in load.pens if row["pen"] not in got]
            texts["pen"] = self.ground.name_of("pen", left[0] if left else load.pens[0]["pen"])
            if len(left) <= 1 and load.loaded_g > load.dropped_g:  # the last pen gets what is in the mixer
                texts["weight"] = self.ground.units.mass(load.loaded_g - load.dropped_g, with_unit=False)
        self.open_chore("drop", texts=texts)

    def action_refused(self) -> None:
        """Write what was weighed back."""
        left = [
            one.pen.name
            for one in (self._data.pens if self._data else ())
            if one.yesterday.drop_entries and not one.yesterday.refusal_entries
        ]
        self.open_chore("refusal", texts={"pen": left[0]} if left else {})

    def action_heads(self) -> None:
        """Count the cows of a pen."""
        self.open_chore("head")

    def action_strike(self) -> None:
        """Strike out the weight of the chosen feed, the newest of it."""
        load = self._load
        mine = [] if load is None else [row for row in load.weighed if str(row["feed"]) == self.feeds.chosen]
        self.strike_chosen(str(mine[-1]["entry"]) if mine else None)

    def action_other_load(self, by: int) -> None:
        """Show the load before or after, going round."""
        if self._data is None or not self._data.loads or self._load_at is None:
            self.say("No load is begun. L begins one.")
            return
        self._load_at = (self._load_at + by) % len(self._data.loads)
        self.scale.put("")
        self._show_load()

    def action_more_pens(self, by: int) -> None:
        """Page through the pens."""
        self.pens.page(by)

    def correct(self) -> None:
        """Correct the weight of the chosen feed, or the newest entry of the load."""
        load = self._load
        if load is None:
            self.say("No line chosen that can be corrected.")
            return
        mine = [row["entry"] for row in load.weighed if str(row["feed"]) == self.feeds.chosen] or [load.entry]
        self.correct_number(mine[-1])

    def why(self) -> Sequence[Text | str]:
        """The load in view, feed by feed."""
        if self._data is None or self._load is None:
            return ()
        report, number = self._data.report, self._load.number
        lines: list[Text | str] = []
        line = next((one for one in report.table("loads").lines if one["load"].value == number), None)
        if line is None:
            return ()
        for key in ("planned_kg", "loaded_kg", "off_percent", "dropped_kg"):
            column = next(column for column in report.table("loads").columns if column.key == key)
            lines += [*self.explain(f"Load {number}, {column.label}", line[key], column), ""]
        return lines

    def take_due(self, one: Due) -> None:
        """Go on with what is due: the load it names, or the refusals."""
        if one.load is not None and self._data is not None:
            for at, load in enumerate(self._data.loads):
                if load.load == one.load:
                    self._load_at = at
                    self._show_load()
                    if one.what.startswith("Drop"):
                        self.action_drop()
                    return
        if one.what.startswith("Weigh back"):
            self.action_refused()
        elif one.what.startswith("Dry-matter"):
            self.open_chore("dry-matter")
        elif one.what.startswith("Mix"):
            self.action_new_load()


def _nothing(text: str) -> Understood:
    return Understood(error="No load is begun. L begins one.")
