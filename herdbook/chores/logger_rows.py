"""Reading a logger's rows quickly and strictly: each hour's text is understood once, each temperature's text once."""

from __future__ import annotations

import re
from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo

from herdbook.chores.logger_layouts import Layout, see_zone
from herdbook.chores.logger_sniffing import NOTHING, NUMBER
from herdbook.chores.logger_times import EPOCH, read_stamp
from herdbook.plain import plain

MOST_FAULTS = 10_000
"""Rows that are kept as faults; a file with more is none of a logger's."""

_TAIL = re.compile(r".*?[0-9]{1,2}:[0-9]{2}(?P<seconds>:[0-9]{2})?(?P<tail>(?: ?[APap]\.?[Mm]\.?)?(?: ?(?:Z|UTC|GMT|"
                   r"[-+][0-9]{2}(?::?[0-9]{2})?))?)")  # fmt: skip
_MINUTES = {f":{minute:02}": 60 * minute for minute in range(60)}
_SECONDS = {f":{minute:02}:{second:02}": 60 * minute + second for minute in range(60) for second in range(60)}
MISSING = -(2**40)
"""Stands for a temperature that a row does not have, until the row is left out."""


@dataclass(frozen=True, slots=True)
class RowFault:
    """What is wrong with a row: its line, its column for a person, and the words."""

    line: int
    column: str
    says: str

    def __str__(self) -> str:
        return f"line {self.line}{f', {self.column}' if self.column else ''}: {self.says}"


class _DoubledTime(Exception):  # noqa: N818 (an answer, not an error)
    def __init__(self, early: int, late: int) -> None:
        self.early, self.late = early, late


