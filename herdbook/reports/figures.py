"""Figures that explain themselves, and the reports made of them.

A figure is a value with its unit, the rule that made it, its inputs and what is missing in it. Where the entries
under it are is a question that is only put when somebody asks.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from herdbook.errors import Refused
from herdbook.plain import plain

AS_WRITTEN = "as written in the book"

Value = float | int | str | bool | None
EntriesUnder = Callable[[], Sequence[int]]


def _no_entries() -> Sequence[int]:
    return ()


@dataclass(frozen=True, slots=True)
class Figure:
    """One value that can say where it comes from.

    Args:
        value: in the column's unit; none where there is nothing, which is never zero.
        unit: canonical (metric) unit, "" for words and plain numbers: kg, degC, %, cents, mEq/kg, h ...
        rule: the arithmetic in words, or the key of a published rule.
        inputs: name -> value in words or another figure, in order.
        missing: what is not in it, in words; empty when complete.
        entries: finds the numbers of the entries under it, when asked.
        flag: "" or "!" (look) or "!!" (late) or "?" (not known); the word beside it is `says`.
        says: a short word for the flag, such as "low" or "too slow".
    """

    value: Value
    unit: str = ""
    rule: str = AS_WRITTEN
    inputs: Mapping[str, Any] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    entries: EntriesUnder = _no_entries
    flag: str = ""
    says: str = ""

    @property
    def number(self) -> float | None:
        """The value as a number, or none where it is not one."""
        return (
            float(self.value)
            if isinstance(self.value, int | float) and not isinstance(self.value, bool)
            else None
        )


NOTHING = Figure(None)


def in_kg(value: float | None, says: str = "") -> Figure:
    """A weight among the inputs of a figure, so that it is read in the farm's unit; `says` stands behind it."""
    return Figure(value, "kg", says=says)


def entries_of(*numbers: int | None) -> EntriesUnder:
    """Entries that are known already, each once."""
    known = tuple(dict.fromkeys(number for number in numbers if number is not None))
    return lambda: known


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table: its key in JSON and CSV (unit included), its label, and how it is shown.

    Args:
        key: such as `dm_eaten_kg`.
        label: short heading.
        unit: canonical unit of its values: kg, degC, %, cents, h, "time" for instants (UTC seconds), "day" for days.
        decimals: when shown in the farm's units.
    """

    key: str
    label: str
    unit: str = ""
    decimals: int = 0


@dataclass(frozen=True, slots=True)
class Line:
    """One row of a table: a name to find it by, and its cells."""

    name: str
    cells: Mapping[str, Figure]

    def __getitem__(self, key: str) -> Figure:
        return self.cells.get(key, NOTHING)


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under columns; every row has a name of its own, so that each figure can be asked for."""

    key: str
    title: str
    columns: tuple[Column, ...]
    lines: tuple[Line, ...]
    nothing: str = "Nothing is written here yet."

    def __post_init__(self) -> None:
        if len({line.name for line in self.lines}) < len(self.lines):
            object.__setattr__(self, "lines", tuple(_told_apart(self.lines)))


def _told_apart(lines: Iterable[Line]) -> Iterator[Line]:
    """Rows of one name (two readings in a minute, the doubled hour in autumn) get a number behind it."""
    seen: Counter[str] = Counter()
    for line in lines:
        seen[line.name] += 1
        yield line if seen[line.name] == 1 else replace(line, name=f"{line.name} ({seen[line.name]})")


