"""Which days a report that is read is of: the usual ones, others from a list, or the ones before and after."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import TYPE_CHECKING

from herdbook.clock import shown_day
from herdbook.errors import HerdbookError
from herdbook.reports.spans import Span, SpanOfDays

if TYPE_CHECKING:
    from herdbook.chores.ground import Ground
    from herdbook.reports.spec import Spec

SPANS = {
    "Today": "today",
    "This week": "week",
    "Last week": "last week",
    "The last 7 days": "-7..-1",
    "The last 14 days": "-14..-1",
    "The last 30 days": "-30..-1",
    "The last 90 days": "-90..-1",
    "The last 365 days": "-365..-1",
}
BACK = (7, 14, 30, 60, 90, 365)
DAYS_LISTED = 14


def option_of_days(spec: Spec) -> str:
    """The option that says which days a report is of; empty for one that knows no days."""
    return next((one for one in ("of", "on", "days") if one in spec.options), "")


def days_to_choose(spec: Spec, ground: Ground) -> list[tuple[str, str]]:
    """What the list of days offers: words, and what is typed for them; the usual comes first, with nothing typed."""
    option, today = option_of_days(spec), ground.clock.farm_day(ground.now_s)
    if option == "days":
        offered = [(f"{days} days back", str(days)) for days in BACK]
    elif spec.options[option].kind == "day":
        days = [today - timedelta(days=back) for back in range(DAYS_LISTED)]
        offered = [(shown_day(day), day.isoformat()) for day in days]
    else:
        offered = list(SPANS.items())
    return [("As usual", ""), *(one for one in offered if _is_understood(spec, option, one[1], ground))]


def moved_days(spec: Spec, texts: Mapping[str, str], by: int, ground: Ground) -> str:
    """The days before (-1) or after (1) those a report is of, as typed; empty where it knows no such.

    Raises:
        Refused: those days cannot be asked for, such as days that lie ahead.
    """
    option, today = option_of_days(spec), ground.clock.farm_day(ground.now_s)
    if not option or option == "days":
        return ""
    ask = spec.options[option]
    if ask.kind == "day":
        step = timedelta(days=7 if spec.name == "week" else 1)
        day: date = ask.understand(texts.get(option) or "today", ground) + by * step
        moved = day.isoformat()
    else:
        assert isinstance(ask, SpanOfDays)
        span: Span = ask.understand(texts.get(option) or ask.usual, ground)
        long = (span.last - span.first).days + 1
        first = span.first + by * timedelta(days=long)
        last = (
            min(first + timedelta(days=long - 1), max(today, first))
            if by > 0
            else span.first - timedelta(days=1)
        )
        moved = f"{first.isoformat()}..{last.isoformat()}"
    ask.understand(moved, ground)
    return moved


def _is_understood(spec: Spec, option: str, typed: str, ground: Ground) -> bool:
    try:
        spec.options[option].understand(typed, ground)
    except HerdbookError:
        return False
    return True
