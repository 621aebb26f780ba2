"""The tank strip of row 2, worked out from the day's report."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, cast

from herdbook.chores.ground import Ground
from herdbook.clock import span_words
from herdbook.screens.tank_strip import Level, TankStrip, Trend

if TYPE_CHECKING:
    from herdbook.reports.cooling import TankState
    from herdbook.reports.today import TodayData

OLD_S = 40 * 60
"""A reading older than this while milk cools is called old: common practice, no source."""


def strip_of(data: TodayData, ground: Ground) -> TankStrip:
    """The strip of the tank that needs a look most."""
    at = ground.clock.shown_time(ground.now_s)
    base = TankStrip(due=len(data.due), alerts=len(data.alerts), at=at)
    if not data.tanks:
        return base
    state = max(data.tanks, key=_pressing)
    reading = "" if state.last is None else ground.units.temperature(state.last["tank_mC"])
    if not state.milkings:
        return replace(base, deadline="empty")
    level, badge = _level(state, ground)
    deadline, short = _deadline(state, ground)
    return replace(
        base,
        reading=reading,
        trend=cast(Trend, state.trend),
        level=level,
        badge=badge,
        badge_short={"too slow": "slow"}.get(badge, badge),
        deadline=deadline,
        deadline_short=short,
        runs=state.next_deadline is not None,
    )


def _pressing(state: TankState) -> int:
    worst = state.worst
    return 0 if worst is None else 3 if worst.state == "missed" else 2 if worst.warns else 1


def _level(state: TankState, ground: Ground) -> tuple[Level, str]:
    worst, open_one = state.worst, state.next_deadline
    if worst is not None and worst.state == "missed" and _still_warm(worst, state):
        return "late", "LATE"
    if worst is not None and worst.state == "open" and worst.warns:
        return "slow", "too slow"
    if open_one is not None and _age_s(state, ground) > OLD_S:
        return "unknown", "read it"
    if state.milkings[-1].ended_at is None:
        return "calm", "filling"
    return ("ok", "ok") if any(v.state == "met" for v in state.verdicts) or open_one else ("calm", "")


def _still_warm(verdict: Any, state: TankState) -> bool:
    """A limit missed and not yet reached is loud; one reached late is told in the place, not shouted for days."""
    if verdict.reached_s is not None:
        return False
    return bool(verdict.milking_key == state.milkings[-1].milking)


def _age_s(state: TankState, ground: Ground) -> int:
    ended = state.milkings[-1].ended_at or ground.now_s
    last = state.readings[-1]["read_at"] if state.readings else 0
    return ground.now_s - max(last, ended)


def _deadline(state: TankState, ground: Ground) -> tuple[str, str]:
    verdict = state.next_deadline
    if verdict is None or verdict.deadline_s is None:
        return _age_words(state, ground)
    limit, by = str(verdict.clause.limit), ground.clock.shown_time(verdict.deadline_s)
    left = span_words(verdict.deadline_s - ground.now_s)
    bare = limit.split(" ")[0]
    return f"{limit} by {by}, {left}", f"{bare} by {by}, {left}"


def _age_words(state: TankState, ground: Ground) -> tuple[str, str]:
    if state.last is None:
        return "", ""
    age = span_words(ground.now_s - state.last["read_at"])
    at = ground.clock.shown(state.last["read_at"], today=ground.clock.local(ground.now_s).date())
    return f"read {at}, {age} ago", f"read {at}"
