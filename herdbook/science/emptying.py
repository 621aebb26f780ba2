"""By when a tank must be emptied: 72 hours counts from a different moment in different states."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal

from herdbook.science.tables_as_published import document

Clock = Literal["last emptied", "start of first milking", "end of first milking"]
_HOUR_S = 3600


@dataclass(frozen=True, slots=True)
class EmptyingRule:
    """How long milk may stay in the tank.

    Attributes:
        key: what settings call it.
        title: one line for a list.
        clock: what the hours count from.
        within_h: the hours.
        source: where the text was read.
        read: False when it is from memory.
    """

    key: str
    title: str
    clock: Clock
    within_h: int
    source: str
    read: bool

    def due_s(
        self, *, emptied_s: int | None, first_started_s: int | None, first_ended_s: int | None
    ) -> int | None:
        """When the tank must be empty.

        Args:
            emptied_s: UTC seconds of the last emptying.
            first_started_s: UTC seconds of the start of the first milking since.
            first_ended_s: UTC seconds of its end.

        Returns:
            UTC seconds, or None while the clock has not begun.
        """
        begins = {
            "last emptied": emptied_s,
            "start of first milking": first_started_s,
            "end of first milking": first_ended_s,
        }[self.clock]
        return None if begins is None else begins + self.within_h * _HOUR_S


@cache
def emptying_rules() -> Mapping[str, EmptyingRule]:
    """Every emptying rule by key, in the order of the table."""
    return MappingProxyType(
        {row["key"]: EmptyingRule(**row) for row in document("emptying_rules.toml")["rule"]}
    )


@cache
def default_emptying_rule() -> EmptyingRule:
    """The rule of a farm that has not chosen one: every 72 h, counted from the last emptying."""
    return emptying_rules()[document("emptying_rules.toml")["default"]]
