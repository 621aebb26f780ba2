"""The cooling rules a farm can choose from, read from the table of published rules."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from types import MappingProxyType
from typing import Any, Literal, get_args

from herdbook.science.limits_compare import UNITS, Limit
from herdbook.science.tables_as_published import FOLDER

Clock = Literal[
    "start of first milking",
    "start of milking",
    "end of milking",
    "end of first milking",
    "end of later milking",
    "first milking onwards",
    "later milkings",
    "after cooling",
]
Kind = Literal["law", "equipment", "target", "goal"]
NEVER_ABOVE: frozenset[Clock] = frozenset({"first milking onwards", "later milkings", "after cooling"})
FIRST_ONLY: frozenset[Clock] = frozenset({"start of first milking", "end of first milking"})
LATER_ONLY: frozenset[Clock] = frozenset({"end of later milking", "later milkings"})
FREEZING = Limit(Decimal(0), "degC")
_MINUTES = 60
_HOURS = 3600


@dataclass(frozen=True, slots=True)
class Clause:
    """One limit of a cooling rule, in the unit its text prints.

    Attributes:
        key: short name within the rule.
        says: what the text says, in few words.
        limit: warmest allowed ("or less").
        clock: what the time counts from, or when a "never above" limit holds.
        within_s: seconds after the clock; None where the text gives no time ("at once") or says "never
            above".
        start_within_s: and no later than this many seconds after the start of the same milking.
        grace_s: seconds in a row the text lets the milk be above a "never above" limit.
        low: coldest allowed, or None.
        low_open: True where the text says "above" the low limit.
        not_frozen: the text says that the milk must not freeze.
    """

    key: str
    says: str
    limit: Limit
    clock: Clock
    within_s: int | None = None
    start_within_s: int | None = None
    grace_s: int = 0
    low: Limit | None = None
    low_open: bool = False
    not_frozen: bool = False

    @property
    def never_above(self) -> bool:
        """True for a limit that holds all the time (a blend or a hold), False for one with a deadline."""
        return self.clock in NEVER_ABOVE

    @property
    def counts_from_end(self) -> bool:
        """True where its time counts from the end of a milking."""
        return self.clock in ("end of milking", "end of first milking", "end of later milking")

    def applies(self, *, first: bool) -> bool:
        """Whether the clause speaks of a milking that is the first into an empty tank, or a later one."""
        return self.clock not in (LATER_ONLY if first else FIRST_ONLY)

    @property
    def coldest(self) -> tuple[Limit, bool] | None:
        """The low limit and whether it is itself too cold; 0 °C where the text only says not frozen."""
        if self.low is not None:
            return self.low, self.low_open
        return (FREEZING, True) if self.not_frozen else None


@dataclass(frozen=True, slots=True)
class CoolingRule:
    """A law, an equipment standard or a trade target for cooling milk on the farm.

    Attributes:
        key: what settings and commands call it.
        title: one line for a list.
        place: where it holds.
        kind: "law", "equipment" (what a tank must be able to do), "target" (trade advice) or "goal" (the farm's own).
        clauses: its limits.
        source: where the text was read.
        date_read: when.
        read: False when it is from memory; such a rule is never the default.
        note: what a reader should know about it.
    """

    key: str
    title: str
    place: str
    kind: Kind
    clauses: tuple[Clause, ...]
    source: str
    date_read: date
    read: bool
    note: str = ""


@cache
def cooling_rules() -> Mapping[str, CoolingRule]:
    """Every cooling rule by key, in the order of the table.

    Raises:
        ValueError: the table names a unit or a clock that does not exist, or a key twice.
    """
    rules: dict[str, CoolingRule] = {}
    for row in _table()["rule"]:
        if row["key"] in rules:
            raise ValueError(f"cooling rule {row['key']} is there twice")
        rules[row["key"]] = _rule(row)
    return MappingProxyType(rules)


@cache
def default_cooling_rule() -> CoolingRule:
    """The rule of a farm that has not chosen one: the United States model ordinance, read in state laws."""
    rule = cooling_rules()[_table()["default"]]
    if not rule.read:
        raise ValueError(f"{rule.key} is from memory and cannot be the default")
    return rule


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads((FOLDER / "cooling_rules.toml").read_text(encoding="utf-8"), parse_float=Decimal)


def _rule(row: dict[str, Any]) -> CoolingRule:
    if row["kind"] not in get_args(Kind):
        raise ValueError(f"cooling rule {row['key']}: unknown kind {row['kind']}")
    clauses = tuple(_clause(row["key"], clause) for clause in row["clause"])
    plain = {name: value for name, value in row.items() if name != "clause"}
    return CoolingRule(**plain, clauses=clauses)


def _clause(rule: str, row: dict[str, Any]) -> Clause:
    if row["clock"] not in get_args(Clock):
        raise ValueError(f"cooling rule {rule}: unknown clock {row['clock']}")
    return Clause(
        key=row["key"],
        says=row["says"],
        limit=_limit(rule, row["limit"], row["unit"]),
        clock=row["clock"],
        within_s=_seconds(row.get("within_h"), _HOURS),
        start_within_s=_seconds(row.get("start_within_h"), _HOURS),
        grace_s=_seconds(row.get("grace_min"), _MINUTES) or 0,
        low=_limit(rule, row["low"], row["low_unit"]) if "low" in row else None,
        low_open=row.get("low_open", False),
        not_frozen=row.get("not_frozen", False),
    )


def _limit(rule: str, value: int | Decimal, unit: str) -> Limit:
    for known in UNITS:
        if unit == known:
            return Limit(Decimal(value), known)
    raise ValueError(f"cooling rule {rule}: unknown unit {unit}")


def _seconds(amount: int | Decimal | None, unit_s: int) -> int | None:
    return None if amount is None else int(amount * unit_s)
