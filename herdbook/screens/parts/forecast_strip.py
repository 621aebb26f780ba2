"""Times ahead and the values expected then, in two lines, with the limit where it falls."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from rich.cells import cell_len
from rich.text import Text

from herdbook.screens.parts.lines import fit, padded
from herdbook.screens.parts.signs import UNICODE, SignSet


class Ahead(NamedTuple):
    """One moment ahead: its time and expected value in words, and whether it lies after the limit."""

    time: str
    value: str
    late: bool = False


def forecast_strip(
    points: Sequence[Ahead], width: int, *, label: str = "Expect", unit: str = "", signs: SignSet = UNICODE
) -> list[Text]:
    """Draw the points in two lines of at most `width` cells, in the order given (oldest first).

    Where they do not all fit, points in the middle are left out; the first, the last before the limit,
    the first after it and the last stay as long as there is room. No points: one line says so.
    """
    if not points:
        return [Text(f"{label}: no forecast yet", "dust")]
    label_cells = max(cell_len(label), cell_len(unit))
    column = max(max(cell_len(point.time), cell_len(point.value)) for point in points) + 2
    border = next((at for at, point in enumerate(points) if point.late), None)
    if border == 0:
        border = None  # all of it is after the limit: there is no place between two points to mark
    room = (width - label_cells - (2 if border is not None else 0)) // column
    kept = _kept(len(points), border, max(1, room))
    top = padded(Text(label, "dust"), label_cells)
    below = padded(Text(unit, "dust"), label_cells, "right")
    for at in kept:
        point = points[at]
        if border is not None and at >= border and (at == kept[0] or kept[kept.index(at) - 1] < border):
            top.append(f" {signs.limit}", "bold")
            below.append(f" {signs.limit}", "bold")
        top.append_text(padded(Text(point.time, "dust"), column, "right"))
        below.append_text(padded(Text(point.value, "hay" if point.late else "chalk"), column, "right"))
    return [fit(top, width, signs), fit(below, width, signs)]


def _kept(count: int, border: int | None, room: int) -> list[int]:
    """Choose which points to show: the telling ones first, then from the start."""
    telling = [0, count - 1] if border is None else [border, border - 1, count - 1, 0]
    order = [*dict.fromkeys([*telling, *range(count)])]
    return sorted(order[:room])
