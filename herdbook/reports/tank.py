"""A tank as it stands: milk held, temperature, deadlines and verdicts, milkings and readings."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from herdbook.book.reading import milk as read_milk
from herdbook.chores.ground import Ground
from herdbook.clock import span_words
from herdbook.reports.cooling import (
    REFRIGERANT,
    USUAL_SUSPECTS,
    TankState,
    in_words,
    tank_state,
)
from herdbook.reports.figures import Column, EntriesUnder, Figure, Line, Report, Table, entries_of, in_kg
from herdbook.reports.held import held_now
from herdbook.reports.tank_rounds import LESS_ERROR_RULE, ROUND_COLUMNS, TankRounds, round_facts, tank_rounds
from herdbook.reports.thermometer_doubt import doubt_of
from herdbook.reports.verdict_lines import (
    CLAUSE_COLUMNS,
    chosen_tank,
    flag_of,
    rule_words,
    verdict_inputs,
    verdict_line,
)
from herdbook.science.milk_clock import Verdict
from herdbook.science.tank_forecast import LESS_HEAT, WARM_MILK

MOST_LISTED = 60
"""Of a logger's readings so many are listed at most, all are counted: a screenful or two, no source."""

OLD_READING_S = 2 * 3600
"""A reading older than this says little of the milk now: common practice, no source."""

HEAT_RULE = "mass of the milk, 3.9 kJ/kg K, and how fast it cools, followed through its readings"

FACT_COLUMNS = {
    "tank": Column("tank", "Tank"),
    "rule": Column("rule", "Cooling rule"),
    "held_kg": Column("held_kg", "Milk held", "kg"),
    "capacity_kg": Column("capacity_kg", "Holds", "kg"),
    "milkings": Column("milkings", "Milkings in it"),
    "tank_degC": Column("tank_degC", "Temperature", "degC", 1),
    "read_at": Column("read_at", "Read", "time"),
    "trend": Column("trend", "Trend"),
    "state": Column("state", "Cooling"),
    "heat_kW": Column("heat_kW", "Heat taken out", "kW", 1),
    "usual_heat_kW": Column("usual_heat_kW", "Usually", "kW", 1),
    "emptied_at": Column("emptied_at", "Last emptied", "time"),
    "since_emptied_h": Column("since_emptied_h", "Since emptied", "h", 1),
}
MILKING_COLUMNS = (
    Column("started_at", "Began", "time"),
    Column("ended_at", "Ended", "time"),
    Column("cows", "Cows"),
    Column("milk_kg", "Milk", "kg"),
)
READING_COLUMNS = (
    Column("read_at", "Read", "time"),
    Column("tank_degC", "Temperature", "degC", 1),
    Column("typed", "As typed"),
    Column("source", "Source"),
    Column("agitator", "Agitator"),
    Column("less_error_degC", "Less its error", "degC", 1),
)


def make(connection: Any, ground: Ground, *, name: int | None = None) -> Report:
    """The tank at the ground's instant.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        name: which tank; the only one if not given.

    Raises:
        ChoreRefused: there is no tank.
        Refused: there are several and none was named.
    """
    state = tank_state(connection, chosen_tank(connection, name), ground.now_s)
    rounds = tank_rounds(
        connection,
        state.tank,
        state.emptied_at,
        state.milkings,
        ground,
        emptied_entry=state.emptied_entry,
    )
    return Report(
        "tank",
        f"Tank {state.tank.name}, {ground.clock.shown(ground.now_s)}",
        facts={**make_facts(state, ground), **round_facts(rounds, ground)},
        columns={**FACT_COLUMNS, **ROUND_COLUMNS},
        tables=(
            Table(
                "deadlines",
                "Deadlines",
                CLAUSE_COLUMNS,
                tuple(_clause_line(v, state, ground) for v in reversed(state.verdicts)),
                "No milking is in the tank.",
            ),
            Table(
                "milkings",
                "Milkings in the tank",
                MILKING_COLUMNS,
                tuple(_milking_line(m, ground) for m in reversed(state.milkings)),
            ),
            _readings_table(state, ground, rounds),
        ),
        warnings=(
            *held_now(connection, ground).says(state.tank.tank),
            *warnings_of(state, ground),
            *rounds.warnings(ground),
        ),
        data=state,
    )


def warnings_of(state: TankState, ground: Ground) -> tuple[str, ...]:
    """What must be said at once about a tank, most pressing first."""
    said = []
    for verdict in reversed(state.verdicts):
        if not verdict.warns:
            continue
        words = in_words(verdict, ground.clock, ground.now_s)
        milking = next(m for m in state.milkings if m.milking == verdict.milking_key)
        when = ground.shown(milking.started_at)
        kind = "Too warm" if verdict.state == "missed" else "Cooling too slowly"
        own = " (the farm's own goal)" if verdict.is_own else ""
        by = _by_words(verdict, ground)
        about = f"{verdict.clause.limit}{own}{by} for the milking of {when}, {words}"
        said.append(f"{kind}: {about}{_cause_words(state)}. {_suspects(state)}")
    if doubt := doubt_of(state, ground):
        said.append(f"In doubt: {doubt}. Read the milk with a second thermometer.")
    if state.held_g is not None and state.held_g > state.tank.capacity_g:
        said.append(
            f"{state.tank.name} holds {ground.units.mass(state.held_g)} on paper, "
            f"{ground.units.mass(state.tank.capacity_g)} at most."
        )
    return tuple(said)


