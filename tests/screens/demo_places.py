"""Two small places on a small book, for tests and benchmarks of the frame itself."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from rich.text import Text
from textual import events
from textual.app import ComposeResult

from herdbook.errors import Refused
from herdbook.screens import keys
from herdbook.screens.opening import Opening
from herdbook.screens.parts.lines import heading, pieces
from herdbook.screens.parts.text import Block, Painted
from herdbook.screens.place import Place
from herdbook.screens.tank_strip import TankStrip

PLACES = (
    keys.PlaceKey("today", "f2", "Today", "Today", "What is due.", "tests.screens.demo_places:Yard"),
    keys.PlaceKey("milk", "f4", "Milk", "Milk", "The tank.", "tests.screens.demo_places:Tank"),
)

CURVE = [(7, 6, 47.7), (6, 45, 48.4), (6, 30, 49.1), (6, 14, 49.6)]


class Digits(Painted):
    """A number typed on the entry line, as bare as can be."""

    can_focus = True
    DEFAULT_CSS = "Digits { height: 1; background: $board; color: $chalk; }"

    typed = ""

    def paint(self, width: int, height: int) -> list[Text]:
        """Write label, field and unit."""
        return [pieces((" Temperature ", "bold"), (f"{self.typed:<11}", "typed"), " °F")]

    def check_consume_key(self, key: str, character: str | None) -> bool:
        return bool(character) and (character.isdigit() or character == ".")

    async def on_key(self, event: events.Key) -> None:
        if event.character and (event.character.isdigit() or event.character == "."):
            event.stop()
            event.prevent_default()
            self.typed += event.character
        elif event.key == "backspace":
            self.typed = self.typed[:-1]
        elif event.key == "enter":
            event.stop()
            self.screen.write_typed()
        else:
            return
        self.app.draft_changed()
        self.freshen()


class Yard(Place):
    """A list to choose from."""

    ID = "today"
    KEYS = (
        keys.Key("yard.open", "enter", "open", "open", "Opens the chosen line.", "Enter"),
        keys.Key("yard.alerts", "a", "alerts", "alerts", "Names who looks after an alert.", "A"),
    )

    def compose_body(self) -> ComposeResult:
        self.list = Block(id="list")
        yield self.list

    def load(self, book: Any) -> list[tuple[Any, ...]]:
        return book.execute("select at, text from due order by at").fetchall()

    def show(self, found: list[tuple[Any, ...]]) -> None:
        self.title_line.show("Tuesday 10 March", "made-up farm")
        rows: list[Text | str] = [heading("NEXT", "", self.size.width)]
        self.list.show(rows + [pieces(f"     {at}  ", (text, "bold")) for at, text in found])

    def why(self) -> Sequence[Text | str]:
        return [f"   line {number} of the explanation" for number in range(1, 41)]

    def action_open(self) -> None:
        self.home.go("milk")

    def action_alerts(self) -> None:
        self.say("\x1b]0;owned\x07[@click=app.quit]Alerts[/] \u202egnp.exe")


class Tank(Place):
    """Readings, and a field to write one."""

    ID = "milk"
    KEYS = (keys.Key("tank.hold", "h", "hold", "hold milk", "Holds a cow's milk."),)

    def compose_body(self) -> ComposeResult:
        self.book = Block(id="book")
        yield self.book

    def compose_entry(self) -> ComposeResult:
        self.digits = Digits()
        yield self.digits

    def load(self, book: Any) -> list[tuple[Any, ...]]:
        return book.execute("select at, mF from reading order by at desc").fetchall()

    def show(self, found: list[tuple[Any, ...]]) -> None:
        self.title_line.show("Bulk tank", f"{len(found)} readings")
        rows: list[Text | str] = [heading("TANK BOOK", "newest first", self.size.width)]
        self.book.show(
            rows + [pieces(f"    {at}  Temperature  ", (f"{mf / 1000:.1f} °F", "bold")) for at, mf in found]
        )

    def write_typed(self) -> None:
        typed = self.digits.typed
        path = self.home.opening.extra

        def chore() -> str:
            if not typed or float(typed) > 140:
                raise Refused(
                    "No tank is that warm.", remedy="Type the temperature in °F.", field="temperature"
                )
            with sqlite3.connect(path) as book:
                book.execute("insert into reading values ('07:20', ?)", (round(float(typed) * 1000),))
            return f"07:20  Written: tank {typed} °F."

        self.write(chore, then=self._empty)

    def _empty(self) -> None:
        self.digits.typed = ""
        self.digits.freshen()

    def action_hold(self) -> None:
        self.open_slip(Slip())

    def draft(self) -> Mapping[str, str] | None:
        return {"temperature": self.digits.typed} if self.digits.typed else None

    def take_draft(self, draft: Mapping[str, str]) -> None:
        self.digits.typed = draft["temperature"]
        self.digits.freshen()


class Slip(Block):
    """Three rows that rise from the bottom."""

    can_focus = True
    DEFAULT_CSS = "Slip { background: $board; color: $chalk; }"

    def __init__(self) -> None:
        super().__init__([" Cow     131", " Until   Thu 12 Mar evening", " Why     treated"])


def make_book(path: Path) -> Path:
    """Write a book of a few rows."""
    with sqlite3.connect(path) as book:
        book.execute("pragma journal_mode = wal")
        book.execute("create table if not exists due (at text, text text)")
        book.execute("create table if not exists reading (at text, mF integer)")
        book.executemany(
            "insert into due values (?, ?)",
            [("07:20", "Read the tank temperature"), ("07:30", "Push up feed"), ("08:00", "Bunk scores")],
        )
        book.executemany(
            "insert into reading values (?, ?)", [(f"{h:02}:{m:02}", round(f * 1000)) for h, m, f in CURVE]
        )
    return path


def opening(path: Path, drafts: Path | None = None, **changes: Any) -> Opening:
    """What the test program is opened with."""

    def keep(typed: dict[str, dict[str, str]]) -> None:
        if drafts is not None:
            drafts.write_text(json.dumps(typed))

    def strip(book: sqlite3.Connection) -> TankStrip:
        newest = book.execute("select mF from reading order by at desc limit 1").fetchone()[0] / 1000
        return TankStrip(
            reading=f"{newest:.1f} °F",
            trend="falling",
            level="slow" if newest > 45 else "ok",
            badge="too slow" if newest > 45 else "",
            badge_short="slow" if newest > 45 else "",
            deadline="45 °F by 08:14, 68 min",
            deadline_short="45 by 08:14, 68 min",
            due=5,
            alerts=3,
            at="07:06",
        )

    defaults: dict[str, Any] = {
        "open_data": lambda: sqlite3.connect(path),
        "load_strip": strip,
        "version": lambda book: book.execute("pragma data_version").fetchone()[0],
        "keep_drafts": keep,
        "drafts": json.loads(drafts.read_text()) if drafts is not None and drafts.exists() else {},
        "extra": path,
    }
    return Opening(**(defaults | changes))
