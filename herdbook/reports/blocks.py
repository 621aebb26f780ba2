"""A report set in a width of so many cells: what does not fit beside stands beneath, and no number is ever cut."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import takewhile

from rich.cells import cell_len
from rich.console import RenderableType
from rich.table import Table as Grid
from rich.text import Text

from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.reports.figures import Column, Figure, Report, Table
from herdbook.reports.showing import flagged, heading, shown

GAP = 2
WORDS = 18
"""A column of words is not squeezed under this, or under its own longest text."""

STYLES = {"!": "bold yellow", "!!": "bold red", "?": "dim"}


def report_parts(
    report: Report, ground: Ground, wide: int, *, only: Table | None = None, aside: str = ""
) -> list[RenderableType]:
    """What a report is printed as: title, warnings, facts and tables, or one of its tables alone.

    Args:
        report: the report.
        ground: the farm's units and clock.
        wide: cells of a line.
        only: the one table that is wanted.
        aside: said behind the title.
    """
    if only is not None:
        return list(_table(only, ground, wide))
    parts: list[RenderableType] = [Text(plain(report.title), style="bold") + Text(aside)]
    parts += [_hanging("! ", plain(warning), wide) for warning in report.warnings]
    parts += [_facts(report, ground)] if report.facts else []
    for table in report.tables:
        told = table.title == report.title
        parts += ["", *_table(table, ground, wide, titled=not told)]
    return parts


def _hanging(lead: str, text: str, wide: int) -> Text:
    lines = textwrap.wrap(text, wide, initial_indent=lead, subsequent_indent=" " * len(lead))
    return Text("\n".join(lines), style="bold yellow")


def _facts(report: Report, ground: Ground) -> Grid:
    grid = Grid.grid(padding=(0, GAP, 0, 0))
    grid.add_column(overflow="fold")
    grid.add_column(overflow="fold")
    for key, figure in report.facts.items():
        column = report.columns[key]
        grid.add_row(Text(column.label), cell(figure, column, ground, with_unit=True))
    return grid


def _table(table: Table, ground: Ground, wide: int, *, titled: bool = True) -> Iterator[RenderableType]:
    if titled:
        yield Text(plain(table.title), style="bold")
    if not table.lines:
        yield Text(plain(table.nothing))
    for number, block in enumerate(blocks(table, ground, wide) if table.lines else ()):
        if number:
            yield ""
        yield block


def cell(figure: Figure, column: Column, ground: Ground, *, with_unit: bool = False) -> Text:
    """A figure as it stands in a table: its text with its flag in words, coloured by the flag."""
    text = shown(figure, column, ground, with_unit=with_unit)
    return Text(flagged(figure, text), style=STYLES.get(figure.flag, ""))


def blocks(table: Table, ground: Ground, wide: int) -> Iterator[Grid]:
    """The table as grids that fit a width: what does not fit beside stands beneath, with its names again.

    A number, a day or a time is never cut or folded; words fold. Columns in which nothing stands are left out, and
    beneath also the rows in which nothing more stands.
    """
    columns = [_Set.of(column, table, ground) for column in table.columns]
    standing = [one for one in columns if one.written] or columns[:1]
    first, leads = True, len(_leads(standing))
    for chosen in _fitting(standing, wide):
        widths = _widths(chosen, wide)
        grid = Grid(box=None, pad_edge=False, padding=(0, GAP, 0, 0), header_style="bold")
        for one, its_width in zip(chosen, widths, strict=True):
            grid.add_column(
                Text(one.title), justify="right" if one.number else "left", overflow="fold", width=its_width
            )
        for number, row in enumerate(zip(*(one.cells for one in chosen), strict=True)):
            if first or any(number in one.written for one in chosen[leads:]):
                grid.add_row(*row)
        yield grid
        first = False


@dataclass(frozen=True, slots=True)
class _Set:
    """One column as it is set: heading, cells, rows in which something stands, narrowest and best width."""

    title: str
    cells: tuple[Text, ...]
    number: bool
    written: frozenset[int]
    least: int
    best: int

    @classmethod
    def of(cls, column: Column, table: Table, ground: Ground) -> _Set:
        figures = [line[column.key] for line in table.lines]
        title = heading(column, ground.units)
        cells = tuple(cell(figure, column, ground) for figure in figures)
        dated = column.unit in ("day", "time")
        number = not dated and any(figure.number is not None for figure in figures)
        longest = max(cell.cell_len for cell in cells)
        words = title.split() + ([] if dated or number else [w for cell in cells for w in cell.plain.split()])
        word = max((cell_len(word) for word in words), default=1)
        least = max(word, longest if dated or number else min(longest, WORDS))
        written = frozenset(row for row, figure in enumerate(figures) if figure.value not in (None, ""))
        return cls(title, cells, number, written, least, max(longest, cell_len(title), least))


def _fitting(columns: Sequence[_Set], wide: int) -> Iterator[list[_Set]]:
    leads = _leads(columns)
    chosen = list(leads)
    for column in columns[len(leads) :]:
        if sum(one.least + GAP for one in [*chosen, column]) - GAP > wide and len(chosen) > len(leads):
            yield chosen
            chosen = list(leads)
        chosen.append(column)
    yield chosen


def _leads(columns: Sequence[_Set]) -> list[_Set]:
    """The columns that name a row: those before the first number, two at most."""
    found = list(takewhile(lambda one: not one.number, columns[:2]))
    return found or list(columns[:1])


def _widths(columns: Sequence[_Set], wide: int) -> list[int]:
    """Every column's least width; what is left goes to words before headings, the smallest wish first."""
    widths = {id(one): one.least for one in columns}
    spare = wide - sum(widths.values()) - GAP * (len(columns) - 1)
    for one in sorted(columns, key=lambda one: (one.number, one.best - one.least)):
        more = max(0, min(one.best - one.least, spare))
        widths[id(one)] += more
        spare -= more
    return [widths[id(one)] for one in columns]
