"""A CSV sheet as people save it: encoding, delimiter and decimal mark are found out, each cell keeps its place."""

from __future__ import annotations

import csv
import hashlib
import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from herdbook.errors import Refused
from herdbook.plain import plain

LARGEST_BYTES = 10_000_000
MOST_ROWS = 20_000
MOST_COLUMNS = 400
MOST_CELLS = 200_000
LONGEST_LINE = 200_000
"""Characters. Both limits keep a file of the largest size from taking more memory than a small computer has."""
DELIMITERS = (",", ";", "\t", "|")
LEFT_OUT = "-"
"""A column whose heading begins with it is left out, and so is a column without a heading."""
_ENDS_IN_DECIMALS = re.compile(r"[<>~]?\s*[-+]?\d+(?P<mark>[.,])(?P<digits>\d+)\s*(?:%|[A-Za-z][A-Za-z/]*)?")


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: its text made harmless, its line in the file and the heading over it."""

    text: str
    line: int
    heading: str

    def fault(self, message: str, remedy: str = "") -> Refused:
        """What is wrong with it, with line, column and value."""
        return Refused(
            f"line {self.line}, column {self.heading}, {self.text!r}: {message}",
            remedy=remedy,
            field=self.heading,
        )


@dataclass(frozen=True, slots=True)
class Sheet:
    """A file read whole.

    Attributes:
        name: the file's name without its folder.
        sha256: hash of its bytes.
        lines: lines of the file.
        headings: over its columns, in order.
        rows: cells of each row that has any, by heading.
        decimal: its decimal mark; empty where no cell tells.
        headed_at: the line of the headings.
    """

    name: str
    sha256: str
    lines: int
    headings: tuple[str, ...]
    rows: tuple[dict[str, Cell], ...]
    decimal: str = ""
    headed_at: int = 1

    def column(self, heading: str) -> str:
        """Where a heading stands, for a sentence of what is wrong with it."""
        return f"line {self.headed_at}, column {heading}"

    @property
    def file(self) -> tuple[str, str, int]:
        """Name, hash and lines, as an entry keeps them."""
        return self.name, self.sha256, self.lines


def read_sheet(path: Path, is_known: Callable[[str], bool]) -> Sheet:
    """Read a CSV file.

    Args:
        path: the file.
        is_known: whether a heading means something; it tells the delimiter.

    Raises:
        Refused: it cannot be read, is no text, is too long, or has no heading that is known.
    """
    name = plain(path.name, longest=200) or "file"
    try:
        if not path.is_file():
            raise Refused(f"{name}: there is no such file.", remedy="Check the name.", field="file")
        if path.stat().st_size > LARGEST_BYTES:
            raise Refused(
                f"{name}: more than {LARGEST_BYTES // 1_000_000} MB.", remedy="Split it.", field="file"
            )
        content = path.read_bytes()
    except OSError as error:
        raise Refused(
            f"{name}: it cannot be read: {error.strerror}.", remedy="Check the name.", field="file"
        ) from None
    return sheet_of(content, name, is_known)


def sheet_of(content: bytes, name: str, is_known: Callable[[str], bool]) -> Sheet:
    """A sheet from a file's bytes; see `read_sheet`."""
    if len(content) > LARGEST_BYTES:
        raise Refused(f"{name}: more than {LARGEST_BYTES // 1_000_000} MB.", remedy="Split it.", field="file")
    text = _decoded(content, name)
    delimiter = _delimiter(text, name, is_known)
    table = list(_table(text, delimiter, name))
    if not table:
        raise Refused(f"{name}: it is empty.", remedy="See `herdbook manual imports`.", field="file")
    headings = _headings(*table[0])
    rows = tuple(_row(headings, cells, line) for line, cells in table[1:])
    filled = tuple(row for row in rows if row)
    if not filled:
        raise Refused(f"{name}: there is no row under the headings.", remedy="Add one.", field="file")
    return Sheet(
        name,
        hashlib.sha256(content).hexdigest(),
        text.count("\n") + (0 if text.endswith("\n") else 1),
        tuple(heading for heading in headings if heading),
        filled,
        _decimal_mark(filled),
        table[0][0],
    )