class Rows:
    """The rows of one file, as they are read: instants, thousandths of the file's own unit, and line numbers.

    Args:
        layout: how the file is read.
    """

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.at = array("q")
        self.value = array("q")
        self.line = array("L")
        self.late: dict[int, int] = {}
        """Place of a reading in an hour that came twice -> its instant if it is of the second time."""
        self.faults: list[RowFault] = []
        self.missing = 0
        self.decimal = layout.decimal
        self._zone: tzinfo | None = see_zone(layout.zone) if layout.zone else None
        self._hours = _Hours(self)
        self._values = _Values(self)

    def read(self, cells: Iterable[Sequence[str]], line: int) -> None:
        """Read rows of cells, one a line, beginning at a line number."""
        sample: Sequence[str] | None = None
        rows = iter(cells)
        for sample in rows:
            self._one(sample, line)
            line += 1
            break
        if sample is None:
            return
        how = _TAIL.fullmatch(self._time_text(sample).strip()) if self.layout.kind == "calendar" else None
        if how is not None:
            self._quickly(rows, line, 6 if how["seconds"] else 3, len(how["tail"]))
        else:
            for row in rows:
                self._one(row, line)
                line += 1

    def _quickly(self, rows: Iterable[Sequence[str]], line: int, cut: int, tail: int) -> None:
        """Most rows: the hour's text and the temperature's were seen before, what is between them is a table."""
        hours, values, within = self._hours, self._values, _SECONDS if cut == 6 else _MINUTES
        add_at, add_value, add_line = self.at.append, self.value.append, self.line.append
        time_at, date_at, temperature_at = (
            self.layout.time_at,
            self.layout.date_at,
            self.layout.temperature_at,
        )
        before, end = -(cut + tail), -tail if tail else None
        for row in rows:
            try:
                text = row[time_at]
                if date_at is not None:
                    text = f"{row[date_at]} {text}"
                at = (
                    hours[text[:before] if end is None else (text[:before], text[end:])]
                    + within[text[before:end]]
                )
                value = values[row[temperature_at]]
            except LookupError:
                self._one(row, line)
            else:
                if value == MISSING:
                    self.missing += 1
                else:
                    add_at(at)
                    add_value(value)
                    add_line(line)
            line += 1

    def _time_text(self, row: Sequence[str]) -> str:
        layout = self.layout
        try:
            text = row[layout.time_at].strip()
            return text if layout.date_at is None else f"{row[layout.date_at].strip()} {text}"
        except IndexError:
            return ""

    def _one(self, row: Sequence[str], line: int) -> None:
        """A row by itself: what is unusual, doubled or wrong."""
        if not any(cell.strip() for cell in row) or row[0].lstrip().startswith("#"):
            return
        layout, late = self.layout, None
        needed = (layout.date_at or 0, layout.time_at, layout.temperature_at)
        column = next((at for at in needed if at >= len(row)), layout.time_at)
        try:
            if column >= len(row):
                raise ValueError(f"is missing: the row has {len(row)} column{'s' * (len(row) != 1)} only")
            try:
                at = self.instant(self._time_text(row))
            except _DoubledTime as both:
                at, late = both.early, both.late
            column = layout.temperature_at
            value = self.thousandths(row[column])
        except ValueError as error:
            cell = plain(row[column], longest=40) if column < len(row) else ""
            said = f"{cell!r} {error}." if cell else f"{error}."
            if len(self.faults) < MOST_FAULTS:
                self.faults.append(RowFault(line, layout.column(column), said))
            return
        if value == MISSING:
            self.missing += 1
            return
        if late is not None:
            self.late[len(self.at)] = late
        self.at.append(at)
        self.value.append(value)
        self.line.append(line)

    def instant(self, text: str) -> int:
        """UTC seconds of a time as it stands; raises ValueError with words, or `_DoubledTime`."""
        if self.layout.kind != "calendar":
            found = EPOCH.fullmatch(text)
            if found is None or bool(found["ms"]) != (self.layout.kind == "milliseconds"):
                raise ValueError(f"is not a time in {self.layout.kind} since 1970")
            return int(found["whole"]) if found["whole"] else int(found["ms"]) // 1000
        wall, offset_s = read_stamp(text, self.layout.date_order)
        if offset_s is not None:
            return int(wall.replace(tzinfo=UTC).timestamp()) - offset_s
        if self._zone is None:
            raise ValueError("has no time zone, though the rows before it have")
        early = int(wall.replace(tzinfo=self._zone, fold=0).timestamp())
        late = int(wall.replace(tzinfo=self._zone, fold=1).timestamp())
        if early == late:
            return early
        if datetime.fromtimestamp(early, self._zone).replace(tzinfo=None) != wall:
            raise ValueError(
                f"does not exist on the clock of {self.layout.zone}, which went forward; if the logger's clock does "
                "not change, give --zone with its offset"
            )
        raise _DoubledTime(early, late)

    def thousandths(self, text: str) -> int:
        """A temperature's thousandths in the file's own unit, `MISSING` for none; raises ValueError with words."""
        typed = text.strip()
        found = NUMBER.fullmatch(typed)
        if found is None:
            if typed.lower() in NOTHING:
                return MISSING
            raise ValueError("is not a temperature")
        mark = found["mark"]
        if mark:
            self.decimal = self.decimal or mark
            if mark != self.decimal:
                named = {".": "point", ",": "comma"}
                raise ValueError(f"has a decimal {named[mark]}, the file a decimal {named[self.decimal]}")
        unit = (found["unit"] or "").upper()
        if unit and self.layout.unit and unit != self.layout.unit:
            raise ValueError(f"is in °{unit}, the file in °{self.layout.unit}")
        digits = (found["part"] or "").ljust(4, "0")
        made = int(found["whole"]) * 1000 + int(digits[:3]) + (digits[3] >= "5")
        return -made if found["sign"] in ("-", "−") else made


class _Hours(dict[object, int]):
    """The instant each hour's text begins at; an hour that the clocks change in is not kept."""

    def __init__(self, rows: Rows) -> None:
        super().__init__()
        self._rows = rows

    def __missing__(self, key: object) -> int:
        head, tail = key if isinstance(key, tuple) else (key, "")
        try:
            first = self._rows.instant(f"{head}:00{tail}".strip())
            last = self._rows.instant(f"{head}:59{tail}".strip())
        except (ValueError, _DoubledTime):
            raise KeyError(key) from None
        if last - first != 59 * 60:
            raise KeyError(key)
        self[key] = first
        return first


class _Values(dict[str, int]):
    """The thousandths of each temperature's text."""

    def __init__(self, rows: Rows) -> None:
        super().__init__()
        self._rows = rows

    def __missing__(self, text: str) -> int:
        try:
            made = self._rows.thousandths(text)
        except ValueError:
            raise KeyError(text) from None
        if len(self) < 100_000:
            self[text] = made
        return made
