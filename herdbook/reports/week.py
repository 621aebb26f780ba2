"""A week by farm day: what was eaten, refused, milked and shipped, how warm the milk was, and what went wrong."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.herd import PenRow
from herdbook.chores.ground import Ground
from herdbook.reports.exceptions import BASELINE_DAYS, Cooled, Found, cooled_between, exceptions
from herdbook.reports.fed import PenDay, over_pens, pen_days
from herdbook.reports.figures import Column, Figure, Line, Report, Table, days_between, entries_of, total
from herdbook.reports.herd_day import (
    COST_RULE,
    MILK_RULE,
    MILKING_PENS,
    HerdDay,
    a_cow,
    as_input,
    cost_of_herd,
    over_heads,
)
from herdbook.reports.load_cost import costs_by_pen_day
from herdbook.reports.milked import milk_by_day
from herdbook.science.milk_clock import Verdict

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

    Days that have not begun are left out; the week's own figures are taken over its complete days, and say so.
    """
    today = ground.clock.farm_day(ground.now_s)
    day = of or today
    first = day - timedelta(days=day.weekday())
    last = min(first + timedelta(days=6), today)
    pens_known = read_herd.pens(connection)
    fed = pen_days(connection, ground, first - timedelta(days=BASELINE_DAYS), last)
    costs = costs_by_pen_day(connection, ground, first, last)
    milk = milk_by_day(connection, ground, first, last)
    cooled = cooled_between(connection, ground, first, last)
    found = exceptions(connection, ground, first, last, fed, cooled)
    milking = {pen.pen: pen.name for pen in pens_known if pen.kind in MILKING_PENS}
    warmest = _warmest(ground, cooled)
    shipped = _shipped(connection, ground, first, last)
    herds, lines = [], []
    for one in days_between(first, last):
        herd = over_pens([fed[pen, one] for pen in milking], milking)
        cost = cost_of_herd([costs.get((pen, one)) for pen in milking], herd)
        herds.append(HerdDay(one, herd, milk.get(one), cost))
        lines.append(_day_line(herds[-1], shipped.get(one, []), found, warmest.get(one)))
    days = Table("days", "By farm day, a cow in the milking pens", DAY_COLUMNS, tuple(lines))
    pens = Table(
        "pens",
        "Pens, a head and day",
        PEN_COLUMNS,
        tuple(_pen_lines(pens_known, days_between(first, last), fed, costs)),
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
        facts=_facts(first, herds, lines, found),
        columns=FACT_COLUMNS,
        tables=(days, pens, looks),
        warnings=_gaps(herds, today),
        data=found,
    )


def _shipped(connection: Any, ground: Ground, first: date, last: date) -> Mapping[date, list[Any]]:
    start, end = ground.clock.day_starts(first), ground.clock.day_starts(last + timedelta(days=1))
    tickets: dict[date, list[Any]] = defaultdict(list)
    for row in read_milk.pickups(connection, start, end):
        tickets[ground.clock.farm_day(row["picked_at"])].append(row)
    return tickets


def _day_line(of: HerdDay, tickets: Sequence[Any], found: Sequence[Found], warmest: Figure | None) -> Line:
    herd = of.fed
    looks = [one for one in found if one.day == of.day]
    return Line(
        of.day.isoformat(),
        {
            "day": Figure(of.day.isoformat(), "day"),
            "head": Figure(
                herd.head,
                "",
                "heads in the milking pens, by the hours each count held",
                entries=entries_of(*dict.fromkeys(herd.head_entries)),
            ),
            "dm_eaten_kg": herd.eaten,
            "refused_percent": herd.refused_percent,
            "milk_kg": a_cow(of.milk, herd),
            "shipped_kg": Figure(
                sum(row["milk_g"] for row in tickets) / 1000 if tickets else None,
                "kg",
                "sum of the day's pickups",
                entries=entries_of(*(row["entry"] for row in tickets)),
            ),
            "feed_cost_cents": a_cow(of.cost, herd, unit="cents", rule=COST_RULE),
            "warmest_degC": warmest or Figure(None, "degC"),
            "exceptions": Figure(
                len(looks),
                "",
                "see the list below",
                entries=entries_of(*dict.fromkeys(n for one in looks for n in one.entries)),
                flag="!" if looks else "",
            ),
        },
    )


def warmest_after_deadline(connection: Any, ground: Ground, first: date, last: date) -> dict[date, Figure]:
    """The warmest reading of each farm day's milkings after their deadline, until the next milking or the pickup."""
    return _warmest(ground, cooled_between(connection, ground, first, last))


def _warmest(ground: Ground, cooled: Cooled) -> dict[date, Figure]:
    best: dict[date, tuple[Any, Any]] = {}
    for verdicts in cooled.values():
        strictest: dict[int, Verdict] = {}
        for _, verdict, _ in verdicts:
            before = strictest.get(verdict.milking_key)
            if verdict.deadline_s is not None and (
                before is None or verdict.clause.limit.mC < before.clause.limit.mC
            ):
                strictest[verdict.milking_key] = verdict
        for milking, verdict, readings in verdicts:
            deadline_s = verdict.deadline_s
            if strictest.get(verdict.milking_key) is not verdict or deadline_s is None:
                continue
            day = ground.clock.farm_day(milking.started_at)
            for row in readings:
                if row["read_at"] >= deadline_s and (
                    day not in best or row["tank_mC"] > best[day][0]["tank_mC"]
                ):
                    best[day] = (row, milking)
    return {
        day: Figure(
            row["tank_mC"] / 1000,
            "degC",
            "warmest reading after the deadline of the day's milkings",
            {"typed": row["typed"], "read": ground.clock.shown(row["read_at"])},
            entries=entries_of(*dict.fromkeys([row["entry"], milking.entry, milking.end_entry])),
        )
        for day, (row, milking) in best.items()
    }


