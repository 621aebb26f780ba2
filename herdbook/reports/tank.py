"""A tank as it stands: milk held, temperature, deadlines and verdicts, milkings and readings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from herdbook.book.reading import milk as read_milk
from herdbook.chores.ground import Ground
from herdbook.clock import span_words
from herdbook.errors import ChoreRefused, Refused
from herdbook.reports.cooling import USUAL_SUSPECTS, TankState, in_words, tank_state
from herdbook.reports.figures import Column, EntriesUnder, Figure, Line, Report, Table, entries_of
from herdbook.reports.held import held_now
from herdbook.science.milk_clock import Verdict

OLD_READING_S = 2 * 3600
"""A reading older than this says little of the milk now: common practice, no source."""

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
    "emptied_at": Column("emptied_at", "Last emptied", "time"),
    "since_emptied_h": Column("since_emptied_h", "Since emptied", "h", 1),
}
CLAUSE_COLUMNS = (
    Column("milking", "Milking", "time"),
    Column("clause", "Limit"),
    Column("deadline", "By", "time"),
    Column("state", "State"),
    Column("reached_at", "Reached", "time"),
    Column("expected_at", "Expected", "time"),
    Column("margin_min", "Margin", "min"),
    Column("over_degC", "Over", "delta_degC", 1),
    Column("says", "In words"),
)
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
    state = tank_state(connection, _chosen(connection, name), ground.now_s)
    return Report(
        "tank",
        f"Tank {state.tank.name}, {ground.clock.shown(ground.now_s)}",
        facts=make_facts(state, ground),
        columns=FACT_COLUMNS,
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
            Table(
                "readings",
                "Readings",
                READING_COLUMNS,
                tuple(_reading_line(row, ground) for row in reversed(state.readings)),
            ),
        ),
        warnings=(*held_now(connection, ground).says(state.tank.tank), *warnings_of(state, ground)),
        data=state,
    )


def _chosen(connection: Any, name: int | None) -> read_milk.TankRow:
    tanks = read_milk.tanks(connection)
    if not tanks:
        raise ChoreRefused(
            "There is no tank in the book yet.", remedy="Write one first: `herdbook write tank`."
        )
    if name is None and len(tanks) > 1:
        raise Refused("tank: which one?", remedy=f"Give {' or '.join(t.name for t in tanks)}.", field="tank")
    return next((tank for tank in tanks if tank.tank == name), tanks[0])


def warnings_of(state: TankState, ground: Ground) -> tuple[str, ...]:
    """What must be said at once about a tank, most pressing first."""
    said = []
    for verdict in reversed(state.verdicts):
        if not verdict.warns:
            continue
        words = in_words(verdict, ground.clock, ground.now_s)
        milking = next(m for m in state.milkings if m.milking == verdict.milking_key)
        when = ground.clock.shown(milking.started_at, today=ground.clock.local(ground.now_s).date())
        kind = "Cooling too slowly" if verdict.state == "open" else "Too warm"
        said.append(f"{kind}: {verdict.clause.limit} for the milking of {when}, {words}. {USUAL_SUSPECTS}")
    if state.held_g is not None and state.held_g > state.tank.capacity_g:
        said.append(
            f"{state.tank.name} holds {ground.units.mass(state.held_g)} on paper, "
            f"{ground.units.mass(state.tank.capacity_g)} at most."
        )
    return tuple(said)


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
    flag = "!!" if verdict.state == "missed" else "!" if verdict.warns else ""
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
        rule=f"{verdict.clause.says}: {state.rule.title}, read {state.rule.date_read} in {state.rule.source}",
        inputs=_verdict_inputs(verdict, ground),
        entries=_all_under(state),
        flag=flag,
        says=word,
    )


def milkings_under(state: TankState) -> EntriesUnder:
    """The entries under what is in the tank: its milkings, and the pickup that emptied it before them."""
    milked = [number for m in state.milkings for number in (m.entry, m.end_entry)]
    return entries_of(*milked, state.emptied_entry)


def _all_under(state: TankState) -> EntriesUnder:
    return entries_of(*milkings_under(state)(), *(row["entry"] for row in state.readings))


def _verdict_inputs(verdict: Verdict, ground: Ground) -> Mapping[str, Any]:
    inputs: dict[str, Any] = {"limit": str(verdict.clause.limit)}
    if verdict.deadline_s is not None:
        inputs["deadline"] = ground.clock.iso(verdict.deadline_s)
    if verdict.last is not None:
        inputs["last reading"] = (
            f"{ground.units.temperature(verdict.last.tank_mC)} at {ground.clock.shown(verdict.last.at_s)}"
        )
    if verdict.expected is not None:
        estimate = verdict.expected
        inputs["estimate"] = f"{estimate.how} through {estimate.used} readings; {estimate.why}".rstrip("; ")
        if estimate.at_s is not None:
            inputs["expected"] = ground.clock.iso(estimate.at_s)
    inputs["in words"] = in_words(verdict, ground.clock, ground.now_s)
    return inputs


def make_facts(state: TankState, ground: Ground) -> Mapping[str, Figure]:
    """A tank's figures, for its own report and for the day's."""
    last = state.last
    now_s = ground.now_s
    reading = _reading_figure(state, now_s)
    in_it = milkings_under(state)
    return {
        "tank": Figure(state.tank.name, entries=entries_of(state.tank.entry)),
        "rule": Figure(state.rule.title, rule=state.rule.source),
        "held_kg": Figure(
            None if state.held_g is None else state.held_g / 1000,
            "kg",
            "metered milk since the tank was emptied, less what was taken in part",
            {
                f"milking {ground.clock.shown(m.started_at)}": "not metered"
                if m.milk_g is None
                else f"{m.milk_g / 1000:.0f} kg"
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
    under = _under_verdict(milking, state)
    flag = "!!" if verdict.state == "missed" else "!" if verdict.warns else ""
    says = "late" if verdict.state == "missed" else "too slow" if verdict.warns else verdict.state
    rule = f"{verdict.clause.says}: {state.rule.title}, {state.rule.source}"
    inputs = _verdict_inputs(verdict, ground)
    return Line(
        f"{ground.clock.shown(milking.started_at)} {verdict.clause.key}",
        {
            "milking": Figure(milking.started_at, "time", entries=entries_of(milking.entry)),
            "clause": Figure(f"{verdict.clause.limit}", rule=rule),
            "deadline": Figure(verdict.deadline_s, "time", rule, inputs, entries=under),
            "state": Figure(verdict.state, "", rule, inputs, entries=under, flag=flag, says=says),
            "reached_at": Figure(
                verdict.reached_s,
                "time",
                "the first reading at or under the limit with all milk in",
                entries=under,
            ),
            "expected_at": Figure(
                verdict.expected.at_s if verdict.expected and verdict.state == "open" else None,
                "time",
                "estimate from the readings since the end of the milking",
                inputs,
                entries=under,
            ),
            "margin_min": Figure(
                None if verdict.margin_s is None else verdict.margin_s / 60,
                "min",
                "deadline less the time it was reached",
                inputs,
                entries=under,
            ),
            "over_degC": Figure(
                None if verdict.over_mC is None else verdict.over_mC / 1000,
                "delta_degC",
                "reading less the limit",
                inputs,
                entries=under,
            ),
            "says": Figure(
                in_words(verdict, ground.clock, ground.now_s), rule=rule, inputs=inputs, entries=under
            ),
        },
    )


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


def _reading_line(row: Any, ground: Ground) -> Line:
    under = entries_of(row["entry"])
    return Line(
        ground.clock.shown(row["read_at"]),
        {
            "read_at": Figure(row["read_at"], "time", entries=under),
            "tank_degC": Figure(row["tank_mC"] / 1000, "degC", entries=under),
            "typed": Figure(row["typed"], entries=under),
            "source": Figure(row["source"], entries=under),
        },
    )
