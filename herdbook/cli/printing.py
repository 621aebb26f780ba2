"""A report printed on a terminal or into a pipe: facts, warnings and tables in the farm's units, 80 columns wide."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterable

import click
from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.text import Text

from herdbook.chores.ground import Ground
from herdbook.reports.blocks import report_parts
from herdbook.reports.figures import Report, Table

WIDTH = 80


def width() -> int:
    """As wide as the terminal, 80 in a pipe."""
    return max(40, shutil.get_terminal_size((WIDTH, 24)).columns) if sys.stdout.isatty() else WIDTH


def put(parts: Iterable[RenderableType]) -> None:
    """Print, in colours on a terminal only, and without blanks at line ends in a pipe."""
    out = Console(file=sys.stdout, width=width(), highlight=False, markup=False, emoji=False)
    if out.is_terminal:
        for part in parts:
            out.print(part)
        return
    with out.capture() as caught:
        for part in parts:
            out.print(part)
    click.echo("\n".join(line.rstrip() for line in caught.get().splitlines()))


def print_report(
    report: Report, ground: Ground, *, only: Table | None = None, invented: bool = False
) -> None:
    """Print a report, or one of its tables alone."""
    put(report_parts(report, ground, width(), only=only, aside="  (made-up farm)" if invented else ""))


def print_lines(lines: Iterable[str]) -> None:
    """Print lines of text, folded at the width with their own indent kept."""
    put(
        Padding(Text(line.strip(" ")), (0, 0, 0, len(line) - len(line.lstrip(" "))))
        for line in lines
    )  # fmt: skip
