"""The milk house: the tank's curve, deadlines, and the tank book; a temperature is typed and Enter writes it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal

from herdbook.chores.ground import Ground
from herdbook.errors import HerdbookError
from herdbook.reports.figures import Report
from herdbook.screens import keys
from herdbook.screens.book_place import HANDS, WRITE
from herdbook.screens.entry_sheet import entry_lines
from herdbook.screens.milk_clocks import Clocks
from herdbook.screens.milk_rounds import HELD_CHORES, ROUND_CHORES, ROUND_KEYS, MilkRounds
from herdbook.screens.parts.curve import Curve
from herdbook.screens.parts.field import Field
from herdbook.screens.parts.ledger import Ledger, LedgerEntry
from herdbook.screens.parts.lines import heading
from herdbook.screens.parts.number_field import NumberField
from herdbook.screens.parts.rows_table import RowsTable
from herdbook.screens.parts.slip import Slip
from herdbook.screens.parts.text import Block
from herdbook.screens.parts.understood import Understood
from herdbook.screens.sheet import Wrapped
from herdbook.screens.tank_curve import sheet_of

if TYPE_CHECKING:
    from herdbook.reports.cooling import TankState
    from herdbook.reports.due import Due
    from herdbook.reports.held import HeldNow

TANK_CHORES = ("temperature", "milking", "milked", "pickup", "tank", *HELD_CHORES, *ROUND_CHORES)
BOOK_LINES = 60


@dataclass(frozen=True, slots=True)
class MilkData:
    """What the place draws: one report a tank, and the tank book."""

    reports: Sequence[Report]
    book: Sequence[Any]
    held: HeldNow


class Milk(MilkRounds):
    """The milk house's own place."""

    ID = "milk"
    CLOCKED = True
    KEYS = (
        WRITE,
        keys.Key(
            "milk.milking",
            "m",
            "milking",
            "milking",
            "Writes the start of a milking, or its end while one runs.",
        ),
        keys.Key("milk.pickup", "p", "pickup", "pickup", "Writes a pickup."),
        *ROUND_KEYS,
        keys.Key("milk.tank", "k", "next_tank", "tank", "Shows the next tank, where there are several."),
        keys.Key("milk.open", "o", "open_entry", "open", "Shows the chosen entry whole."),
        keys.Key("milk.strike", "x", "strike", "strike", "Strikes out the chosen line; it stays readable."),
        keys.Key("milk.pages", "pagedown", "page(1)", "older", "Shows older lines of the tank book.", "PgDn"),
        keys.Key(
            "milk.pages.up", "pageup", "page(-1)", "newer", "Shows newer lines of the tank book.", "PgUp"
        ),
    )
    DEFAULT_CSS = """
    Milk #tank { height: 11; }
    Milk #curve { width: 1fr; }
    Milk #ledger { height: 1fr; }
    Milk #held { height: auto; max-height: 3; }
    Milk.-narrow #curve { display: none; }
    Milk.-narrow #clocks { width: 1fr; }
    Milk.-narrow #tank, Milk.-short #tank { height: 6; }
    Milk.-tall #tank { height: 19; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.curve = Curve(id="curve")
        self.clocks = Clocks()
        self.held_back = Wrapped("H shows all", id="held")
        self.book_title = Block(id="book-title")
        self.ledger = Ledger(empty="Nothing is written of a tank yet.", id="ledger")
        self.temperature = NumberField("Temperature", id="temperature")
        self._data: MilkData | None = None
        self._tank = 0
        self._asked_of: int | None = None
        self._has_moved = False

    def compose_body(self) -> ComposeResult:
        with Horizontal(id="tank"):
            yield self.curve
            yield self.clocks
        yield self.held_back
        yield self.book_title
        yield self.ledger

    def compose_entry(self) -> ComposeResult:
        if self.desk.may(HANDS):
            yield self.temperature

    def typed_in(self) -> Field:
        return self.temperature

    def keys_line(self) -> Sequence[tuple[str, str]]:
        return [
            ("Enter", "write"),
            ("M", "milking"),
            ("P", "pickup"),
            ("C", "correct"),
            ("X", "strike"),
            ("=", "why"),
        ]

    # -- reading and showing --

    def read(self, connection: Any, ground: Ground) -> MilkData:
        from herdbook.book.reading import entries as read_entries
        from herdbook.book.reading import milk as read_milk
        from herdbook.reports import tank
        from herdbook.reports.held import held_now

        reports = [tank.make(connection, ground, name=one.tank) for one in read_milk.tanks(connection)]
        book = read_entries.entries_of_chores(connection, TANK_CHORES, BOOK_LINES)
        return MilkData(reports, book, held_now(connection, ground))

    def shown(self, found: MilkData) -> None:
        assert self.ground is not None
        self._data = found
        state, units = self._state, self.ground.units
        if state is None:
            self.title_line.show("Milk house", "no tank yet, W writes one")
        else:
            held = units.mass(state.held_g) if state.held_g is not None else "–"
            milkings = f"{len(state.milkings)} milking{'' if len(state.milkings) == 1 else 's'}"
            left = f"{state.tank.name}  {held} of {units.mass(state.tank.capacity_g, with_unit=False)}, {milkings}"
            self.title_line.show(left, self._emptied_words(state))
            self.curve.show(lambda width, height: sheet_of(state, self.ground, width, height))  # type: ignore[arg-type]
            self.clocks.show(state, self.ground)
        self.held_back.show(self.held_lines())
        self.book_title.show([heading("TANK BOOK", "newest first", self.size.width, self.home.signs)])
        self.ledger.show_entries([self._entry(row) for row in found.book])
        if not self._has_moved and self.ledger.rows:
            self.ledger.choose(self.ledger.rows[0].key)
        self._ask_temperature()

    @property
    def _state(self) -> TankState | None:
        if self._data is None or not self._data.reports:
            return None
        state: TankState = self._data.reports[self._tank % len(self._data.reports)].data
        return state

    def _emptied_words(self, state: TankState) -> str:
        if state.emptied_at is None or self.ground is None:
            return ""
        clock = self.ground.clock
        return f"emptied {clock.shown(state.emptied_at, today=clock.local(self.ground.now_s).date())}"

    def _entry(self, row: Any) -> LedgerEntry:
        assert self.ground is not None
        today = self.ground.clock.local(self.ground.now_s).date()
        when = self.ground.clock.shown(row["written_ms"] // 1000, today=today)
        mark: Literal["", "corrects", "struck"]
        mark = "struck" if row["struck_by"] is not None else "corrects" if row["strikes"] is not None else ""
        details = self._details(row)
        if mark == "corrects" and self._data is not None:
            before = next((one for one in self._data.book if one["number"] == row["strikes"]), None)
            was = self._details(before).partition(" at ")[0] if before else f"entry {row['strikes']}"
            details += f", was {was}"
        return LedgerEntry(
            str(row["number"]), when, row["chore"].capitalize(), details, row["who"] or "", mark
        )

    def _details(self, row: Any) -> str:
        """What an entry said, without the words that stand in the columns beside it already."""
        assert self.ground is not None
        said: str = row["said"].removesuffix(".")
        tanks = self.ground.names.get("tank", {})
        one_tank = tanks if row["chore"] == "temperature" and len(tanks) == 1 else ()
        for word in (row["chore"].capitalize(), "Milking", *one_tank):
            said = said.removeprefix(f"{word} ")
        return said.removesuffix(f" at {self.ground.clock.shown_time(row['written_ms'] // 1000)}")

    # -- the temperature --

    def _ask_temperature(self) -> None:
        if self.ground is None or not self.temperature.is_attached:
            return
        tank = 0 if self._state is None else self._state.tank.tank
        if tank == self._asked_of and not self.temperature.is_empty:
            return  # somebody is typing: another person's entry does not change what they type
        self._asked_of = tank
        hint = "with the agitator running" if tank else "there is no tank yet, W writes one"
        self.temperature.ask(
            "Temperature",
            self._understand,
            unit_word=self.ground.units.warmth,
            hint=hint,
            text=self.temperature.text,
        )

    def _understand(self, text: str) -> Understood:
        from herdbook.chores.milk_house import TemperatureDraft

        state, ground = self._state, self.ground
        assert ground is not None
        ask = TemperatureDraft.asks()["reading"]
        value = ask.understand(text, ground)
        shown = f"{ground.units.temperature(value)} at {ground.clock.shown_time(self.desk.now_s)}"
        if state is not None and state.readings:
            before = state.readings[-1]
            change = ground.units.number(abs(_degrees(value - before["tank_mC"], ground)), 1)
            minutes = (self.desk.now_s - before["read_at"]) // 60
            way = "down" if value < before["tank_mC"] else "up"
            shown += f", {way} {change} in {minutes} min" if minutes < 600 else ""
        return Understood(value=value, shown=shown, ask=ask.doubt(value, ground))

    def on_field_entered(self, message: Field.Entered) -> None:
        """Enter writes the reading at once."""
        message.stop()
        if message.text:
            self.write_typed()
        else:
            self.say("Type what the thermometer says, then Enter.")

    def write_typed(self) -> None:
        """Write the typed temperature."""
        if self.temperature.is_empty or self.temperature.state != "reads":
            self.say("Nothing typed to write.")
            return
        texts = {"reading": self.temperature.text, "typed": self.temperature.text}
        if self._state is not None:
            texts["tank"] = self._state.tank.name
        desk, request, clock = self.desk, self._request, self._clock()
        self.temperature.writing()
        self.write(
            lambda: f"{clock}  Written: {desk.write('temperature', texts, request=request)}",
            then=self._written,
            refused=self._not_written,
        )

    def _written(self) -> None:
        self._has_moved = False
        self.field_is_written(self.temperature)

    def on_rows_table_moved(self) -> None:
        """The chosen line stays chosen while others write; else the newest is."""
        self._has_moved = True

    def found_line(self) -> None:
        self._has_moved = True

    def on_slip_written(self, _message: Slip.Written) -> None:
        """What is written next stands on top."""
        self._has_moved = False

    def _not_written(self, error: HerdbookError) -> None:
        self.temperature.not_written(str(error))

    async def on_key(self, event: Any) -> None:
        """Up and down move through the tank book while the number field has the cursor."""
        if event.key in ("up", "down") and self.temperature.has_focus:
            event.stop()
            self.ledger.step(1 if event.key == "down" else -1)

    def list_to_find_in(self) -> RowsTable:
        """The tank book."""
        return self.ledger

    def on_rows_table_opened(self) -> None:
        """Enter on a line of the tank book shows it whole."""
        self.action_open_entry()

    def action_open_entry(self) -> None:
        """Show the chosen entry whole: what was written, when, by whom, and what became of it."""
        chosen = self.ledger.chosen
        row = (
            next((row for row in self._data.book if str(row["number"]) == chosen), None)
            if self._data
            else None
        )
        if row is None or self.ground is None:
            self.say("No line chosen that can be opened.")
            return
        self.open_sheet(f"ENTRY {row['number']}", "Esc closes", entry_lines(row, self.ground))

    # -- keys --

    def held(self) -> HeldNow | None:
        """What is held back, as last read."""
        return None if self._data is None else self._data.held

    def tank_name(self) -> str:
        """The tank in view."""
        return "" if self._state is None else self._state.tank.name

    def action_milking(self) -> None:
        """Write a milking's start, or the end of the one that runs."""
        state = self._state
        fixed = {} if state is None else {"tank": state.tank.name}
        if state is not None and state.milkings and state.milkings[-1].ended_at is None:
            self.open_chore("milked", fixed=fixed)
        else:
            self.open_chore("milking", fixed=fixed)

    def action_pickup(self) -> None:
        """Write a pickup."""
        state = self._state
        self.open_chore("pickup", fixed={} if state is None else {"tank": state.tank.name})

    def action_next_tank(self) -> None:
        """Show the next tank."""
        if self._data is None or len(self._data.reports) < 2:
            self.say("There is one tank only." if self._state else "There is no tank yet. W writes one.")
            return
        self._tank = (self._tank + 1) % len(self._data.reports)
        self.shown(self._data)

    def action_strike(self) -> None:
        """Strike out the chosen line."""
        self.strike_chosen(self.ledger.chosen)

    def action_page(self, by: int) -> None:
        """Page through the tank book."""
        self.ledger.page(by)

    def correct(self) -> None:
        """Correct the chosen line of the tank book."""
        if self.ledger.chosen is None:
            self.say("No line chosen that can be corrected.")
            return
        self.correct_number(int(self.ledger.chosen))

    def why(self) -> Sequence[Text | str]:
        """The tank's state and every deadline, with rule and readings."""
        if self._data is None or not self._data.reports:
            return ()
        report = self._data.reports[self._tank % len(self._data.reports)]
        lines: list[Text | str] = [*self.explain("Cooling", report.facts["state"]), ""]
        for line in report.table("deadlines").lines:
            lines += [*self.explain(line.name, line["state"]), ""]
        lines += self.explain("Milk held", report.facts["held_kg"], report.columns["held_kg"])
        return lines

    def take_due(self, one: Due) -> None:
        """Go on with what is due: the end of a milking, or a reading."""
        if one.what.startswith("Write the end"):
            self.action_milking()
        elif one.what.startswith("Wash "):
            self.action_wash()
        elif one.what.startswith("Check the "):
            self.action_check()


def _degrees(milli: int, ground: Ground) -> float:
    return milli / 1000 * (1.8 if ground.units.system == "us" else 1.0)
