"""The reports there are, what each may be asked with, and one way to make any of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from importlib import import_module
from typing import TYPE_CHECKING, Any

from herdbook.chores.asking import Count
from herdbook.chores.ground import Ground
from herdbook.chores.moments import Day
from herdbook.chores.repeated import Several
from herdbook.errors import Refused
from herdbook.plain import plain
from herdbook.reports.figures import Report
from herdbook.reports.spans import SpanOfDays
from herdbook.reports.spec import OF, Spec
from herdbook.reports.specs_feeding import FEEDING
from herdbook.reports.specs_milk import MILK
from herdbook.reports.specs_rations import A_RATION, RATIONS

if TYPE_CHECKING:
    from herdbook.settings import CopiesWatched

SPECS: Mapping[str, Spec] = {
    spec.name: spec
    for spec in (
        Spec("today", "what is due, what is wrong, and how the tank stands", "today"),
        A_RATION,
        *FEEDING,
        *MILK,
        Spec("week", "a week by farm day: eaten, refused, shipped, milk, exceptions", "week", {"of": OF}),
        Spec(
            "money",
            "milk sold against feed by week, and cheques against what the milk is worth",
            "money",
            {
                "of": SpanOfDays(
                    label="of", help="days, such as -28..-1 or last week; the last four weeks if not given"
                )
            },
        ),
        Spec(
            "entries",
            "what was written, by whom, struck or not",
            "entries",
            {
                "last": Count(label="last", help="how many, newest first", least=1, most=100_000),
                "of": Day(label="of", help="only of that farm day"),
                "number": Count(label="number", help="one entry, whole", least=1, most=10**12),
            },
            position="number",
        ),
        *RATIONS,
        Spec("pens", "pens, heads and rations", "pens"),
        Spec("people", "who may write or look", "people"),
    )
}
"""Every report by name, in the order of the list."""


def find_spec(name: str) -> Spec:
    """The report of that name.

    Raises:
        Refused: there is none.
    """
    if name in SPECS:
        return SPECS[name]
    near = get_close_matches(name, SPECS, 1, 0.5)
    hint = f"Did you mean {near[0]}?" if near else f"Known: {', '.join(SPECS)}."
    raise Refused(f"There is no report called {plain(name, longest=40)!r}.", remedy=hint, field="report")


def ground_for_reading(connection: Any, now_s: int, copies: CopiesWatched | None = None) -> Ground:
    """The farm's units, clock and names, read without loading what only writing needs.

    Args:
        connection: the book, open for reading.
        now_s: the instant it is, UTC seconds.
        copies: where this computer keeps copies of the book; None for whoever does not mind.
    """
    from herdbook.book.reading.farm import farm
    from herdbook.chores.naming import with_names

    its = farm(connection)
    return with_names(connection, Ground(its.units, its.clock, now_s, copies=copies))


def make(name: str, connection: Any, ground: Ground, texts: Mapping[str, str | Sequence[str]]) -> Report:
    """Make a report from typed options.

    Args:
        name: the report's name.
        connection: the book, open for reading.
        ground: the farm's units, clock and names, with the instant the report is of.
        texts: option -> typed text; of a repeated option a list of them.

    Raises:
        Refused: no such report or option, or an option that cannot be understood.
    """
    spec = find_spec(name)
    values = {}
    for option, text in texts.items():
        ask = spec.options.get(option)
        if ask is None:
            raise Refused(
                f"The report {name} has no option {plain(option, longest=40)!r}.",
                remedy=f"It has {', '.join(spec.options) or 'none'}.",
                field=option,
            )
        given = [text] if isinstance(text, str) else list(text)
        if isinstance(ask, Several) and any(one.strip() for one in given):
            values[option] = ask.understand_all(given, ground)
        elif given and given[0].strip():
            values[option] = ask.understand(given[0], ground)
    for option in spec.needed:
        if option not in values:
            known = ", ".join(spec.options[option].choices(ground) or ())
            raise Refused(
                f"{name}: which {spec.options[option].label}?",
                remedy=f"In the book: {known or 'none yet'}.",
                field=option,
            )
    report: Report = import_module(f"herdbook.reports.{spec.module}").make(connection, ground, **values)
    return report


def split_words(name: str, words: Sequence[str]) -> tuple[dict[str, str], list[str]]:
    """Give the first bare word to the option that takes one; the rest are the figure's address, for `explain`."""
    spec = find_spec(name)
    if spec.position and words:
        return {spec.position: words[0]}, list(words[1:])
    return {}, list(words)


__all__ = ["SPECS", "Spec", "find_spec", "ground_for_reading", "make", "split_words"]
