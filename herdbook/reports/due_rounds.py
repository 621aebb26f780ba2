"""What is due of the milk house's rounds: emptying, washing, checking a thermometer."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from herdbook.chores.ground import Ground
from herdbook.clock import span_words
from herdbook.reports.cooling import TankState
from herdbook.reports.tank_rounds import CHECK_EVERY_S, SOON_S, tank_rounds

Round = tuple[int | None, str, str, bool]
"""When, what, details, whether it is late."""


def rounds_due(connection: Any, ground: Ground, state: TankState) -> Iterator[Round]:
    """Rounds of one tank; washing and checking are reminded of once the farm writes them."""
    its = tank_rounds(connection, state.tank, state.emptied_at, state.milkings, ground)
    name, now_s = state.tank.name, ground.now_s
    if its.oldest_s is not None and its.empty_by_s is not None and its.empty_by_s - now_s < SOON_S:
        details = f"milk {span_words(its.oldest_s)} old, {its.rule.within_h} h from {its.rule.clock}"
        yield its.empty_by_s, f"Empty {name}", details, its.empty_by_s < now_s
    if its.wash_due:
        began = bool(state.milkings)
        details = "emptied and not washed since" + (", milk is in it again" if began else "")
        yield None, f"Wash {name}", details, began
    for check in its.checks.values():
        age_s = now_s - check["checked_at"]
        if age_s > CHECK_EVERY_S:
            details = f"{check['thermometer']}, last {span_words(age_s)} ago, every 6 months"
            yield None, f"Check the {name} thermometer", details, True
