"""How a field looks in one line: label, what is typed, unit, and what was understood of it."""

from __future__ import annotations

from rich.cells import cell_len
from rich.text import Text

from herdbook.plain import plain
from herdbook.screens.parts.answer import Answer
from herdbook.screens.parts.lines import fit, padded, pieces
from herdbook.screens.parts.signs import UNICODE, SignSet

NUMBER_CELLS = 12
NUMBER_CELLS_NARROW = 9
NARROW = 78


def well_cells(width: int, *, wide_text: bool = False) -> int:
    """Give the width of the place typed in, for a line of `width` cells."""
    if wide_text:
        return max(NUMBER_CELLS_NARROW, min(36, width * 2 // 5))
    return NUMBER_CELLS_NARROW if width < NARROW else NUMBER_CELLS


def draw_field(
    answer: Answer,
    width: int,
    *,
    label_cells: int = 0,
    cells: int = 12,
    focused: bool = True,
    signs: SignSet = UNICODE,
) -> Text:
    """Draw a field in a line of at most `width` cells.

    Args:
        answer: what it holds.
        width: cells there are; label and read-back give way first.
        label_cells: width of the label's column; 0 is the label's own width.
        cells: width of the place typed in.
        focused: whether it has the cursor.
        signs: signs to draw with.
    """
    label_cells = min(label_cells or cell_len(answer.label), max(width - cells - 1, 0))
    label = padded(Text(answer.label, "bold" if focused else ""), label_cells, signs=signs)
    well = draw_well(answer, cells, focused=focused, signs=signs)
    return pieces(label, " " if label_cells else "", well, "  ", read_back(answer, signs))


def draw_well(answer: Answer, cells: int, *, focused: bool, signs: SignSet = UNICODE) -> Text:
    """Draw the place typed in and the unit. The cursor is a cell in reverse: it shows without colours too.

    Out of focus it is plain text, and a dash where nothing is written and nothing stands in its place.
    """
    role = "dust" if answer.busy == "writing" else "typed"
    unit = f" {answer.unit_word}" if answer.unit_word else ""
    if not focused:
        if answer.text:
            shown = fit(Text(answer.text, "typed" if answer.state == "wrong" else ""), cells, signs)
        else:
            shown = Text("" if answer.present else signs.unwritten, "dust")
        return padded(pieces(shown, (unit, "dust")), cells + cell_len(unit), signs=signs)
    text, cursor = answer.line.view(cells)
    at = text[cursor : cursor + 1] or " "
    line = pieces(
        (text[:cursor], role),
        (at, "cursor" if role == "typed" else f"{role} reverse"),
        (text[cursor + 1 :], role),
    )
    line.append(" " * (cells - cell_len(line.plain)), role)
    line.append(unit)
    return line


def read_back(answer: Answer, signs: SignSet = UNICODE) -> Text:
    """Say what was understood, asked or found wrong; while empty, the present value or the hint."""
    state, understood = answer.spoken
    if state == "writing":
        return Text("writing", "dust")
    if state in ("empty", "written"):
        now = f"{plain(answer.present)} now" if answer.present else ""
        return pieces((now, "chalk"), "  " if now and answer.hint else "", (answer.hint, "dust"))
    if understood is None:
        return Text()
    if state == "wrong":
        return pieces((signs.look, "alert"), " ", (first_sentence(plain(understood.error)), "bold"))
    shown = plain(understood.shown)
    if state == "asks":
        return pieces(
            (signs.look, "warn"), " ", (plain(understood.ask), "bold"), "  " if shown else "", shown
        )
    return pieces(_name_part(answer, signs), _with_ok(shown, signs))


def _name_part(answer: Answer, signs: SignSet) -> Text:
    """The suggested name and how many others fit, while a part of it is typed."""
    name = answer.suggested
    if not name or name == answer.text:
        return Text()
    others = len(answer.matches) - 1
    more = f"  {others} more {signs.updown}  " if others else "  "
    return pieces((f"{signs.reads} ", "ice"), (plain(name), "bold"), (more, "dust"))


def _with_ok(shown: str, signs: SignSet) -> Text:
    if not shown:
        return Text()
    words, last = (shown[:-2], "ok") if shown == "ok" or shown.endswith(" ok") else (shown, "")
    arrow = pieces((f"{signs.reads} ", "ice")) if words.strip() else Text()
    return pieces(arrow, (words.rstrip(), "bold"), "  " if last and words.strip() else "", (last, "clover"))


def first_sentence(sentences: str) -> str:
    """Give the first sentence without its full stop; a point within a number ends nothing."""
    first = sentences.split(". ", 1)[0]
    return first.removesuffix(".")
