"""Asking for a span of farm days: `A..B`, `week`, `last week`, or one day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from herdbook.chores.asking import Ask
from herdbook.chores.ground import Ground
from herdbook.clock import parse_day, shown_day
from herdbook.errors import Refused

LONGEST_TYPED = 60


class Span(NamedTuple):
    """Farm days, both ends included."""

    first: date
    last: date

    def __str__(self) -> str:
        if self.first == self.last:
            return self.first.isoformat()
        return f"{self.first.isoformat()} to {self.last.isoformat()}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanOfDays(Ask):
    """Farm days from one to another; none that lie ahead.

    Args:
        longest_days: the most that may be asked for.
        usual: the days taken where none are given, as typed.
    """

    longest_days: int = 400
    usual: str = "-6..today"

    def understand(self, text: str, ground: Ground) -> Span:
        typed = self.short(text, LONGEST_TYPED)
        today = ground.clock.farm_day(ground.now_s)
        monday = today - timedelta(days=today.weekday())
        if typed.lower() == "week":
            return Span(monday, today)
        if typed.lower() in ("last week", "last-week"):
            return Span(monday - timedelta(days=7), monday - timedelta(days=1))
        first_text, mark, last_text = typed.partition("..")
        first = parse_day(first_text, today=today, field=self.label)
        last = parse_day(last_text, today=today, field=self.label) if mark else first
        return self._seen(Span(first, last), today)

    def _seen(self, span: Span, today: date) -> Span:
        if span.first > span.last:
            raise Refused(
                f"{self.label}: {span.first.isoformat()} comes after {span.last.isoformat()}.",
                remedy="Give the earlier day first, such as -7..-1.",
                field=self.label,
            )
        if span.last > today:
            raise Refused(
                f"{self.label}: {shown_day(span.last)} lies ahead.",
                remedy="Type days that have begun.",
                field=self.label,
            )
        if (span.last - span.first).days >= self.longest_days:
            raise Refused(
                f"{self.label}: that is more than {self.longest_days} days.",
                remedy="Ask for a shorter span.",
                field=self.label,
            )
        return span

    def shown(self, value: Span, ground: Ground) -> str:
        days = [shown_day(value.first), shown_day(value.last)]
        return days[0] if value.first == value.last else " to ".join(days)

    def typed_again(self, value: Span, ground: Ground) -> str:
        return f"{value.first.isoformat()}..{value.last.isoformat()}"


def last_days(ground: Ground, days: int = 7) -> Span:
    """The farm days up to yesterday."""
    today = ground.clock.farm_day(ground.now_s)
    return Span(today - timedelta(days=days), today - timedelta(days=1))