def _by_words(verdict: Verdict, ground: Ground) -> str:
    """By when, and the minutes left to it."""
    if verdict.deadline_s is None or verdict.state == "missed":
        return ""
    left_s = verdict.deadline_s - ground.now_s
    return f" by {ground.clock.shown_time(verdict.deadline_s)}, {span_words(max(left_s, 0))} left,"


def _cause_words(state: TankState) -> str:
    """The likeliest cause and the heat taken out, where the forecast says them."""
    found = state.forecast
    if found is None or not found.cause:
        return ""
    heat = ""
    if found.heat_kW is not None and found.usual_heat_kW is not None:
        heat = f" ({found.heat_kW:.1f} kW, usually {found.usual_heat_kW:.1f})"
    return f"; {found.cause}{heat if found.cause == LESS_HEAT else ''}"


def _suspects(state: TankState) -> str:
    """What to look at, the likeliest first."""
    cause = "" if state.forecast is None else state.forecast.cause
    if cause == LESS_HEAT:
        return f"Look at condenser, fan and agitator first, then pre-cooler water; {REFRIGERANT}"
    if cause == WARM_MILK:
        return f"Look at pre-cooler water first, then condenser, fan and agitator; {REFRIGERANT}"
    return USUAL_SUSPECTS


def cooling_figure(state: TankState, ground: Ground) -> Figure:
    """One word for how the tank cools, with what it rests on."""
    verdict = state.worst
    if not state.milkings:
        return Figure("empty", rule="no milking since the tank was last emptied")
    running = state.milkings[-1].ended_at is None
    if verdict is None:
        word = (
            "filling"
            if running
            else "cold"
            if any(v.state == "met" for v in state.verdicts)
            else "not decided"
        )
        return Figure(
            word,
            rule=f"the farm's cooling rule, {state.rule.title}",
            entries=_all_under(state),
        )
    word = (
        "late"
        if verdict.state == "missed"
        else "too slow"
        if verdict.warns
        else "filling"
        if running
        else "cooling"
    )
    return Figure(
        word,
        rule=rule_words(verdict),
        inputs=verdict_inputs(verdict, ground),
        entries=_all_under(state),
        flag=flag_of(verdict),
        says=word,
    )


def milkings_under(state: TankState) -> EntriesUnder:
    """The entries under what is in the tank: its milkings, and the pickup that emptied it before them."""
    milked = [number for m in state.milkings for number in (m.entry, m.end_entry)]
    return entries_of(*milked, state.emptied_entry)


def _all_under(state: TankState) -> EntriesUnder:
    return entries_of(*milkings_under(state)(), *(row["entry"] for row in state.readings))


def rule_figure(state: TankState) -> Figure:
    """The rule that the tank's milk is held against, and the farm's own goals beside it."""
    goals = "" if state.goals is None else "; own " + ", ".join(str(one.limit) for one in state.goals.clauses)
    inputs = {} if state.goals is None else {one.key: one.says for one in state.goals.clauses}
    return Figure(f"{state.rule.title}{goals}", rule=state.rule.source, inputs=inputs)


def make_facts(state: TankState, ground: Ground) -> Mapping[str, Figure]:
    """A tank's figures, for its own report and for the day's."""
    last = state.last
    now_s = ground.now_s
    reading = _reading_figure(state, now_s)
    in_it = milkings_under(state)
    return {
        "tank": Figure(state.tank.name, entries=entries_of(state.tank.entry)),
        "rule": rule_figure(state),
        "held_kg": Figure(
            None if state.held_g is None else state.held_g / 1000,
            "kg",
            state.held_rule,
            {
                f"milking {ground.clock.shown(m.started_at)}": "not metered"
                if m.milk_g is None
                else in_kg(m.milk_g / 1000)
                for m in state.milkings
            },
            state.held_missing,
            entries_of(*state.held_entries),
            flag="?" if state.held_missing else "",
        ),
        "capacity_kg": Figure(state.tank.capacity_g / 1000, "kg", entries=entries_of(state.tank.entry)),
        "milkings": Figure(
            len(state.milkings), rule="milkings since the tank was last emptied", entries=in_it
        ),
        "tank_degC": reading,
        "read_at": Figure(
            None if last is None else last["read_at"],
            "time",
            entries=entries_of(None if last is None else last["entry"]),
        ),
        "trend": Figure(
            state.trend or None,
            rule="the last two readings, within two hours of each other",
            entries=entries_of(*(row["entry"] for row in state.readings[-2:])),
        ),
        "state": cooling_figure(state, ground),
        **heat_figures(state),
        "emptied_at": Figure(state.emptied_at, "time", entries=entries_of(state.emptied_entry)),
        "since_emptied_h": Figure(
            None if state.emptied_at is None else (now_s - state.emptied_at) / 3600,
            "h",
            "hours since the tank was last emptied",
            entries=entries_of(state.emptied_entry),
        ),
    }