@dataclass(frozen=True, slots=True)
class Report:
    """What one `show` or one screen reads.

    Args:
        key: the report's name as commands call it.
        title: one line over it.
        facts: single figures by key, in order.
        columns: how each fact is labelled and shown, by the same keys.
        tables: its tables; the first one is the main one (CSV prints it).
        warnings: sentences worth saying first.
        data: anything a screen wants beside it (curves and the like), not part of JSON.
        status: exit status of the command that shows it: 1 where what was asked for cannot be.
    """

    key: str
    title: str
    facts: Mapping[str, Figure] = field(default_factory=dict)
    columns: Mapping[str, Column] = field(default_factory=dict)
    tables: tuple[Table, ...] = ()
    warnings: tuple[str, ...] = ()
    data: Any = None
    status: int = 0

    def table(self, key: str) -> Table:
        """The table of that key."""
        return next(table for table in self.tables if table.key == key)

    def addresses(self) -> Iterable[tuple[str, ...]]:
        """Every figure's address: a fact's key, or table, row and column."""
        for key in self.facts:
            yield (key,)
        for table in self.tables:
            for line in table.lines:
                for column in line.cells:
                    yield (table.key, line.name, column)

    def find(self, words: Sequence[str]) -> tuple[str, Figure]:
        """The figure that words name, with its label: a fact's key, or (table,) row and column, any clear part of each.

        Rows with several words in their name may be given whole or word by word. A fact goes before rows that have a
        figure of the same key.

        Raises:
            Refused: none, or several; the sentence says what there is.
        """
        wanted = [part for word in words for part in word.lower().split()]
        ranked: dict[int, list[tuple[str, ...]]] = {}
        for address in self.addresses():
            rank = _how_well(wanted, address)
            if rank is not None:
                ranked.setdefault(rank, []).append(address)
        chosen = ranked[min(ranked)] if ranked else []
        if len(chosen) == 1:
            return self._named(chosen[0])
        asked = " ".join(words)
        if not chosen:
            some = ", ".join(" ".join(address) for address in list(self.addresses())[:8])
            raise Refused(
                f"This report has no figure {plain(asked, longest=80)!r}.",
                remedy=f"It has {some} ..." if some else "It is empty so far.",
                field="figure",
            )
        some = ", ".join(repr(" ".join(address)) for address in chosen[:6])
        raise Refused(
            f"{plain(asked, longest=80)!r} could be several figures.",
            remedy=f"Say which: {some}.",
            field="figure",
        )

    def _named(self, address: tuple[str, ...]) -> tuple[str, Figure]:
        if len(address) == 1:
            return self.columns[address[0]].label, self.facts[address[0]]
        table = self.table(address[0])
        line = next(line for line in table.lines if line.name == address[1])
        label = next((column.label for column in table.columns if column.key == address[2]), address[2])
        return f"{line.name}, {label}", line[address[2]]


def _how_well(wanted: Sequence[str], address: Sequence[str]) -> int | None:
    """How well words fit an address, 0 best; none where they do not.

    Whole, then a whole row and key, then any row with that very key, then parts of words.
    """
    *rest, key = [part.lower() for part in address]
    spelled = [word for part in rest for word in part.split()]
    if not wanted:
        return None
    if list(wanted) == [*spelled, key]:
        return 0
    row = rest[-1].split() if rest else []
    if row and list(wanted) == [*row, key]:
        return 1
    words = iter(spelled)
    if not all(any(word.startswith(want) for word in words) for want in wanted[:-1]):
        return None
    if wanted[-1] == key:
        return 2
    if key.startswith(wanted[-1]):
        return 3
    return 4 if f"_{wanted[-1]}" in key else None


def total(figures: Iterable[Figure], unit: str, rule: str, **inputs: Any) -> Figure:
    """The sum of figures; what is missing in one is missing in the sum. None when nothing has a value."""
    figures = list(figures)
    numbers = [figure.number for figure in figures if figure.number is not None]
    missing = tuple(dict.fromkeys(word for figure in figures for word in figure.missing))

    def under() -> Sequence[int]:
        return sorted({number for figure in figures for number in figure.entries()})

    return Figure(sum(numbers) if numbers else None, unit, rule, inputs, missing, under)


def days_between(first: date, last: date) -> list[date]:
    """Every farm day of a span, both ends included."""
    return [date.fromordinal(number) for number in range(first.toordinal(), last.toordinal() + 1)]
