"""What was written, newest first: corrections and struck entries stay in view with their marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from rich.text import Text

from herdbook.plain import plain
from herdbook.screens.parts.rows_table import Column, Row, RowsTable
from herdbook.screens.parts.signs import SignSet

NARROW = 56


@dataclass(frozen=True)
class LedgerEntry:
    """One entry as the ledger shows it.

    Attributes:
        key: number of the entry in the book, as text.
        when: such as `06:45` or `Mon 16:02–18:08`.
        what: kind of entry.
        details: its figures and words.
        who: who wrote it.
        mark: `corrects` for one that takes another's place, `struck` for one that no longer counts.
    """

    key: str
    when: str
    what: str
    details: str
    who: str = ""
    mark: Literal["", "corrects", "struck"] = ""


class Ledger(RowsTable):
    """A table of entries, newest first. Messages are those of the table: `Moved`, `Opened` with the key.

    Args:
        entries: newest first.
        when_cells: width of the column of times.
        what_cells: width of the column of kinds.
        empty: said where nothing was written yet.
        noun: what the entries are called, in the plural.
    """

    def __init__(
        self,
        entries: Sequence[LedgerEntry] = (),
        *,
        when_cells: int = 15,
        what_cells: int = 13,
        empty: str = "Nothing written yet.",
        noun: str = "entries",
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        self._widths = when_cells, what_cells
        super().__init__(
            self._columns_for(NARROW),
            noun=noun,
            header=False,
            signed=True,
            empty=empty,
            id=id,
            classes=classes,
        )
        self._entries = list(entries)

    def _columns_for(self, width: int) -> list[Column]:
        """What was written matters most: on narrow screens the time and the kind give way to it."""
        when_cells, what_cells = self._widths
        if width < NARROW:
            when_cells, what_cells = min(when_cells, 9), min(what_cells, 11)
        return [
            Column("", when_cells, role="dust"),
            Column("", what_cells),
            Column("", 20, grows=True),
            Column("", 10, align="right", role="dust", from_width=68),
        ]

    def paint(self, width: int, height: int) -> Sequence[Text]:
        self.columns = self._columns_for(width)
        return super().paint(width, height)

    def on_mount(self) -> None:
        self.show_entries(self._entries)

    def show_entries(self, entries: Sequence[LedgerEntry]) -> None:
        """Show these entries, newest first; the chosen one stays chosen."""
        self._entries = list(entries)
        self.show([_row(entry, self.signs) for entry in self._entries])

    @property
    def chosen_entry(self) -> LedgerEntry | None:
        return next((entry for entry in self._entries if entry.key == self.chosen), None)


def _row(entry: LedgerEntry, signs: SignSet) -> Row:
    sign = {
        "": Text(),
        "corrects": Text(signs.corrects, "hay"),
        "struck": Text(signs.struck, "dust"),
    }[entry.mark]
    cells = tuple(plain(cell) for cell in (entry.when, entry.what, entry.details, entry.who))
    return Row(entry.key, cells, sign, struck=entry.mark == "struck")
