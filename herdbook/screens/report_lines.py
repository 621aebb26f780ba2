"""A report as lines to read on a screen: warnings, facts, and tables in blocks that fit the width."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import takewhile
from textwrap import wrap

from rich.cells import cell_len
from rich.text import Text

from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.reports.figures import Report, Table
from herdbook.reports.showing import flagged, heading, shown
from herdbook.screens.parts.lines import padded, pieces
from herdbook.screens.parts.signs import SignSet

INDENT = 3
GAP = 2
WORDS = 22
"""Words of a column are folded beyond this, so that figures keep their place beside them."""
ROLES = {"!": "warn", "!!": "late", "?": "hay"}


def lines_of_report(report: Report, ground: Ground, width: int, signs: SignSet) -> list[Text]:
    """The whole report but its title.

    Args:
        report: what is told.
        ground: the farm's units and clock.
        width: cells of the screen.
        signs: the signs of the terminal.
    """
    lines = [pieces("   ", (signs.look, "warn"), f"  {plain(words)}") for words in report.warnings]
    for key, figure in report.facts.items():
        column = report.columns[key]
        words = flagged(figure, shown(figure, column, ground, with_unit=True))
        lines.append(pieces(f"   {plain(column.label)}  ", (words, ROLES.get(figure.flag, "bold"))))
    for table in report.tables:
        lines += [Text(), Text(f"   {plain(table.title)}", "bold")]
        if not table.lines:
            lines.append(Text(f"   {plain(table.nothing)}", "dust"))
            continue
        for number, block in enumerate(_blocks(_columns(table, ground), width - INDENT - 1)):
            lines += [Text()] * bool(number)
            lines += _drawn(block, signs)
    return lines


@dataclass(frozen=True, slots=True)
class _Set:
    """One column as it is set: heading and cells folded to its width, the rows in which something stands."""

    title: list[str]
    cells: list[list[str]]
    roles: list[str]
    is_number: bool
    written: frozenset[int]
    cells_wide: int


def _columns(table: Table, ground: Ground) -> list[_Set]:
    """The columns in which something stands."""
    found = []
    for column in table.columns:
        figures = [line[column.key] for line in table.lines]
        written = frozenset(at for at, one in enumerate(figures) if one.value not in (None, ""))
        if not written:
            continue
        texts = [flagged(one, shown(one, column, ground)) for one in figures]
        words = column.unit not in ("day", "time") and all(one.number is None for one in figures)
        longest = max(cell_len(text) for text in texts)
        title = heading(column, ground.units)
        cells_wide = min(longest, WORDS) if words else longest
        cells_wide = max(cells_wide, *(cell_len(word) for word in title.split()))
        found.append(
            _Set(
                wrap(title, cells_wide),
                [wrap(text, cells_wide) or [""] for text in texts],
                [ROLES.get(one.flag, "") for one in figures],
                any(one.number is not None for one in figures),
                written,
                cells_wide,
            )
        )
    return found


def _blocks(columns: Sequence[_Set], width: int) -> Iterator[tuple[list[_Set], list[int]]]:
    """Columns that fit beside each other with the rows they have; what does not fit stands beneath, named again."""
    leads = list(takewhile(lambda one: not one.is_number, columns[:1])) or list(columns[:1])
    chosen, first = list(leads), True
    for column in [*columns[len(leads) :], None]:
        wide = sum(one.cells_wide + GAP for one in [*chosen, *([column] if column else [])]) - GAP
        if column is None or (wide > width and len(chosen) > len(leads)):
            rows = range(len(leads[0].cells)) if leads else ()
            stand = [at for at in rows if first or any(at in one.written for one in chosen[len(leads) :])]
            yield chosen, stand
            chosen, first = list(leads), False
        if column is not None:
            chosen.append(column)


def _drawn(block: tuple[list[_Set], list[int]], signs: SignSet) -> Iterator[Text]:
    columns, rows = block
    yield from _row([(one, one.title, "dust") for one in columns], signs)
    for at in rows:
        yield from _row([(one, one.cells[at], one.roles[at]) for one in columns], signs)


def _row(cells: Sequence[tuple[_Set, list[str], str]], signs: SignSet) -> Iterator[Text]:
    """A row of folded cells: as many lines as the tallest has."""
    for at in range(max(len(parts) for _, parts, _ in cells)):
        line = Text(" " * INDENT)
        for place, (column, parts, role) in enumerate(cells):
            part = parts[at] if at < len(parts) else ""
            side = "right" if column.is_number else "left"
            line.append_text(padded(Text(part, role), column.cells_wide, side, signs))
            line.append(" " * GAP if place < len(cells) - 1 else "")
        line.rstrip()
        yield line
