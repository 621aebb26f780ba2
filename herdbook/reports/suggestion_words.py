"""A feed problem in words: limits, amounts and what quarrels, in the farm's units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from herdbook.chores.ground import Ground
from herdbook.reports.showing import in_farm_units, unit_word
from herdbook.science.figures import RationFigure, ration_figures
from herdbook.science.nutrients import nutrients
from herdbook.solving.answers import Member, Nearest, Quarrel
from herdbook.solving.programme import Limit, Programme, Side
from herdbook.solving.words import figure_within, list_of

SIZES = ("dm_intake", "as_fed")
SIDES = {"low": "at least", "high": "at most"}


def figure_key(limit: Limit) -> str:
    """The key of the figure a limit stands for, an amount's own where it limits that."""
    return (
        f"{limit.figure}_amount"
        if limit.counted == "amount" and limit.figure in nutrients()
        else limit.figure
    )


def figure_of(limit: Limit) -> RationFigure:
    """The figure a limit stands for."""
    return ration_figures()[figure_key(limit)]


def number_said(value: float, unit: str, decimals: int, ground: Ground) -> str:
    """A number in the farm's units, without noughts at its end."""
    text = ground.units.number(in_farm_units(value, unit, ground.units), decimals)
    mark = ground.units.decimal
    return text.rstrip("0").rstrip(mark) if mark in text else text


def amount_said(kg: float, ground: Ground, decimals: int = 2) -> str:
    """A weight in the farm's unit of loads."""
    return f"{number_said(kg, 'kg', decimals, ground)} {ground.units.load}"


def nutrients_said(keys: Sequence[str]) -> str:
    """Names of nutrients inside a sentence."""
    return list_of([figure_within(key) for key in keys])


def bound_said(limit: Limit, side: Side, ground: Ground) -> str:
    """One side of a limit as a nutritionist would say it: `CP at least 16 %`."""
    figure = figure_of(limit)
    value = number_said(limit.bound(side) or 0.0, figure.unit, figure.decimals + 2, ground)
    return f"{figure.label} {SIDES[side]} {value} {unit_word(figure.unit, ground.units)}".strip()


def quarrel_said(quarrel: Quarrel, programme: Programme, ground: Ground) -> Iterator[str]:
    """Each bound that takes part in a quarrel, in words.

    Where all the others are shares, which a ration of any size has alike, the least dry matter quarrels only in that
    nothing at all has no shares; easing it would help nobody, so it is not told.
    """
    told = [one for one in quarrel.members if not _is_least_size(one, programme)]
    if not told or not all(_is_share(one, programme) for one in told):
        told = list(quarrel.members)
    for one in told:
        yield _member_said(one, programme, ground)


def _is_least_size(one: Member, programme: Programme) -> bool:
    return one.of == "limit" and one.side == "low" and programme.limits[one.at].figure in SIZES


def _is_share(one: Member, programme: Programme) -> bool:
    limit = programme.limits[one.at] if one.of == "limit" else None
    return limit is not None and limit.counted != "amount" and limit.figure not in SIZES


def _member_said(one: Member, programme: Programme, ground: Ground) -> str:
    if one.side == "low" or one.side == "high":
        return bound_said(programme.limits[one.at], one.side, ground)
    feed = programme.feeds[one.at]
    most, stock = programme.most_as_fed(feed)
    if one.side == "stock":
        return f"{feed.name} at most {amount_said(stock, ground)} a head, which is what the store holds"
    kg, word = (feed.as_fed(feed.least_kg), "at least") if one.side == "least" else (most, "at most")
    return f"{feed.name} {word} {amount_said(kg, ground)} a head"


def misses_said(nearest: Nearest, ground: Ground) -> str:
    """How far the nearest ration is from keeping to everything: `calcium 0.03 short`."""
    told = []
    for miss in nearest.misses:
        figure = figure_of(miss.limit)
        far = number_said(miss.missed_by, figure.unit, figure.decimals + 1, ground)
        unit = unit_word(figure.unit, ground.units)
        told.append(
            f"{figure.label} {far} {unit} {'short' if miss.side == 'low' else 'over'}".replace("  ", " ")
        )
    return ", ".join(told)
