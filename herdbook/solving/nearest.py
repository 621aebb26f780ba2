"""The ration that comes nearest when nothing fits: limits give way, the store and each feed's most do not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from herdbook.errors import HerdbookError
from herdbook.solving.answers import Miss, Nearest
from herdbook.solving.highs import Solver
from herdbook.solving.matrix import INF, Matrix, Row, matrix_of
from herdbook.solving.programme import Limit, Programme, Side
from herdbook.solving.reading_off import DUST, cost_of
from herdbook.solving.words import limit_unit, limit_words

if TYPE_CHECKING:
    from herdbook.solving.highs import Floats

LAST_TO_GIVE = ("dm_intake", "as_fed")
HOLDS_FIRMER = 1000.0  # without intake every share is met by feeding nothing
LEFT = 1e-7  # of the least sum of misses: room for the second look, which finds the cheapest
MISSED = 1e-6  # of a bound: less is the solver's own grain


def nearest(programme: Programme) -> Nearest:
    """The ration whose misses, each as a part of its bound, add up to least; of those the cheapest.

    Every row may be passed at a price: ``min sum(w * s)`` with slack s on each bound. The weight w makes a miss
    of a whole bound count 1 (a bound of 0: one unit), measured at today's ration, or at an even mix of all
    feeds when there is none. Dry matter and as-fed intake count a thousandfold, so they give way last. Each
    feed keeps to its most, its stock and its least; a least above those is cut to them.

    Raises:
        Refused: something typed cannot be used.
        HerdbookError: the solver gave up.
    """
    import numpy as np

    matrix = matrix_of(programme)
    cut = tuple(
        programme.feeds[at].name for at in (matrix.low > matrix.high).nonzero()[0].tolist()
    )  # fmt: skip
    matrix.low = np.minimum(matrix.low, matrix.high)
    weights = _weights(programme, matrix)
    solver, columns = _elastic(matrix, weights)
    if solver.run() != "optimal":  # every limit may give way, so there is always a nearest
        raise HerdbookError("The solver found no nearest ration.")
    missed = max(solver.objective, 0.0)
    amounts = solver.amounts()[:columns]
    cheaper = _cheapest_of(solver, programme, missed)
    if cheaper is not None:
        amounts = cheaper
    as_fed = {
        feed.name: 0.0 if kg <= DUST else kg
        for feed, kg in zip(programme.feeds, amounts.tolist(), strict=True)
    }
    return Nearest(
        as_fed_kg=as_fed,
        dry_kg={feed.name: as_fed[feed.name] * feed.dry_fraction for feed in programme.feeds},
        missed=missed,
        misses=_misses(programme, matrix, amounts),
        cut=cut,
        cost_cents=cost_of(programme.feeds, as_fed.values()),
        left_out=matrix.left_out,
    )


def _elastic(matrix: Matrix, weights: list[tuple[int, float, float]]) -> tuple[Solver, int]:
    """The problem with a slack for each bound of each row, and one row more that adds the misses up."""
    import numpy as np

    rows, feeds = matrix.coefficients.shape
    slacks = len(weights)
    coefficients = np.zeros((rows + 1, feeds + slacks))
    coefficients[:rows, :feeds] = matrix.coefficients
    costs = np.zeros(feeds + slacks)
    for at, (row, sign, weight) in enumerate(weights):
        coefficients[row, feeds + at] = sign
        costs[feeds + at] = weight
    coefficients[rows] = costs
    low = np.concatenate([matrix.low, np.zeros(slacks)])
    high = np.concatenate([matrix.high, np.full(slacks, INF)])
    solver = Solver(
        costs, low, high, coefficients, np.append(matrix.row_low, -INF), np.append(matrix.row_high, INF)
    )  # fmt: skip
    return solver, feeds


def _weights(programme: Programme, matrix: Matrix) -> list[tuple[int, float, float]]:
    """Row, sign of its slack and weight, for each bound of each row."""
    reference = _reference(programme)
    made = []
    for place, row in enumerate(matrix.rows):
        limit = programme.limits[row.limit]
        for side in _sides_kept(limit, row):
            unit = _one_unit(matrix, row, reference) * (abs(limit.bound(side) or 0.0) or 1.0)
            firm = HOLDS_FIRMER if limit.figure in LAST_TO_GIVE else 1.0
            sign = 1.0 if side == "low" else -1.0
            made.append((place, sign, firm * float(matrix.scale[place]) / unit))
    return made


def _one_unit(matrix: Matrix, row: Row, reference: Floats) -> float:
    """What missing a bound by one of its units means on the unscaled row."""
    bottom = matrix.forms[row.limit].bottom
    return 1.0 if bottom is None else float(bottom @ reference) or 1.0


def _reference(programme: Programme) -> Floats:
    """Amounts to measure misses at: today's, else all feeds alike to the dry matter the limits ask for."""
    import numpy as np

    present = np.array([feed.present_kg for feed in programme.feeds])
    if present.any():
        return present
    dry = np.array([feed.dry_fraction for feed in programme.feeds])
    asked = [
        bound
        for limit in programme.limits
        if limit.figure == "dm_intake"
        for bound in (limit.low, limit.high)
        if bound is not None
    ]
    even = np.ones(len(dry))
    whole = float(dry.sum())
    return even * (sum(asked) / len(asked) / whole) if asked and whole else even


def _cheapest_of(solver: Solver, programme: Programme, missed: float) -> Floats | None:
    """Among the rations that miss no more, the cheapest; None when prices are not known or it has no end."""
    import numpy as np

    prices = [feed.price_cents_per_kg for feed in programme.feeds]
    if None in prices:
        return None
    model = solver.model
    columns = model.getNumCol()
    for at in range(columns):
        model.changeColCost(at, (prices[at] or 0.0) if at < len(prices) else 0.0)
    model.changeRowBounds(model.getNumRow() - 1, -INF, missed + LEFT * max(missed, 1.0))
    return np.array(solver.amounts()[: len(prices)]) if solver.run() == "optimal" else None


def _misses(programme: Programme, matrix: Matrix, amounts: Floats) -> tuple[Miss, ...]:
    found: list[tuple[float, Miss]] = []
    for row in matrix.rows:
        limit = programme.limits[row.limit]
        value = matrix.value(row.limit, amounts)
        for side in _sides_kept(limit, row):
            bound = limit.bound(side) or 0.0
            beyond = 0.0 if value is None else (bound - value if side == "low" else value - bound)
            if beyond > MISSED * max(1.0, abs(bound)):
                miss = Miss(limit, side, value, beyond, limit_unit(limit), limit_words(limit, side))
                found.append((beyond / (abs(bound) or 1.0), miss))
    return tuple(miss for _, miss in sorted(found, key=lambda one: -one[0]))


def _sides_kept(limit: Limit, row: Row) -> list[Side]:
    sides: tuple[Side, ...] = ("low", "high")
    return [side for side in sides if row.keeps(side) and limit.bound(side) is not None]
