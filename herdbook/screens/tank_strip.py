"""What the tank strip says, in words ready to show; made by the reading side, drawn by the frame."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Level = Literal["calm", "ok", "slow", "late", "unknown"]
Trend = Literal["falling", "steady", "rising", ""]


@dataclass(frozen=True)
class AlarmBanner:
    """What the row above the page says of alarms; no words, no row.

    Args:
        level: somebody looks after it, it waits for somebody, or it waits and a limit is broken.
        words: what it says.
        more: how many others wait beside it.
        loud: what it says that deserves a bell, each in a word of its own; a new one rings.
    """

    level: Literal["seen", "waits", "late"] = "seen"
    words: str = ""
    more: int = 0
    loud: frozenset[str] = frozenset()


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
        alarms: what the row above the page says.
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
    alarms: AlarmBanner = field(default_factory=AlarmBanner)
