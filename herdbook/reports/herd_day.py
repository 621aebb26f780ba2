"""The milking pens of one farm day as one: what is told a cow, and what is missing in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from herdbook.reports.fed import NO_DROP, NO_HEAD, PenDay
from herdbook.reports.figures import Figure, total

MILKING_PENS = ("milking",)
MILK_RULE = "milk of the day over cows in the milking pens"
COST_RULE = "cost of what was dropped over heads"


@dataclass(frozen=True, slots=True)
class HerdDay:
    """The milking pens on one farm day: what they were fed and ate, their milk, and what the feed cost."""

    day: date
    fed: PenDay
    milk: Figure | None
    cost: Figure | None


def cost_of_herd(costs: Sequence[Figure | None], herd: PenDay) -> Figure | None:
    """The cost of what several pens were dropped; what was not dropped is missing in it."""
    known = [figure for figure in costs if figure is not None]
    if not known:
        return None
    whole = total(known, "cents", "cost of what was dropped")
    undropped = tuple(gap for gap in herd.gaps if gap.endswith(NO_DROP))
    return replace(
        whole, missing=(*whole.missing, *undropped), flag="?" if whole.missing or undropped else ""
    )


def a_cow(
    whole: Figure | None,
    herd: PenDay,
    *,
    unit: str = "kg",
    rule: str = MILK_RULE,
) -> Figure:
    """A day's total a cow; what is missing in the total stays missing."""
    if whole is None:
        return Figure(None, unit, rule, missing=("nothing written",))
    value = whole.number / herd.head if whole.number is not None and herd.head else None
    uncounted = tuple(gap for gap in herd.gaps if gap.endswith(NO_HEAD))
    missing = (*whole.missing, *(uncounted or (() if herd.head else (NO_HEAD,))))

    def under() -> Sequence[int]:
        return list(dict.fromkeys([*whole.entries(), *herd.head_entries]))

    return Figure(
        value,
        unit,
        rule,
        {
            "total": as_input(whole),
            "head": f"{herd.head:g}" if herd.head else "not counted",
            **whole.inputs,
        },
        missing,
        under,
        flag=whole.flag or ("?" if missing else ""),
    )


def as_input(figure: Figure) -> Figure | str:
    """A total among the inputs of another figure: its value alone."""
    return "none" if figure.number is None else Figure(figure.number, figure.unit)


def over_heads(days: Sequence[tuple[Figure | None, PenDay]], unit: str, rule: str) -> Figure:
    """Totals of several days over the heads of those days."""
    figures = [figure for figure, _ in days if figure is not None]
    whole = total(figures, unit, rule)
    herd = PenDay(0, date.min, head=sum(fed.head or 0.0 for _, fed in days) or None)
    herd.head_entries = list(dict.fromkeys(number for _, fed in days for number in fed.head_entries))
    herd.gaps_of_parts = []
    return a_cow(whole, herd, unit=unit, rule=rule)
