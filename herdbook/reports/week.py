"""A week by farm day: what was eaten, refused, milked and shipped, how warm the milk was, and what went wrong."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import milk as read_milk
from herdbook.chores.ground import Ground
from herdbook.reports.cooling import verdicts_between
from herdbook.reports.exceptions import BASELINE_DAYS, Found, exceptions
from herdbook.reports.fed import PenDay, over_pens, pen_days
from herdbook.reports.figures import Column, Figure, Line, Report, Table, days_between, entries_of, total
from herdbook.reports.load_cost import costs_by_pen_day
from herdbook.reports.milked import milk_by_day

MILKING_PENS = ("milking",)

DAY_COLUMNS = (
    Column("day", "Day", "day"),
    Column("head", "Milking", "", 1),
    Column("dm_eaten_kg", "DM eaten", "kg", 1),
    Column("refused_percent", "Refused", "%", 1),
    Column("milk_kg", "Milk a cow", "kg", 1),
    Column("shipped_kg", "Shipped", "kg"),
    Column("feed_cost_cents", "Feed a cow", "cents", 2),
    Column("warmest_degC", "Warmest", "degC", 1),
    Column("exceptions", "Look"),
)
PEN_COLUMNS = (
    Column("pen", "Pen"),
    Column("head", "Head", "", 1),
    Column("dm_eaten_kg", "DM eaten", "kg", 1),
    Column("refused_percent", "Refused", "%", 1),
    Column("feed_cost_cents", "Feed", "cents", 2),
    Column("complete_days", "Days"),
)
EXCEPTION_COLUMNS = (Column("day", "Day", "day"), Column("about", "About"), Column("says", "What"))
FACT_COLUMNS = {
    "week_of": Column("week_of", "Week from", "day"),
    "complete_days": Column("complete_days", "Days complete"),
    "dm_eaten_kg": Column("dm_eaten_kg", "DM eaten a head", "kg", 1),
    "refused_percent": Column("refused_percent", "Refused", "%", 1),
    "milk_kg": Column("milk_kg", "Milk a cow", "kg", 1),
    "shipped_kg": Column("shipped_kg", "Shipped", "kg"),
    "feed_cost_cents": Column("feed_cost_cents", "Feed a cow", "cents", 2),
    "exceptions": Column("exceptions", "To look at"),
}


def make(connection: Any, ground: Ground, *, of: date | None = None) -> Report:
    """The week (Monday to Sunday) that holds a day.

    Days that have not begun are left out; a mean over the week is given only over complete days, and says so.
    """
    today = ground.clock.farm_day(ground.now_s)
    day = of or today
    first = day - timedelta(days=day.weekday())
    last = min(first + timedelta(days=6), today)
    fed = pen_days(connection, ground, first - timedelta(days=BASELINE_DAYS), last)
    costs = costs_by_pen_day(connection, ground, first, last)
    milk = milk_by_day(connection, ground, first, last)
    found = exceptions(connection, ground, first, last, fed)
    milking = [pen.pen for pen in read_herd.pens(connection) if pen.kind in MILKING_PENS]
    warmest = warmest_after_deadline(connection, ground, first, last)
    lines = []
    for one in days_between(first, last):
        herd = over_pens([fed[pen, one] for pen in milking])
        lines.append(
            _day_line(
                connection,
                ground,
                one,
                herd,
                [costs.get((pen, one)) for pen in milking],
                milk.get(one),
                found,
                warmest.get(one),
            )
        )
    days = Table("days", "By farm day, a cow in the milking pens", DAY_COLUMNS, tuple(lines))
    pens = Table(
        "pens", "Pens, a head and day", PEN_COLUMNS, tuple(_pen_lines(connection, first, last, fed, costs))
    )
    looks = Table(
        "exceptions",
        "Worth a look",
        EXCEPTION_COLUMNS,
        tuple(_exception_line(index, one) for index, one in enumerate(found, 1)),
        "Nothing stood out.",
    )
    return Report(
        "week",
        f"Week {first.isocalendar().week}, {first.isoformat()} to {(first + timedelta(days=6)).isoformat()}",
        facts=_facts(first, lines, found),
        columns=FACT_COLUMNS,
        tables=(days, pens, looks),
        warnings=_gaps(lines),
        data=found,
    )


def _day_line(
    connection: Any,
    ground: Ground,
    day: date,
    herd: PenDay,
    costs: Sequence[Figure | None],
    milk: Figure | None,
    found: Sequence[Found],
    warmest: Figure | None,
) -> Line:
    start, end = ground.clock.day_starts(day), ground.clock.day_starts(day + timedelta(days=1))
    tickets = read_milk.pickups(connection, start, end)
    shipped = Figure(
        sum(row["milk_g"] for row in tickets) / 1000 if tickets else None,
        "kg",
        "sum of the day's pickups",
        entries=entries_of(*(row["entry"] for row in tickets)),
    )
    cost = total([figure for figure in costs if figure is not None], "cents", "cost of what was dropped")
    looks = [one for one in found if one.day == day]
    return Line(
        day.isoformat(),
        {
            "day": Figure(day.isoformat(), "day"),
            "head": Figure(
                herd.head,
                "",
                "heads in the milking pens, by the hours each count held",
                entries=entries_of(*herd.head_entries),
            ),
            "dm_eaten_kg": herd.eaten,
            "refused_percent": herd.refused_percent,
            "milk_kg": a_cow(milk, herd),
            "shipped_kg": shipped,
            "feed_cost_cents": a_cow(cost, herd, unit="cents", rule="cost of what was dropped over heads"),
            "warmest_degC": warmest or Figure(None, "degC"),
            "exceptions": Figure(
                len(looks),
                "",
                "see the list below",
                entries=entries_of(*(n for one in looks for n in one.entries)),
                flag="!" if looks else "",
            ),
        },
    )


def a_cow(
    whole: Figure | None,
    herd: PenDay,
    *,
    unit: str = "kg",
    rule: str = "milk of the day over cows in the milking pens",
) -> Figure:
    """A day's total a cow; what is missing in the total stays missing."""
    if whole is None:
        return Figure(None, unit, rule)
    value = whole.number / herd.head if whole.number is not None and herd.head else None
    missing = whole.missing + (() if herd.head else ("no head count",))

    def under() -> Sequence[int]:
        return [*whole.entries(), *herd.head_entries]

    return Figure(
        value,
        unit,
        rule,
        {"total": _shown(whole), "head": f"{herd.head:g}" if herd.head else "not counted", **whole.inputs},
        missing,
        under,
    )


