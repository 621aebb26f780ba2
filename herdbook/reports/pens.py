"""The pens as they stand: heads, ration, call."""

from __future__ import annotations

from typing import Any

from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import rations as read_rations
from herdbook.chores.ground import Ground
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of

COLUMNS = (
    Column("pen", "Pen"),
    Column("kind", "Kind"),
    Column("head", "Head"),
    Column("counted_at", "Counted", "time"),
    Column("ration", "Ration"),
    Column("call_percent", "Call", "%"),
    Column("feedings", "Feedings"),
)


def make(connection: Any, ground: Ground) -> Report:
    """Every pen in walking order."""
    today = ground.clock.farm_day(ground.now_s).isoformat()
    lines = []
    for pen in read_herd.pens(connection):
        head = read_herd.head_at(connection, pen.pen, ground.now_s)
        its = read_rations.pen_ration_on(connection, pen.pen, today)
        under = entries_of(its["entry"] if its else None)
        lines.append(
            Line(
                pen.name,
                {
                    "pen": Figure(pen.name, entries=entries_of(pen.entry)),
                    "kind": Figure(pen.kind, entries=entries_of(pen.entry)),
                    "head": Figure(
                        head.head if head else None, entries=entries_of(head.entry if head else None)
                    ),
                    "counted_at": Figure(
                        head.counted_at if head else None,
                        "time",
                        entries=entries_of(head.entry if head else None),
                    ),
                    "ration": Figure(ground.name_of("ration", its["ration"]) if its else None, entries=under),
                    "call_percent": Figure(its["call_ppm"] / 10_000 if its else None, "%", entries=under),
                    "feedings": Figure(its["feedings"] if its else None, entries=under),
                },
            )
        )
    return Report(
        "pens",
        "Pens",
        tables=(Table("pens", "Pens", COLUMNS, tuple(lines), "There is no pen in the book yet."),),
    )
