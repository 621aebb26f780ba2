"""Feeding: the day's loads, one feed at a time at the mixer, then the drops in walking order; Enter is enough."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from rich.text import Text
from textual.app import ComposeResult

from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.screens import keys
from herdbook.screens.book_place import HANDS
from herdbook.screens.feeding_data import FeedingData, feeding_data
from herdbook.screens.feeding_drawing import (
    BEGUN,
    PLANNED,
    Drawing,
    LoadsTable,
    feed_columns,
    load_columns,
    pen_columns,
)
from herdbook.screens.feeding_drops import Dropping
from herdbook.screens.feeding_lines import FeedingLines
from herdbook.screens.feeding_mixer import MixerFace
from herdbook.screens.feeding_scale import AtScale, Reading, in_sentences, newest_error
from herdbook.screens.feeding_slips import SLIP_KEYS
from herdbook.screens.feeding_view import InView, Stage, next_feed
from herdbook.screens.feeding_walk import with_cows
from herdbook.screens.parts.field import Field
from herdbook.screens.parts.lines import heading, pieces
from herdbook.screens.parts.number_field import NumberField
from herdbook.screens.parts.rows_table import RowsTable
from herdbook.screens.parts.text import Block
from herdbook.screens.parts.understood import Understood
from herdbook.screens.sheet import Wrapped

if TYPE_CHECKING:
    from herdbook.book.reading.feeding import LoadRow
    from herdbook.chores.day_plan import PlannedLoad
    from herdbook.screens.desk import Look


class Feeding(FeedingLines):
    """The farmhand's place: Enter takes the load, the target, the drop that are offered; digits give the real one."""

    ID = "feeding"
    KEYS = (
        *SLIP_KEYS,
        keys.Key("feeding.before", "left", "other_load(-1)", "load before", "Shows the load before.", "←"),
        keys.Key("feeding.after", "right", "other_load(1)", "load after", "Shows the load after.", "→"),
        keys.Key(
            "feeding.strike", "x", "strike", "strike", "Strikes out the chosen weight, or an empty load."
        ),
        keys.Key(
            "feeding.pages",
            "pagedown",
            "more_lines(1)",
            "more",
            "Shows more pens; at the mixer of a small screen more feeds.",
            "PgDn",
        ),
        keys.Key(
            "feeding.pages.up",
            "pageup",
            "more_lines(-1)",
            "before",
            "Shows the pens, or feeds, before.",
            "PgUp",
        ),
    )
    DEFAULT_CSS = """
    Feeding #loads { height: auto; max-height: 9; }
    Feeding #feeds { height: auto; max-height: 12; }
    Feeding #pens { height: 1fr; }
    Feeding #walk { height: auto; max-height: 3; }
    Feeding #effect { height: auto; max-height: 3; }
    Feeding.-short #loads { max-height: 7; }
    Feeding.-short #feeds { max-height: 6; }
    Feeding.-short #walk { max-height: 2; }
    Feeding #face, Feeding #feeds, Feeding #beside, Feeding #effect { display: none; }
    Feeding.-load #loads { display: none; }
    Feeding.-load #feeds, Feeding.-load #effect { display: block; }
    Feeding.-weigh #face { display: block; }
    Feeding.-weigh #pens, Feeding.-weigh #pens-title, Feeding.-weigh #walk { display: none; }
    Feeding.-weigh #feeds, Feeding.-weigh.-short #feeds { height: 1fr; max-height: 100%; }
    Feeding.-weigh.-tall #pens, Feeding.-weigh.-tall #pens-title, Feeding.-weigh.-tall #walk { display: block; }
    Feeding.-weigh.-tall #feeds { height: auto; max-height: 12; }
    Feeding.-slip.-short #pens, Feeding.-slip.-short #pens-title, Feeding.-slip.-short #walk { display: none; }
    Feeding.-beside #beside { display: block; height: auto; max-height: 100%; }
    Feeding.-beside #face, Feeding.-beside #loads, Feeding.-beside #feeds { display: none; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.loads = LoadsTable(load_columns(""), noun="loads", signed=True, follows=True, id="loads")
        self.face = MixerFace()
        self.feeds = RowsTable(feed_columns(""), noun="feeds", signed=True, follows=True, id="feeds")
        self.pens_title = Block(id="pens-title")
        self.pens = RowsTable(
            pen_columns(""),
            noun="pens",
            follows=True,
            marked=False,
            id="pens",
            empty="There is no pen yet. W writes one.",
        )
        self.effect = Wrapped("= shows all", id="effect")
        self.walk = Block(id="walk")
        self.scale = NumberField("Start load", id="scale")
        self.view = InView()
        self._understood: tuple[str, object] = ("", None)
        self.may_weigh = True

    def compose_body(self) -> ComposeResult:
        yield self.beside
        yield self.loads
        yield self.face
        yield self.feeds
        yield self.effect
        yield self.pens_title
        yield self.pens
        yield self.walk

    def compose_entry(self) -> ComposeResult:
        self.may_weigh = self.desk.may(HANDS)
        if self.may_weigh:
            yield self.scale

    def typed_in(self) -> Field:
        return self.scale

    def keys_line(self) -> Sequence[tuple[str, str]]:
        return [
            ("Enter", "next"),
            ("D", "drop"),
            ("R", "refused"),
            ("B", "bunk"),
            ("O", "off feed"),
            ("←→", "load"),
        ]

    # -- reading, and which load is in view --

    def load(self, data: Look) -> tuple[Ground, Any]:
        """Read at one moment of the book; open cows of the walk can be named."""
        with data.at_once() as (connection, plain_ground):
            ground = with_cows(connection, plain_ground)
            return ground, self.read(connection, ground)

    def read(self, connection: Any, ground: Ground) -> FeedingData:
        return feeding_data(connection, ground, self.view.load_id)

    def shown(self, found: FeedingData) -> None:
        assert self.ground is not None
        self._data = found
        feed = self.view.catch_up(found)
        unit = self.ground.units.load
        self.loads.show_columns(load_columns(unit))
        self.feeds.show_columns(feed_columns(unit))
        self.pens.show_columns(pen_columns(unit))
        self._show_all(feed)

    @property
    def load_in_view(self) -> LoadRow | None:
        """The load that is looked at; none while the day's loads are."""
        return self.view.load(self._data)

    @property
    def _drawing(self) -> Drawing:
        assert self._data is not None
        assert self.ground is not None
        return Drawing(self._data, self.ground, self.home.signs)

    @property
    def at_scale(self) -> AtScale | None:
        """The chosen feed at the scale."""
        load, feed = self.load_in_view, self.feeds.chosen
        if load is None or feed is None or self._data is None or self.ground is None:
            return None
        mixing = self._data.mixing.get(load.load)
        if mixing is None or int(feed) not in mixing.judge.planned:
            return None
        return AtScale(load, int(feed), mixing, self.ground)

    @property
    def _dropping(self) -> Dropping | None:
        load = self.load_in_view
        if load is None or self._data is None or self.ground is None or load.load not in self._data.mixing:
            return None
        walk = tuple(one.pen.pen for one in self._data.pens)
        return Dropping(load, self._data.mixing[load.load], self.ground, walk)

    @property
    def _planned(self) -> PlannedLoad | None:
        """The chosen load of the plan, while it is not begun."""
        kind, _, number = (self.loads.chosen or "").partition(" ")
        if kind != PLANNED or self._data is None:
            return None
        return next((one for one in self._data.plan.loads if str(one.number) == number), None)

    # -- showing --

    def _show_all(self, feed: str | None = None) -> None:
        drawing, load = self._drawing, self.load_in_view
        self._show_loads(drawing)
        if load is None or load.load not in drawing.data.mixing:
            begun = len(drawing.data.loads)
            some = f"{begun} begun of {len(self.loads.rows)}" if begun else "no load begun today"
            self.title_line.show("Feeding", some)
            if not begun and not self.say_line.words and self._planned is not None and self.may_weigh:
                self.say(f"No load started. {self._loads_hint()}.")
        else:
            self.title_line.show(*drawing.load_title(load, self.size.width))
            chosen = feed or (self.feeds.chosen if self.view.going_back else None)
            self.feeds.show(drawing.feed_rows(load, drawing.data.mixing[load.load]))
            self.feeds.choose(chosen or next_feed(load) or str(load.planned[-1]["feed"]))
        title = heading("PENS TODAY", "refused is of the day before", self.size.width, self.home.signs)
        self.pens_title.show([title] if self.has_class("-short") else [Text(), title])
        self.pens.show(drawing.pen_rows())
        self.walk.show(drawing.walk_lines(self.size.width))
        self.ask_next()

    def _show_loads(self, drawing: Drawing) -> None:
        plan, chosen = drawing.data.plan, self.loads.chosen
        rows = drawing.load_rows()
        self.loads.show(rows)
        following = plan.next_one()
        if self.view.goes_on and following is not None:
            chosen = f"{PLANNED} {following.number}"
        if chosen is None or not self.loads.choose(chosen):
            self.loads.choose(f"{PLANNED} {following.number}" if following else "")
        self.loads.said_when_empty(plan.problems[0] if plan.problems else "No load is planned. L begins one.")

    def ask_next(self) -> None:
        """Let the field ask for what comes next; what is typed in it stays."""
        if self.ground is None or self._data is None:
            return
        stage = self.stage
        self.set_class(stage != "plan", "-load")
        self.set_class(stage == "weigh", "-weigh")
        self._show_face()
        if not self.scale.is_attached:
            return
        label, understand, hint, unit = self._question(stage)
        text = self.scale.text if not self.scale.is_empty else ""
        self.scale.ask(label, self._remembered(understand), unit_word=unit, hint=hint, text=text)

    def _question(self, stage: Stage) -> tuple[str, Callable[[str], Understood], str, str]:
        assert self.ground is not None
        unit, at, dropping = self.ground.units.load, self.at_scale, self._dropping
        if stage == "weigh" and at is not None:
            return at.label, at.understand, at.hint, unit
        if stage == "drop" and dropping is not None and dropping.pen is not None:
            return f"Drop {dropping.pen_name}", dropping.understand, dropping.hint, unit
        if stage == "done":
            return "Load", self._understand_number, "is dropped. ↑↓ puts a feed right, Esc: all loads", ""
        return "Load", self._understand_number, self._loads_hint(), ""

    def _remembered(self, understand: Callable[[str], Understood]) -> Callable[[str], Understood]:
        def remember(text: str) -> Understood:
            found = understand(text)
            self._understood = (text, found.value)
            return found

        return remember

    @property
    def _typed_value(self) -> object:
        """What was understood of the field as it stands."""
        text, value = self._understood
        typed = self.scale.text.strip() if self.scale.is_attached else ""
        return value if typed and typed == text.strip() else None

    def _loads_hint(self) -> str:
        one = self._planned
        if one is not None and self.ground is not None:
            from herdbook.reports.feeding_plan import pens_in_words

            pens = pens_in_words(one, self.ground)
            weight = self.ground.units.mass(one.split.total_g)
            return f"Enter starts load {one.number}, {pens}, {weight}"
        if self.loads.chosen is not None:
            return "Enter opens the chosen load"
        return "L begins a load first"

    def _understand_number(self, text: str) -> Understood:
        """A load's number goes to it."""
        for row in self.loads.rows:
            if str(row.cells[0]).partition("  ")[0] == text.strip():
                return Understood(value=row.key, shown=f"Enter goes to {row.cells[0]}")
        return Understood(error="There is no load of that number today.")

    def _show_face(self) -> None:
        """The feed that comes next, with what must be read; what the last one's error does, until it is dropped."""
        at, stage = self.at_scale, self.stage
        self.effect.show([])
        if at is None or self.ground is None or stage not in ("weigh", "drop"):
            return
        value = self._typed_value
        typed = value if isinstance(value, Reading) else None
        if stage == "drop":
            look = (self.home.signs.look, "warn")
            every = (in_sentences(error, at.load, self.ground) for error in at.mixing.judge.errors())
            self.effect.show([pieces("   ", look, f" {plain(said)}") for said in every])
            return
        error = typed.error if typed else newest_error(at.load, at.mixing)
        said = in_sentences(error, at.load, self.ground)
        notes = [(note, "hay") for note in at.mixing.notes.get(at.feed, ())]
        effect = [(said, "bold" if typed else "")] if said else []
        self.face.show(at, [*effect, *notes] if typed else [*notes, *effect])

    def on_field_typed(self) -> None:
        """The number was read: what an error would do is said before it is written."""
        self._show_face()
        self.home.draft_changed()

    # -- Enter --

    def on_field_entered(self, message: Field.Entered) -> None:
        """Enter writes what was typed, or takes what is offered."""
        message.stop()
        if self.is_held_down(offered=not message.text):
            self.say("Enter came at once again: is the key held down? Press it once more.")
            return
        if not message.text:
            self._take_offered()
        elif isinstance(message.value, str):
            self.scale.put("")
            self.loads.choose(message.value)
            self._open_chosen()
        else:
            self.write_value(message.value)

    def _take_offered(self) -> None:
        at, dropping = self.at_scale, self._dropping
        if self.stage == "plan":
            self._open_chosen()
        elif self.stage == "weigh" and at is not None and not at.mine and not at.load.dropped:
            self.write_reading(at.target())
        elif self.stage == "drop" and dropping is not None and dropping.pen is not None:
            self.write_texts("drop", dropping.offered())
        elif self.stage == "weigh":
            self.leave_feed()
        else:
            self.see_all_loads()

    def _open_chosen(self) -> None:
        """Begin the chosen load of the plan, or look at the one that was begun."""
        one = self._planned
        kind, _, number = (self.loads.chosen or "").partition(" ")
        if one is not None:
            self.write_texts("load", {"planned_load": str(one.number)})
        elif kind == BEGUN:
            self.view.see(int(number))
            self.view.goes_on = False
            self.reload()
        else:
            self.say("No load is planned. L begins one.")

    def see_all_loads(self) -> None:
        self.view.in_load, self.view.going_back = False, False
        if self._data is not None:
            self._show_all()

    def leave_feed(self) -> None:
        self.view.going_back = False
        if self._data is not None:
            self._show_all()

    def write_typed(self) -> None:
        """Write what is typed in the field."""
        if self.scale.is_empty:
            self.say("Nothing typed to write.")
        elif self.scale.state == "reads":
            self.write_value(self._typed_value)
