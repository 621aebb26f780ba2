"""The rows every place has: places, tank strip, title, and at the bottom what was said and the keys."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal

from rich.cells import cell_len
from rich.text import Text
from textual import events

from herdbook.screens import keys
from herdbook.screens.parts.lines import Piece, padded, pieces, two_ends
from herdbook.screens.parts.text import Painted
from herdbook.screens.tank_strip import Level, TankStrip, Trend

__all__ = ["KeysLine", "Level", "PlacesLine", "SayLine", "TankLine", "TankStrip", "TitleLine", "Trend"]

NARROW_BELOW = 78
WIDE_FROM = 110
SHORT_BELOW = 24
TALL_FROM = 36

Kind = Literal["said", "asks", "wrong", "writing"]


class PlacesLine(Painted):
    """Row 1: the places, with the one in view standing out.

    Args:
        here: id of the place this row belongs to.
    """

    DEFAULT_CSS = "PlacesLine { height: 1; background: $board; color: $chalk; }"

    def __init__(self, here: str) -> None:
        super().__init__()
        self._here = here

    def paint(self, width: int, height: int) -> list[Text]:
        """Write all places, short words first giving way to none when the window is narrow."""
        for word, gap in ((_long, " "), (_short, ""), (_key_only, "")):
            line = pieces(*(self._piece(place, word(place), gap) for place in keys.PLACES))
            if cell_len(line.plain) <= width:
                return [line]
        return [line]

    def _piece(self, place: keys.PlaceKey, word: str, gap: str) -> Text:
        label = place.press.upper()
        between = " " if gap else ""
        if place.id == self._here:
            return pieces((f"{gap}{label}{between}{word}{gap or ' '}", "bold reverse ice"))
        return pieces((f"{gap}{label}{between}", "dust"), f"{word}{gap or ' '}")

    def on_click(self, event: events.Click) -> None:
        """Go to the place that was clicked."""
        at = 0
        for place in keys.PLACES:
            at += len(self._piece(place, _long(place), " ").plain)
            if event.x < at:
                self.app.call_later(self.app.run_action, f"app.go('{place.id}')")
                return


def _long(place: keys.PlaceKey) -> str:
    return place.title


def _short(place: keys.PlaceKey) -> str:
    return place.short


def _key_only(_place: keys.PlaceKey) -> str:
    return ""


class TankLine(Painted):
    """Row 2: the tank, what is due and the alerts; the same in every place."""

    DEFAULT_CSS = "TankLine { height: 1; background: $board; color: $chalk; }"

    def __init__(self) -> None:
        super().__init__()
        self._strip: TankStrip | None = None

    def show(self, strip: TankStrip | None) -> None:
        """Show another state of the tank; nothing is sent when it is the same."""
        if strip != self._strip:
            self._strip = strip
            self.freshen()

    def paint(self, width: int, height: int) -> list[Text]:
        """Write the row in the longest words that fit; the tank's own are the last to be cut."""
        if self._strip is None:
            return [pieces((" TANK", "dust"))]
        strip = self._strip
        write = self._late if strip.level == "late" else self._left
        for short, told in ((False, 3), (True, 3), (True, 2), (True, 1), (True, 0)):
            left, right = write(strip, short=short), self._right(strip, short=short, told=told)
            if cell_len(left.plain) + cell_len(right.plain) < width:
                break
        line = two_ends(left, right, width, self.signs)
        if strip.level == "late":
            line = Text(line.plain, "bold alert")
        return [line]

    def _left(self, strip: TankStrip, *, short: bool) -> Text:
        gap = " " if short else "  "
        parts: list[Piece] = [("  " if short else " TANK ", "dust")]
        if strip.reading:
            parts += [(strip.reading, "bold"), (self._trend(strip), "ice")]
        else:
            parts.append(("no reading yet", "dust"))
        badge = _word(strip.badge, strip.badge_short, short=short)
        if strip.level in ("slow", "unknown") and badge:
            mark = self.signs.look if strip.level == "slow" else f"{self.signs.unknown} {self.signs.look}"
            parts += [gap, (f"{mark} {badge}", "bold warn")]
        elif strip.level == "ok":
            parts += [gap, (badge or "ok", "clover")]
        deadline = _word(strip.deadline, strip.deadline_short, short=short)
        return pieces(*parts, gap if deadline else "", deadline)

    def _late(self, strip: TankStrip, *, short: bool) -> Text:
        gap = " " if short else "  "
        badge = _word(strip.badge, strip.badge_short, short=short) or "LATE"
        deadline = _word(strip.deadline, strip.deadline_short, short=short)
        tank = " " if short else " TANK "
        return Text(f"{tank}{strip.reading}{self._trend(strip)}{gap}{self.signs.late} {badge}{gap}{deadline}")

    def _right(self, strip: TankStrip, *, short: bool, told: int) -> Text:
        """The moment, what is due and the alerts, as many of them as there is room for."""
        gap = " " if short else "  "
        due = (f"{strip.due} due", "bold") if strip.due else ("nothing due", "dust")
        alerts: list[Piece] = [gap, (_counted(strip.alerts, "alert"), "hay")] if strip.alerts else []
        parts: list[Piece] = [due, *alerts] if told > 1 else [due] if told else []
        if strip.due is None:
            parts = []
        if told > 2:
            parts += [gap, (strip.at, "dust")]
        return pieces(*parts, "" if short else " ")

    def _trend(self, strip: TankStrip) -> str:
        return f" {getattr(self.signs, strip.trend)}" if strip.trend else ""


