"""What the feeding place draws: the day's loads, the pens with what they ask, got and left, and its columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from herdbook.chores.ground import Ground
from herdbook.errors import HerdbookError
from herdbook.reports.fed import PenDay
from herdbook.reports.figures import Report
from herdbook.screens.parts.rows_table import Column

if TYPE_CHECKING:
    from herdbook.book.reading.feeding import LoadRow
    from herdbook.book.reading.herd import PenRow


def feed_columns(unit: str) -> list[Column]:
    """The load's columns; weights in the farm's unit for loads."""
    return [
        Column("Feed", 14, grows=True),
        Column(f"Add {unit}", 7, align="right"),
        Column("Scale to", 8, align="right"),
        Column("Scale read", 10, align="right"),
        Column("Off by", 8, align="right"),
    ]


def pen_columns(unit: str) -> list[Column]:
    """The pens' columns."""
    return [
        Column("Pen", 9, grows=True),
        Column("Cows", 5, align="right", from_width=66),
        Column(f"Ask {unit}", 7, align="right"),
        Column("Dropped", 8, align="right"),
        Column("At", 5, align="right", from_width=66),
        Column("Refused", 8, align="right"),
        Column("of fed", 6, align="right"),
    ]


@dataclass(frozen=True, slots=True)
class PenMorning:
    """One pen as the feeder sees it: what is asked, what was dropped today, what was refused of yesterday's."""

    pen: PenRow
    head: int | None
    ask_g: int | None
    feedings: int
    today: PenDay
    last_drop_s: int | None
    yesterday: PenDay


@dataclass(frozen=True, slots=True)
class FeedingData:
    """What the place draws: today's loads with their report, and the pens."""

    report: Report
    loads: Sequence[LoadRow]
    pens: Sequence[PenMorning]


def feeding_data(connection: Any, ground: Ground) -> FeedingData:
    """Read the day's loads and pens at the ground's instant."""
    from herdbook.book.reading import herd as read_herd
    from herdbook.reports import loads as loads_report
    from herdbook.reports.fed import pen_days

    report = loads_report.make(connection, ground)
    today = ground.clock.farm_day(ground.now_s)
    fed = pen_days(connection, ground, today - timedelta(days=1), today)
    pens = []
    for pen in read_herd.pens(connection):
        head = read_herd.head_at(connection, pen.pen, ground.now_s)
        last = [row["dropped_at"] for load in report.data for row in load.dropped if row["pen"] == pen.pen]
        pens.append(
            PenMorning(
                pen,
                head.head if head else None,
                *_asked(connection, ground, pen.pen),
                fed[pen.pen, today],
                max(last, default=None),
                fed[pen.pen, today - timedelta(days=1)],
            )
        )
    return FeedingData(report, report.data, pens)


def _asked(connection: Any, ground: Ground, pen: int) -> tuple[int | None, int]:
    """What a pen should get over the whole day, as fed, and in how many feedings; none without ration or heads."""
    from herdbook.book.reading import rations as read_rations
    from herdbook.chores.planning import plan_load

    day = ground.clock.farm_day(ground.now_s).isoformat()
    its = read_rations.pen_ration_on(connection, pen, day)
    if its is None:
        return None, 0
    try:
        return plan_load(connection, ground, [pen]).total_g * int(its["feedings"]), int(its["feedings"])
    except HerdbookError:
        return None, int(its["feedings"])
