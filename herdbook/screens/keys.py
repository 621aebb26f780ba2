"""The one table of keys: what each does in every place, and how a place adds its own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from textual.binding import Binding

from herdbook.screens.parts.signs import SignSet


@dataclass(frozen=True)
class Key:
    """One key and what it does.

    Args:
        id: a name for it, unique in the program, such as ``milk.pickup``.
        press: the framework's name of the key; several with commas.
        action: the action's name, with its arguments as in a call.
        word: what it does, in a word or two, for the keys line.
        says: a sentence for the list of all keys.
        shown: how the key is written on screen; made from its name when empty.
    """

    id: str
    press: str
    action: str
    word: str
    says: str
    shown: str = ""

    @property
    def label(self) -> str:
        """How the key is written on screen."""
        return self.shown or _written(self.press.partition(",")[0])


@dataclass(frozen=True)
class PlaceKey:
    """A place and the function key that leads to it.

    Args:
        id: the place's name within the program.
        press: its function key.
        title: its word on the first line.
        short: its word where the window is narrow.
        says: what it is for, in a sentence.
        module: where its class is, as ``package.module:Class``; imported when first opened.
    """

    id: str
    press: str
    title: str
    short: str
    says: str
    module: str


# A place stands here once it exists: a key that leads nowhere is not shown.
PLACES: tuple[PlaceKey, ...] = (
    PlaceKey(
        "today", "f2", "Today", "Today", "What is due, the tank's clock, alerts, yesterday.", "today:Today"
    ),
    PlaceKey("feeding", "f3", "Feeding", "Feed", "Load the mixer, drop, weigh back.", "feeding:Feeding"),
    PlaceKey("milk", "f4", "Milk", "Milk", "The tank: curve, deadlines, tank book.", "milk:Milk"),
    PlaceKey("ration", "f5", "Ration", "Ration", "Rations against their targets.", "ration:Ration"),
    PlaceKey("week", "f7", "Week", "Week", "Totals, trends, exceptions.", "week:Week"),
)

# In every place. Letters reach here only when no field has taken them as text or as a unit.
EVERYWHERE: tuple[Key, ...] = (
    Key("all.keys", "f1", "all_keys", "all keys", "Shows all keys of this place."),
    Key(
        "all.places",
        "j",
        "places",
        "places",
        "Lists the places, where the terminal keeps the F-keys for itself.",
    ),
    Key("all.write", "ctrl+s", "write", "write", "Writes what was typed in the book."),
    Key("all.why", "equals_sign", "why", "why", "Explains the chosen figure: rule, source, entries.", "="),
    Key(
        "all.temperature", "t", "temperature", "tank temperature", "Writes a tank temperature from anywhere."
    ),
    Key("all.note", "n", "note", "note", "Writes a note from anywhere."),
    Key(
        "all.alarms",
        "exclamation_mark",
        "alarms",
        "alarms",
        "Lists the alarms; Enter looks after one.",
        "!",
    ),
    Key("all.correct", "c", "correct", "correct", "Corrects the chosen line; the old one stays, struck."),
    Key("all.reports", "i", "reports", "reports", "Lists every report; the chosen one is read here."),
    Key("all.find", "slash", "find", "find", "Finds a line.", "/"),
    Key("all.back", "escape", "back", "back", "One step back: field, list, Today; drafts are kept.", "Esc"),
    Key("all.leave", "ctrl+q", "leave", "leave", "Leaves the program, after asking."),
    Key(
        "all.redraw", "ctrl+l", "redraw", "redraw", "Draws the screen anew, should the line have garbled it."
    ),
)

# The same in every place, but done by the field or the list that has the cursor.
MOVES: tuple[Key, ...] = (
    Key(
        "move.enter",
        "enter",
        "",
        "go on",
        "Goes on, opens; the last field asks, the next Enter writes.",
        "Enter",
    ),
    Key("move.line", "up,down", "", "choose", "Chooses a line or a field.", "↑↓"),
    Key("move.tab", "tab,shift+tab", "", "next field", "Goes to the next field, or the one before.", "Tab"),
    Key("move.page", "pageup,pagedown", "", "more", "Shows more lines.", "PgUp PgDn"),
)

# ctrl+c is bound only so that it does nothing by habit: it says how to leave.
_HABIT = Binding(
    "ctrl+c", "how_to_leave", "", show=False, id="all.habit", tooltip="Says how to leave.", priority=True
)

AT_MOST = 6  # keys on the keys line, besides F1


def place_key(place_id: str) -> PlaceKey:
    """Look a place up by its id.

    Raises:
        KeyError: there is no such place.
    """
    for place in PLACES:
        if place.id == place_id:
            return place
    raise KeyError(place_id)


def title_of(place_id: str) -> str:
    """Give a place's word on the first line; empty for a place that is not in the table."""
    return next((place.title for place in PLACES if place.id == place_id), "")


def app_bindings() -> list[Binding]:
    """Bindings of the whole program: places and what is the same everywhere."""
    to_places = [
        Binding(
            place.press,
            f"go('{place.id}')",
            place.title,
            id=f"go.{place.id}",
            tooltip=place.says,
            priority=True,
        )
        for place in PLACES
    ]
    return to_places + bindings(EVERYWHERE) + [_HABIT]


def bindings(keys: Iterable[Key]) -> list[Binding]:
    """Turn rows of the table into the framework's bindings.

    Function keys act inside a field too; Esc, Ctrl+S and letters only where no field or slip wants them.
    """
    return [
        Binding(
            key.press, key.action, key.word, id=key.id, tooltip=key.says, priority=_through_fields(key.press)
        )
        for key in keys
        if key.action
    ]


def line(*keys: Key | tuple[str, str]) -> list[tuple[str, str]]:
    """Put rows of the table, or pairs of key and word, in the form of the keys line."""
    return [key if isinstance(key, tuple) else (key.label, key.word) for key in keys]


def on_screen(label: str, signs: SignSet) -> str:
    """Write a key's label in the signs the terminal has."""
    return label.replace("↑↓", signs.updown).replace("←→", "left/right" if signs.plain else "←→")


def _through_fields(press: str) -> bool:
    """Whether a key acts even while a field has the cursor; Ctrl+S is the field's or the slip's own first."""
    return press in _THROUGH


_THROUGH = {"ctrl+q", "ctrl+l"} | {f"f{number}" for number in range(1, 13)}


def _written(press: str) -> str:
    if press.startswith("ctrl+"):
        return f"Ctrl+{press[5:].upper()}"
    return press.upper() if len(press) <= 3 else press.capitalize()
