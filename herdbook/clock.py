"""Farm time: UTC instants in the book, the farm's own day in reports, and the days and times people type."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from herdbook.errors import Refused
from herdbook.plain import MOST_READ, plain

Now = Callable[[], datetime]

MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
LONGEST_TYPED = 40
_EARLIEST, _LATEST = date(1990, 1, 1), date(2200, 1, 1)
_EARLIEST_S, _LATEST_S = 631_152_000, 7_258_118_400  # the same in UTC seconds


def utc_now() -> datetime:
    """The instant it is."""
    return datetime.now(UTC)


@cache
def zone(name: str) -> ZoneInfo:
    """The time zone of that name.

    Raises:
        Refused: no such zone.
    """
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise Refused(
            f"{plain(name)!r} is not a time zone.",
            remedy="Use a name such as America/Chicago.",
            field="time zone",
        ) from None


@dataclass(frozen=True, slots=True)
class FarmClock:
    """The farm's time zone and the minute of the day at which its day begins.

    Args:
        zone_name: IANA name such as "America/Chicago".
        day_start_min: minutes after midnight at which the farm's day begins; 0 for midnight.
    """

    zone_name: str = "UTC"
    day_start_min: int = 0

    def local(self, instant_s: int) -> datetime:
        """The instant (UTC seconds) as the farm's clock shows it."""
        return datetime.fromtimestamp(instant_s, zone(self.zone_name))

    def farm_day(self, instant_s: int) -> date:
        """The farm day an instant belongs to: the one that began last."""
        day = (self.local(instant_s) - timedelta(minutes=self.day_start_min)).date()
        if not self.day_start_min:
            return day
        # the walls' clock alone errs in the nights the clocks change
        if instant_s >= self.day_starts(day + timedelta(days=1)):
            return day + timedelta(days=1)
        return day if instant_s >= self.day_starts(day) else day - timedelta(days=1)

    def day_starts(self, day: date) -> int:
        """The instant (UTC seconds) at which a farm day begins.

        When the clocks go back over that time, the first of the two; when they go forward over it, the instant
        they do.
        """
        hour, minute = divmod(self.day_start_min, 60)
        wall = datetime(day.year, day.month, day.day, hour, minute, tzinfo=zone(self.zone_name))
        before, after = int(wall.replace(fold=1).timestamp()), int(wall.timestamp())
        if self.local(after).replace(tzinfo=None) == wall.replace(tzinfo=None):
            return after
        offset = self.local(before).utcoffset()
        while after - before > 1:
            middle = (before + after) // 2
            before, after = (middle, after) if self.local(middle).utcoffset() == offset else (before, middle)
        return after

    def instant(self, day: date, hour: int, minute: int, *, later: bool = False) -> int:
        """UTC seconds of a wall-clock time; `later` picks the second of a doubled autumn hour.

        Raises:
            Refused: the spring hour that no clock shows.
        """
        wall = datetime(
            day.year, day.month, day.day, hour, minute, tzinfo=zone(self.zone_name), fold=int(later)
        )
        instant = int(wall.timestamp())
        back = self.local(instant)
        if (back.hour, back.minute) != (hour, minute):
            raise Refused(
                f"{day.isoformat()} {hour:02}:{minute:02} does not exist: the clocks went forward.",
                remedy="Type the time the clock showed.",
                field="time",
            )
        return instant

    def iso(self, instant_s: int) -> str:
        """ISO 8601 with the farm's offset, to the second."""
        return self.local(instant_s).isoformat(timespec="seconds")

    def shown_time(self, instant_s: int) -> str:
        """`06:45`."""
        return self.local(instant_s).strftime("%H:%M")

    def shown(self, instant_s: int, *, today: date | None = None) -> str:
        """`06:45` today, else `Mon 18:10` within a week, else `9 Mar 18:10`, else with the year."""
        local = self.local(instant_s)
        time = f"{local:%H:%M}"
        if today is None or local.date() == today:
            return time if today is not None else f"{shown_day(local.date())} {time}"
        if abs((local.date() - today).days) < 7:
            return f"{local:%a} {time}"
        if abs((local.date() - today).days) < 300:
            return f"{local.day} {local:%b} {time}"
        return f"{local.date().isoformat()} {time}"


def shown_day(day: date) -> str:
    """`Tue 10 Mar`: the day with its weekday, for reading back."""
    return f"{day:%a} {day.day} {day:%b}"


def parse_day(text: str, *, today: date, field: str = "day") -> date:
    """Read a typed day: `today`, `y`, `-2`, `mon`, `9` (of this or last month), `3 mar`, `2026-03-01`.

    A bare day of the month or a weekday means the newest such day that is not after today.

    Raises:
        Refused: not a day, or one no farm book can mean.
    """
    shown = plain(text, longest=LONGEST_TYPED + 1).lower()
    day = _day(shown, today) if len(shown) <= LONGEST_TYPED and len(text) <= MOST_READ else None
    if day is None or not _EARLIEST <= day < _LATEST:
        raise Refused(
            f"{field}: {shown!r} is not a day.",
            remedy=f"Type today, -1, mon, 3 mar or {today.isoformat()}.",
            field=field,
        )
    return day


