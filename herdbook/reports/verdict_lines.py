"""Verdicts on milkings as rows of a report: deadline, state, when the limit is expected, and what all that rests on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.milk import MilkingRow
from herdbook.chores.ground import Ground
from herdbook.errors import ChoreRefused, Refused
from herdbook.reports.cooling import in_words, late_percent, range_words
from herdbook.reports.figures import Column, EntriesUnder, Figure, Line, entries_of
from herdbook.science.cooling_curve import Estimate
from herdbook.science.milk_clock import Verdict
from herdbook.science.tank_forecast import LimitForecast

FORECAST_RULE = (
    "the heat balance of the milk, followed through its readings, beside this tank's last milkings"
)
READINGS_RULE = "a straight line or a curve through the readings since the end of the milking"

CLAUSE_COLUMNS = (
    Column("milking", "Milking", "time"),
    Column("clause", "Limit"),
    Column("deadline", "By", "time"),
    Column("state", "State"),
    Column("reached_at", "Reached", "time"),
    Column("expected_at", "Expected", "time"),
    Column("expected_from_at", "From", "time"),
    Column("expected_until_at", "Until", "time"),
    Column("late_percent", "Chance of late", "%"),
    Column("margin_min", "Margin", "min"),
    Column("over_degC", "Over", "delta_degC", 1),
    Column("says", "In words"),
)


def chosen_tank(connection: Any, name: int | None) -> read_milk.TankRow:
    """The tank asked for; the only one where none was named.

    Raises:
        ChoreRefused: there is no tank.
        Refused: there are several and none was named.
    """
    tanks = read_milk.tanks(connection)
    if not tanks:
        raise ChoreRefused(
            "There is no tank in the book yet.", remedy="Write one first: `herdbook write tank`."
        )
    if name is None and len(tanks) > 1:
        raise Refused("tank: which one?", remedy=f"Give {' or '.join(t.name for t in tanks)}.", field="tank")
    return next((tank for tank in tanks if tank.tank == name), tanks[0])


def verdict_line(verdict: Verdict, milking: MilkingRow, under: EntriesUnder, ground: Ground) -> Line:
    """One verdict as a row of `CLAUSE_COLUMNS`.

    Args:
        verdict: the verdict.
        milking: the milking it judges.
        under: the entries under it.
        ground: the farm's units and clock.
    """
    flag = flag_of(verdict)
    says = "late" if verdict.state == "missed" else "too slow" if verdict.warns else verdict.state
    rule = rule_words(verdict)
    inputs = verdict_inputs(verdict, ground)
    return Line(
        f"{ground.clock.shown(milking.started_at)} {verdict.clause.key}",
        {
            "milking": Figure(milking.started_at, "time", entries=entries_of(milking.entry)),
            "clause": Figure(f"{verdict.clause.limit}{' own' if verdict.is_own else ''}", rule=rule),
            "deadline": Figure(verdict.deadline_s, "time", rule, inputs, entries=under),
            "state": Figure(verdict.state, "", rule, inputs, entries=under, flag=flag, says=says),
            "reached_at": Figure(
                verdict.reached_s,
                "time",
                "the first reading at or under the limit with all milk in",
                entries=under,
            ),
            **expected_figures(verdict, inputs, under),
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


def flag_of(verdict: Verdict) -> str:
    """How loud a verdict is: a goal of the farm's own that was missed breaks no rule."""
    if verdict.state == "missed" and not verdict.is_own:
        return "!!"
    return "!" if verdict.warns else ""


def rule_words(verdict: Verdict) -> str:
    """What a verdict's clause says, and where that is printed."""
    rule = verdict.rule
    if rule is None or verdict.is_own:
        return verdict.clause.says
    return f"{verdict.clause.says}: {rule.title}, read {rule.date_read} in {rule.source}"


def expected_figures(verdict: Verdict, inputs: Mapping[str, Any], under: EntriesUnder) -> dict[str, Figure]:
    """When the limit is expected, its 80 % range, and the chance of being late."""
    ahead = verdict.expected
    reach = ahead if isinstance(ahead, LimitForecast) else None
    rule = FORECAST_RULE if reach is not None and reach.by_heat else READINGS_RULE
    return {
        "expected_at": Figure(None if ahead is None else ahead.at_s, "time", rule, inputs, entries=under),
        "expected_from_at": Figure(
            reach.low_s if reach else None, "time", f"reached sooner with a chance of 10 %; {FORECAST_RULE}",
            inputs, entries=under,
        ),
        "expected_until_at": Figure(
            reach.high_s if reach else None, "time", f"reached by then with a chance of 90 %; {FORECAST_RULE}",
            inputs, entries=under,
        ),
        "late_percent": Figure(
            late_percent(ahead), "%", f"the share of likely courses that miss the deadline; {FORECAST_RULE}",
            inputs, entries=under,
        ),
    }  # fmt: skip


def verdict_inputs(verdict: Verdict, ground: Ground) -> Mapping[str, Any]:
    """What a verdict rests on, in words."""
    inputs: dict[str, Any] = {"limit": str(verdict.clause.limit)}
    if verdict.deadline_s is not None:
        inputs["deadline"] = ground.clock.iso(verdict.deadline_s)
    if verdict.last is not None:
        inputs["last reading"] = (
            f"{ground.units.temperature(verdict.last.tank_mC)} at {ground.clock.shown(verdict.last.at_s)}"
        )
    if verdict.expected is not None:
        estimate = verdict.expected
        inputs |= _ahead_inputs(estimate, ground)
    inputs["in words"] = in_words(verdict, ground.clock, ground.now_s)
    return inputs


def _ahead_inputs(estimate: Estimate, ground: Ground) -> dict[str, Any]:
    """What the forecast says and rests on, in words."""
    rests_on = getattr(estimate, "rests_on", "") or f"{estimate.used} readings"
    found = (
        {"forecast from": rests_on, "which says": estimate.why}
        if estimate.why
        else {"forecast from": rests_on}
    )
    if estimate.at_s is not None:
        found["expected"] = ground.clock.iso(estimate.at_s)
    found |= {"80 % range": words.strip(" ()")} if (words := range_words(estimate, ground.clock)) else {}
    chance = late_percent(estimate)
    return found if chance is None else {**found, "chance of being late": f"{chance:.0f} %"}
