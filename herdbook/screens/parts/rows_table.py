"""A light table: one chosen row, columns that give way when narrow, words in place of a scrollbar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from rich.cells import cell_len
from rich.text import Text
from textual import events
from textual.message import Message

from herdbook.screens.parts.lines import padded, pieces
from herdbook.screens.parts.signs import UNICODE, SignSet
from herdbook.screens.parts.text import Painted

GAP = 2
FEWEST_GROWING_CELLS = 6


@dataclass(frozen=True)
class Column:
    """One column of a table.

    Attributes:
        title: word above it.
        cells: its width; the least width of a growing column.
        align: side its text stands on.
        role: role of its text where a cell names none; such cells stay quiet in the chosen row.
        from_width: the table leaves the column out where it is narrower than this many cells.
        grows: takes the cells that are left over (shared evenly between growing columns).
    """

    title: str
    cells: int
    align: Literal["left", "right"] = "left"
    role: str = ""
    from_width: int = 0
    grows: bool = False


@dataclass(frozen=True)
class Row:
    """One row: a key that stays the same, one cell a column, a sign before it, struck through or not."""

    key: str
    cells: Sequence[Text | str]
    sign: Text | str = ""
    struck: bool = False


class Window(NamedTuple):
    """Which rows are in view, and whether a line is kept for the words about the others."""

    first: int
    last: int
    words: bool


def laid_out(columns: Sequence[Column], width: int, gap: int = GAP) -> list[tuple[int, int]]:
    """Choose the columns that fit and their widths, as (place in `columns`, cells).

    Columns go by their `from_width` first; then growing columns take or give what is over or short; then
    columns are left out from the right, the first one never.
    """
    kept = [at for at, column in enumerate(columns) if width >= column.from_width]
    while len(kept) > 1 and _least(columns, kept, gap) > width:
        kept.pop()
    growing = [at for at in kept if columns[at].grows]
    spare = width - sum(columns[at].cells for at in kept) - gap * (len(kept) - 1)
    widths = []
    for at in kept:
        cells = columns[at].cells
        if at in growing:
            share = spare // len(growing) + (1 if growing.index(at) < spare % len(growing) else 0)
            cells = max(min(FEWEST_GROWING_CELLS, cells), cells + share)
        widths.append((at, cells))
    return widths


def _least(columns: Sequence[Column], kept: Sequence[int], gap: int) -> int:
    least = [
        min(FEWEST_GROWING_CELLS, columns[at].cells) if columns[at].grows else columns[at].cells
        for at in kept
    ]
    return sum(least) + gap * (len(kept) - 1)


def window_of(count: int, chosen: int, first: int, height: int) -> Window:
    """Choose the rows in view so that the chosen one is among them.

    Rows move by half a window at a time, not one by one: most steps then send two rows, not all.
    """
    if count <= height:
        return Window(0, count, False)
    room = max(1, height - 1)
    first = min(max(first, 0), count - room)
    if chosen < first:
        first = max(0, min(chosen, first - room // 2))
    elif chosen >= first + room:
        first = min(count - room, max(chosen - room + 1, first + room // 2))
    return Window(first, first + room, True)


def more_words(count: int, window: Window, noun: str, signs: SignSet = UNICODE) -> Text:
    """Say what is not in view: `4 more pens, PgDn`, `3 pens above, PgUp`."""
    above, below = window.first, count - window.last
    up = f"{above} {noun} above, PgUp" if above else ""
    down = f"{below} more {noun}, PgDn" if below else ""
    return Text("   ".join(filter(None, (up, down))), "dust")


def row_text(
    row: Row,
    columns: Sequence[Column],
    widths: Sequence[tuple[int, int]],
    *,
    chosen: bool,
    signed: bool,
    signs: SignSet,
    gap: int = GAP,
) -> Text:
    """Draw one row; the chosen one carries the sign for it, a ground of its own and bold figures."""
    mark = (signs.chosen, "ice") if chosen else " "
    sign = padded(row.sign, 1, signs=signs)
    line = pieces(mark, " ", sign, " ") if signed else pieces(" ", mark, " ")
    for place, (at, cells) in enumerate(widths):
        column = columns[at]
        cell = row.cells[at] if at < len(row.cells) else ""
        text = cell.copy() if isinstance(cell, Text) else Text(cell)
        if row.struck and not column.role:
            text.stylize("dust strike")
        shown = padded(text, cells, column.align, signs)
        if column.role:
            shown.stylize_before(column.role)
        elif chosen:
            shown.stylize("bold")
        line.append_text(shown)
        if place < len(widths) - 1:
            line.append(" " * gap)
    return line


class RowsTable(Painted, can_focus=True):
    """A table of a few hundred rows at most, moved through by keys.

    Args:
        columns: its columns.
        rows: its rows, may come later by `show`.
        noun: what its rows are, in the plural, for "4 more pens, PgDn".
        header: whether the titles of the columns stand above.
        signed: whether rows have a sign before them.
        follows: moved only by the program (a number field's rows): never in focus.
        empty: said where there are no rows, once that is known.
        gap: blanks between columns.
        marked: whether the chosen row stands out; a list that is only read has none.
    """

    DEFAULT_CSS = "RowsTable { height: 1fr; }"

    class Moved(Message):
        """Another row was chosen, by key or by the program's `step`."""

        def __init__(self, table: RowsTable, key: str) -> None:
            super().__init__()
            self.table, self.key = table, key

        @property
        def control(self) -> RowsTable:
            return self.table

    class Opened(Message):
        """Enter was pressed on a row."""

        def __init__(self, table: RowsTable, key: str) -> None:
            super().__init__()
            self.table, self.key = table, key

        @property
        def control(self) -> RowsTable:
            return self.table

    def __init__(
        self,
        columns: Sequence[Column],
        rows: Sequence[Row] | None = None,
        *,
        noun: str = "rows",
        header: bool = True,
        signed: bool = False,
        follows: bool = False,
        empty: str = "",
        gap: int = GAP,
        marked: bool = True,
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self._gap, self._marked = gap, marked
        self.columns = list(columns)
        self.rows: list[Row] = list(rows or ())
        self._noun, self._header, self._signed, self._empty = noun, header, signed, empty
        self.can_focus = not follows
        self._chosen = 0
        self._first = 0
        self._is_told = rows is not None

    @property
    def chosen(self) -> str | None:
        """Key of the chosen row, None when there are no rows."""
        return self.rows[self._chosen].key if self.rows else None

    def show(self, rows: Sequence[Row]) -> None:
        """Show other rows; the chosen row stays chosen by its key, else by its place."""
        key, before = self.chosen, len(self.rows)
        self.rows, self._is_told = list(rows), True
        places = {row.key: at for at, row in enumerate(self.rows)}
        self._chosen = places.get(key or "", min(self._chosen, max(len(self.rows) - 1, 0)))
        if len(self.rows) != before:
            self.refresh(layout=True)
        else:
            self.freshen()

    def show_columns(self, columns: Sequence[Column]) -> None:
        """Show other columns, such as when units change."""
        self.columns = list(columns)
        self.freshen()

    def choose(self, key: str) -> bool:
        """Choose a row by its key; says whether there is such a row. No message is sent."""
        for at, row in enumerate(self.rows):
            if row.key == key:
                self._chosen = at
                self.freshen()
                return True
        return False

    def step(self, by: int) -> bool:
        """Choose the row `by` places below (above when negative), stopping at the ends; send `Moved`."""
        to = min(max(self._chosen + by, 0), len(self.rows) - 1)
        if not self.rows or to == self._chosen:
            return False
        self._chosen = to
        self.freshen()
        self.post_message(self.Moved(self, self.rows[to].key))
        return True

    def page(self, by: int) -> bool:
        """Move by whole windows."""
        return self.step(by * max(1, self._room(self.size.height) - 1))

    async def on_key(self, event: events.Key) -> None:
        steps = {"up": -1, "down": 1, "home": -len(self.rows), "end": len(self.rows)}
        if event.key in steps:
            self.step(steps[event.key])
        elif event.key in ("pageup", "pagedown"):
            self.page(-1 if event.key == "pageup" else 1)
        elif event.key == "enter" and self.chosen is not None:
            self.post_message(self.Opened(self, self.chosen))
        else:
            return
        event.stop()
        event.prevent_default()

    def lines_wanted(self, width: int) -> int:
        return max(len(self.rows), 1) + self._header

    def _room(self, height: int) -> int:
        return max(1, height - self._header)

    def paint(self, width: int, height: int) -> Sequence[Text]:
        signs, prefix = self.signs, 4 if self._signed else 3
        widths = laid_out(self.columns, max(width - prefix - 1, 1), self._gap)
        lines = [self._titles(widths, prefix)] if self._header else []
        if not self.rows:
            return [*lines, pieces(" " * prefix, (self._empty if self._is_told else "", "dust"))]
        window = window_of(len(self.rows), self._chosen, self._first, self._room(height))
        self._first = window.first
        for at in range(window.first, window.last):
            chosen = self._marked and at == self._chosen
            line = row_text(
                self.rows[at],
                self.columns,
                widths,
                chosen=chosen,
                signed=self._signed,
                signs=signs,
                gap=self._gap,
            )
            if chosen:
                line.append(" " * max(0, width - cell_len(line.plain)))
                line.stylize_before("on-bed")
            lines.append(line)
        if window.words:
            lines.append(pieces(" " * prefix, more_words(len(self.rows), window, self._noun, signs)))
        return lines

    def _titles(self, widths: Sequence[tuple[int, int]], prefix: int) -> Text:
        line = Text(" " * prefix)
        for place, (at, cells) in enumerate(widths):
            column = self.columns[at]
            line.append_text(padded(Text(column.title, "dust"), cells, column.align, self.signs))
            line.append(" " * self._gap if place < len(widths) - 1 else "")
        return line