def _shown(figure: Figure) -> str:
    return "none" if figure.number is None else f"{figure.number:.1f} {figure.unit}"


def warmest_after_deadline(connection: Any, ground: Ground, first: date, last: date) -> dict[date, Figure]:
    """The warmest reading of each farm day's milkings after their deadline, until the next milking or the pickup."""
    start, end = ground.clock.day_starts(first), ground.clock.day_starts(last + timedelta(days=1))
    best: dict[date, tuple[int, Any]] = {}
    for tank in read_milk.tanks(connection):
        for milking, verdict, readings in verdicts_between(connection, tank, start, end, ground.now_s):
            if verdict.deadline_s is None or verdict.clause.clock != "end of milking":
                continue
            day = ground.clock.farm_day(milking.started_at)
            for row in readings:
                if row["read_at"] >= verdict.deadline_s and (
                    day not in best or row["tank_mC"] > best[day][0]
                ):
                    best[day] = (row["tank_mC"], row)
    return {
        day: Figure(
            milli / 1000,
            "degC",
            "warmest reading after the deadline of the day's milkings",
            {"typed": row["typed"]},
            entries=entries_of(row["entry"]),
        )
        for day, (milli, row) in best.items()
    }


def _pen_lines(
    connection: Any,
    first: date,
    last: date,
    fed: dict[tuple[int, date], PenDay],
    costs: dict[tuple[int, date], Figure],
) -> Sequence[Line]:
    lines = []
    for pen in read_herd.pens(connection):
        days = [fed[pen.pen, day] for day in days_between(first, last)]
        complete = [its for its in days if its.is_complete]
        cost = [costs[pen.pen, its.day] for its in complete if (pen.pen, its.day) in costs]
        whole = over_pens(complete)
        lines.append(
            Line(
                pen.name,
                {
                    "pen": Figure(pen.name),
                    "head": Figure(
                        whole.head / len(complete) if complete and whole.head else None,
                        "",
                        "mean over the complete days",
                    ),
                    "dm_eaten_kg": whole.eaten,
                    "refused_percent": whole.refused_percent,
                    "feed_cost_cents": a_cow(
                        total(cost, "cents", "cost of what was dropped"),
                        whole,
                        unit="cents",
                        rule="cost of what was dropped over heads",
                    ),
                    "complete_days": Figure(
                        len(complete),
                        "",
                        f"days with heads, drops and refusal, of {len(days)}",
                        flag="" if len(complete) == len(days) else "?",
                    ),
                },
            )
        )
    return lines


def _exception_line(index: int, one: Found) -> Line:
    under = entries_of(*one.entries)
    return Line(
        f"{index}",
        {
            "day": Figure(one.day.isoformat(), "day", entries=under),
            "about": Figure(one.about, entries=under),
            "says": Figure(one.says, entries=under, flag="!"),
        },
    )


def _facts(first: date, lines: Sequence[Line], found: Sequence[Found]) -> dict[str, Figure]:
    eaten = [line["dm_eaten_kg"] for line in lines]
    return {
        "week_of": Figure(first.isoformat(), "day"),
        "complete_days": Figure(
            sum(f.number is not None for f in eaten),
            "",
            f"days with heads, drops and refusals, of {len(lines)} begun",
        ),
        "dm_eaten_kg": _mean(lines, "dm_eaten_kg", "kg"),
        "refused_percent": _mean(lines, "refused_percent", "%"),
        "milk_kg": _mean(lines, "milk_kg", "kg"),
        "shipped_kg": total([line["shipped_kg"] for line in lines], "kg", "sum of the week's pickups"),
        "feed_cost_cents": _mean(lines, "feed_cost_cents", "cents"),
        "exceptions": Figure(len(found), "", "see the list", flag="!" if found else ""),
    }


def _mean(lines: Sequence[Line], key: str, unit: str) -> Figure:
    known = [line[key] for line in lines if line[key].number is not None]
    gaps = len(lines) - len(known)

    def under() -> Sequence[int]:
        return sorted({number for figure in known for number in figure.entries()})

    return Figure(
        sum(figure.number or 0.0 for figure in known) / len(known) if known else None,
        unit,
        "mean of the days that are complete",
        {line.name: _shown(line[key]) for line in lines},
        (f"{gaps} of {len(lines)} days not complete",) if gaps else (),
        under,
        flag="?" if gaps else "",
    )


def _gaps(lines: Sequence[Line]) -> tuple[str, ...]:
    unfed = [line.name for line in lines if line["dm_eaten_kg"].missing]
    return (f"Not complete: {', '.join(unfed)}.",) if unfed else ()
