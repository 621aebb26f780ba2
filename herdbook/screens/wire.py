"""A model of what the terminal shows, so that only the cells that changed go over the wire.

The framework redraws whole widgets: a digit typed in a field costs a whole row, with the pen reset after
every piece. Here what it draws is laid on a sheet of cells, compared with the sheet the terminal holds, and
only the differences are sent, with the shortest way to move and the shortest change of pen. Whatever is not
drawing (text, pen, position) is left out, so no stored text can reach the terminal as a command.

Control functions are those of ECMA-48, 5th edition, 1991: CUP (8.3.21), CUF (8.3.20), SGR (8.3.117).
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from rich.cells import cell_len


class Pen(NamedTuple):
    """How a cell is drawn: SGR parameters of its ink, its ground, and the set of its attributes."""

    ink: str = ""
    ground: str = ""
    looks: frozenset[str] = frozenset()


class Cell(NamedTuple):
    """One place on the screen. The right half of a wide character is an empty text."""

    text: str
    pen: Pen


BARE = Pen()
BLANK = Cell(" ", BARE)
UNKNOWN = Cell("\x00", BARE)

# Attributes: what turns each on, and what turns it off (bold and faint share one).
_OFF = {"1": "22", "2": "22", "3": "23", "4": "24", "5": "25", "7": "27", "9": "29", "21": "24", "53": "55"}
_ENDS = {off: frozenset(on for on, its in _OFF.items() if its == off) for off in set(_OFF.values())}
# Attributes that can be seen where there is no ink.
_SEEN_ON_BLANKS = frozenset({"4", "7", "9", "21", "53"})

_TOKENS = re.compile(
    "\x1b\\[([0-9]*);([0-9]*)H"  # 1, 2: position
    "|\x1b\\[([0-9;]*)m"  # 3: pen
    "|(?:\x1b\\[|\x9b)[0-?]*[ -/]*[@-~]?"  # other control sequences, left out
    "|(?:\x1b[\\]PX^_]|[\x90\x98\x9d-\x9f])[^\x07\x1b\x9c]*(?:\x07|\x1b\\\\|\x9c)?"  # control strings
    "|\x1b[ -/]*[0-~]?"  # other escapes: left out
    "|([^\x00-\x1f\x7f-\x9f]+)"  # 4: text
)
# Marks that change the reading direction or hide: never sent, and they take no cell.
_HIDDEN = re.compile("[\u00ad\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\ud800-\udfff]")
# One cell wide in every terminal; after anything else the position is given anew.
_CERTAIN = re.compile("[ -~\u00a0-\u02af\u2010-\u206f\u2190-\u21ff\u2500-\u25ff\u2700-\u27bf]*")

_BRIDGE = 5  # unchanged cells in one row that are cheaper to send again than to step over


class Sheet:
    """Cells the program wants on the terminal, and cells the terminal is known to show.

    Args:
        columns, rows: size of the terminal.
    """

    def __init__(self, columns: int, rows: int) -> None:
        self.columns = columns
        self.rows = rows
        self.wanted = [[BLANK] * columns for _ in range(rows)]
        self.shown = [[UNKNOWN] * columns for _ in range(rows)]
        self._touched: set[int] = set(range(rows))
        self._rest = (0, 0)  # where the terminal's own cursor is to rest, for people whose tools follow it
        self._pen: Pen | None = None
        self._at: tuple[int, int] | None = None
        self._uncertain = False

    def resize(self, columns: int, rows: int) -> None:
        """Fit the sheet to another size; what the terminal shows is then not known."""
        blank = [BLANK] * columns
        self.wanted = [(row + blank)[:columns] for row in self.wanted[:rows]]
        self.wanted += [list(blank) for _ in range(rows - len(self.wanted))]
        self.columns, self.rows = columns, rows
        self.forget()

    def forget(self) -> None:
        """Take nothing for granted: every cell is sent again with the next drawing."""
        self.shown = [[UNKNOWN] * self.columns for _ in range(self.rows)]
        self._touched = set(range(self.rows))
        self._forget_pen()

    def blank(self) -> None:
        """The terminal was cleared with a bare pen."""
        self.shown = [[BLANK] * self.columns for _ in range(self.rows)]
        self._touched = set(range(self.rows))
        self._forget_pen()

    def draw(self, data: str) -> None:
        """Lay a drawing on the sheet: text, pen (SGR) and position (CUP); all else is left out."""
        x = y = 0
        pen = BARE
        for match in _TOKENS.finditer(data):
            text = match[4]
            if text is not None:
                x = self._lay(x, y, text, pen)
            elif match[3] is not None:
                pen = _after(pen, match[3])
            elif match[1] is not None:
                y, x = int(match[1] or 1) - 1, int(match[2] or 1) - 1
        self._rest = (x, y)

    def changes(self) -> str:
        """Give what has to be sent so that the terminal shows what is wanted; empty when it does."""
        self._sent: list[str] = []
        for y in sorted(self._touched):
            wanted, shown = self.wanted[y], self.shown[y]
            if wanted != shown:
                self._send_row(y, wanted, shown)
                self.shown[y] = list(wanted)
        self._touched.clear()
        if self._sent and self._at != self._rest:
            self._move(*self._rest)
        return "".join(self._sent)

    # -- laying --

    def _lay(self, x: int, y: int, text: str, pen: Pen) -> int:
        """Lay text from a place on; return the column after it."""
        if not 0 <= y < self.rows:
            return x
        self._touched.add(y)
        row = self.wanted[y]
        if _CERTAIN.fullmatch(text) and not _HIDDEN.search(text):
            room = text[: max(0, self.columns - x)]
            row[x : x + len(room)] = _cells(room, pen)
            self._heal(row, x, x + len(room))
            return x + len(text)
        start = x
        for sign in _HIDDEN.sub("", text):
            x = self._lay_sign(row, x, sign, pen)
        self._heal(row, start, min(x, self.columns))
        return x

    def _lay_sign(self, row: list[Cell], x: int, sign: str, pen: Pen) -> int:
        width = cell_len(sign)
        if width == 0:  # belongs to the sign before it
            at = x - 1 if x and row[min(x, self.columns) - 1].text else x - 2
            if 0 <= at < self.columns:
                row[at] = Cell(row[at].text + sign, row[at].pen)
            return x
        if x + width <= self.columns:
            row[x] = _cell(sign, pen)
            if width == 2:
                row[x + 1] = Cell("", pen)
        return x + width

    @staticmethod
    def _heal(row: list[Cell], start: int, end: int) -> None:
        """Blank a half of a wide character that lost its other half at the edges of what was laid."""
        if 0 < start < len(row) and row[start].text and _is_wide(row[start - 1]):
            row[start - 1] = _cell(" ", row[start - 1].pen)
        if 0 < end < len(row) and not row[end].text and not _is_wide(row[end - 1]):
            row[end] = _cell(" ", row[end].pen)

    # -- sending --

    def _send_row(self, y: int, wanted: list[Cell], shown: list[Cell]) -> None:
        for start, end in _runs(wanted, shown):
            if self._at != (start, y):
                self._move(start, y)
            for cell in wanted[start:end]:
                if not cell.text:
                    continue
                self._take(cell)
                self._sent.append(cell.text)
                if not _CERTAIN.fullmatch(cell.text):
                    self._uncertain = True
            certain = end < self.columns and not self._uncertain
            self._at = (end, y) if certain else None
            self._uncertain = False

    def _move(self, x: int, y: int) -> None:
        if self._at is not None and self._at[1] == y and x > self._at[0]:
            step = x - self._at[0]
            self._sent.append("\x1b[C" if step == 1 else f"\x1b[{step}C")
        elif y == 0 or x == 0:
            self._sent.append("\x1b[H" if y == x == 0 else f"\x1b[{y + 1}H" if x == 0 else f"\x1b[;{x + 1}H")
        else:
            self._sent.append(f"\x1b[{y + 1};{x + 1}H")
        self._at = (x, y)

    def _take(self, cell: Cell) -> None:
        """Change the pen if this cell would look different with the one at hand."""
        if cell.pen == self._pen:
            return
        if cell.text == " " and self._pen is not None and cell.pen == _on_blank(self._pen):
            return
        self._sent.append(_change(self._pen, cell.pen))
        self._pen = cell.pen

    def _forget_pen(self) -> None:
        self._pen = None
        self._at = None
        self._uncertain = False


def _runs(wanted: list[Cell], shown: list[Cell]) -> list[tuple[int, int]]:
    """Stretches of cells to send, short gaps of the same pen bridged; never from half a character."""
    runs: list[tuple[int, int]] = []
    for x, cell in enumerate(wanted):
        if cell == shown[x]:
            continue
        start = x
        while start and not wanted[start].text:
            start -= 1
        if runs and start <= runs[-1][1] + _BRIDGE and _one_pen(wanted[runs[-1][1] - 1 : x + 1]):
            runs[-1] = (runs[-1][0], x + 1)
        elif runs and start <= runs[-1][1]:
            runs[-1] = (runs[-1][0], max(x + 1, runs[-1][1]))
        else:
            runs.append((start, x + 1))
    return [(start, _whole(wanted, end)) for start, end in runs]


def _one_pen(cells: list[Cell]) -> bool:
    return all(cell.pen == cells[0].pen for cell in cells)


def _whole(row: list[Cell], end: int) -> int:
    """The end of a stretch, moved so that the last wide character is not cut in two."""
    while end < len(row) and not row[end].text:
        end += 1
    return end


def _is_wide(cell: Cell) -> bool:
    return bool(cell.text) and cell_len(cell.text) == 2


@lru_cache(4096)
def _cells(text: str, pen: Pen) -> list[Cell]:
    return [_cell(sign, pen) for sign in text]


@lru_cache(16384)
def _cell(sign: str, pen: Pen) -> Cell:
    return Cell(sign, _on_blank(pen) if sign == " " else pen)


@lru_cache(1024)
def _on_blank(pen: Pen) -> Pen:
    """The part of a pen that can be seen where there is no ink."""
    seen = pen.looks & _SEEN_ON_BLANKS
    return pen if seen else Pen("", pen.ground, frozenset())


@lru_cache(4096)
def _after(pen: Pen, params: str) -> Pen:
    """The pen after a Select Graphic Rendition with these parameters."""
    ink, ground, looks = pen
    words = params.split(";")
    while words:
        word = words.pop(0) or "0"
        if word == "0":
            ink, ground, looks = BARE
        elif word in ("38", "48"):
            length = 2 if words[:1] == ["5"] else 4
            colour = ";".join([word, *words[:length]])
            del words[:length]
            ink, ground = (colour, ground) if word == "38" else (ink, colour)
        elif word in _OFF:
            looks = looks | {word}
        elif word in _ENDS:
            looks = looks - _ENDS[word]
        elif word == "39" or word == "49":
            ink, ground = ("", ground) if word == "39" else (ink, "")
        elif word[:1] in "39" and len(word) == 2:
            ink = word
        elif word[:1] in "41" and len(word) in (2, 3):
            ground = word
    return Pen(ink, ground, looks)


@lru_cache(4096)
def _change(before: Pen | None, after: Pen) -> str:
    """The shortest Select Graphic Rendition that turns one pen into another."""
    afresh = ["", *sorted(after.looks), *filter(None, (after.ink, after.ground))]
    whole = ";".join(afresh) if len(afresh) > 1 else ""
    if before is None:
        return f"\x1b[0{whole}m" if whole else "\x1b[m"
    ended = before.looks - after.looks
    off = {_OFF[look] for look in ended}
    on = {look for look in after.looks if look not in before.looks or _OFF[look] in off}
    step = [*sorted(off), *sorted(on)]
    if before.ink != after.ink:
        step.append(after.ink or "39")
    if before.ground != after.ground:
        step.append(after.ground or "49")
    words = ";".join(step)
    return f"\x1b[{words}m" if len(words) < len(whole) else f"\x1b[{whole}m"
