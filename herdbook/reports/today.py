"""The day as it stands: the tank, what is due, what is wrong, and yesterday in five figures."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import held as read_held
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.farm import Farm
from herdbook.book.reading.farm import farm as read_farm
from herdbook.chores.ground import Ground
from herdbook.chores.held_back import CALL_THE_BUYER
from herdbook.reports import tank as tank_report
from herdbook.reports.cooler import decline_now, decline_words
from herdbook.reports.cooling import TankState, tank_state
from herdbook.reports.copies_watch import old_copies
from herdbook.reports.due import Due, due_now
from herdbook.reports.exceptions import BASELINE_DAYS, Found, exceptions
from herdbook.reports.fed import over_pens, pen_days
from herdbook.reports.figures import AS_WRITTEN, Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.held import held_now
from herdbook.reports.herd_day import COST_RULE, MILKING_PENS, a_cow, cost_of_herd
from herdbook.reports.load_cost import costs_by_pen_day
from herdbook.reports.milk_results import results_now
from herdbook.reports.milked import milk_by_day
from herdbook.reports.stock import low_in_store, low_in_words
from herdbook.reports.verdict_lines import expected_figures, verdict_inputs

DUE_COLUMNS = (
    Column("at", "At", "time"),
    Column("what", "Due"),
    Column("details", "Details"),
    Column("place", "Where"),
)
ALERT_COLUMNS = (Column("about", "About"), Column("says", "What"))
TANK_COLUMNS = (
    Column("tank", "Tank"),
    Column("tank_degC", "Temperature", "degC", 1),
    Column("read_at", "Read", "time"),
    Column("held_kg", "Milk held", "kg"),
    Column("state", "Cooling"),
    Column("limit", "Limit"),
    Column("deadline", "By", "time"),
    Column("expected_at", "Expected", "time"),
)
FACT_COLUMNS = {
    "farm": Column("farm", "Farm"),
    "day": Column("day", "Day", "day"),
    "milk_yesterday_kg": Column("milk_yesterday_kg", "Milk yesterday", "kg"),
    "dm_eaten_kg": Column("dm_eaten_kg", "Eaten a head", "kg", 1),
    "refused_percent": Column("refused_percent", "Refused", "%", 1),
    "feed_cost_cents": Column("feed_cost_cents", "Feed a cow", "cents", 2),
}


@dataclass(frozen=True, slots=True)
class TodayData:
    """What the Today screen and the strip draw from."""

    farm: Farm
    tanks: tuple[TankState, ...]
    due: tuple[Due, ...]
    alerts: tuple[Found, ...]


def make(connection: Any, ground: Ground) -> Report:
    """The day at the ground's instant."""
    today = ground.clock.farm_day(ground.now_s)
    yesterday = today - timedelta(days=1)
    farm = read_farm(connection)
    tanks = [tank_state(connection, tank, ground.now_s) for tank in read_milk.tanks(connection)]
    fed = pen_days(connection, ground, yesterday - timedelta(days=BASELINE_DAYS), today)
    due = due_now(connection, ground, tanks, fed)
    alerts = alerts_now(connection, ground, tanks, yesterday, today, fed)
    milking = {pen.pen: pen.name for pen in read_herd.pens(connection) if pen.kind in MILKING_PENS}
    herd = over_pens([fed[pen, yesterday] for pen in milking], milking)
    costs = costs_by_pen_day(connection, ground, yesterday, yesterday)
    cost = cost_of_herd([costs.get((pen, yesterday)) for pen in milking], herd)
    milk = milk_by_day(connection, ground, yesterday, yesterday).get(
        yesterday, Figure(None, "kg", missing=("no milking written",))
    )
    invented = ("This farm is made up: every figure in it is invented.",) if farm.invented else ()
    return Report(
        "today",
        f"{farm.name}, {today.isoformat()}",
        facts={
            "farm": Figure(farm.name, entries=entries_of(farm.entry)),
            "day": Figure(today.isoformat(), "day"),
            "milk_yesterday_kg": milk,
            "dm_eaten_kg": herd.eaten,
            "refused_percent": herd.refused_percent,
            "feed_cost_cents": a_cow(cost, herd, unit="cents", rule=COST_RULE),
        },
        columns=FACT_COLUMNS,
        tables=(
            Table(
                "due",
                "Due",
                DUE_COLUMNS,
                tuple(_due_line(index, one) for index, one in enumerate(due, 1)),
                "Nothing is due.",
            ),
            Table(
                "alerts",
                "Alerts",
                ALERT_COLUMNS,
                tuple(_alert_line(index, one) for index, one in enumerate(alerts, 1)),
                "Nothing is wrong.",
            ),
            Table(
                "tanks",
                "Tanks",
                TANK_COLUMNS,
                tuple(_tank_line(state, ground) for state in tanks),
                "There is no tank yet.",
            ),
        ),
        warnings=invented,
        data=TodayData(farm, tuple(tanks), tuple(due), tuple(alerts)),
    )


