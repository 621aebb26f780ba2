"""What the tank strip says, in words ready to show; made by the reading side, drawn by the frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Level = Literal["calm", "ok", "slow", "late", "unknown"]
Trend = Literal["falling", "steady", "rising", ""]


@dataclass(frozen=True)
class TankStrip:
    """What the second row says about the tank, in words ready to show.

    Args:
        reading: newest temperature in the farm's unit, such as ``47.7 °F``; empty when there is none.
        trend: which way it goes.
        level: how loud the row is: plain, ok, a badge (slow, unknown), or the whole row (late).
        badge: the badge's words, such as ``too slow``; `badge_short` where the window is narrow.
        deadline: the next limit and what is left, such as ``45 °F by 08:14, 68 min``, and the same short.
        due: how many things are due; None while it is still being worked out.
        alerts: how many alerts stand.
        at: the moment all this is of, as the farm's clock shows it.
        runs: a deadline runs, so the row is worked out again each minute.
    """

    reading: str = ""
    trend: Trend = ""
    level: Level = "calm"
    badge: str = ""
    badge_short: str = ""
    deadline: str = ""
    deadline_short: str = ""
    due: int | None = 0
    alerts: int = 0
    at: str = ""
    runs: bool = False
