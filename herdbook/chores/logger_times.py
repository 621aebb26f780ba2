"""Times as loggers write them, read strictly: a wall clock's time and its offset, or words for why it is none."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta

from herdbook.clock import MONTHS
from herdbook.errors import Refused

_YMD = r"(?P<y>[0-9]{4})(?P<m1>[-/.])(?P<mo>[0-9]{1,2})(?P=m1)(?P<d>[0-9]{1,2})"
_MIXED = r"(?P<a>[0-9]{1,2})(?P<m2>[-/.])(?P<b>[0-9]{1,2})(?P=m2)(?P<c>[0-9]{4}|[0-9]{2})"
_COMPACT = r"(?P<compact>(?:19|20)[0-9]{6})"
_NAMED = r"(?P<nd>[0-9]{1,2})[- .]*(?P<name>[A-Za-z]{3,9})[- .,]*(?P<ny>[0-9]{4}|[0-9]{2})"
_NAMED_FIRST = r"(?P<name2>[A-Za-z]{3,9})\.? +(?P<nd2>[0-9]{1,2}),? +(?P<ny2>[0-9]{4})"
_DATE = f"(?:(?:[A-Za-z]{{3,9}},? )?(?:{_YMD}|{_MIXED}|{_COMPACT}|{_NAMED}|{_NAMED_FIRST}))"
_TIME = (
    r"(?P<h>[0-9]{1,2}):(?P<mi>[0-9]{2})(?::(?P<s>[0-9]{2})(?P<fraction>[.,][0-9]{1,9})?)?"
    r"(?: ?(?P<half>[AaPp])\.?[Mm]\.?)?"
)
_ZONE = r"(?P<zone>Z|z|UTC|GMT|[-+−][0-9]{2}(?::?[0-9]{2})?)"
DATE = re.compile(_DATE)
TIME = re.compile(rf"{_TIME}(?: ?{_ZONE})?")
_BASIC = (
    rf"{_COMPACT.replace('compact', 'c2')}T(?P<h2>[0-9]{{2}})(?P<mi2>[0-9]{{2}})(?P<s2>[0-9]{{2}})"
    r"(?P<zone2>Z|[-+][0-9]{2}:?[0-9]{2})?"
)
STAMP = re.compile(rf"{_DATE}(?:[ T]|, ?| +){_TIME}(?: ?{_ZONE})?|{_BASIC}")
EPOCH = re.compile(r"(?P<whole>[0-9]{10})(?:[.,][0-9]{1,9})?|(?P<ms>[0-9]{13})")
EARLIEST, LATEST = date(2000, 1, 2), date(2200, 1, 1)
"""A logger that lost its clock begins again at 1970 or at the turn of 2000: such times are refused."""


def read_stamp(text: str, order: str) -> tuple[datetime, int | None]:
    """Date and time as the wall's clock showed them, and the offset from UTC in seconds where one is told.

    Args:
        text: as it stands in the file.
        order: "ymd", "dmy" or "mdy" for dates of three numbers that do not begin with a year of four digits.

    Raises:
        ValueError: it is no time; the words say why.
    """
    found = STAMP.fullmatch(text)
    if found is None:
        raise ValueError("is not a date and time")
    if found["c2"]:
        day = read_date(found["c2"], order)
        return _at(day, int(found["h2"]), int(found["mi2"]), int(found["s2"])), _offset(found["zone2"])
    hour, minute = int(found["h"]), int(found["mi"])
    half = (found["half"] or "").lower()
    if half and not 1 <= hour <= 12:
        raise ValueError(f"has the hour {hour} before {half}m")
    hour = hour % 12 + (12 if half == "p" else 0) if half else hour
    return _at(_date(found, order), hour, minute, int(found["s"] or 0)), _offset(found["zone"])


def _at(day: date, hour: int, minute: int, second: int) -> datetime:
    if hour > 23 or minute > 59 or second > 59:
        raise ValueError("is not a time of day")
    return datetime(day.year, day.month, day.day, hour, minute, second)


def _offset(text: str | None) -> int | None:
    if not text:
        return None
    if text.upper() in ("Z", "UTC", "GMT"):
        return 0
    digits = text[1:].replace(":", "").ljust(4, "0")
    seconds = int(digits[:2]) * 3600 + int(digits[2:]) * 60
    if seconds > 14 * 3600:
        raise ValueError("has an offset no clock on earth has")
    return seconds if text[0] == "+" else -seconds


def read_date(text: str, order: str) -> date:
    """A date alone; raises ValueError with words."""
    found = DATE.fullmatch(text)
    if found is None:
        raise ValueError("is not a date")
    return _date(found, order)


def _date(found: re.Match[str], order: str) -> date:
    year, month, day = _numbers(found, order)
    try:
        made = date(year, month, day)
    except ValueError:
        raise ValueError(f"is not a day: there is no day {day} of month {month} in {year}") from None
    if not EARLIEST <= made < LATEST:
        raise ValueError(f"lies in the year {year}: the logger's clock was not set")
    return made


def _numbers(found: re.Match[str], order: str) -> tuple[int, int, int]:
    if found["y"]:
        return int(found["y"]), int(found["mo"]), int(found["d"])
    if found["compact"]:
        whole = found["compact"]
        return int(whole[:4]), int(whole[4:6]), int(whole[6:])
    if name := found["name"] or found["name2"]:
        return _year(found["ny"] or found["ny2"]), _month(name), int(found["nd"] or found["nd2"])
    a, b, c = found["a"], found["b"], found["c"]
    if order == "ymd" and len(c) == 2 and len(a) == 2:
        return _year(a), int(b), int(c)
    if order == "ymd":
        raise ValueError("does not begin with a year")
    return (_year(c), int(b), int(a)) if order == "dmy" else (_year(c), int(a), int(b))


def _year(digits: str) -> int:
    return int(digits) if len(digits) == 4 else 2000 + int(digits)


def _month(name: str) -> int:
    low = name.lower()
    fitting = [place for place, full in enumerate(MONTHS, 1) if full.startswith(low) or low == full[:4]]
    if len(fitting) != 1:
        raise ValueError(f"has the month {name!r}, which is none")
    return fitting[0]


def date_text(text: str) -> str:
    """The date at the head of a time, as it stands; empty where there is none."""
    found = DATE.match(text)
    return found[0] if found else ""


def possible_orders(text: str) -> tuple[str, ...]:
    """The orders a date's three numbers could be in; none where the date says it itself."""
    found = DATE.fullmatch(text)
    if found is None or not found["a"]:
        return ()
    short = len(found["c"]) == 2 and len(found["a"]) == 2
    return ("dmy", "mdy", "ymd") if short else ("dmy", "mdy")


