"""The ration nearest to today's that keeps to every limit: as little changed as can be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from herdbook.errors import Refused
from herdbook.solving.answers import ChangeAnswer, ChangedFeed, Quarrel
from herdbook.solving.cautions import cautions
from herdbook.solving.highs import Solver
from herdbook.solving.matrix import INF, Matrix, matrix_of
from herdbook.solving.programme import Feed, Programme
from herdbook.solving.quarrel import clash_of, quarrel_of
from herdbook.solving.reading_off import DUST, cost_of, limit_answers, present_cost

if TYPE_CHECKING:
    from herdbook.solving.highs import Floats

NEW_FEED_KG = 1.0


def smallest_change(programme: Programme, *, new_feed_kg: float = NEW_FEED_KG) -> ChangeAnswer | Quarrel:
    """The ration with the smallest sum of relative changes from today's, or the limits that cannot all hold.

    Minimises ``sum(abs(x_i - present_i) / present_i)``, split into more and less so that it is linear. A feed
    not fed today has nothing to be relative to: bringing in `new_feed_kg` of it counts as one whole change, as
    doubling or dropping a feed of today does.

    Args:
        programme: the problem; `present_kg` of its feeds is today's ration. Prices are not needed.
        new_feed_kg: kilograms of dry matter (of water: as fed) of a new feed that count as one whole change.

    Raises:
        Refused: something typed cannot be used, or there is no present ration.
        HerdbookError: the solver gave up.
    """
    import numpy as np

    matrix = matrix_of(programme)
    present = np.array([feed.present_kg for feed in programme.feeds])
    if not present.any():
        raise Refused(
            "There is no present ration to change from.",
            remedy="Say what is fed today, or ask for the least cost.",
            field="present_kg",
        )
    if not 0 < new_feed_kg < INF:
        raise Refused("The weight a new feed is measured by is above zero.", field="new_feed_kg")
    clash = clash_of(programme, matrix)
    if clash is not None:
        return clash
    each = np.array([_per_kg(feed, new_feed_kg) for feed in programme.feeds])
    solver = _more_and_less(matrix, present, each)
    if solver.run() == "infeasible":
        return quarrel_of(programme, matrix)
    more, less = np.split(solver.amounts(), 2)
    return _answer(programme, matrix, present + more - less, each, solver.row_duals())


def _per_kg(feed: Feed, new_feed_kg: float) -> float:
    """How much of a whole change one kilogram as fed, more or less, is."""
    if feed.present_kg > 0:
        return 1 / feed.present_kg
    return (feed.dry_fraction or 1.0) / new_feed_kg


def _more_and_less(matrix: Matrix, present: Floats, each: Floats) -> Solver:
    """The problem in what is added to and taken from each feed; both are never below zero."""
    import numpy as np

    return Solver(
        np.concatenate([each, each]),
        np.concatenate([np.maximum(matrix.low - present, 0.0), np.maximum(present - matrix.high, 0.0)]),
        np.concatenate([np.maximum(matrix.high - present, 0.0), np.maximum(present - matrix.low, 0.0)]),
        np.hstack([matrix.coefficients, -matrix.coefficients]),
        matrix.row_low - matrix.coefficients @ present,
        matrix.row_high - matrix.coefficients @ present,
    )


def _answer(
    programme: Programme, matrix: Matrix, amounts: Floats, each: Floats, duals: list[float]
) -> ChangeAnswer:
    limits = limit_answers(programme, matrix, amounts, duals)
    listed = [0.0 if kg <= DUST else kg for kg in amounts.tolist()]
    feeds = tuple(
        ChangedFeed(feed.name, feed.present_kg, kg, kg * feed.dry_fraction, (kg - feed.present_kg) * rate)
        for feed, kg, rate in zip(programme.feeds, listed, each.tolist(), strict=True)
    )
    return ChangeAnswer(
        change=sum(abs(one.change) for one in feeds),
        cost_cents=cost_of(programme.feeds, listed),
        present_cents=present_cost(programme.feeds),
        feeds=feeds,
        limits=limits,
        left_out=matrix.left_out,
        cautions=cautions(programme, matrix, listed, limits),
    )
