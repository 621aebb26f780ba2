"""How a load is called: `2` of today, `y 2` or `2026-03-09 2` of other days, `#118` by its number in the book."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from herdbook.book.reading import feeding as read_feeding
from herdbook.chores.asking import Ask
from herdbook.chores.ground import Ground
from herdbook.clock import parse_day
from herdbook.errors import Refused

DAYS_BACK = 14


def load_name(day: str, number: int) -> str:
    """A load's full name."""
    return f"{day} {number}"


def load_names(connection: Any, ground: Ground) -> dict[str, int]:
    """Name -> load for the loads of the last days."""
    today = ground.clock.farm_day(ground.now_s)
    since = today - timedelta(days=DAYS_BACK)
    found = read_feeding.load_numbers(connection, since.isoformat(), today.isoformat())
    return {load_name(row["farm_day"], row["number"]): row["load"] for row in found}


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadName(Ask):
    """A load: of the last fortnight by day and number, an older one by its number in the book."""

    def choices(self, ground: Ground) -> Sequence[str]:
        today = ground.clock.farm_day(ground.now_s).isoformat()
        return [name.removeprefix(f"{today} ") for name in ground.names.get("load", {})]

    def understand(self, text: str, ground: Ground) -> int:
        typed = self.short(text, 40)
        if re.fullmatch(r"#[1-9][0-9]{0,11}", typed):
            return int(typed[1:])
        day_text, _, number = typed.rpartition(" ")
        today = ground.clock.farm_day(ground.now_s)
        day = parse_day(day_text, today=today, field=self.label) if day_text else today
        found = ground.names.get("load", {}).get(f"{day.isoformat()} {number}")
        if found is None:
            raise Refused(
                f"{self.label}: there is no load {typed!r}.",
                remedy="Type its number of today, or the day before it: `y 2`.",
                field=self.label,
            )
        return found

    def shown(self, value: int, ground: Ground) -> str:
        return f"load {self.typed_again(value, ground)}"

    def typed_again(self, value: int, ground: Ground) -> str:
        return next(
            (name for name, load in ground.names.get("load", {}).items() if load == value), f"#{value}"
        )

    def check(self, value: object) -> None:
        if not isinstance(value, int) or value < 1:
            raise Refused(f"{self.label}: {value!r} is not a load.", field=self.label)