def _pen_lines(
    pens: Sequence[PenRow],
    days: Sequence[date],
    fed: Mapping[tuple[int, date], PenDay],
    costs: Mapping[tuple[int, date], Figure],
) -> Iterator[Line]:
    for pen in pens:
        complete = [its for day in days if (its := fed[pen.pen, day]).is_complete]
        cost = [figure for its in complete if (figure := costs.get((pen.pen, its.day))) is not None]
        whole = over_pens(complete)
        under = entries_of(*whole.entries)
        yield Line(
            pen.name,
            {
                "pen": Figure(pen.name, entries=entries_of(pen.entry)),
                "head": Figure(
                    whole.head / len(complete) if complete and whole.head else None,
                    "",
                    "mean over the complete days",
                    entries=under,
                ),
                "dm_eaten_kg": whole.eaten,
                "refused_percent": _with_days(whole.refused_percent, whole),
                "feed_cost_cents": _with_days(
                    a_cow(
                        total(cost, "cents", "cost of what was dropped") if cost else None,
                        whole,
                        unit="cents",
                        rule=COST_RULE,
                    ),
                    whole,
                ),
                "complete_days": Figure(
                    len(complete),
                    "",
                    f"days with heads, drops and refusal, of {len(days)}",
                    entries=under,
                    flag="" if len(complete) == len(days) else "?",
                ),
            },
        )


def _with_days(figure: Figure, whole: PenDay) -> Figure:
    """A figure over complete days stands on what makes them complete, too."""
    return replace(
        figure,
        entries=lambda: list(dict.fromkeys([*figure.entries(), *whole.fed_entries, *whole.refused_entries])),
    )


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


def _facts(
    first: date, herds: Sequence[HerdDay], lines: Sequence[Line], found: Sequence[Found]
) -> dict[str, Figure]:
    """The week as one: totals of its complete days over their heads, so that a big day counts for more."""
    complete = [one for one in herds if one.fed.is_complete]
    whole = over_pens([one.fed for one in complete])
    gaps = _not_complete(len(herds) - len(complete), len(herds))
    by_day = {line.name: line for line in lines}

    def over_days(made: Figure, key: str, gaps: tuple[str, ...]) -> Figure:
        inputs = {
            **made.inputs,
            **{one.day.isoformat(): as_input(by_day[one.day.isoformat()][key]) for one in herds},
        }
        # what is missing in a day that is left out is not missing in the mean of the others
        missing = made.missing if made.value is not None else ()
        return replace(
            made,
            rule=f"{made.rule}; over the days that are complete",
            inputs=inputs,
            missing=tuple(dict.fromkeys([*missing, *gaps])),
            flag="?" if missing or gaps else "",
        )

    milked = [one for one in herds if one.milk is not None and not a_cow(one.milk, one.fed).missing]
    paid = [one for one in complete if one.cost is not None]
    return {
        "week_of": Figure(first.isoformat(), "day"),
        "complete_days": Figure(
            len(complete),
            "",
            f"days with heads, drops and refusals, of {len(herds)} begun",
            entries=entries_of(*whole.entries),
        ),
        "dm_eaten_kg": over_days(whole.eaten, "dm_eaten_kg", gaps),
        "refused_percent": over_days(_with_days(whole.refused_percent, whole), "refused_percent", gaps),
        "milk_kg": over_days(
            over_heads([(one.milk, one.fed) for one in milked], "kg", MILK_RULE),
            "milk_kg",
            _not_complete(len(herds) - len(milked), len(herds)),
        ),
        "shipped_kg": total([line["shipped_kg"] for line in lines], "kg", "sum of the week's pickups"),
        "feed_cost_cents": over_days(
            _with_days(over_heads([(one.cost, one.fed) for one in paid], "cents", COST_RULE), whole),
            "feed_cost_cents",
            _not_complete(len(herds) - len(paid), len(herds)),
        ),
        "exceptions": Figure(
            len(found),
            "",
            "see the list",
            entries=entries_of(*dict.fromkeys(n for one in found for n in one.entries)),
            flag="!" if found else "",
        ),
    }


def _not_complete(gaps: int, of: int) -> tuple[str, ...]:
    return (f"{gaps} of {of} days not complete",) if gaps else ()


def _gaps(herds: Sequence[HerdDay], today: date) -> tuple[str, ...]:
    """Days that are over and not complete, and what each lacks; today cannot be complete yet."""
    said = [
        f"{one.day.isoformat()} ({', '.join(one.fed.gaps)})"
        for one in herds
        if one.day < today and not one.fed.is_complete
    ]
    return (f"Not complete: {'; '.join(said)}.",) if said else ()
