"""Verdicts of the milk clock as the deadline clocks show them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from herdbook.chores.ground import Ground
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
    expected = verdict.expected.at_s if verdict.expected is not None and verdict.state == "open" else None
    by = f" by {clock.shown_time(verdict.deadline_s)}" if verdict.deadline_s is not None else " or less"
    return Deadline(
        title=f"{verdict.clause.limit}{by}",
        state=_state(verdict),
        now=clock.local(ground.now_s),
        start=None if start_s is None else clock.local(start_s),
        limit=None if verdict.deadline_s is None else clock.local(verdict.deadline_s),
        expected=None if expected is None else clock.local(expected),
        met_at=None if verdict.reached_s is None else clock.local(verdict.reached_s),
        note=_note(verdict),
    )


def _state(verdict: Verdict) -> State:
    if verdict.state == "missed":
        return "late"
    if verdict.state == "met":
        return "met"
    if verdict.state == "open":
        if verdict.warns:
            return "slow"
        if verdict.deadline_s is None:  # a limit that holds all the time: kept so far, or not read yet
            return "running" if "so far" in verdict.why else "waiting"
        known = verdict.expected is not None and verdict.expected.at_s is not None
        return "running" if known else "no forecast"
    return "waiting" if verdict.state == "waiting" else "undecided"


def _note(verdict: Verdict) -> str:
    if verdict.state in ("not decided", "no reading", "waiting"):
        return verdict.why or verdict.state
    if verdict.expected is not None and verdict.expected.never:
        return "not reached at this rate"
    if verdict.state == "open" and verdict.expected is not None and verdict.expected.at_s is None:
        return verdict.expected.why
    return ""
