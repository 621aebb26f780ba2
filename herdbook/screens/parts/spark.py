"""A small trend of a few values, one sign each, that can stand in a table cell."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import isfinite

from rich.text import Text

from herdbook.screens.parts.signs import UNICODE, SignSet


def scale_of(rows: Iterable[Sequence[float | None]]) -> tuple[float, float]:
    """Give the lowest and highest value of several rows, so that their trends share one scale."""
    values = [value for row in rows for value in row if value is not None and isfinite(value)]
    return (min(values), max(values)) if values else (0.0, 1.0)


def spark(
    values: Sequence[float | None],
    lowest: float | None = None,
    highest: float | None = None,
    *,
    cells: int = 8,
    signs: SignSet = UNICODE,
) -> Text:
    """Draw the newest `cells` values, oldest first, newest at the right; a missing value is a blank.

    Args:
        values: oldest first, None where not written.
        lowest: value at the foot of the scale; the row's own lowest when not given.
        highest: value at the top of the scale; the row's own highest when not given.
        cells: how many values to show; fewer values stand at the right.
        signs: signs to draw with.
    """
    shown = list(values)[-cells:] if cells > 0 else []
    own_low, own_high = scale_of([shown])
    bottom = own_low if lowest is None else lowest
    top = own_high if highest is None else highest
    steps = signs.steps
    middle = steps[(len(steps) - 1) // 2]

    def sign(value: float | None) -> str:
        if value is None or not isfinite(value):
            return " "
        if top <= bottom:
            return middle
        share = min(max((value - bottom) / (top - bottom), 0.0), 1.0)
        return steps[min(int(share * len(steps)), len(steps) - 1)]

    return Text("".join(map(sign, shown)).rjust(max(cells, 0)), "ice")
