"""What is told of a logger's files, and what was understood of one: columns, times, zone, decimal mark, unit."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, timedelta, timezone, tzinfo
from typing import ClassVar

from herdbook.clock import zone
from herdbook.errors import Refused
from herdbook.plain import plain

DELIMITERS: Mapping[str, str] = {"tab": "\t", "semicolon": ";", "bar": "|", "comma": ",", "blanks": " "}
"""What may part columns, by word; of several that would do the first is taken."""

ORDERS = {"ymd": "year, month, day", "dmy": "day, month, year", "mdy": "month, day, year"}
_OFFSET = re.compile(r"(?:UTC|GMT)?([-+−])([0-9]{1,2})(?::?([0-9]{2}))?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Given:
    """What is told of a logger's files before one is looked at; what is empty is found out.

    Args:
        delimiter: a word of `DELIMITERS`.
        decimal: "point" or "comma".
        date_order: "ymd", "dmy" or "mdy".
        unit: "C" or "F".
        zone: of times that carry none: an IANA name, "UTC" or an offset.
        time_column: heading of the time's column, or its number from the left.
        date_column: the same of the date's, where it has its own.
        temperature_column: the same of the temperature's.
    """

    NAMES: ClassVar[tuple[str, ...]] = (
        "delimiter", "decimal", "date_order", "unit", "zone", "time_column", "date_column", "temperature_column",
    )  # fmt: skip

    delimiter: str = ""
    decimal: str = ""
    date_order: str = ""
    unit: str = ""
    zone: str = ""
    time_column: str = ""
    date_column: str = ""
    temperature_column: str = ""


@dataclass(frozen=True, slots=True)
class Layout:
    """How one file is read.

    Args:
        delimiter: the character that parts columns.
        first_line: number of the first line that holds a reading.
        headings: what stands over the columns; empty where nothing does.
        time_at: place of the time's column, from 0.
        date_at: place of the date's own column, if it has one.
        temperature_at: place of the temperature's column.
        kind: "calendar", "seconds" or "milliseconds" (since 1970).
        date_order: "ymd", "dmy", "mdy"; empty where every date says it itself.
        zone: of times that carry none; empty where each carries its own.
        decimal: "." or ","; empty where no temperature has a fraction.
        unit: "C" or "F"; empty until the whole file was read.
        why: what each was found by: "date_order", "zone", "unit" -> words.
    """

    delimiter: str
    first_line: int
    headings: tuple[str, ...]
    time_at: int
    date_at: int | None
    temperature_at: int
    kind: str
    date_order: str
    zone: str
    decimal: str
    unit: str
    why: Mapping[str, str] = field(default_factory=dict)

    def column(self, at: int) -> str:
        """A column for a person: its heading, else its number."""
        if at < len(self.headings) and self.headings[at]:
            return f"column {self.headings[at]!r}"
        return f"column {at + 1}"

    def says(self) -> list[str]:
        """What was understood, a line each, for a person to look over."""
        parted = next(word for word, mark in DELIMITERS.items() if mark == self.delimiter)
        date = "" if self.date_at is None else f"date in {self.column(self.date_at)}, "
        said = [
            f"columns parted by {parted}, readings from line {self.first_line}",
            f"{date}time in {self.column(self.time_at)}, temperature in {self.column(self.temperature_at)}",
        ]
        if self.kind != "calendar":
            said.append(f"times are {self.kind} since 1970-01-01 UTC")
        elif self.date_order:
            said.append(f"dates are {ORDERS[self.date_order]}: {self.why['date_order']}")
        if self.kind == "calendar":
            said.append(f"time zone: {self.zone or 'in every row'}{self._because('zone')}")
        mark = {".": "point", ",": "comma"}.get(self.decimal)
        said.append(
            f"temperatures in °{self.unit}{self._because('unit')}" + (f", decimal {mark}" if mark else "")
        )
        return said

    def _because(self, what: str) -> str:
        return f" ({self.why[what]})" if self.why.get(what) else ""

    def as_given(self) -> Given:
        """This layout as what is told of the next file of the same logger."""

        def name(at: int) -> str:
            return self.headings[at] if at < len(self.headings) and self.headings[at] else str(at + 1)

        return Given(
            delimiter=next(word for word, mark in DELIMITERS.items() if mark == self.delimiter),
            decimal={".": "point", ",": "comma"}.get(self.decimal, ""),
            date_order=self.date_order,
            unit=self.unit,
            zone=self.zone,
            time_column=name(self.time_at),
            date_column="" if self.date_at is None else name(self.date_at),
            temperature_column=name(self.temperature_at),
        )


def see_zone(name: str) -> tzinfo:
    """The zone of an IANA name, "UTC", "Z" or an offset such as "-06:00".

    Raises:
        Refused: it is none of them.
    """
    typed = plain(name, longest=60)
    if typed.upper() in ("UTC", "GMT", "Z"):
        return UTC
    found = _OFFSET.fullmatch(typed)
    if found is None:
        return zone(typed)
    hours, minutes = int(found[2]), int(found[3] or 0)
    if hours > 14 or minutes > 59:
        raise Refused(
            f"zone: {typed!r} is no offset a clock on earth has.", remedy="Give it as -06:00.", field="zone"
        )
    offset = timedelta(hours=hours, minutes=minutes)
    return timezone(offset if found[1] == "+" else -offset)
