"""How a tank's milkings cooled: verdicts over a span of days, what is foreseen of the newest, and a league."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import timedelta
from typing import Any, NamedTuple

from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.milk import MilkingRow, TankRow
from herdbook.chores.ground import Ground
from herdbook.reports.cooling import TankState, tank_state, verdicts_between
from herdbook.reports.cooling_ahead import past_milkings_of
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.spans import Span
from herdbook.reports.tank import heat_figures, rule_figure, warnings_of
from herdbook.reports.verdict_lines import CLAUSE_COLUMNS, chosen_tank, verdict_line
from herdbook.science.milk_clock import State, Verdict
from herdbook.science.tank_prior import learned

LEAGUE_MILKINGS = 60
USUAL_DAYS = 7
LEAGUE_RULE = "from the end of the milking to the first reading at or under the limit with all milk in"
HEAT_RULE = "heat taken out of the milk at 10 °C, from its mass and the course of its readings alone"

FACT_COLUMNS = {
    "tank": Column("tank", "Tank"),
    "rule": Column("rule", "Cooling rule"),
    "milkings": Column("milkings", "Milkings"),
    "met": Column("met", "Limits met"),
    "missed": Column("missed", "Missed"),
    "open": Column("open", "Open"),
    "not_decided": Column("not_decided", "Not decided"),
    "no_reading": Column("no_reading", "No reading"),
    "heat_kW": Column("heat_kW", "Heat taken out now", "kW", 1),
    "usual_heat_kW": Column("usual_heat_kW", "Usually", "kW", 1),
}
LEAGUE_COLUMNS = (
    Column("place", "Place"),
    Column("milking", "Milking", "time"),
    Column("ended_at", "Ended", "time"),
    Column("milk_kg", "Milk", "kg"),
    Column("in_tank", "In the tank"),
    Column("limit", "Limit"),
    Column("cooled_min", "Cold after", "min"),
    Column("heat_kW", "Heat at 10 °C", "kW", 1),
    Column("state", "State"),
)


COUNTED: tuple[State, ...] = ("met", "missed", "open", "not decided", "no reading")


class Judged(NamedTuple):
    """A milking with one verdict on it, and the entries of its readings."""

    milking: MilkingRow
    verdict: Verdict
    readings: tuple[int, ...]


def make(connection: Any, ground: Ground, *, tank: int | None = None, of: Span | None = None) -> Report:
    """The verdicts on a tank's milkings of some farm days.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        tank: which tank; the only one if not given.
        of: farm days; the last seven if not given.

    Raises:
        ChoreRefused: there is no tank.
        Refused: there are several and none was named.
    """
    its = chosen_tank(connection, tank)
    today = ground.clock.farm_day(ground.now_s)
    span = of or Span(today - timedelta(days=USUAL_DAYS - 1), today)
    start, end = ground.clock.day_starts(span.first), ground.clock.day_starts(span.last + timedelta(days=1))
    end = min(end, ground.now_s + 1)
    state = tank_state(connection, its, ground.now_s)
    last = read_milk.milkings_before(connection, its.tank, end, LEAGUE_MILKINGS)
    judged = _judged(connection, its, state, min([start, *(m.started_at for m in last)]), end, ground.now_s)
    inside = [one for one in judged if one.milking.started_at >= start]
    league = {m.milking for m in last}
    return Report(
        "cooling",
        f"Cooling of {its.name}, {span}",
        facts=_facts(inside, state),
        columns=FACT_COLUMNS,
        tables=(
            Table(
                "verdicts",
                "Verdicts",
                CLAUSE_COLUMNS,
                tuple(_line(one, ground) for one in reversed(inside)),
                "No milking began in these days.",
            ),
            Table(
                "league",
                f"The last {LEAGUE_MILKINGS} milkings, by how soon they were cold",
                LEAGUE_COLUMNS,
                tuple(
                    _league(connection, its, [o for o in judged if o.milking.milking in league], end, ground)
                ),
                "No milking of this tank is over.",
            ),
        ),
        warnings=warnings_of(state, ground) if span.last == today else (),
        data=tuple(judged),
    )


def _judged(
    connection: Any, its: TankRow, state: TankState, start: int, end: int, now_s: int
) -> list[Judged]:
    """Verdicts in order; those of the milk in the tank as it is foreseen now."""
    ahead = {(v.milking_key, v.clause.key): v for v in state.verdicts}
    found = []
    for milking, verdict, readings in verdicts_between(connection, its, start, end, now_s):
        newest = ahead.get((verdict.milking_key, verdict.clause.key), verdict)
        shown = newest if verdict.rules_tank and newest.rules_tank else verdict
        found.append(Judged(milking, shown, tuple(row["entry"] for row in readings)))
    return found


def _facts(judged: Sequence[Judged], state: TankState) -> Mapping[str, Figure]:
    states = Counter(one.verdict.state for one in judged)
    under = entries_of(*(number for one in judged for number in _under(one)))
    counted = {
        word.replace(" ", "_"): Figure(states[word], rule=f"verdicts that are {word}", entries=under)
        for word in COUNTED
    }
    return {
        "tank": Figure(state.tank.name, entries=entries_of(state.tank.entry)),
        "rule": rule_figure(state),
        "milkings": Figure(
            len({one.milking.milking for one in judged}), rule="milkings begun in these days", entries=under
        ),
        **counted,
        **heat_figures(state),
    }


def _under(one: Judged) -> tuple[int, ...]:
    own = (one.milking.entry, one.milking.end_entry)
    return tuple(dict.fromkeys(number for number in (*own, *one.readings) if number is not None))


def _line(one: Judged, ground: Ground) -> Line:
    return verdict_line(one.verdict, one.milking, entries_of(*_under(one)), ground)


def _league(connection: Any, its: TankRow, judged: Sequence[Judged], end: int, ground: Ground) -> list[Line]:
    """The milkings by the minutes to their coldest limit with a deadline; those that never were cold at the end."""
    by_milking: dict[int, Judged] = {}
    for one in judged:
        clause = one.verdict.clause
        before = by_milking.get(one.milking.milking)
        if one.milking.ended_at is None or clause.never_above or one.verdict.is_own:
            continue
        if before is None or clause.limit.mC < before.verdict.clause.limit.mC:
            by_milking[one.milking.milking] = one
    taken = {
        row.milking: past for row, past in past_milkings_of(connection, its.tank, end, LEAGUE_MILKINGS + 1)
    }
    ranked = sorted(by_milking.values(), key=lambda one: (_cooled_s(one) is None, _cooled_s(one) or 0))
    return [_place(number, one, taken, ground) for number, one in enumerate(ranked, 1)]


def _cooled_s(one: Judged) -> int | None:
    reached, ended = one.verdict.reached_s, one.milking.ended_at
    return None if reached is None or ended is None else reached - ended


def _place(number: int, one: Judged, taken: Mapping[int, Any], ground: Ground) -> Line:
    milking, verdict = one.milking, one.verdict
    under = entries_of(*_under(one))
    past = taken.get(milking.milking)
    shows = learned(past) if past is not None else None
    cooled_s = _cooled_s(one)
    flag = {"missed": "!!", "no reading": "?"}.get(verdict.state, "")
    milk_g = past.milking.added_g if past is not None else milking.milk_g
    return Line(
        ground.clock.shown(milking.started_at),
        {
            "place": Figure(
                number if cooled_s is not None else None, rule="by minutes to the limit", entries=under
            ),
            "milking": Figure(milking.started_at, "time", entries=under),
            "ended_at": Figure(milking.ended_at, "time", entries=under),
            "milk_kg": Figure(
                None if milk_g is None else milk_g / 1000,
                "kg",
                "as metered, or its share of the pickup",
                entries=under,
            ),
            "in_tank": Figure(
                None if past is None else past.milking.milkings_before,
                rule="milkings in the tank before it",
                entries=under,
            ),
            "limit": Figure(str(verdict.clause.limit), rule=verdict.clause.says, entries=under),
            "cooled_min": Figure(
                None if cooled_s is None else cooled_s / 60,
                "min",
                LEAGUE_RULE,
                missing=() if cooled_s is not None else ("no reading at or under the limit",),
                entries=under,
            ),
            "heat_kW": Figure(
                None if shows is None else math.exp(shows.power),
                "kW",
                HEAT_RULE,
                missing=() if shows is not None else ("milk not known, or too few readings",),
                entries=under,
            ),
            "state": Figure(
                verdict.state, rule=verdict.clause.says, entries=under, flag=flag, says=verdict.state
            ),
        },
    )