def _reading_figure(state: TankState, now_s: int) -> Figure:
    """The newest temperature; an old one and one of milk that is gone are called so."""
    last = state.last
    if last is None:
        return Figure(None, "degC", missing=("no reading yet",))
    is_gone = state.emptied_at is not None and last["read_at"] <= state.emptied_at
    is_old = now_s - last["read_at"] > OLD_READING_S
    return Figure(
        last["tank_mC"] / 1000,
        "degC",
        f"the newest reading, {span_words(now_s - last['read_at'])} old",
        {"typed": last["typed"], "source": last["source"]},
        ("the tank was emptied since",) if is_gone else (),
        entries_of(last["entry"], state.emptied_entry if is_gone else None),
        flag="?" if is_gone or is_old else "",
        says="emptied since" if is_gone else "read it" if is_old else "",
    )


def _clause_line(verdict: Verdict, state: TankState, ground: Ground) -> Line:
    milking = next(m for m in state.milkings if m.milking == verdict.milking_key)
    return verdict_line(verdict, milking, _under_verdict(milking, state), ground)


def heat_figures(state: TankState) -> dict[str, Figure]:
    """Heat the cooler takes out of the milk in the tank, and what it usually takes out at that temperature."""
    found = state.forecast
    rests = (
        {} if found is None else {"readings": str(found.used), "earlier milkings": str(found.prior_milkings)}
    )
    missing = (
        ("no milking cools",)
        if found is None
        else ()
        if found.heat_kW
        else ("milk not metered, or no reading yet",)
    )
    return {
        "heat_kW": Figure(
            None if found is None else found.heat_kW, "kW", HEAT_RULE, rests, missing, _all_under(state)
        ),
        "usual_heat_kW": Figure(
            None if found is None else found.usual_heat_kW,
            "kW",
            "what this tank's last milkings had taken out at this temperature",
            rests,
            missing,
            _all_under(state),
        ),
    }


def _under_verdict(milking: read_milk.MilkingRow, state: TankState) -> EntriesUnder:
    """A milking and the readings until the next one began."""
    after = [m.started_at for m in state.milkings if m.started_at > milking.started_at]
    mine = [
        row["entry"]
        for row in state.readings
        if milking.started_at <= row["read_at"] <= min(after, default=row["read_at"])
    ]
    return entries_of(*dict.fromkeys([milking.entry, milking.end_entry, *mine]))


def _milking_line(milking: read_milk.MilkingRow, ground: Ground) -> Line:
    under = entries_of(milking.entry, milking.end_entry)
    return Line(
        ground.clock.shown(milking.started_at),
        {
            "started_at": Figure(milking.started_at, "time", entries=under),
            "ended_at": Figure(milking.ended_at, "time", entries=under),
            "cows": Figure(milking.cows, entries=under),
            "milk_kg": Figure(None if milking.milk_g is None else milking.milk_g / 1000, "kg", entries=under),
        },
    )


def _readings_table(state: TankState, ground: Ground, rounds: TankRounds) -> Table:
    """Every reading by hand; of a logger's many the warmest of each so many minutes."""
    by_hand = [row for row in state.readings if not row["logged"]]
    logged = [row for row in state.readings if row["logged"]]
    title = "Readings"
    if len(logged) > MOST_LISTED:
        span_s = logged[-1]["read_at"] - logged[0]["read_at"]
        step_s = 300 * math.ceil(span_s / MOST_LISTED / 300)
        warmest: dict[tuple[int, str], Any] = {}
        for row in logged:
            key = row["read_at"] // step_s, row["source"]
            if key not in warmest or row["tank_mC"] > warmest[key]["tank_mC"]:
                warmest[key] = row
        logged = list(warmest.values())
        title = f"Readings; of a logger's the warmest of every {step_s // 60} min"
    shown = sorted([*by_hand, *logged], key=lambda row: int(row["read_at"]), reverse=True)
    return Table(
        "readings", title, READING_COLUMNS, tuple(_reading_line(row, ground, rounds) for row in shown)
    )


def _reading_line(row: Any, ground: Ground, rounds: TankRounds) -> Line:
    under, off = entries_of(row["entry"]), rounds.error_of(row["source"], row["read_at"])
    agitator = None if row["agitator"] is None else "ran" if row["agitator"] else "not run"
    return Line(
        ground.clock.shown(row["read_at"]),
        {
            "read_at": Figure(row["read_at"], "time", entries=under),
            "tank_degC": Figure(row["tank_mC"] / 1000, "degC", entries=under),
            "typed": Figure(row["typed"], entries=under),
            "source": Figure(row["source"], entries=under),
            "agitator": Figure(agitator, entries=under),
            "less_error_degC": Figure(
                None if not off else (row["tank_mC"] - off) / 1000,
                "degC",
                LESS_ERROR_RULE,
                entries=under,
            ),
        },
    )
