"""Where a new group's targets can start from: bands in print and one edition's requirements, each with its source.

They are a starting point for the nutritionist to change. Requirements are averages of many cows, too low for half of
them (Weiss 2023), and come from one edition; nothing here is mixed between editions.
"""

from __future__ import annotations

from typing import NamedTuple

from herdbook.science.figures import ration_figures
from herdbook.science.guidelines import Guideline, guidelines
from herdbook.science.sources import SOURCES
from herdbook.science.tables_as_published import rows, source_of

REQUIREMENTS = "group_requirements_nrc2001.csv"
GROUPS = {
    "fresh": ("all", "lactating"),
    "high": ("high", "all", "lactating"),
    "mid": ("all", "lactating"),
    "late": ("late", "all", "lactating"),
    "dry": (),
    "close-up": ("close-up fully acidified",),
}
"""Our groups, and the groups of the printed bands that fit each, the closest first."""
AIMED_AT = ("dm_intake", "nel")
"""Requirements to aim at; of all others less is too little and more is no fault."""
PER_100_G = "mEq/hg"
NOBODY = "Author not shown"


class StartingTarget(NamedTuple):
    """One target to start from.

    Attributes:
        figure: key of the figure.
        low, aim, high: in the figure's own unit; none where open.
        why: the sources, and that it is a starting point.
    """

    figure: str
    low: float | None
    aim: float | None
    high: float | None
    why: str


def starting_targets(group: str) -> tuple[StartingTarget, ...]:
    """Targets to start from for a group of cows, in the order of the figures.

    Args:
        group: one of `GROUPS`.
    """
    bands = _bands(group)
    needs = {row["figure"]: row for row in rows(REQUIREMENTS) if row["group"] == group}
    found = {figure: _one(figure, bands.get(figure, []), needs.get(figure)) for figure in {*bands, *needs}}
    return tuple(found[figure] for figure in ration_figures().with_amounts() if figure in found)


def _bands(group: str) -> dict[str, list[Guideline]]:
    """Printed bands by figure, those of the closest group first and those that bound both sides before others."""
    fitting = GROUPS[group]
    found: dict[str, list[Guideline]] = {}
    for one in guidelines():
        if one.group in fitting and one.item in ration_figures():
            found.setdefault(one.item, []).append(one)
    for its in found.values():
        its.sort(key=lambda one: (fitting.index(one.group), one.low is None or one.high is None))
    return found


def _one(figure: str, bands: list[Guideline], need: dict[str, str] | None) -> StartingTarget:
    low = aim = high = None
    why = []
    if bands:
        low, high = _in_own_unit(bands[0].low, bands[0]), _in_own_unit(bands[0].high, bands[0])
        why += [_said(one) for one in bands]
    if need is not None:
        value = float(need["value"])
        if figure in AIMED_AT:
            aim = value
        elif low is None:
            low = value if high is None or value <= high else None
        elif low <= value and (high is None or value <= high):
            aim = value
        source = SOURCES[source_of(REQUIREMENTS)[0]]
        why.append(f"needs {need['value']} {need['unit']}, {need['cow']} (NRC 2001 by {source.place})")
    return StartingTarget(figure, low, aim, high, f"Starting point, to change: {'; '.join(why)}")


def _in_own_unit(value: float | None, band: Guideline) -> float | None:
    if value is None:
        return None
    return value * 10 if band.unit == PER_100_G else value


def _said(band: Guideline) -> str:
    low, high = (None if bound is None else f"{bound:g}" for bound in (band.low, band.high))
    unit = f" {band.unit}" if band.unit else ""
    if low and high:
        span = f"{low} to {high}{unit}"
    else:
        span = f"{low}{unit} or more" if low else f"{high}{unit} or less"
    source = SOURCES[band.source]
    who = source.place if source.author == NOBODY else f"{source.author} {source.year}".strip()
    return f"{span} ({who}{', from memory' if band.from_memory else ''})"
