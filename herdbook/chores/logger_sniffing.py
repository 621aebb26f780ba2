"""Finding out how a logger's file is laid out, from its first lines: what parts the columns, and which is which."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice, pairwise

from herdbook.chores.logger_layouts import DELIMITERS, Given
from herdbook.chores.logger_times import DATE, EPOCH, STAMP, TIME
from herdbook.errors import Refused
from herdbook.plain import plain

MOST_LOOKED_AT = 400
"""Lines that are looked at to find the columns; the longest preamble a reader will sit through is far shorter."""
MOST_COLUMNS = 100
LONGEST_LINE = 20_000
"""No logger writes a longer line; a file of one endless line must not fill the memory."""

NUMBER = re.compile(r"(?P<sign>[-+−]?)(?P<whole>[0-9]{1,6})(?:(?P<mark>[.,])(?P<part>[0-9]{1,9}))?"
                    r" ?(?:°|º|deg\.? ?)?(?P<unit>[CF]|[cf])?")  # fmt: skip
NOTHING = frozenset(
    {"", "-", "--", "---", "nan", "null", "none", "n/a", "na", "no data", "err", "error", "fault"}
)
"""What loggers write where they have no temperature; such a row is left out and counted."""

_WARM = re.compile(r"temp|celsius|fahrenheit|°|º|deg ?[cf]\b|milk|(?:^|[ _(\[])[cf][)\]]?$", re.IGNORECASE)
_OTHER = re.compile(r"batt|volt|humid|\brh\b|%|signal|rssi|dew|press|count|record|index|\bno\b|#|\bid\b|serial",
                    re.IGNORECASE)  # fmt: skip
_UNIT = re.compile(r"°|º|celsius|fahrenheit|deg(?:rees)?[ _.]?(?P<deg>[cf])\b|(?:^|[ _(\[,])(?P<lone>[cf])[)\]]?$",
                   re.IGNORECASE)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Columns:
    """Where things stand in a file: the layout but for dates, zone, decimal mark and unit."""

    delimiter: str
    first_line: int
    headings: tuple[str, ...]
    time_at: int
    date_at: int | None
    temperature_at: int
    is_epoch: bool
    rows: tuple[tuple[str, ...], ...]

    @property
    def unit_by_heading(self) -> str:
        """ "C" or "F" as the temperature's heading has it; empty where it has none."""
        return unit_in(self.headings[self.temperature_at]) if self.temperature_at < len(self.headings) else ""


def unit_in(heading: str) -> str:
    """The unit a heading names: "C", "F" or empty."""
    low = heading.lower()
    for word, unit in (("celsius", "C"), ("fahrenheit", "F")):
        if word in low:
            return unit
    if found := re.search(r"[°º] ?([CFcf])", heading):
        return found[1].upper()
    found = _UNIT.search(heading)
    letter = (found["deg"] or found["lone"]) if found else None
    return letter.upper() if letter else ""


def kinds(cell: str) -> str:
    """What a cell could be: letters of T(ime and date), D(ate), H(our), E(poch), N(umber), or nothing (`_`)."""
    text = cell.strip()
    if text.lower() in NOTHING:
        return "_"
    letters = ""
    if STAMP.fullmatch(text):
        letters += "T"
    if DATE.fullmatch(text):
        letters += "D"
    if TIME.fullmatch(text):
        letters += "H"
    if EPOCH.fullmatch(text):
        letters += "E"
    return letters + ("N" if NUMBER.fullmatch(text) else "")


def find_columns(lines: Sequence[str], given: Given) -> Columns:
    """Where time and temperature stand.

    Args:
        lines: the first lines of the file, without their ends.
        given: what is told.

    Raises:
        Refused: no line holds both, or more than one column would do; the sentence names them.
    """
    tried = [DELIMITERS[given.delimiter]] if given.delimiter else list(DELIMITERS.values())
    shapes = [shape for mark in tried if (shape := _shape(lines, mark, given)) is not None]
    if not shapes:
        first = next((line for line in lines if line.strip()), "")
        raise Refused(
            f"line 1: no line holds a time and a temperature; the first is {plain(first, longest=60)!r}.",
            remedy="Give --delimiter, --time-column and --temperature-column.",
            field="file",
        )
    best = max(len(shape.rows) for shape in shapes)
    return _see_width(next(shape for shape in shapes if len(shape.rows) == best))


@dataclass(frozen=True, slots=True)
class _Row:
    line: int
    cells: tuple[str, ...]
    kinds: tuple[str, ...]

    @property
    def is_data(self) -> bool:
        told = "".join(self.kinds)
        when = "T" in told or "E" in told or ("D" in told and "H" in told)
        return when and "N" in told


def cells_of(line: str, delimiter: str) -> list[str]:
    """The cells of one line."""
    line = line[:LONGEST_LINE]
    if delimiter == " ":
        return line.split()
    return next(csv.reader([line], delimiter=delimiter), [])