def _day(text: str, today: date) -> date | None:
    try:
        if text in ("", "today", "t", "now"):
            return today
        if text in ("y", "yest", "yesterday"):
            return today - timedelta(days=1)
        if re.fullmatch(r"[-+−][0-9]{1,4}", text):
            return today + timedelta(days=int(text.replace("−", "-")))
        if re.fullmatch(r"[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}", text):
            return date(*map(int, text.split("-")))
        if (weekday := _place(text, WEEKDAYS)) is not None:
            return today - timedelta(days=(today.weekday() - weekday) % 7)
        named = re.fullmatch(r"([0-9]{1,2})[ .]*([a-z]{3,9})\.?(?: ([0-9]{4}))?", text)
        if named and (place := _place(named[2], MONTHS)) is not None:
            month = place + 1
            if named[3]:
                return date(int(named[3]), month, int(named[1]))
            return _newest(today, lambda year: date(year, month, int(named[1])))
        if re.fullmatch(r"[0-9]{1,2}", text):
            return _day_of_month(int(text), today)
    except (ValueError, OverflowError):
        return None
    return None


def _place(typed: str, names: Sequence[str]) -> int | None:
    """Where in `names` the one lies that was typed in full or by its first three letters or more."""
    fitting = [place for place, name in enumerate(names) if len(typed) >= 3 and name.startswith(typed)]
    return fitting[0] if fitting else None


def _newest(today: date, made: Callable[[int], date]) -> date:
    # a day of the coming half year is meant ahead, an older one behind
    this_year = made(today.year)
    return this_year if (this_year - today).days < 180 else made(today.year - 1)


def _day_of_month(number: int, today: date) -> date:
    if number <= today.day:
        return today.replace(day=number)
    last_month = today.replace(day=1) - timedelta(days=1)
    return last_month.replace(day=number)


_TIME = re.compile(r"(?P<hour>[0-9]{1,2})[:.h]?(?P<minute>[0-9]{2})")


def parse_moment(text: str, *, clock: FarmClock, now_s: int, field: str = "time") -> int:
    """Read a typed day and time as UTC seconds.

    `now` or nothing; `640`, `6.40`, `06:40` (today); `-15` (minutes ago); `y 1810` (yesterday); `9 1012`;
    `mon 0610`; `2026-03-09 10:12`; ISO 8601 with an offset, as the book itself prints. A time after which the
    letter b stands (`0230b`) is the second one in the night the clocks go back.

    Raises:
        Refused: not a time; the sentence says what was expected.
    """
    shown = plain(text, longest=LONGEST_TYPED + 1)
    lowered = shown.lower()
    today = clock.local(now_s).date()
    if len(shown) > LONGEST_TYPED or len(text) > MOST_READ:
        raise _not_a_time(shown, today, field)
    if lowered in ("", "now"):
        return now_s
    if re.fullmatch(r"[-−][0-9]{1,4}", lowered):
        return now_s - 60 * int(lowered[1:])
    exact = _iso_instant(shown)
    if exact is not None:
        if not _EARLIEST_S <= exact < _LATEST_S:
            raise _not_a_time(shown, today, field)
        return exact
    head, _, tail = lowered.rpartition(" ")
    if not head and "t" in lowered[8:12]:
        head, _, tail = lowered.partition("t")
    match = _TIME.fullmatch(tail.removesuffix("b"))
    day = _day(head, today) if head else today
    if match is None or day is None or not _EARLIEST <= day < _LATEST:
        raise _not_a_time(shown, today, field)
    hour, minute = int(match["hour"]), int(match["minute"])
    if hour > 23 or minute > 59:
        raise _not_a_time(shown, today, field)
    return clock.instant(day, hour, minute, later=tail.endswith("b"))


def _iso_instant(text: str) -> int | None:
    if not re.match(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[T ]", text) or not re.search(
        r"(Z|[+-][0-9]{2}:?[0-9]{2})$", text[11:]
    ):
        return None
    try:
        parsed = datetime.fromisoformat(text)
    except ValueError:
        return None
    return None if parsed.tzinfo is None else int(parsed.timestamp())


def _not_a_time(shown: str, today: date, field: str) -> Refused:
    return Refused(
        f"{field}: {shown!r} is not a time.",
        remedy=f"Type now, 640, -15, y 1810 or {today.isoformat()} 06:40.",
        field=field,
    )


def span_words(seconds: float) -> str:
    """`68 min`, `5 h 20 min`, `3 days`: a span as people say it."""
    minutes = round(abs(seconds) / 60)
    if minutes < 120:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    if hours < 48:
        return f"{hours} h {rest:02} min" if rest else f"{hours} h"
    return f"{hours / 24:.0f} days"
