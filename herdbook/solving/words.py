"""Feeds' bounds and limits in words: what is limited, on which side, in which unit."""

from __future__ import annotations

from herdbook.science.figures import ration_figures
from herdbook.science.nutrients import nutrients
from herdbook.solving.programme import Limit, Side

SIDE = {"low": "at least", "high": "at most"}
AMOUNT_UNITS = {"mEq/kg": "mEq"}


def figure_name(key: str) -> str:
    """The full name of a figure or nutrient."""
    listed = nutrients()
    return listed[key].name if key in listed else ration_figures()[key].label


def figure_within(key: str) -> str:
    """The same inside a sentence: a capital of its own (NFC, NDF) stays, that of a first word does not."""
    name = figure_name(key)
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def limit_unit(limit: Limit) -> str:
    """Unit of a limit's bounds and value; empty for a ratio."""
    if limit.counted == "ratio":
        return ""
    unit = ration_figures()[limit.figure].unit
    if limit.counted == "figure" or limit.figure in ("dm_intake", "as_fed"):
        return unit
    listed = nutrients()
    if limit.figure in listed:
        return listed[limit.figure].amount_unit
    return AMOUNT_UNITS.get(unit, "kg")


def limit_name(limit: Limit) -> str:
    """What a limit limits, without its bounds."""
    if limit.counted == "ratio":
        return f"{figure_name(limit.figure)} to {figure_name(limit.to)}"
    name = figure_name(limit.figure)
    if limit.counted == "amount" and limit.figure not in ("dm_intake", "as_fed"):
        return f"{name}, amount a head"
    return name


def limit_words(limit: Limit, side: Side) -> str:
    """One side of a limit as a nutritionist would say it."""
    bound = limit.bound(side)
    return f"{limit_name(limit)} {SIDE[side]} {number(bound or 0.0)} {limit_unit(limit)}".strip()


def number(value: float) -> str:
    """A number short enough to read and long enough to be true: six figures, no trailing noughts."""
    return f"{value:.6g}"


def list_of(names: list[str]) -> str:
    """Names with commas, and "and" before the last."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