def alerts_now(
    connection: Any, ground: Ground, tanks: list[TankState], yesterday: date, today: date, fed: Any
) -> list[Found]:
    """What is wrong now: the tank first, then yesterday's and today's mendable exceptions, then old copies."""
    found = [
        Found(today, state.tank.name, words, tuple(tank_report.cooling_figure(state, ground).entries()))
        for state in tanks
        for words in tank_report.warnings_of(state, ground)
    ]
    found += [
        Found(today, state.tank.name, decline_words(decline, ground), ())
        for state in tanks
        if (decline := decline_now(connection, state.tank.tank, ground)) is not None
    ]
    found = [*held_alerts(connection, ground, today), *found]
    found += [
        Found(today, low.name, low_in_words(low, ground), low.its.entries)
        for low in low_in_store(connection, ground)
    ]
    tank_names = {state.tank.name for state in tanks}
    later = exceptions(connection, ground, yesterday, today, fed)
    found += [one for one in reversed(later) if one.about not in tank_names]
    found += [Found(today, "Laboratory", words, under) for words, under in results_now(connection, ground)]
    copies = old_copies(connection, ground)
    return found if copies is None else [*found, copies]


def held_alerts(connection: Any, ground: Ground, today: date) -> list[Found]:
    """Tanks that are blocked and cows whose milk stays out, before anything else."""
    held = held_now(connection, ground)
    blocked = [
        Found(
            today,
            ground.name_of("tank", tank),
            f"{why} {CALL_THE_BUYER}",
            tuple(row["entry"] for row in read_held.blocking(connection, tank, ground.now_s)),
        )
        for tank, why in held.blocked.items()
    ]
    if not held.running:
        return blocked
    under = tuple(number for one in held.running for number in one.entries)
    return [*blocked, Found(today, "Held back", f"Milk stays out: {held.words}.", under)]


def _due_line(index: int, one: Due) -> Line:
    return Line(
        str(index),
        {
            "at": Figure(one.at_s, "time"),
            "what": Figure(one.what, flag="!" if one.late else "", says="late" if one.late else ""),
            "details": Figure(one.details),
            "place": Figure(one.place),
        },
    )


def _alert_line(index: int, one: Found) -> Line:
    under = entries_of(*one.entries)
    return Line(
        str(index),
        {"about": Figure(one.about, entries=under), "says": Figure(one.says, entries=under, flag="!")},
    )


def _tank_line(state: TankState, ground: Ground) -> Line:
    whole = tank_report.make_facts(state, ground)
    verdict = state.worst
    under = whole["state"].entries
    return Line(
        state.tank.name,
        {
            "tank": whole["tank"],
            "tank_degC": whole["tank_degC"],
            "read_at": whole["read_at"],
            "held_kg": whole["held_kg"],
            "state": whole["state"],
            "limit": Figure(
                str(verdict.clause.limit) if verdict else None,
                rule=verdict.clause.says if verdict else AS_WRITTEN,
                entries=tank_report.milkings_under(state),
            ),
            "deadline": Figure(
                verdict.deadline_s if verdict else None,
                "time",
                verdict.clause.says if verdict else AS_WRITTEN,
                entries=tank_report.milkings_under(state),
            ),
            "expected_at": expected_figures(verdict, verdict_inputs(verdict, ground), under)["expected_at"]
            if verdict
            else Figure(None, "time", AS_WRITTEN, entries=under),
        },
    )
