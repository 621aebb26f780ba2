"""The tank's readings as a curve: a fixed scale, limits behind, what is expected ahead."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from herdbook.chores.ground import Ground
from herdbook.screens.parts.curve import CurveSheet, LimitLine
from herdbook.units import TEMPERATURE_MC

if TYPE_CHECKING:
    from herdbook.reports.cooling import TankState
    from herdbook.science.milk_clock import Verdict

HOUR_S = 3600
SCALE = {"°F": (36.0, 60.0, (40.0, 50.0, 60.0)), "°C": (2.0, 16.0, (5.0, 10.0, 15.0))}
"""Lowest, highest and named levels: the same every day, so that a height on screen is a temperature."""


def sheet_of(state: TankState, ground: Ground, width: int, height: int) -> CurveSheet:
    """What the curve of a tank shows: from a little before the last milking to the limit or the forecast."""
    warmth = ground.units.warmth
    lowest, highest, levels = SCALE[warmth]
    first_s, last_s = _span(state, ground)
    verdict = state.worst or state.flowing  # the same that the clock beside it shows
    points = [(row["read_at"], TEMPERATURE_MC.value_in(row["tank_mC"], warmth)) for row in state.readings]
    points = [point for point in points if first_s <= point[0] <= last_s]
    limits = [
        LimitLine(_level(v, warmth), str(v.clause.limit))
        for v in {v.clause.limit: v for v in state.verdicts}.values()
    ]
    expected = None
    if verdict is not None and verdict.expected is not None and verdict.expected.at_s:
        expected = (float(verdict.expected.at_s), _level(verdict, warmth))
    return CurveSheet(
        first_s=first_s,
        last_s=last_s,
        lowest=lowest,
        highest=highest,
        readings=points,
        forecast=[points[-1], expected] if points and expected and expected[0] > points[-1][0] else [],
        limits=limits,
        deadline_s=None if verdict is None else verdict.deadline_s,
        deadline_level=None if verdict is None else _level(verdict, warmth),
        expected=expected,
        levels=[(level, f"{level:g}") for level in levels],
        times=_times(first_s, last_s, ground),
        unit=warmth,
    )


def _level(verdict: Verdict, warmth: str) -> float:
    return TEMPERATURE_MC.value_in(verdict.clause.limit.mC, warmth)


def _span(state: TankState, ground: Ground) -> tuple[float, float]:
    began = state.milkings[-1].started_at if state.milkings else ground.now_s - 4 * HOUR_S
    first_s = began - HOUR_S / 2
    ahead = [ground.now_s + HOUR_S / 2]
    for verdict in state.verdicts:
        if verdict.state == "open" or verdict is state.flowing:
            ahead += [verdict.deadline_s + HOUR_S / 3] if verdict.deadline_s else []
            late = verdict.expected.at_s if verdict.expected is not None else None
            ahead += [min(late, ground.now_s + 6 * HOUR_S) + HOUR_S / 3] if late else []
    last_s = min(max(ahead), first_s + 12 * HOUR_S)
    return first_s, max(last_s, first_s + 3 * HOUR_S)


def _times(first_s: float, last_s: float, ground: Ground) -> list[tuple[float, str]]:
    """Whole hours of the farm's clock, few enough to be read."""
    step = max(1, math.ceil((last_s - first_s) / HOUR_S / 6))
    local = ground.clock.local(int(first_s))
    at_s = int(first_s) - (local.minute * 60 + local.second) + HOUR_S
    found = []
    while at_s < last_s:
        if ground.clock.local(at_s).hour % step == 0:
            found.append((float(at_s), ground.clock.shown_time(at_s)))
        at_s += HOUR_S
    return found
