"""What is written in the milk house beside milkings, readings and pickups: milk held back, and the day's rounds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from rich.text import Text

from herdbook.plain import plain
from herdbook.screens import keys
from herdbook.screens.book_place import BookPlace
from herdbook.screens.parts.lines import pieces

if TYPE_CHECKING:
    from herdbook.reports.held import HeldNow

HELD_CHORES = ("treatment", "milk-back", "held-milk-in", "milk-test", "dump")
ROUND_CHORES = ("level", "thermometer-check", "wash")
ROUND_KEYS = (
    keys.Key("milk.level", "l", "level", "level", "Writes the level of the tank, by stick or meter."),
    keys.Key("milk.wash", "v", "wash", "wash", "Writes a wash of tank or pipeline."),
    keys.Key("milk.check", "y", "check", "thermometer", "Writes how far a thermometer is off."),
    keys.Key(
        "milk.held", "h", "held", "held back", "Shows milk held back, and writes treatments, tests and dumps."
    ),
)


class MilkRounds(BookPlace):
    """Keys of the milk house that open a slip or a list of them."""

    def held(self) -> HeldNow | None:
        """What is held back, as the place has read it."""
        raise NotImplementedError

    def tank_name(self) -> str:
        """The tank in view; empty where there is none."""
        raise NotImplementedError

    def held_lines(self) -> list[Text]:
        """What stands over the tank book while milk is held back."""
        held = self.held()
        look = self.home.signs.look
        return [
            pieces(" ", (look, "warn"), " ", (plain(one), "hay")) for one in (held.says() if held else ())
        ]

    def action_held(self) -> None:
        """List what is held back and what can be written of it."""
        choices: list[tuple[str, Any]] = [("Show what is held back", self._show_held)]
        for name in HELD_CHORES:
            title = self.desk.chore(name).title
            choices.append((f"{title[:1].upper()}{title[1:]}", self._opener_of(name)))
        self.open_sheet("MILK HELD BACK", "Enter opens, letters jump, Esc closes", (), choices)

    def action_level(self) -> None:
        """Write the level of the tank in view."""
        self.open_round("level")

    def action_wash(self) -> None:
        """Write a wash."""
        self.open_round("wash")

    def action_check(self) -> None:
        """Write a check of the tank's thermometer."""
        self.open_round("thermometer-check")

    def _opener_of(self, name: str) -> Any:
        def do() -> None:
            self.close_sheet()
            self.open_round(name)

        return do

    def open_round(self, name: str) -> None:
        """Open the slip of a chore, for the tank in view where it is of a tank."""
        tank = self.tank_name()
        texts = {"tank": tank} if tank and "tank" in self.desk.chore(name).draft.asks() else {}
        self.open_chore(name, texts=texts)

    def _show_held(self) -> None:
        self.close_sheet()
        self.open_sheet("MILK HELD BACK", "Esc closes", self._all_held())

    def _all_held(self) -> Sequence[Text | str]:
        held = self.held()
        if held is None or self.ground is None:
            return ["   Nothing is held back."]
        from herdbook.chores.held_back import NEVER_OURS

        clock = self.ground.clock
        lines: list[Text | str] = []
        for why in held.blocked.values():
            lines += [pieces("   ", (plain(why), "bold"))]
        for one in held.running:
            card = one.card
            lines += [
                pieces("   ", (plain(f"Cow {one.cow}"), "bold"), "  ", plain(card["drug"])),
                f"     last given {clock.shown(card['last_given_at'])}, by {plain(card['given_by'])}",
                f"     milk out until {clock.shown(one.milk_until_s)}, {card['milk_h']} h by the {card['hours_from']}",
                f"     meat until {clock.shown(one.meat_until_s)}",
            ]
            if card["ordered_by"]:
                lines.append(f"     ordered by {plain(card['ordered_by'])}")
        return [*(lines or ["   Nothing is held back."]), "", f"   {NEVER_OURS}"]
