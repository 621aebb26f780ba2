"""A logger's file, read whole: found out, shown, and either a series without a fault or every fault by line."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from itertools import islice
from pathlib import Path

from herdbook.chores.ground import Ground
from herdbook.chores.logger_layouts import Given, Layout, see_zone
from herdbook.chores.logger_rows import RowFault, Rows
from herdbook.chores.logger_series import Found, series_of
from herdbook.chores.logger_sniffing import LONGEST_LINE, MOST_LOOKED_AT, NUMBER, Columns, find_columns
from herdbook.chores.logger_times import EPOCH, STAMP, date_order, date_text
from herdbook.errors import Refused
from herdbook.plain import plain

HEAD_BYTES = 64_000
LARGEST_BYTES = 1_000_000_000
AllDates = Callable[[str, int], list[str]]
"""The dates of a whole file, by what parts its columns and the place of the date's."""


@dataclass(frozen=True, slots=True)
class LoggerFile:
    """A logger's file as it was read.

    Args:
        name: its name.
        sha256: hash of its bytes.
        lines: how many it has.
        layout: how it was read.
        found: the series, and every fault.
        half_line: the number of a last line without its end, which is left for the next time; 0 where there is none.
    """

    name: str
    sha256: str
    lines: int
    layout: Layout
    found: Found
    half_line: int

    @property
    def file(self) -> tuple[str, str, int]:
        """As the book keeps it."""
        return self.name, self.sha256, self.lines


def read_logger_file(
    path: Path, given: Given, ground: Ground, *, whole: bool = False, name: str = ""
) -> LoggerFile:
    """Read a file of readings.

    Args:
        path: the file.
        given: what is told of it.
        ground: the farm's clock and units; the instant it is.
        whole: the file is finished, so that a last line without its end counts.
        name: what it is called, if not by its own name.

    Raises:
        Refused: it cannot be read, or how it is laid out cannot be told. Wrong rows are in `found.faults`.
    """
    name = plain(name or path.name, longest=200) or "file"
    try:
        if not path.is_file():
            raise Refused(f"{name}: there is no such file.", remedy="Check the name.", field="file")
        if path.stat().st_size > LARGEST_BYTES:
            raise Refused(f"{name}: it is larger than 1 GB.", remedy="Split it.", field="file")
        with path.open("rb") as file:
            sha256 = hashlib.file_digest(file, "sha256").hexdigest()
            file.seek(0)
            encoding = encoding_of(file.read(HEAD_BYTES), name)
            file.seek(0)
            text = io.TextIOWrapper(file, encoding=encoding, errors="replace", newline=None)
            dates = partial(_all_dates, path, encoding)
            return _read(text, name, sha256, given, ground, whole, dates)
    except OSError as error:
        raise Refused(f"{name}: {error.strerror}.", remedy="Check who owns it.", field="file") from None


def encoding_of(head: bytes, name: str) -> str:
    """The encoding a text begins in; raises `Refused` where it is no text."""
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    if b"\0" in head:
        raise Refused(f"{name}: it is not a text file.", remedy="Save it as CSV and read that.", field="file")
    try:
        head[: head.rfind(b"\n") + 1].decode("utf-8")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8-sig"


class Lines:
    """The lines of a text one by one, counted; the last is held back where it has no end."""

    def __init__(self, text: io.TextIOBase, *, whole: bool) -> None:
        self._text = iter(partial(text.readline, LONGEST_LINE + 1), "")
        self._whole = whole
        self.count = 0
        self.half_line = 0

    def __iter__(self) -> Iterator[str]:
        for line in self._text:
            self.count += 1
            if len(line) > LONGEST_LINE:
                raise Refused(
                    f"line {self.count}: it is longer than {LONGEST_LINE:,} letters.",
                    remedy="It is no logger's file.",
                    field="file",
                )
            if not self._whole and not line.endswith("\n"):
                self.half_line = self.count
                return
            yield line


def _read(
    text: io.TextIOWrapper, name: str, sha256: str, given: Given, ground: Ground, whole: bool, dates: AllDates
) -> LoggerFile:
    lines = Lines(text, whole=whole)
    stream = iter(lines)
    head = list(islice(stream, MOST_LOOKED_AT))
    if not head:
        said = "it holds only half a line" if lines.half_line else "it is empty"
        raise Refused(f"{name}, line 1: {said}.", remedy="Wait until it is written.", field="file")
    layout = find_layout([line.rstrip("\n") for line in head], given, ground, dates)
    rows = read_rows(layout, _chain(head[layout.first_line - 1 :], stream), layout.first_line)
    try:
        found = series_of(rows, ground.now_s, ground.clock.iso)
    except Refused as error:
        raise Refused(
            f"{name}, line {layout.first_line}, {error.message}", remedy=error.remedy, field="unit"
        ) from None
    why = dict(layout.why) | ({"unit": found.why_unit} if found.why_unit else {})
    layout = replace(layout, unit=found.unit, decimal=rows.decimal, why=why)
    return LoggerFile(name, sha256, lines.count, layout, found, lines.half_line)


def _chain(head: Sequence[str], rest: Iterator[str]) -> Iterator[str]:
    yield from head
    yield from rest


def read_rows(layout: Layout, lines: Iterable[str], first_line: int) -> Rows:
    """Rows of lines, by a layout; a quote that is not closed is a fault of its line."""
    rows = Rows(layout)
    if layout.delimiter == " ":
        rows.read((line.split() for line in lines), first_line)
        return rows
    # a reading never runs over a line's end: a mark that opens without closing must not swallow the rest
    reader = csv.reader(_see_quotes(lines, rows, first_line), delimiter=layout.delimiter)
    rows.read(reader, first_line)
    return rows


