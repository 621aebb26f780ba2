"""Why a tank's thermometer should not be believed as it is: what the forecast found, or two that disagree."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from herdbook.book.reading.milk_rounds import BY_HAND
from herdbook.chores.ground import Ground
from herdbook.chores.thermometer_words import error_words
from herdbook.reports.cooling import TankState
from herdbook.science.thermometer_check import thermometer_is_off

BESIDE_S = 30 * 60
"""Two readings of a logger no further apart than this say what it had between them: common practice, no source."""
LATELY_S = 6 * 3600
"""A disagreement so old was looked into, or a new reading by hand shows it again: common practice, no source."""


def doubt_of(state: TankState, ground: Ground) -> str:
    """What is wrong with the readings of the milk in a tank; empty where nothing is.

    Args:
        state: the tank.
        ground: the farm's units and clock; the instant it is.
    """
    if state.forecast is not None and state.forecast.doubt:
        return state.forecast.doubt
    by_hand = [row for row in state.readings if row["source"] == BY_HAND]
    if not by_hand or ground.now_s - by_hand[-1]["read_at"] > LATELY_S:
        return ""
    hand = by_hand[-1]
    others: dict[str, list[Any]] = {}
    for row in state.readings:
        if row["source"] != BY_HAND:
            others.setdefault(row["source"], []).append(row)
    for source, rows in others.items():
        between = _between(rows, hand["read_at"])
        if between is not None and thermometer_is_off(shown_mC=round(between), reference_mC=hand["tank_mC"]):
            off, at = (
                error_words(round(between), hand["tank_mC"], ground),
                ground.clock.shown_time(hand["read_at"]),
            )
            return f"{source} {off} beside the reading by hand of {at}"
    return ""


def _between(rows: Sequence[Any], at_s: int) -> float | None:
    """What a logger had at an instant, on the line between its readings around it; none where they lie far apart."""
    for before, after in pairwise(rows):
        if before["read_at"] <= at_s <= after["read_at"] and after["read_at"] - before["read_at"] <= BESIDE_S:
            share = (at_s - before["read_at"]) / max(1, after["read_at"] - before["read_at"])
            return float(before["tank_mC"] + share * (after["tank_mC"] - before["tank_mC"]))
    return None
