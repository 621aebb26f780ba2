"""A curve of readings over time in plain signs: limits, readings, forecast, and gaps left as gaps."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from rich.cells import cell_len
from rich.text import Text

from herdbook.screens.parts.lines import pieces
from herdbook.screens.parts.signs import UNICODE, SignSet
from herdbook.screens.parts.text import Painted

AXIS_CELLS = 5
Point = tuple[float, float]


class LimitLine(NamedTuple):
    """A level that should not be crossed, with the word written into its line."""

    level: float
    word: str = ""
    role: str = "rule"


@dataclass(frozen=True)
class CurveSheet:
    """All a curve shows. Times in seconds on any one clock, levels in the unit shown.

    The scale is given, never taken from the readings, so that the same level stands in the same row every
    day; what lies outside is drawn at the edge as an arrow.

    Attributes:
        first_s, last_s: times at the left and right edge.
        lowest, highest: levels in the middle of the lowest and of the highest row.
        readings: (time, level), oldest first.
        forecast: (time, level), oldest first.
        gap_s: readings further apart than this are not joined.
        limits: lines drawn behind.
        deadline_s: time of the upright line, None for none; `deadline_level` is where it crosses its limit.
        expected: where the limit is expected to be reached, None without a forecast.
        levels: levels named at the left; `times` are named below.
        unit: unit word above the axis.
    """

    first_s: float
    last_s: float
    lowest: float
    highest: float
    readings: Sequence[Point] = ()
    forecast: Sequence[Point] = ()
    gap_s: float = 2 * 3600.0
    limits: Sequence[LimitLine] = ()
    deadline_s: float | None = None
    deadline_level: float | None = None
    expected: Point | None = None
    levels: Sequence[tuple[float, str]] = ()
    times: Sequence[tuple[float, str]] = ()
    unit: str = ""


class _Canvas:
    """Cells to draw on, and where a time and a level stand in them."""

    def __init__(self, sheet: CurveSheet, width: int, height: int, signs: SignSet) -> None:
        self.sheet, self.signs = sheet, signs
        self.width, self.height = width, height
        self.cells = [[(" ", "")] * width for _ in range(height)]

    def column(self, at_s: float) -> int:
        span_s = max(self.sheet.last_s - self.sheet.first_s, 1e-9)
        return round((at_s - self.sheet.first_s) / span_s * (self.width - 1))

    def time_s(self, column: int) -> float:
        span_s = self.sheet.last_s - self.sheet.first_s
        return self.sheet.first_s + span_s * column / max(self.width - 1, 1)

    def third(self, level: float) -> int:
        """Give the height of a level in thirds of a row, counted from the foot."""
        span = max(self.sheet.highest - self.sheet.lowest, 1e-9)
        return round((level - self.sheet.lowest) / span * 3 * (self.height - 1)) + 1

    def row(self, level: float) -> int:
        return self.height - 1 - self.third(level) // 3

    def put(self, column: int, row: int, sign: str, role: str) -> None:
        if 0 <= column < self.width and 0 <= row < self.height:
            self.cells[row][column] = (sign, role)

    def mark(self, column: int, level: float, role: str, sign: str = "") -> None:
        """Draw one sign of the line at its height, or `sign`; off the scale an arrow at the edge."""
        third = self.third(level)
        row = self.height - 1 - third // 3
        if row < 0:
            self.put(column, 0, self.signs.rising, role)
        elif row >= self.height:
            self.put(column, self.height - 1, self.signs.falling, role)
        else:
            self.put(column, row, sign or self.signs.heights[third % 3], role)


def curve(sheet: CurveSheet, width: int, height: int, signs: SignSet = UNICODE) -> list[Text]:
    """Draw the sheet in `width` x `height` cells, axes included; too small a place gives empty lines."""
    plot_width, plot_height = width - AXIS_CELLS, height - 1
    if plot_width < 8 or plot_height < 2 or sheet.last_s <= sheet.first_s:
        return [Text()] * height
    canvas = _Canvas(sheet, plot_width, plot_height, signs)
    _draw_limits(canvas)
    _draw_upright(canvas)
    _draw_forecast(canvas)
    _draw_readings(canvas)
    _draw_crossing(canvas)
    return _with_axes(canvas, width)


def _draw_limits(canvas: _Canvas) -> None:
    for number, limit in enumerate(canvas.sheet.limits):
        row = canvas.row(limit.level)
        for column in range(canvas.width):
            canvas.put(column, row, canvas.signs.rule, limit.role)
        # Words stand a little further right with each line, where the curve of a warm milking is not.
        word = f" {limit.word} "
        start = 2 + number * 12
        if limit.word and start + cell_len(word) < canvas.width:
            for offset, letter in enumerate(word):
                canvas.put(start + offset, row, letter, "dust")


def _draw_upright(canvas: _Canvas) -> None:
    if canvas.sheet.deadline_s is not None:
        column = canvas.column(canvas.sheet.deadline_s)
        for row in range(canvas.height):
            canvas.put(column, row, canvas.signs.upright, "rule")


def _draw_forecast(canvas: _Canvas) -> None:
    """Draw the forecast as spaced signs: every other column, so it never looks like something read."""
    sheet, points = canvas.sheet, canvas.sheet.forecast
    for before, after in pairwise(points):
        for column in range(
            max(canvas.column(before[0]), 0), min(canvas.column(after[0]), canvas.width - 1) + 1
        ):
            if column % 2 == 0:
                at_s = min(max(canvas.time_s(column), before[0]), after[0])
                late = sheet.deadline_s is not None and at_s > sheet.deadline_s
                canvas.mark(column, _between(before, after, at_s), "hay" if late else "chalk")


def _draw_readings(canvas: _Canvas) -> None:
    readings = canvas.sheet.readings
    for before, after in pairwise(readings):
        if after[0] - before[0] > canvas.sheet.gap_s:
            continue
        for column in range(canvas.column(before[0]) + 1, canvas.column(after[0])):
            canvas.mark(column, _between(before, after, canvas.time_s(column)), "ice")
    for at_s, level in readings:
        canvas.mark(canvas.column(at_s), level, "ice", canvas.signs.now)


def _draw_crossing(canvas: _Canvas) -> None:
    sheet = canvas.sheet
    if sheet.expected is not None:
        late = sheet.deadline_s is not None and sheet.expected[0] > sheet.deadline_s
        column = canvas.column(sheet.expected[0])
        if sheet.deadline_s is not None and column == canvas.column(sheet.deadline_s):
            column += 1 if late else -1  # its own side of the deadline, whatever the rounding
        canvas.mark(column, sheet.expected[1], "hay" if late else "ice", canvas.signs.expected)
    if sheet.deadline_s is not None and sheet.deadline_level is not None:
        canvas.put(
            canvas.column(sheet.deadline_s), canvas.row(sheet.deadline_level), canvas.signs.limit, "chalk"
        )


def _between(before: Point, after: Point, at_s: float) -> float:
    if after[0] <= before[0]:
        return after[1]
    return before[1] + (after[1] - before[1]) * (at_s - before[0]) / (after[0] - before[0])


def _with_axes(canvas: _Canvas, width: int) -> list[Text]:
    sheet = canvas.sheet
    names = {
        canvas.row(level): word for level, word in sheet.levels if 0 <= canvas.row(level) < canvas.height
    }
    if sheet.unit:
        names.setdefault(0, sheet.unit)
    lines = []
    for row, cells in enumerate(canvas.cells):
        name = names.get(row, "")[: AXIS_CELLS - 1]
        lines.append(pieces((name.rjust(AXIS_CELLS - 1), "dust"), " ", *cells))
    foot = [" "] * width
    free_from = 0
    for at_s, word in sheet.times:
        column = AXIS_CELLS + canvas.column(at_s) - cell_len(word) // 2
        column = min(max(column, AXIS_CELLS), width - cell_len(word))
        if column >= free_from and sheet.first_s <= at_s <= sheet.last_s:
            foot[column : column + len(word)] = word
            free_from = column + cell_len(word) + 1
    return [*lines, Text("".join(foot), "dust")]


class Curve(Painted):
    """A curve that fills the place it is given.

    Args:
        sheet: what to show, or a function of (width, height) that gives it; None shows nothing.
    """

    DEFAULT_CSS = "Curve { height: 1fr; }"

    def __init__(
        self,
        sheet: CurveSheet | Callable[[int, int], CurveSheet] | None = None,
        *,
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self._sheet = sheet

    def show(self, sheet: CurveSheet | Callable[[int, int], CurveSheet] | None) -> None:
        """Show another sheet; sends only what differs."""
        self._sheet = sheet
        self.freshen()

    def paint(self, width: int, height: int) -> Sequence[Text]:
        if self._sheet is None:
            return []
        sheet = self._sheet if isinstance(self._sheet, CurveSheet) else self._sheet(width, height)
        return curve(sheet, width, height, self.signs)