def _see_quotes(lines: Iterable[str], rows: Rows, number: int) -> Iterator[str]:
    for line in lines:
        if len(line) > LONGEST_LINE:  # of a file that is followed; one that is imported is refused
            rows.faults.append(RowFault(number, "", f"it is longer than {LONGEST_LINE:,} letters."))
            line = "\n"
        elif '"' in line and line.count('"') % 2:
            rows.faults.append(RowFault(number, "", "a quote is opened and not closed."))
            line = "\n"
        number += 1
        yield line


def find_layout(
    lines: Sequence[str], given: Given, ground: Ground, all_dates: AllDates | None = None
) -> Layout:
    """How a file is laid out, from its first lines.

    Args:
        lines: the first lines, without their ends.
        given: what is told.
        ground: the farm's clock.
        all_dates: called for the dates of the whole file where the first lines do not tell their order.

    Raises:
        Refused: something cannot be told and was not given.
    """
    columns = find_columns(lines, given)
    why: dict[str, str] = {}
    kind, order, zone = "calendar", "", ""
    if columns.is_epoch:
        times = (row[columns.time_at] for row in columns.rows if columns.time_at < len(row))
        found = EPOCH.fullmatch(next(times, ""))  # a row may be cut short
        kind = "milliseconds" if found and found["ms"] else "seconds"
    else:
        today = ground.clock.local(ground.now_s).date()
        order, why["date_order"] = _order(columns, given, today, all_dates)
        zone, why["zone"] = _zone(columns, given, ground)
    decimal = {"point": ".", "comma": ","}.get(given.decimal, "") or _decimal(columns)
    unit, why["unit"] = _unit(columns, given)
    return Layout(
        columns.delimiter,
        columns.first_line,
        columns.headings,
        columns.time_at,
        columns.date_at,
        columns.temperature_at,
        kind,
        order,
        zone,
        decimal,
        unit,
        why,
    )


def dates_of(lines: Iterable[str], delimiter: str, at: int) -> list[str]:
    """Every different date of lines in turn."""
    rows = (line.split() for line in lines) if delimiter == " " else csv.reader(lines, delimiter=delimiter)
    first: dict[str, str] = {}
    for row in rows:
        if at < len(row):
            first.setdefault(
                row[at][:10], row[at]
            )  # a date is no shorter; few of a million rows are looked at
    return _dates(([text] for text in first.values()), 0)


def _dates(rows: Iterable[Sequence[str]], at: int) -> list[str]:
    return [
        text for text in dict.fromkeys(date_text(row[at].strip()) for row in rows if at < len(row)) if text
    ]


def _order(columns: Columns, given: Given, today: date, all_dates: AllDates | None) -> tuple[str, str]:
    if given.date_order:
        return given.date_order, "as given"
    at = columns.time_at if columns.date_at is None else columns.date_at
    try:
        return date_order(_dates(columns.rows, at), today, are_all=all_dates is None)
    except Refused as error:
        if all_dates is None:
            raise
        try:
            return date_order(all_dates(columns.delimiter, at), today)
        except Refused:
            raise Refused(
                f"line {columns.first_line}: {error.message}", remedy=error.remedy, field=error.field
            ) from None


def _all_dates(path: Path, encoding: str, delimiter: str, at: int) -> list[str]:
    """Every different date of a file in turn; it is read once more for that."""
    with path.open(encoding=encoding, errors="replace") as text:
        return dates_of(text, delimiter, at)


def _zone(columns: Columns, given: Given, ground: Ground) -> tuple[str, str]:
    stamps = [STAMP.fullmatch(row[columns.time_at]) for row in columns.rows if columns.time_at < len(row)]
    told = [found for found in stamps if found is not None and (found["zone"] or found["zone2"])]
    if 2 * len(told) > len(stamps):
        return "", ""
    if given.zone:
        see_zone(given.zone)
        return given.zone, "as given"
    heading = columns.headings[columns.time_at] if columns.time_at < len(columns.headings) else ""
    if any(
        word in heading.upper().replace("(", " ").replace(")", " ").split() for word in ("UTC", "GMT", "Z")
    ):
        return "UTC", f"the heading says {plain(heading, longest=40)!r}"
    return ground.clock.zone_name, "the farm's, as the file has none"


def _decimal(columns: Columns) -> str:
    for row in columns.rows:
        found = NUMBER.fullmatch(row[columns.temperature_at]) if columns.temperature_at < len(row) else None
        if found and found["mark"]:
            return found["mark"]
    return ""


def _unit(columns: Columns, given: Given) -> tuple[str, str]:
    if given.unit:
        return given.unit, "as given"
    found = [
        NUMBER.fullmatch(row[columns.temperature_at])
        for row in columns.rows
        if columns.temperature_at < len(row)
    ]
    in_cells = {match["unit"].upper() for match in found if match and match["unit"]}
    by_heading = columns.unit_by_heading
    if by_heading and in_cells - {by_heading} and all(match["unit"] for match in found if match):
        raise Refused(
            f"line {columns.first_line}: the heading says °{by_heading}, the rows say °{in_cells.pop()}.",
            remedy="Give --unit C or --unit F.",
            field="unit",
        )
    if by_heading:
        return by_heading, "by its heading"
    if len(in_cells) == 1:
        return in_cells.pop(), "it stands beside each"
    return "", ""
