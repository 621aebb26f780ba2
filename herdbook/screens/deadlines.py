"""Verdicts of the milk clock as the deadline clocks show them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from herdbook.chores.ground import Ground
from herdbook.clock import span_words
from herdbook.reports.cooling import late_percent, range_words
from herdbook.screens.parts.deadline_clock import Deadline, State

if TYPE_CHECKING:
    from herdbook.reports.cooling import TankState
    from herdbook.science.milk_clock import Verdict


def deadline_of(verdict: Verdict, state: TankState, ground: Ground) -> Deadline:
    """One verdict as a clock; the drawing decides nothing, it only shows."""
    clock = ground.clock
    milking = next(m for m in state.milkings if m.milking == verdict.milking_key)
    from_start = verdict.clause.clock in (
        "start of first milking",
        "start of milking",
        "first milking onwards",
    )
    start_s = milking.started_at if from_start else milking.ended_at
    ahead = verdict.expected
    return Deadline(
        title=f"{verdict.clause.limit}{' own' if verdict.is_own else ''}{_by_when(verdict, ground)}",
        state=_state(verdict),
        now=clock.local(ground.now_s),
        start=None if start_s is None else clock.local(start_s),
        limit=None if verdict.deadline_s is None else clock.local(verdict.deadline_s),
        expected=None if ahead is None or ahead.at_s is None else clock.local(ahead.at_s),
        span=range_words(ahead, clock).strip(" ()") if ahead is not None else "",
        late_percent=late_percent(ahead),
        met_at=None if verdict.reached_s is None else clock.local(verdict.reached_s),
        note=_note(verdict),
    )


def _by_when(verdict: Verdict, ground: Ground) -> str:
    if verdict.deadline_s is not None:
        return f" by {ground.clock.shown_time(verdict.deadline_s)}"
    clause = verdict.clause
    if verdict.state == "waiting" and clause.counts_from_end and clause.within_s:
        return f", {span_words(clause.within_s)} after the end"
    return " or less"


def _state(verdict: Verdict) -> State:
    if verdict.state == "missed":
        return "goal missed" if verdict.is_own else "late"
    if verdict.state == "met":
        return "met"
    if verdict.state in ("open", "waiting") and verdict.warns:
        return "slow"
    if verdict.state == "open":
        if verdict.clause.never_above:  # kept so far, or not read yet, or above it for less than its grace
            return "running" if verdict.watched and verdict.worst is None else "waiting"
        known = verdict.expected is not None and verdict.expected.at_s is not None
        return "running" if known else "no forecast"
    return "waiting" if verdict.state == "waiting" else "undecided"


def _note(verdict: Verdict) -> str:
    ahead = verdict.expected
    if ahead is not None and ahead.never:
        return ahead.why if ahead.how == "none" else "not reached at this rate"
    if ahead is not None and ahead.at_s is not None:
        return ""
    if verdict.state in ("not decided", "no reading", "waiting") or verdict.worst is not None:
        return verdict.why or verdict.state
    return ahead.why if ahead is not None and verdict.state == "open" else ""
