"""What stands behind one figure, in words: value, rule and its source, inputs, what is missing, entries under it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from herdbook.book.reading import entries as read_entries
from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.reports.figures import AS_WRITTEN, Column, Figure
from herdbook.reports.showing import flagged, in_farm_units, shown

MOST_ENTRIES = 12
"""So many entries are told with their sentence; the rest by number."""

DEEPEST = 4
"""Figures inside figures are followed this far; further down each can be asked on its own."""

Said = Callable[[int], str]


@dataclass(frozen=True, slots=True)
class Part:
    """One heading of an explanation and the lines under it, each with how deep it is set in."""

    heading: str
    lines: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class Explanation:
    """A figure explained.

    Args:
        title: its name and value.
        parts: headings with their lines, in order; headings with nothing under them are not there.
        entries: every entry under it, by number.
    """

    title: str
    parts: tuple[Part, ...]
    entries: tuple[int, ...]

    def lines(self) -> Iterator[str]:
        """Line by line, as the command line prints it; long lines are not folded."""
        yield self.title
        for part in self.parts:
            yield ""
            yield part.heading
            for depth, line in part.lines:
                yield f"{'  ' * (depth + 1)}{line}"


def said_in(connection: Any) -> Said:
    """How to find the sentence of an entry in an open book."""

    def said(number: int) -> str:
        row = read_entries.entry(connection, number)
        if row is None:
            return "not in the book"
        struck = f" (struck by entry {row['struck_by']})" if row["struck_by"] is not None else ""
        return f"{plain(row['said'])} {plain(row['who'] or '')}, {row['farm_day']}{struck}"

    return said


def explain(
    label: str, figure: Figure, ground: Ground, said: Said, *, column: Column | None = None
) -> Explanation:
    """Explain a figure; the entries under it are looked up now, since somebody asks.

    Args:
        label: what it is called, with the row it stands in.
        figure: the figure.
        ground: the farm's units and clock.
        said: gives the sentence of an entry, as `said_in`.
        column: how the figure is shown; three decimals and its own unit if not given.
    """
    numbers = tuple(dict.fromkeys(figure.entries()))
    parts = [
        Part("How it is made", tuple(_rule_lines(figure.rule))),
        Part("From", tuple(_inputs(figure.inputs, ground, 0))),
        Part("Not in it", tuple((0, plain(word)) for word in figure.missing)),
        Part("Entries under it", tuple(_entries(numbers, said))),
    ]
    value = flagged(figure, shown(figure, column or _as_is(figure, ground), ground, with_unit=True))
    return Explanation(f"{plain(label)}: {value}", tuple(part for part in parts if part.lines), numbers)


def _as_is(figure: Figure, ground: Ground) -> Column:
    """A column for a figure that stands in none: whole numbers as they are, others to some four figures."""
    number = figure.number
    if number is None:
        return Column("", "", figure.unit)
    size = in_farm_units(number, figure.unit, ground.units)
    return Column(
        "", "", figure.unit, 0 if size.is_integer() else 3 if abs(size) < 10 else 2 if abs(size) < 100 else 1
    )


def _rule_lines(rule: str) -> Iterator[tuple[int, str]]:
    if rule == AS_WRITTEN or not _looks_like_a_key(rule):
        yield 0, plain(rule)
        return
    from herdbook.science.registry import rules
    from herdbook.science.sources import SOURCES

    known = rules().get(rule)
    if known is None:
        yield 0, plain(rule)
        return
    yield 0, f"{known.title}{f' ({known.edition})' if known.edition else ''}"
    yield 0, known.formula
    for source in known.sources:
        yield 0, f"Source: {SOURCES[source].citation()}"
    if known.from_memory:
        yield 0, "From memory: the formula was recalled, its source was not read."
    yield 0, f"Try it with other numbers: herdbook reckon {known.key}"


def _looks_like_a_key(rule: str) -> bool:
    from re import fullmatch

    return fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", rule) is not None


def _inputs(inputs: Mapping[str, Any], ground: Ground, depth: int) -> Iterator[tuple[int, str]]:
    for name, value in inputs.items():
        if not isinstance(value, Figure):
            yield depth, f"{plain(name)}: {plain(str(value))}"
            continue
        yield (
            depth,
            f"{plain(name)}: {flagged(value, shown(value, _as_is(value, ground), ground, with_unit=True))}",
        )
        if value.rule != AS_WRITTEN:
            yield depth + 1, plain(value.rule)
        for word in value.missing:
            yield depth + 1, f"not in it: {plain(word)}"
        if depth + 1 < DEEPEST:
            yield from _inputs(value.inputs, ground, depth + 1)


def _entries(numbers: tuple[int, ...], said: Said) -> Iterator[tuple[int, str]]:
    for number in numbers[:MOST_ENTRIES]:
        yield 0, f"{number}  {said(number)}"
    if rest := numbers[MOST_ENTRIES:]:
        some = ", ".join(map(str, rest[:40]))
        yield 0, f"and {some}{f' and {len(rest) - 40} more' if len(rest) > 40 else ''}"
