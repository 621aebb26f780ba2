"""How the rows of a slip look: label, one or more places typed in, and what was understood."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len
from rich.text import Text

from herdbook.screens.parts.answer import Answer
from herdbook.screens.parts.field_drawing import NARROW, draw_well, read_back
from herdbook.screens.parts.lines import fit, padded, pieces
from herdbook.screens.parts.signs import UNICODE, SignSet
from herdbook.screens.parts.slip_sheet import SlipRow

LONGEST_LABEL = 14


def draw_rows(
    rows: Sequence[SlipRow],
    shown: range,
    width: int,
    *,
    at: tuple[int, int] | None,
    focused: bool,
    signs: SignSet = UNICODE,
) -> list[Text]:
    """Draw some of a slip's rows.

    Args:
        rows: all rows; columns are laid out for all of them, so nothing jumps while moving through them.
        shown: which rows to draw.
        width: cells there are.
        at: row and cell of the cursor, None where there is none.
        focused: whether the slip has the keys.
        signs: signs to draw with.
    """
    label_cells = min(LONGEST_LABEL, max(cell_len(row.asks[0].label) for row in rows))
    # One column of read-backs reads best, but on narrow screens their words need the cells more.
    column = 0 if width < NARROW else max(_wells_cells(row, width) for row in rows)
    lines = []
    for number in shown:
        row, cell = rows[number], at[1] if at and at[0] == number else None
        here = cell is not None
        # A round of several questions carries the label of the first one.
        label = padded(Text(row.asks[0].label, "bold" if here else "dust"), label_cells, signs=signs)
        wells = _wells(row, width, cell if focused else None, signs)
        wells = padded(wells, max(column, _wells_cells(row, width)), signs=signs)
        mark = pieces(" ", (signs.chosen if here else " ", "ice"), " ")
        line = pieces(mark, label, wells, "  ", read_back(_spoken(row, cell), signs))
        lines.append(fit(line, width - 1, signs))
    return lines


def _wells(row: SlipRow, width: int, focused_cell: int | None, signs: SignSet) -> Text:
    wells = Text()
    for cell, answer in enumerate(row.answers):
        cells = _cells_of(answer, width, len(row.answers))
        wells.append(" ")
        wells.append_text(draw_well(answer, cells, focused=cell == focused_cell, signs=signs))
    return wells


def _spoken(row: SlipRow, cell: int | None) -> Answer:
    """Choose which answer of a row is read back: that with the cursor, else the first that is not well."""
    if cell is not None:
        return row.answers[cell]
    return next((answer for answer in row.answers if answer.state in ("wrong", "asks")), row.answers[-1])


def _wells_cells(row: SlipRow, width: int) -> int:
    """Give the cells the places typed in and their units take, a blank before each included."""
    units = sum(cell_len(answer.unit_word) + 1 for answer in row.answers if answer.unit_word)
    return units + sum(_cells_of(answer, width, len(row.answers)) + 1 for answer in row.answers)


def _cells_of(answer: Answer, width: int, in_row: int) -> int:
    """Give the width of a place typed in: names are longer than numbers, and several share a row."""
    narrow = width < NARROW
    if answer.cells:
        return min(answer.cells, 18 if narrow else 36)
    if answer.unit_word:
        return 9 if narrow else 12
    if in_row > 1:
        return max(8, (24 if narrow else 36) // in_row)
    return 18 if narrow else 24
