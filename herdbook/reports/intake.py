"""What each pen was dropped, refused and ate a head, by farm day, beside what its ration sets."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import rations as read_rations
from herdbook.chores.ground import Ground
from herdbook.reports.fed import PenDay, pen_days
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.ration import sheet_of

COLUMNS = (
    Column("day", "Day", "day"),
    Column("pen", "Pen"),
    Column("head", "Head", "", 1),
    Column("dropped_kg", "Dropped", "kg"),
    Column("refused_kg", "Refused", "kg"),
    Column("refused_percent", "of fed", "%", 1),
    Column("dm_dropped_kg", "DM dropped", "kg", 1),
    Column("dm_refused_kg", "DM refused", "kg", 1),
    Column("dm_eaten_kg", "DM eaten", "kg", 1),
    Column("dm_set_kg", "DM set", "kg", 1),
)


def make(connection: Any, ground: Ground, *, of: date | None = None, days: int = 1) -> Report:
    """Intake by pen and day; dry-matter columns are a head and day.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        of: the last day; today if not given.
        days: how many days back, that day included.
    """
    last = of or ground.clock.farm_day(ground.now_s)
    first = last - timedelta(days=days - 1)
    found = pen_days(connection, ground, first, last)
    pens = read_herd.pens(connection)
    lines = [
        _line(connection, ground, pen.name, found[pen.pen, day])
        for day in (last - timedelta(days=back) for back in range(days))
        for pen in pens
    ]
    written = [line for line in lines if line["dropped_kg"].value or line["refused_kg"].value]
    span = last.isoformat() if days == 1 else f"{first.isoformat()} to {last.isoformat()}"
    gaps = [
        f"{line['pen'].value} {line['day'].value}: {', '.join(line['dm_eaten_kg'].missing)}"
        for line in written
        if line["dm_eaten_kg"].missing
    ]
    return Report(
        "intake",
        f"Intake by pen, {span}, dry matter a head",
        tables=(Table("pens", "By pen and day", COLUMNS, tuple(written), "Nothing was fed in these days."),),
        warnings=tuple(gaps[:6])
        + ((f"{len(gaps) - 6} more days are not complete.",) if len(gaps) > 6 else ()),
        data=found,
    )


def _line(connection: Any, ground: Ground, name: str, its: PenDay) -> Line:
    under = entries_of(*its.entries)
    refused = Figure(
        its.refused_g / 1000 if its.refusal_entries else None, "kg", entries=entries_of(*its.refusal_entries)
    )
    return Line(
        f"{its.day.isoformat()} {name}",
        {
            "day": Figure(its.day.isoformat(), "day"),
            "pen": Figure(name),
            "head": Figure(
                its.head,
                "",
                "mean of the day's counts by the hours each held",
                entries=entries_of(*its.head_entries),
            ),
            "dropped_kg": Figure(its.dropped_g / 1000 if its.drop_entries else None, "kg", entries=under),
            "refused_kg": refused,
            "refused_percent": its.refused_percent,
            "dm_dropped_kg": its.per_head(
                its.fed_dry_g, "dry matter dropped, with what was re-fed to the pen, over heads"
            ),
            "dm_refused_kg": its.per_head(its.refused_dry_g, "dry matter refused over heads")
            if its.refusal_entries
            else Figure(None, "kg", missing=("refusal not written",)),
            "dm_eaten_kg": its.eaten,
            "dm_set_kg": set_intake(connection, ground, its.pen, its.day),
        },
    )


def set_intake(connection: Any, ground: Ground, pen: int, day: date) -> Figure:
    """Dry matter a head that the pen's ration sets on a day, before the call."""
    its = read_rations.pen_ration_on(connection, pen, day.isoformat())
    version = (
        None if its is None else read_rations.version_in_force(connection, its["ration"], day.isoformat())
    )
    if its is None or version is None:
        return Figure(None, "kg", missing=("no ration in force",))
    sheet = sheet_of(connection, ground, version, day)
    return Figure(
        sheet.totals.dry_kg,
        "kg",
        "dry matter of the ration in force",
        {"ration": f"{ground.name_of('ration', its['ration'])} version {version.version}"},
        entries=entries_of(its["entry"], version.entry),
    )
