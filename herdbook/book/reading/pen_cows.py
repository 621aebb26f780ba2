"""What the cows of a pen are expected to be, as it stood on a day."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass, fields

from herdbook.book.reading.rows import rows, stands


@dataclass(frozen=True, slots=True)
class CowsOfPen:
    """The cows of a pen; none where it was never said. Each value is the newest one given up to the day.

    Milk is grams a cow and day, fat and protein parts per million of milk (true protein), condition hundredths of the
    five-point score, `older_ppm` the share of cows past their first lactation.
    """

    body_g: int | None = None
    days_in_milk: int | None = None
    days_pregnant: int | None = None
    older_ppm: int | None = None
    condition_hundredths: int | None = None
    milk_g: int | None = None
    fat_ppm: int | None = None
    protein_ppm: int | None = None
    from_day: str = ""
    entries: tuple[int, ...] = ()


VALUES = tuple(one.name for one in fields(CowsOfPen) if one.name not in ("from_day", "entries"))


def cows_of_pen_on(connection: sqlite3.Connection, pen: int, day: str) -> CowsOfPen | None:
    """The cows of a pen on a day; what a later entry leaves open stays as an earlier one said."""
    found = rows(
        connection,
        f"SELECT pen_cows.* FROM pen_cows {stands('pen_cows')} WHERE pen = ? AND from_day <= ? "
        "ORDER BY from_day DESC, pen_cows.id DESC",
        pen,
        day,
    )
    if not found:
        return None
    values: dict[str, int] = {}
    entries: list[int] = []
    for row in found:
        for name in VALUES:
            if row[name] is not None and name not in values:
                values[name] = row[name]
                entries.append(row["entry"])
    return CowsOfPen(**values, from_day=found[0]["from_day"], entries=tuple(dict.fromkeys(entries)))