def _shape(lines: Sequence[str], delimiter: str, given: Given) -> Columns | None:
    rows = []
    for number, line in enumerate(islice(lines, MOST_LOOKED_AT), 1):
        if line.strip() and not line.lstrip().startswith("#"):
            cells = tuple(cell.strip() for cell in cells_of(line, delimiter)[:MOST_COLUMNS])
            rows.append(_Row(number, cells, tuple(kinds(cell) for cell in cells)))
    at = next((place for place, row in enumerate(rows) if row.is_data), None)
    if at is None:
        return None
    data = [row for row in rows[at:] if row.is_data]
    headings = _headings(rows[at - 1], data[0]) if at else ()
    time_at, date_at = _time_columns(data, headings, given)
    is_epoch = date_at is None and all(
        "T" not in row.kinds[time_at] for row in data if time_at < len(row.kinds)
    )
    temperature_at = _temperature_column(data, headings, given, {time_at, date_at})
    return Columns(
        delimiter,
        data[0].line,
        headings,
        time_at,
        date_at,
        temperature_at,
        is_epoch,
        tuple(r.cells for r in data),
    )


def _headings(before: _Row, first: _Row) -> tuple[str, ...]:
    """The row before the first reading, where it is one of headings and not of a preamble."""
    is_words = not any(set(kind) & set("TDHE") for kind in before.kinds)
    return (
        tuple(plain(cell, longest=80) for cell in before.cells) if is_words and len(before.cells) > 1 else ()
    )


def _time_columns(data: Sequence[_Row], headings: Sequence[str], given: Given) -> tuple[int, int | None]:
    if given.time_column:
        date_at = column_named(given.date_column, headings) if given.date_column else None
        return column_named(given.time_column, headings), date_at
    stamps = _all_of(data, "T")
    if len(stamps) > 1:
        raise _which("time", stamps, headings, data[0])
    if stamps:
        return stamps[0], None
    dates, hours = _all_of(data, "D"), _all_of(data, "H")
    if len(dates) == 1 and len(hours) == 1:
        return hours[0], dates[0]
    epochs = _all_of(data, "E")
    if len(epochs) == 1:
        return epochs[0], None
    raise _which("time", [*dates, *hours] or epochs, headings, data[0])


def _temperature_column(
    data: Sequence[_Row], headings: Sequence[str], given: Given, taken: set[int | None]
) -> int:
    if given.temperature_column:
        return column_named(given.temperature_column, headings)
    found = [at for at in _all_of(data, "N") if at not in taken]
    if len(found) > 1:
        for fits in (
            [at for at in found if at < len(headings) and _WARM.search(headings[at])],
            [at for at in found if at >= len(headings) or not _OTHER.search(headings[at])],
            [at for at in found if not _counts_on(data, at)],
        ):
            if len(fits) == 1:
                return fits[0]
            found = fits or found
    if len(found) != 1:
        raise _which("temperature", found, headings, data[0])
    return found[0]


def _counts_on(data: Sequence[_Row], at: int) -> bool:
    """Whether a column numbers the rows."""
    numbers = [row.cells[at] for row in data if at < len(row.cells)]
    if len(numbers) < 3 or not all(text.isdecimal() for text in numbers):
        return False
    steps = {int(b) - int(a) for a, b in pairwise(numbers)}
    return steps in ({1}, {-1})


def _all_of(data: Sequence[_Row], letter: str) -> list[int]:
    """The columns most of whose cells are of a kind, or nothing; rows that are not are told of by line."""
    width = max(len(row.cells) for row in data)
    found = []
    for at in range(width):
        seen = [row.kinds[at] for row in data if at < len(row.kinds)]
        good = sum(letter in kind for kind in seen)
        if good and 2 * (good + seen.count("_")) > len(seen):
            found.append(at)
    return found


def column_named(name: str, headings: Sequence[str]) -> int:
    """The place of a column given by heading, or by number from the left.

    Raises:
        Refused: no such heading.
    """
    low = [heading.lower() for heading in headings]
    if name.lower() in low:
        return low.index(name.lower())
    if name.isdecimal() and 1 <= int(name) <= MOST_COLUMNS:
        return int(name) - 1
    has = f"It has {', '.join(headings)}." if headings else "It has no headings: give the column's number."
    raise Refused(f"line 1: no column is called {plain(name, longest=40)!r}.", remedy=has, field="file")


def _which(what: str, found: Sequence[int], headings: Sequence[str], row: _Row) -> Refused:
    named = [
        f"column {at + 1}{f' {headings[at]!r}' if at < len(headings) else ''} ({plain(row.cells[at], longest=30)})"
        for at in found
        if at < len(row.cells)
    ]
    listed = " or ".join(named) or "no column"
    return Refused(
        f"line {row.line}: the {what} could be in {listed}."
        if named
        else f"line {row.line}: no column is the {what}.",
        remedy=f"Give --{what}-column with its heading or number.",
        field="file",
    )


def _see_width(columns: Columns) -> Columns:
    """Refuse decimal commas that part what they should not."""
    width, first = len(columns.headings), columns.rows[0]
    if columns.delimiter == "," and width and len(first) > width:
        raise Refused(
            f"line {columns.first_line}: it has {len(first)} columns under {width} headings; a comma in a number "
            "parts it.",
            remedy="Save the file with semicolons, or put such numbers in quotes.",
            field="file",
        )
    return columns
