"""Asking when: the instant something happened, and the farm day something belongs to."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from herdbook.chores.asking import Ask
from herdbook.chores.ground import Ground
from herdbook.clock import parse_day, parse_moment, shown_day, span_words
from herdbook.errors import Refused

AHEAD_S = 10 * 60
"""A thing that happened may lie this far ahead: two clocks on one farm differ by minutes, not by hours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment(Ask):
    """When something happened, UTC seconds; what lies ahead is refused."""

    oldest_days: int = 400

    def understand(self, text: str, ground: Ground) -> int:
        value = parse_moment(text, clock=ground.clock, now_s=ground.now_s, field=self.label)
        if value > ground.now_s + AHEAD_S:
            raise Refused(
                f"{self.label}: {ground.clock.shown(value)} is {span_words(value - ground.now_s)} ahead.",
                remedy="Type when it happened; `y 1810` is yesterday.",
                field=self.label,
            )
        if value < ground.now_s - self.oldest_days * 86_400:
            raise Refused(
                f"{self.label}: {ground.clock.iso(value)} is more than {self.oldest_days} days ago.",
                remedy="Check the year.",
                field=self.label,
            )
        return value

    def shown(self, value: int, ground: Ground) -> str:
        today = ground.clock.local(ground.now_s).date()
        ago = ground.now_s - value
        if abs(ago) < 60:
            return "now"
        return f"{ground.clock.shown(value, today=today)}, {span_words(ago)} {'ago' if ago > 0 else 'ahead'}"

    def typed_again(self, value: int, ground: Ground) -> str:
        return ground.clock.iso(value)

    def check(self, value: object) -> None:
        if not isinstance(value, int) or not 631_152_000 <= value <= 7_258_118_400:
            raise Refused(f"{self.label}: {value!r} is not an instant.", field=self.label)


@dataclass(frozen=True, slots=True, kw_only=True)
class Day(Ask):
    """A farm day."""

    ahead_days: int = 0
    oldest_days: int = 4_000

    def understand(self, text: str, ground: Ground) -> date:
        today = ground.clock.farm_day(ground.now_s)
        value = parse_day(text, today=today, field=self.label)
        if (value - today).days > self.ahead_days:
            raise Refused(
                f"{self.label}: {shown_day(value)} lies ahead.",
                remedy="Type a day that has begun.",
                field=self.label,
            )
        if (today - value).days > self.oldest_days:
            raise Refused(
                f"{self.label}: {value.isoformat()} is too long ago.",
                remedy="Check the year.",
                field=self.label,
            )
        return value

    def shown(self, value: date, ground: Ground) -> str:
        return shown_day(value)

    def typed_again(self, value: date, ground: Ground) -> str:
        return value.isoformat()

    def check(self, value: object) -> None:
        if not isinstance(value, date):
            raise Refused(f"{self.label}: {value!r} is not a day.", field=self.label)
