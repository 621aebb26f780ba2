"""What was written, by whom and when; struck or corrected entries stay in view."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

from herdbook.book.reading import entries as read_entries
from herdbook.chores.ground import Ground
from herdbook.errors import Refused
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of

USUAL = 20
COLUMNS = (
    Column("entry", "Entry"),
    Column("mark", ""),
    Column("written_at", "Written", "time"),
    Column("day", "For", "day"),
    Column("who", "Who"),
    Column("chore", "Chore"),
    Column("said", "What"),
    Column("note", "Note"),
    Column("strikes", "Strikes"),
    Column("struck_by", "Struck by"),
)
ROW_COLUMNS = (
    Column("table", "Table"),
    Column("row", "Row"),
    Column("field", "Field"),
    Column("value", "Value"),
)


def make(
    connection: Any,
    ground: Ground,
    *,
    last: int | None = None,
    of: date | None = None,
    number: int | None = None,
) -> Report:
    """Entries, newest first; or one entry whole.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        last: how many; 20 if nothing is given.
        of: only those of a farm day.
        number: one entry, with the rows it wrote and its link in the chain.

    Raises:
        Refused: there is no entry of that number.
    """
    if number is not None:
        return _one(connection, number)
    if of is not None:
        found = read_entries.entries_of_days(connection, of.isoformat(), of.isoformat())[: last or None]
        title = f"Entries of {of.isoformat()}"
    else:
        found = read_entries.newest_entries(connection, last or USUAL)
        title = "Entries, newest first"
    return Report("entries", title, tables=(Table("entries", title, COLUMNS, tuple(map(_line, found))),))


def _line(row: Any) -> Line:
    mark = (
        "×"
        if row["struck_by"] is not None
        else "c"
        if row["strikes"] is not None and row["chore"] != "strike"
        else ""
    )
    under = entries_of(row["number"])
    cells = {
        "entry": row["number"],
        "mark": mark or None,
        "day": row["farm_day"],
        "who": row["who"],
        "chore": row["chore"],
        "said": row["said"],
        "note": row["note"] or None,
        "strikes": row["strikes"],
        "struck_by": row["struck_by"],
    }
    made = {key: Figure(value, "day" if key == "day" else "", entries=under) for key, value in cells.items()}
    made["written_at"] = Figure(row["written_ms"] // 1000, "time", entries=under)
    return Line(str(row["number"]), made)


def _one(connection: Any, number: int) -> Report:
    row = read_entries.entry(connection, number)
    if row is None:
        raise Refused(f"There is no entry {number}.", remedy="See `herdbook show entries`.", field="number")
    line = _line(row)
    lines = [
        Line(
            f"{table} {its['id']} {name}",
            {"table": Figure(table), "row": Figure(its["id"]), "field": Figure(name), "value": Figure(value)},
        )
        for table, rows in read_entries.rows_of(connection, number).items()
        for its in rows
        for name, value in its.items()
        if name not in ("id", "entry") and value is not None
    ]
    facts = {
        **line.cells,
        "hash": Figure(row["hash"]),
        "previous": Figure(row["previous"]),
        "request": Figure(row["request"]),
    }
    columns = {column.key: column for column in COLUMNS} | {
        "hash": Column("hash", "Hash"),
        "previous": Column("previous", "Hash before"),
        "request": Column("request", "Request"),
    }
    return Report(
        "entries",
        f"Entry {number}",
        facts={key: figure for key, figure in facts.items() if figure.value is not None},
        columns=columns,
        tables=(Table("rows", "What it wrote", ROW_COLUMNS, tuple(lines), "It wrote nothing but itself."),),
        data=json.loads(row["asked"]),
    )
