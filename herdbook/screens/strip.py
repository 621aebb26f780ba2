"""The tank strip of row 2, worked out from the day's report."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, cast

from herdbook.chores.ground import Ground
from herdbook.clock import span_words
from herdbook.screens.tank_strip import Level, TankStrip, Trend

if TYPE_CHECKING:
    from herdbook.reports.cooling import TankState
    from herdbook.reports.today import TodayData
    from herdbook.science.milk_clock import Verdict

OLD_S = 40 * 60
"""A reading older than this while milk cools is called old: common practice, no source."""


def strip_of(data: TodayData, ground: Ground) -> TankStrip:
    """The strip of the tank that needs a look most, with what is due and the alerts."""
    return replace(strip_of_tanks(data.tanks, ground), due=len(data.due), alerts=len(data.alerts))


def strip_of_tanks(tanks: Sequence[TankState], ground: Ground) -> TankStrip:
    """The strip of the tank that needs a look most; what is due is not known yet."""
    base = TankStrip(due=None, at=ground.clock.shown_time(ground.now_s))
    if not tanks:
        return base
    state = max(tanks, key=_pressing)
    if not state.milkings:
        return replace(base, reading="empty")
    level, badge = _level(state, ground)
    deadline, short = _deadline(state, ground)
    last = state.readings[-1] if state.readings else None
    return replace(
        base,
        reading="" if last is None else ground.units.temperature(last["tank_mC"]),
        trend=cast(Trend, state.trend),
        level=level,
        badge=badge,
        badge_short={"too slow": "slow"}.get(badge, badge),
        deadline=deadline,
        deadline_short=short,
        runs=state.next_deadline is not None,
    )


def _pressing(state: TankState) -> int:
    return 3 if _missed(state) else 2 if _slow(state) else 1 if state.next_deadline else 0


def _missed(state: TankState) -> Verdict | None:
    """The limit that was missed and is not reached yet."""
    return next((v for v in state.verdicts if v.state == "missed" and _still_warm(v, state)), None)


def _slow(state: TankState) -> Verdict | None:
    """The open limit that will be missed at this rate; of several the one expected last."""
    slow = [v for v in state.verdicts if v.state != "missed" and v.warns]
    return slow[-1] if slow else None


def _level(state: TankState, ground: Ground) -> tuple[Level, str]:
    open_one = state.next_deadline
    if _missed(state):
        return "late", "LATE"
    if _slow(state):
        return "slow", "too slow"
    if open_one is not None and _age_s(state, ground) > OLD_S:
        return "unknown", "read it"
    if state.milkings[-1].ended_at is None:
        return "calm", "filling"
    met = any(verdict.state == "met" for verdict in state.verdicts)
    return ("ok", "ok") if state.readings and (met or open_one) else ("calm", "")


def _still_warm(verdict: Verdict, state: TankState) -> bool:
    """A limit missed and not yet reached is loud; one reached late is told in the place, not shouted for days."""
    if verdict.reached_s is not None:
        return False
    return bool(verdict.milking_key == state.milkings[-1].milking)


def _age_s(state: TankState, ground: Ground) -> int:
    ended = state.milkings[-1].ended_at or ground.now_s
    last = state.readings[-1]["read_at"] if state.readings else 0
    return ground.now_s - max(last, ended)


def _deadline(state: TankState, ground: Ground) -> tuple[str, str]:
    """The limit the badge is about, when it is or was due, and how long that is from now."""
    verdict = _missed(state) or _slow(state) or state.next_deadline
    if verdict is None or verdict.deadline_s is None:
        return _age_words(state, ground)
    by, left_s = ground.clock.shown_time(verdict.deadline_s), verdict.deadline_s - ground.now_s
    left = span_words(left_s) if left_s >= 0 else f"{span_words(-left_s)} ago"
    limit = str(verdict.clause.limit)
    bare = limit.split(" ")[0]
    return f"{limit} by {by}, {left}", f"{bare} by {by}, {left}"


def _age_words(state: TankState, ground: Ground) -> tuple[str, str]:
    if not state.readings:
        return "", ""
    read_at = state.readings[-1]["read_at"]
    age = span_words(ground.now_s - read_at)
    at = ground.shown(read_at)
    return f"read {at}, {age} ago", f"read {at}"
