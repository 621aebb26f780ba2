"""The farm's quiet hours as instants."""

from __future__ import annotations

from datetime import date, timedelta

from herdbook.book.reading.alarms import AlarmRules
from herdbook.clock import FarmClock
from herdbook.errors import Refused


def quiet_until(rules: AlarmRules, clock: FarmClock, now_s: int) -> int | None:
    """Until when it is quiet at an instant, UTC seconds; none while it is not.

    By the wall clock of the farm: on the night the clocks change, quiet hours end when the clock says so.
    """
    from_min, to_min = rules.quiet_from_min, rules.quiet_to_min
    if from_min is None or to_min is None or from_min == to_min:
        return None
    local = clock.local(now_s)
    minute = local.hour * 60 + local.minute
    over_midnight = from_min > to_min
    inside = minute >= from_min or minute < to_min if over_midnight else from_min <= minute < to_min
    if not inside:
        return None
    day = local.date() + timedelta(days=1 if over_midnight and minute >= from_min else 0)
    return _ends(clock, day, to_min, now_s)


def _ends(clock: FarmClock, day: date, to_min: int, now_s: int) -> int | None:
    """The first instant after now at which the farm's clock shows that time or has jumped over it."""
    for later in (False, True):
        try:
            end_s = clock.instant(day, to_min // 60, to_min % 60, later=later)
        except Refused:  # the hour that no clock shows: they end with the first one shown after it
            return _ends(clock, day, to_min + 60, now_s)
        if end_s > now_s:
            return end_s
    return None
