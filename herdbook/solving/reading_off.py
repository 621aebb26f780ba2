"""Reading a solved matrix: which limit sits where and what it is worth, costs, and where a feed's amount sits."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Literal

from herdbook.solving.answers import At, LimitAnswer
from herdbook.solving.matrix import Matrix
from herdbook.solving.programme import Feed, Limit, Programme, Side
from herdbook.solving.words import limit_name, limit_unit, limit_words

if TYPE_CHECKING:
    from herdbook.solving.highs import Floats

DUST = 1e-9  # kg as fed: less than a microgram is nothing
TOUCHES = 1e-7  # a figure this near its bound, as a part of it, sits at it


def limit_answers(
    programme: Programme, matrix: Matrix, amounts: Floats, duals: Sequence[float]
) -> tuple[LimitAnswer, ...]:
    """Every limit with its value, the bound it sits at and what easing that is worth.

    A row's dual is the rate for its scaled right-hand side. Moving a share's bound L by one unit moves that
    side by the whole it is a share of (``sum(bottom_i * x_i)``), so the rate for L is the dual times the whole.
    """
    rates = [0.0] * len(programme.limits)
    for row, dual, scale in zip(matrix.rows, duals, matrix.scale.tolist(), strict=True):
        rates[row.limit] += dual / scale
    answers = []
    for at, (limit, rate) in enumerate(zip(programme.limits, rates, strict=True)):
        bottom = matrix.forms[at].bottom
        worth = rate if bottom is None else rate * float(bottom @ amounts)
        value = matrix.value(at, amounts)
        side = _sits_at(limit, value, worth)
        words = limit_words(limit, side) if side else limit_name(limit)
        answers.append(LimitAnswer(limit, value, limit_unit(limit), side, abs(worth) if side else 0.0, words))
    return tuple(answers)


def _sits_at(limit: Limit, value: float | None, worth: float) -> Side | Literal[""]:
    if value is None:
        return ""
    if limit.low is not None and limit.low == limit.high:
        return "high" if worth < 0 else "low"
    if limit.low is not None and value - limit.low <= TOUCHES * max(1.0, abs(limit.low)):
        return "low"
    if limit.high is not None and limit.high - value <= TOUCHES * max(1.0, abs(limit.high)):
        return "high"
    return ""


def sits(feed: Feed, kg: float, programme: Programme, left_out: Iterable[str]) -> At:
    """The bound a feed's amount as fed sits at."""
    if feed.name in left_out:
        return "left out"
    least, (most, stock) = feed.as_fed(feed.least_kg), programme.most_as_fed(feed)
    near = TOUCHES * max(1.0, kg)
    if least > 0 and min(most, stock) - least <= near:
        return "fixed"
    if kg >= min(most, stock) - near and min(most, stock) > 0:
        return "stock" if stock < most else "most"
    if kg <= least + near and least > 0:
        return "least"
    return "none" if kg <= DUST else ""


def cost_of(feeds: Sequence[Feed], amounts: Iterable[float]) -> float | None:
    """What amounts as fed cost in cents; None when a feed in them has no price."""
    cents = 0.0
    for feed, kg in zip(feeds, amounts, strict=True):
        if kg > DUST:
            if feed.price_cents_per_kg is None:
                return None
            cents += kg * feed.price_cents_per_kg
    return cents


def present_cost(feeds: Sequence[Feed]) -> float | None:
    """What today's ration costs in cents; None when there is none or a feed in it has no price."""
    present = [feed.present_kg for feed in feeds]
    return cost_of(feeds, present) if any(present) else None


def finite(value: float) -> float | None:
    """The value, or None where it is infinite."""
    return value if math.isfinite(value) else None
