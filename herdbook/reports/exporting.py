"""A report as other programs read it: a JSON object with units in its keys, and CSV rows no spreadsheet runs."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.reports.figures import Column, Figure, Line, Report, Table

Cell = float | int | str | bool | None

DECIMALS = 9
"""Numbers leave with this many decimals at most: below any stored resolution, above the noise of binary fractions."""

_RUNS_AS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
"""What makes a spreadsheet take a text for a formula (OWASP, "CSV Injection"), and the same signs in full width."""


def value_of(figure: Figure, column: Column | None, ground: Ground) -> Cell:
    """A figure's value for another program: instants as ISO 8601 with the farm's offset, always metric."""
    value = figure.value
    unit = figure.unit or (column.unit if column else "")
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return plain(value)
    if unit == "time":
        return ground.clock.iso(int(value))
    if isinstance(value, int):
        return value
    return _tidy(value)


def _tidy(value: float) -> Cell:
    if not math.isfinite(value):
        return None
    rounded = round(value, DECIMALS)
    return int(rounded) if rounded == int(rounded) and abs(rounded) < 2**53 else rounded


def as_json(report: Report, ground: Ground, *, farm: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """The report as a JSON object.

    Args:
        report: any report.
        ground: the farm's clock, and the instant the report is of.
        farm: `name`, `key` and `invented` of the farm, where the reader should know whose it is.
    """
    made: dict[str, Any] = {
        "report": report.key,
        "title": plain(report.title),
        "at": ground.clock.iso(ground.now_s),
    }
    if farm is not None:
        made["farm"] = dict(farm)
    made["facts"] = {
        key: value_of(figure, report.columns.get(key), ground) for key, figure in report.facts.items()
    }
    made |= _remarks(report.facts)
    made["tables"] = {
        table.key: [_row(table, line, ground) for line in table.lines] for table in report.tables
    }
    made["warnings"] = [plain(warning) for warning in report.warnings]
    return made


def _row(table: Table, line: Line, ground: Ground) -> dict[str, Any]:
    row: dict[str, Any] = {"name": plain(line.name)}
    row |= {column.key: value_of(line[column.key], column, ground) for column in table.columns}
    return row | _remarks(line.cells)


def _remarks(figures: Mapping[str, Figure]) -> dict[str, Any]:
    """What is flagged and what is missing, by key; neither appears where there is nothing to say."""
    flagged = {key: plain(figure.says) or figure.flag for key, figure in figures.items() if figure.flag}
    missing = {
        key: [plain(word) for word in figure.missing] for key, figure in figures.items() if figure.missing
    }
    return ({"flags": flagged} if flagged else {}) | ({"missing": missing} if missing else {})


def json_text(made: Any) -> str:
    """JSON as the program writes it everywhere: readable, letters as they are, no NaN."""
    return json.dumps(made, ensure_ascii=False, indent=2, allow_nan=False)


def csv_rows(table: Table, ground: Ground) -> Iterator[list[Cell]]:
    """A table's heading of keys and its rows; numbers as numbers, texts made harmless."""
    own_name = any(column.key == "name" for column in table.columns)
    lead: list[Cell] = [] if own_name else ["name"]
    yield [*lead, *(column.key for column in table.columns)]
    for line in table.lines:
        name: list[Cell] = [] if own_name else [harmless(plain(line.name))]
        yield [*name, *(_csv_cell(line[column.key], column, ground) for column in table.columns)]


def facts_rows(report: Report, ground: Ground) -> Iterator[list[Cell]]:
    """The single figures of a report as rows of key and value, for a report without tables."""
    yield ["name", "value"]
    for key, figure in report.facts.items():
        yield [key, _csv_cell(figure, report.columns.get(key), ground)]


def _csv_cell(figure: Figure, column: Column | None, ground: Ground) -> Cell:
    value = value_of(figure, column, ground)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return harmless(value) if isinstance(value, str) else value


def harmless(text: str) -> str:
    """A text that no spreadsheet takes for a formula: one that begins like one gets an apostrophe before it."""
    return f"'{text}" if text.startswith(_RUNS_AS_FORMULA) else text


def csv_text(rows: Iterator[Sequence[Cell]]) -> str:
    """Rows as RFC 4180 text, with plain line ends."""
    made = io.StringIO()
    csv.writer(made, lineterminator="\n").writerows(rows)
    return made.getvalue()