def _decoded(content: bytes, name: str) -> str:
    """UTF-8 with or without its mark, UTF-16 with its mark, else the Latin alphabet of Windows."""
    try:
        if content.startswith((b"\xff\xfe", b"\xfe\xff")):
            text = content.decode("utf-16")
        else:
            try:
                text = content.decode("utf-8-sig")
            except UnicodeDecodeError:
                text = content.decode("cp1252", errors="replace")
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        raise Refused(
            f"{name}: it is not a text file.", remedy="Save the sheet as CSV and read that.", field="file"
        )
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _delimiter(text: str, name: str, is_known: Callable[[str], bool]) -> str:
    """The mark that parts the headings into most known ones; on a tie, into most."""
    lines = _lines(text, name)
    first = next((line.rstrip("\n") for line in lines if line.strip() and not line.startswith("#")), "")

    def worth(delimiter: str) -> tuple[int, int]:
        cells = next(csv.reader([first[:100_000]], delimiter=delimiter), [])
        return sum(is_known(plain(cell, longest=80)) for cell in cells), len(cells)

    return max(DELIMITERS, key=worth)


def _table(text: str, delimiter: str, name: str) -> Iterator[tuple[int, list[str]]]:
    """Line and cells of every row that is neither blank nor a remark (`#`)."""
    reader = csv.reader(_lines(text, name), delimiter=delimiter, strict=False)
    started, count, held = 1, 0, 0
    try:
        for cells in reader:
            line, started = started, reader.line_num + 1
            if not any(cell.strip() for cell in cells) or cells[0].lstrip().startswith("#"):
                continue
            count, held = count + 1, held + len(cells)
            if held > MOST_CELLS:
                raise Refused(
                    f"{name}, line {line}: more than {MOST_CELLS:,} cells.", remedy="Split it.", field="file"
                )
            if count > MOST_ROWS + 1:
                raise Refused(f"{name}: more than {MOST_ROWS:,} rows.", remedy="Split it.", field="file")
            yield line, cells
    except csv.Error as error:
        raise Refused(
            f"{name}, line {started}: {plain(str(error))}.",
            remedy="Look for a quote that is not closed.",
            field="file",
        ) from None


def _lines(text: str, name: str) -> Iterator[str]:
    """The lines with their ends, one at a time, so that no second copy of the file is held."""
    start, number = 0, 0
    while start < len(text):
        end = text.find("\n", start) + 1 or len(text)
        number += 1
        if end - start > LONGEST_LINE:
            raise Refused(
                f"{name}, line {number}: longer than {LONGEST_LINE:,} letters.",
                remedy="Save the sheet as CSV, one row a line.",
                field="file",
            )
        yield text[start:end]
        start = end


def _headings(line: int, cells: Sequence[str]) -> list[str]:
    """The headings; empty for columns that are left out.

    Raises:
        Refused: too many, or one twice.
    """
    if len(cells) > MOST_COLUMNS:
        raise Refused(
            f"line {line}: {len(cells)} columns.", remedy=f"At most {MOST_COLUMNS} can be read.", field="file"
        )
    names = [plain(cell, longest=80) for cell in cells]
    names = ["" if name.startswith(LEFT_OUT) else name for name in names]
    twice = [name for name, times in Counter(name.lower() for name in names if name).items() if times > 1]
    if twice:
        raise Refused(
            f"line {line}: the column {twice[0]!r} stands there {Counter(n.lower() for n in names)[twice[0]]} times.",
            remedy=f"Take one out, or put {LEFT_OUT} before its heading.",
            field=twice[0],
        )
    return names


def _row(headings: Sequence[str], cells: Sequence[str], line: int) -> dict[str, Cell]:
    """The cells that hold something, by heading.

    Raises:
        Refused: something stands beyond the last heading.
    """
    beyond = [plain(cell, longest=60) for cell in cells[len(headings) :] if cell.strip()]
    if beyond:
        raise Refused(
            f"line {line}: {beyond[0]!r} stands beyond the last column.",
            remedy="A comma in a number or a name must stand in quotes.",
            field="file",
        )
    return {
        heading: Cell(text, line, heading)
        for heading, cell in zip(headings, cells, strict=False)
        if heading and (text := plain(cell, longest=300))
    }


def _decimal_mark(rows: Sequence[dict[str, Cell]]) -> str:
    """The decimal mark that cells show beyond doubt; three digits behind a mark may be thousands and tell nothing.

    Raises:
        Refused: some cells show a point and some a comma.
    """
    seen: dict[str, Cell] = {}
    for row in rows:
        for cell in row.values():
            found = _ENDS_IN_DECIMALS.fullmatch(cell.text)
            if found and (len(found["digits"]) != 3 or cell.text.lstrip("<>~ +-").startswith("0")):
                seen.setdefault(found["mark"], cell)
    if len(seen) == 2:
        raise seen[","].fault(
            f"a comma is the decimal mark here, and a point in line {seen['.'].line} ({seen['.'].text!r}).",
            "Use one decimal mark in the whole file.",
        )
    return next(iter(seen), "")
