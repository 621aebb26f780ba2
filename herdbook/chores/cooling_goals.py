"""Which place's cooling rule holds from a day on, and tighter goals that the farm sets itself."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from herdbook.book.reading.cooling_choices import COOLING_RULE, cooling_goals
from herdbook.book.tables import CoolingGoal, FarmChoice
from herdbook.chores.asking import Count, Word, YesNo
from herdbook.chores.doing import OWNER, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.measures import ask_warmth
from herdbook.chores.moments import Day
from herdbook.errors import Refused
from herdbook.reports.cooling_standard import Standards
from herdbook.science.cooling_rules import CoolingRule, cooling_rules
from herdbook.science.limits_compare import Limit, Unit, hundredths

AHEAD_DAYS = 60
CLOCKS = {
    "end": "end of milking",
    "start": "start of milking",
    "first": "start of first milking",
    "never": "first milking onwards",
}
"""What a goal's time counts from: words to type, and the clock of a rule's clause."""
COLDEST_GOAL_MC = 500
"""Milk freezes near -0.5 °C; nobody aims within a degree of it."""


class CoolingRuleDraft(ChoreDraft):
    """The rule for cooling milk where this farm is."""

    rule: Annotated[
        str,
        Word(
            label="rule",
            help="of the farm's place; each is explained in `herdbook manual cooling`",
            words=tuple(key for key, rule in cooling_rules().items() if rule.read),
        ),
    ]
    since: Annotated[
        date | None, Day(label="since", help="from which day; today if not given", ahead_days=AHEAD_DAYS)
    ] = None


@chore("cooling-rule", "the rule for cooling milk", CoolingRuleDraft, roles=[OWNER])
def choose_cooling_rule(doing: Doing, draft: CoolingRuleDraft) -> str:
    """Write which rule holds for milkings from a day on; those before it stay judged as they were."""
    since = (draft.since or doing.ground.clock.farm_day(doing.ground.now_s)).isoformat()
    doing.add(FarmChoice(from_day=since, choice=COOLING_RULE, chosen=draft.rule))
    rule = cooling_rules()[draft.rule]
    return f"From {since}: {rule.title}. Milkings before that stay judged as they were."


class CoolingGoalDraft(ChoreDraft):
    """A limit of the farm's own, tighter than the rule of its place."""

    limit: Annotated[int, ask_warmth("limit", help="the warmest the milk may be by then")]
    counted: Annotated[
        str,
        Word(
            label="counted from",
            help="end or start of each milking, start of the first; never: no later milking may warm it above",
            words=tuple(CLOCKS),
        ),
    ] = "end"
    within: Annotated[
        int | None, Count(label="within", help="minutes after that; none with never", least=1, most=1_440)
    ] = None
    since: Annotated[
        date | None, Day(label="since", help="from which day; today if not given", ahead_days=AHEAD_DAYS)
    ] = None
    over: Annotated[bool, YesNo(label="over", help="yes ends the goal of that limit from that day on")] = (
        False
    )


@chore("cooling-goal", "the farm's own goal for cooling", CoolingGoalDraft, roles=[OWNER])
def set_cooling_goal(doing: Doing, draft: CoolingGoalDraft) -> str:
    """Write a goal; it is held against every milking from a day on, beside the rule, and warns like it."""
    day = draft.since or doing.ground.clock.farm_day(doing.ground.now_s)
    unit: Unit = "degF" if doing.ground.units.system == "us" else "degC"
    tenths = round(hundredths(draft.limit, unit) / 10) * 10
    goal = CoolingGoal(
        from_day=day.isoformat(),
        clock=CLOCKS[draft.counted],
        limit_hundredths=tenths,
        unit=unit,
        within_min=draft.within,
        is_over=draft.over,
    )
    limit = Limit.of_hundredths(tenths, unit)
    if draft.over:
        _see_it_stands(doing, goal, limit)
        doing.add(goal)
        return f"The farm's own goal of {limit}, {_counted(goal)}, is over from {day.isoformat()}."
    _see_time(draft)
    if draft.limit < COLDEST_GOAL_MC:
        raise Refused(
            f"limit: {limit} is next to freezing.", remedy="Give the warmest the milk may be.", field="limit"
        )
    _see_tighter(goal, limit, Standards.of(doing.book).rule_on(day))
    doing.add(goal)
    return f"From {day.isoformat()} the farm's own goal: {limit} or less, {_counted(goal)}."


def _see_time(draft: CoolingGoalDraft) -> None:
    if draft.counted == "never" and draft.within is not None:
        raise Refused(
            "within: a limit that is never passed has no minutes.", remedy="Leave it out.", field="within"
        )
    if draft.counted != "never" and draft.within is None:
        raise Refused("within: in how many minutes?", remedy="Give minutes, such as 60.", field="within")


def _see_tighter(goal: CoolingGoal, limit: Limit, rule: CoolingRule) -> None:
    """A goal that the rule asks for already warns of nothing that the rule does not warn of sooner."""
    for clause in rule.clauses:
        if clause.clock != goal.clock or clause.limit.mC > limit.mC:
            continue
        within = None if goal.within_min is None else goal.within_min * 60
        if clause.within_s is None or (within is not None and clause.within_s <= within):
            raise Refused(
                f"limit: {rule.title} asks for that already: {clause.says}.",
                remedy="Give a goal that is colder or sooner.",
                field="limit",
            )


def _see_it_stands(doing: Doing, goal: CoolingGoal, limit: Limit) -> None:
    wanted = (goal.clock, goal.limit_hundredths, goal.unit)
    known = [
        row
        for row in cooling_goals(doing.book)
        if (row["clock"], row["limit_hundredths"], row["unit"]) == wanted and row["from_day"] <= goal.from_day
    ]
    if not known or known[-1]["is_over"]:
        raise Refused(
            f"limit: there is no goal of {limit} counted so on {goal.from_day}.",
            remedy="`herdbook show cooling` names the goals that stand.",
            field="limit",
        )
    goal.within_min = known[-1]["within_min"]


def _counted(goal: CoolingGoal) -> str:
    if goal.within_min is None:
        return "and never warmer after the first milking"
    return f"within {goal.within_min} min of the {goal.clock}"