def date_order(dates: Sequence[str], today: date, *, are_all: bool = True) -> tuple[str, str]:
    """The one order that dates of three numbers can be in, and by what it is known; empty where none is needed.

    Args:
        dates: each different date as it stands, in order of the file.
        today: the day it is; a logger's readings lie behind it.
        are_all: whether these are all dates of the file: then it is no matter if each order says the same.

    Raises:
        Refused: two orders would do, or none.
    """
    orders = dict.fromkeys(order for text in dates for order in possible_orders(text))
    if not orders:
        return "", ""
    read = {order: days for order in orders if (days := _all_days(dates, order)) is not None}
    if not read:
        raise Refused(
            f"dates such as {dates[0]!r} are in no one order of day, month and year.",
            remedy="Look for a line of another kind.",
            field="date order",
        )
    past = {order: days for order, days in read.items() if max(days) <= today + timedelta(days=1)}
    if len(read) > 1 and len({tuple(days) for days in read.values()}) == 1 and are_all:
        return next(iter(read)), "every order says the same"
    for left, why in (
        (read, "the other orders have days that are none"),
        (past, "the other orders lie ahead of today"),
        ({o: d for o, d in past.items() if _is_in_order(d)}, "the other orders run to and fro"),
        ({o: d for o, d in past.items() if _is_daily(d)}, "day follows on day"),
    ):
        if len(left) == 1:
            return next(iter(left)), why
    first = dates[0]
    both = " or ".join(f"{days[0].day} {days[0]:%B} ({order})" for order, days in (past or read).items())
    raise Refused(
        f"{first!r} may be {both}: nothing in the file tells.",
        remedy="Give --date-order.",
        field="date order",
    )


def _all_days(dates: Iterable[str], order: str) -> list[date] | None:
    try:
        return [read_date(text, order) for text in dates]
    except ValueError:
        return None


def _is_in_order(days: Sequence[date]) -> bool:
    return sorted(days) == list(days) or sorted(days, reverse=True) == list(days)


def _is_daily(days: Sequence[date]) -> bool:
    return len(days) > 1 and all(abs((b - a).days) == 1 for a, b in itertools.pairwise(days))
