"""What every rule of the book is given, and the list of rules."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from importlib import import_module

from herdbook.book.checks import Finding
from herdbook.book.reading import farm as read_farm
from herdbook.book.reading.farm import Farm
from herdbook.book.reading.rows import rows

FILES = ("things", "mixes", "feeding", "milk", "held")


@dataclass(frozen=True)
class Look:
    """What every rule is given: the book, the farm, the instant it is."""

    connection: sqlite3.Connection
    now_s: int

    @cached_property
    def farm(self) -> Farm:
        """The farm's settings."""
        return read_farm.farm(self.connection)

    @cached_property
    def names(self) -> Mapping[str, Mapping[int, str]]:
        """Kind -> id -> name."""
        every = read_farm.all_names(self.connection)
        return {kind: {number: name for name, number in its.items()} for kind, its in every.items()}

    def name(self, kind: str, number: int) -> str:
        """`tank North`; by number where it has no name any more."""
        return f"{kind} {self.names.get(kind, {}).get(number, number)}"

    def day(self, instant_s: int) -> str:
        """The farm day of an instant."""
        return self.farm.clock.farm_day(instant_s).isoformat()

    def at(self, instant_s: int) -> str:
        """Day and time as the farm's clock shows them."""
        return self.farm.clock.local(instant_s).strftime("%Y-%m-%d %H:%M")

    def mass(self, grams: int) -> str:
        """A weight in the farm's unit."""
        return self.farm.units.mass(grams)

    def rows(self, sql: str, *values: object) -> list[sqlite3.Row]:
        """A question to the book."""
        return rows(self.connection, sql, *values)


Rule = Callable[[Look], Iterator[Finding]]
RULES: list[Rule] = []


def rule(function: Rule) -> Rule:
    """Count a function among the rules."""
    RULES.append(function)
    return function


def every_rule() -> list[Rule]:
    """Every rule, in the order of the files beside this one."""
    for name in FILES:
        import_module(f"herdbook.book.rules.{name}")
    return list(RULES)


def findings(connection: sqlite3.Connection, now_s: int) -> Iterator[Finding]:
    """Everything that breaks a rule of the book.

    Raises:
        DamagedBook: a book without a farm in it.
    """
    look = Look(connection, now_s)
    read_farm.farm(connection)  # a book without one is not looked at further
    for one in every_rule():
        yield from one(look)


def found(about: str, says: str, entries: tuple[int, ...], farm_day: str) -> Finding:
    """A finding on the book's facts."""
    return Finding("book", about, says, entries, farm_day)
