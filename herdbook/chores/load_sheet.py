"""A load from a filled-in sheet of paper: what went in, what was dropped and when, in one entry or not at all."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Annotated, Any

from herdbook.book.tables import Drop, LoadWeight
from herdbook.chores.asking import Count, Name, YesNo
from herdbook.chores.doing import HAND, Chore, Doing, Written, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.measures import ask_weight
from herdbook.chores.mixing import (
    FEEDING,
    add_load,
    as_given,
    dry_of,
    see_not_tenfold,
    see_once,
    what_is_planned,
)
from herdbook.chores.moments import AHEAD_S, Day
from herdbook.chores.paper_times import TimeOfDay, WeightOnPaper, after, began_at
from herdbook.chores.planning import Plan
from herdbook.chores.repeated import Pair, Several
from herdbook.errors import Refused

OLDEST_DAYS = 60
IT_IS = " It is load "
"""What a number is told with: several sheets looked over together do not know theirs yet."""


class LoadSheetDraft(ChoreDraft):
    """A load as it stands on the sheet: its day, when it was begun, the scale's readings and the drops."""

    day: Annotated[date, Day(label="day", help="the day on the sheet", oldest_days=OLDEST_DAYS)]
    began: Annotated[int, TimeOfDay(label="began", help="when it was begun, as the clock showed")]
    fed: Annotated[
        list[tuple[int, Any, str]],
        Several(
            label="fed",
            help="feed=the scale's reading @ time, repeated in the order they went in; feed=+weight of it alone",
            each=Pair(
                label="fed",
                first=Name(label="feed", thing="feed"),
                second=WeightOnPaper(label="weight", running=True),
            ),
            least=1,
        ),
    ]
    planned_load: Annotated[
        int | None,
        Count(label="planned load", help="its number on the sheet; else give its pens", least=1, most=200),
    ] = None
    pen: Annotated[
        list[int],
        Several(label="pen", help="for which pens, repeated", each=Name(label="pen", thing="pen"), most=20),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    mixer: Annotated[int | None, Name(label="mixer", help="in which mixer", thing="mixer")] = None
    feeding: Annotated[int | None, FEEDING] = None
    planned: Annotated[
        list[tuple[int, int, str]],
        Several(
            label="planned",
            help="feed=weight as printed, repeated; worked out again if not given",
            each=Pair(label="planned", first=Name(label="feed", thing="feed"), second=ask_weight("weight")),
        ),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    drop: Annotated[
        list[tuple[int, Any, str]],
        Several(
            label="drop",
            help="pen=weight @ time, repeated",
            each=Pair(
                label="drop", first=Name(label="pen", thing="pen"), second=WeightOnPaper(label="weight")
            ),
        ),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    sure: Annotated[bool, YesNo(label="sure", help="yes: ten times the planned weight is really meant")] = (
        False
    )


@chore("load-sheet", "a load from a filled-in sheet", LoadSheetDraft, roles=[HAND])
def enter_load_sheet(doing: Doing, draft: LoadSheetDraft) -> str:
    """Write a load with all its weights and drops at the times on the sheet."""
    see_once(doing, draft.planned)
    began_s = began_at(doing.ground.clock, draft.day, draft.began)
    _see_past(doing, began_s, "began")
    mixer, pens, plan = what_is_planned(doing, draft, began_s)
    if draft.planned:
        plan = as_given(doing, plan, draft.planned, began_s)
    load, number = add_load(doing, mixer, pens, plan, began_s)
    loaded_g, last_s = _add_weights(doing, load, draft, plan, began_s)
    dropped_g = _add_drops(doing, load, draft, began_s, last_s)
    if dropped_g > loaded_g:
        units = doing.farm.units
        raise Refused(
            f"drop: {units.mass(dropped_g)} were dropped and {units.mass(loaded_g)} went in.",
            remedy="Check the weights on the sheet.",
            field="drop",
        )
    whose = ", ".join(doing.ground.name_of("pen", pen) for pen in pens)
    mass = doing.farm.units.mass
    out = f", {mass(dropped_g)} dropped" if draft.drop else ""
    return (
        f"From paper: {whose}, {plan.head} cows, {mass(plan.total_g)} planned, {mass(loaded_g)} loaded{out}."
        f"{IT_IS}{number} of {doing.farm_day.isoformat()}."
    )


def _see_past(doing: Doing, at_s: int, label: str) -> None:
    if at_s > doing.ground.now_s + AHEAD_S:
        raise Refused(
            f"{label}: {doing.ground.clock.shown(at_s)} lies ahead.",
            remedy="Check the day and the time on the sheet.",
            field=label,
        )


def _add_weights(doing: Doing, load: int, draft: LoadSheetDraft, plan: Plan, began_s: int) -> tuple[int, int]:
    """The weights in the order of the sheet; what is in at the end, and when the last went in."""
    units, running_g, at_s = doing.farm.units, 0, began_s
    planned = {line.feed: line.planned_g for line in plan.lines}
    so_far: dict[int, int] = defaultdict(int)
    for feed, (shown_g, minute, alone), typed in draft.fed:
        name = doing.ground.name_of("feed", feed)
        grams = shown_g if alone else shown_g - running_g
        if grams < 0:
            raise Refused(
                f"fed {name}: {units.mass(shown_g)} is below the {units.mass(running_g)} already in.",
                remedy="Check the readings; a weight by itself is typed with a plus.",
                field="fed",
            )
        so_far[feed] += grams
        see_not_tenfold(doing, feed, so_far[feed], planned.get(feed, 0), sure=draft.sure)
        if minute is not None:
            at_s = after(doing.ground.clock, began_s, minute, "fed")
            _see_past(doing, at_s, "fed")
        running_g += grams
        doing.add(
            LoadWeight(
                load=load,
                feed=feed,
                loaded_g=grams,
                scale_g=running_g,
                dry_ppm=dry_of(doing, plan, feed, began_s),
                weighed_at=at_s,
                typed=typed,
            )
        )
    return running_g, at_s


def _add_drops(doing: Doing, load: int, draft: LoadSheetDraft, began_s: int, last_s: int) -> int:
    """The drops; one without a time is taken to be of the last time before it on the sheet."""
    total_g, at_s = 0, last_s
    for pen, (grams, minute, _), typed in draft.drop:
        if not grams:
            continue
        if minute is not None:
            at_s = after(doing.ground.clock, began_s, minute, "drop")
            _see_past(doing, at_s, "drop")
        doing.add(
            Drop(
                load=load,
                pen=pen,
                dropped_at=at_s,
                farm_day=doing.farm_day.isoformat(),
                dropped_g=grams,
                typed=typed,
            )
        )
        total_g += grams
    return total_g


class _Rehearsed(Exception):  # noqa: N818 (leaves the turn before anything is written; not an error)
    def __init__(self, said: str) -> None:
        super().__init__(said)
        self.said = said


def rehearse(one: Chore, do: Callable[[Chore], Written]) -> str:
    """What a chore would say, with nothing written: it is done up to its entry and let go.

    Of a request that was written before, the sentence that says so comes back.

    Args:
        one: the chore.
        do: calls the chore it is given, as it would be called in earnest.

    Raises:
        HerdbookError: what would be refused.
    """

    def body(doing: Doing, draft: Any) -> str:
        raise _Rehearsed(one.body(doing, draft))

    try:
        written = do(replace(one, body=body))
    except _Rehearsed as done:
        return done.said
    return written.said