def _word(long: str, brief: str, *, short: bool) -> str:
    return (brief or long) if short else long


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


class TitleLine(Painted):
    """Row 3: what is in view, and an aside at the right edge."""

    DEFAULT_CSS = "TitleLine { height: 1; background: $ground; color: $chalk; }"

    def __init__(self, title: str = "") -> None:
        super().__init__()
        self._left: Text | str = pieces((title, "bold"))
        self._right: Text | str = ""
        self._reading = False

    def show(self, left: Text | str, right: Text | str = "") -> None:
        """Show a title; plain strings are bold at the left and quiet at the right."""
        self._left = pieces((left, "bold")) if isinstance(left, str) else left
        self._right = pieces((right, "dust")) if isinstance(right, str) else right
        self.freshen()

    def reading(self, on: bool) -> None:
        """Say that the book is being read, where what stands below may be old."""
        if on != self._reading:
            self._reading = on
            self.freshen()

    def paint(self, width: int, height: int) -> list[Text]:
        """Write title and aside."""
        right = pieces(("reading" + self.signs.more, "dust")) if self._reading else self._right
        inner = two_ends(self._left, right, max(0, width - 2), self.signs)
        return [pieces(" ", inner, " ")]


class SayLine(Painted):
    """Row 23: what was written last, what is asked, or what is wrong. It takes the keys while it asks."""

    DEFAULT_CSS = "SayLine { height: 1; background: $ground; color: $chalk; }"

    def __init__(self) -> None:
        super().__init__()
        self.can_focus = False
        self._kind: Kind = "said"
        self._words = ""
        self._yes: Callable[[], None] | None = None
        self._no: Callable[[], None] | None = None
        self._yes_key = "enter"

    @property
    def words(self) -> str:
        """What the line says."""
        return self._words

    @property
    def kind(self) -> Kind:
        """Which kind of words these are."""
        return self._kind

    @property
    def asking(self) -> bool:
        """Whether a question waits for its answer."""
        return self._yes is not None

    def say(self, words: str, kind: Kind = "said") -> None:
        """Say something, plain text only."""
        self._words, self._kind = words, kind
        self.freshen()

    def ask(self, words: str, *, yes: Callable[[], None], no: Callable[[], None], key: str) -> None:
        """Ask something and take the keys until it is answered."""
        self._yes, self._no, self._yes_key = yes, no, key
        self.say(words, "asks")
        self.can_focus = True
        self.screen.set_focus(self, scroll_visible=False)  # at once: the next key may be on its way

    def withdraw(self) -> Callable[[], None] | None:
        """Stop asking; return what was to be done on yes."""
        yes, self._yes, self._no = self._yes, None, None
        self.can_focus = False
        return yes

    async def on_key(self, event: events.Key) -> None:
        """Take yes or Esc; every other key waits for the answer."""
        if self._yes is None:
            return
        event.stop()
        event.prevent_default()
        if event.key.lower() == self._yes_key:
            self._answer(self._yes)
        elif event.key == "escape":
            self._answer(self._no)

    def _answer(self, chosen: Callable[[], None] | None) -> None:
        self.withdraw()
        if chosen is not None:
            chosen()

    def paint(self, width: int, height: int) -> list[Text]:
        """Write the words in the way of their kind."""
        if self._kind == "asks" and self.asking:
            yes = "Enter" if self._yes_key == "enter" else self._yes_key.upper()
            answers = pieces((yes, "bold"), (" yes", "dust"), "   ", ("Esc", "bold"), (" back ", "dust"))
            room = max(0, width - cell_len(answers.plain) - 1)
            return [pieces(padded(pieces(" ", (self._words, "bold")), room, signs=self.signs), " ", answers)]
        if self._kind == "wrong":
            return [pieces(" ", (self.signs.look, "bold warn"), " ", self._words)]
        role = "dust" if self._kind == "said" else "bold"
        return [pieces(" ", (self._words, role))]


class KeysLine(Painted):
    """Row 24: at most six keys of the place, and F1."""

    DEFAULT_CSS = "KeysLine { height: 1; background: $board; color: $chalk; }"

    def __init__(self) -> None:
        super().__init__()
        self._keys: Sequence[tuple[str, str]] = ()
        self._off = False

    def show(self, keys_line: Sequence[tuple[str, str]]) -> None:
        """Show other keys: pairs of key and word."""
        self._keys = tuple(keys_line)[: keys.AT_MOST]
        self.freshen()

    def off(self, off: bool) -> None:
        """Quieten the line while the keys do nothing."""
        if off != self._off:
            self._off = off
            self.freshen()

    def paint(self, width: int, height: int) -> list[Text]:
        """Write as many keys as fit; F1, which lists all, is never left out."""
        bold, end = ("dust" if self._off else "bold"), ("F1", " all keys ")
        right = pieces((end[0], bold), (end[1], "dust"))
        left, room = Text(" "), width - cell_len(right.plain) - 1
        for label, word in self._keys:
            piece = pieces((keys.on_screen(label, self.signs), bold), (f" {word}  ", "dust"))
            if cell_len(left.plain) + cell_len(piece.plain) - 2 > room:
                break
            left.append_text(piece)
        left.rstrip()
        return [pieces(padded(left, width - cell_len(right.plain), signs=self.signs), right)]
