"""The cheapest ration within its limits, kept warm so that a changed price or bound is answered at once."""

from __future__ import annotations

from dataclasses import replace
from itertools import repeat
from typing import TYPE_CHECKING

from herdbook.errors import Refused
from herdbook.solving.answers import Answer, At, FeedAnswer, Quarrel
from herdbook.solving.cautions import cautions
from herdbook.solving.highs import CostRange, Solver
from herdbook.solving.matrix import INF, Matrix, matrix_of, row_of
from herdbook.solving.programme import Basis, Feed, Limit, Programme, check_feed, check_limit
from herdbook.solving.quarrel import clash_of, quarrel_of
from herdbook.solving.reading_off import DUST, finite, limit_answers, present_cost, sits
from herdbook.solving.words import list_of

if TYPE_CHECKING:
    from herdbook.solving.highs import Floats


def least_cost(programme: Programme) -> Answer | Quarrel:
    """The cheapest ration that keeps to every limit, or the limits that cannot all hold.

    Raises:
        Refused: something typed cannot be used, a feed on offer has no price, nothing keeps the amounts from
            growing without end, or nothing asks for any feed at all.
        HerdbookError: the solver gave up.
    """
    return LeastCost(programme).solve()


class LeastCost:
    """A least-cost problem kept by a screen: change a price, a bound or a limit, and solve again.

    A change is kept in `programme`; a change that is refused leaves everything as it was. Not for several
    threads at once.

    Raises:
        Refused: as for `least_cost`.
    """

    def __init__(self, programme: Programme) -> None:
        self.programme = programme
        self._matrix = matrix_of(programme)
        self._places = {feed.name: at for at, feed in enumerate(programme.feeds)}
        _check_prices(programme, self._matrix)
        self._solver = self._built()

    def solve(self) -> Answer | Quarrel:
        """The answer as things stand now.

        Raises:
            Refused: nothing keeps the amounts from growing without end, or nothing asks for any feed.
            HerdbookError: the solver gave up.
        """
        programme, matrix = self.programme, self._matrix
        clash = clash_of(programme, matrix)
        if clash is not None:
            return clash
        status = self._solver.run()
        if status == "infeasible":
            return quarrel_of(programme, matrix)
        if status == "unbounded":
            raise _without_end(programme)
        amounts = self._solver.amounts()
        if float(amounts.sum()) <= DUST:
            raise Refused(
                "The cheapest ration that keeps to these limits is none at all.",
                remedy="Give dry matter a low limit.",
                field="dm_intake",
            )
        return self._answer(amounts)

    def price(self, feed: str, cents_per_kg: float) -> None:
        """Change the price of a kilogram as fed.

        Raises:
            Refused: no such feed, or no number.
        """
        at, known = self._feed(feed)
        changed = replace(known, price_cents_per_kg=cents_per_kg)
        check_feed(changed)
        self.programme = self._with(at, changed)
        self._solver.model.changeColCost(at, cents_per_kg)

    def bounds(
        self, feed: str, *, least_kg: float = 0.0, most_kg: float | None = None, basis: Basis = "as fed"
    ) -> None:
        """Change a feed's least and most a head a day, in kg on the basis; the stock stays as it is.

        Raises:
            Refused: no such feed, a weight that cannot be, or a feed that was left out, or was out of the
                question until now, and lacks an analysis or price.
        """
        at, known = self._feed(feed)
        self._bound(at, replace(known, least_kg=least_kg, most_kg=most_kg, basis=basis))

    def stock(self, feed: str, kg: float | None) -> None:
        """Change what is in the store, in kg as fed; None when it does not run out.

        Raises:
            Refused: as for `bounds`, or the problem has no heads and days.
        """
        at, known = self._feed(feed)
        self._bound(at, replace(known, stock_kg=kg))

    def limit(self, at: int, *, low: float | None, high: float | None) -> None:
        """Change the bounds of the limit at that place of the problem.

        Raises:
            Refused: bounds that cannot be.
        """
        old = self.programme.limits[at]
        new = replace(old, low=low, high=high)
        check_limit(new)
        limits = (*self.programme.limits[:at], new, *self.programme.limits[at + 1 :])
        programme = replace(self.programme, limits=limits)
        if _shape(old) != _shape(new):
            self._rebuild(programme)
            return
        self.programme = programme
        for place, row in enumerate(self._matrix.rows):
            if row.limit == at:
                self._change_row(place, new)

    def _built(self) -> Solver:
        import numpy as np

        matrix = self._matrix
        # a feed left out or that cannot be fed needs no price
        costs = np.array([feed.price_cents_per_kg or 0.0 for feed in self.programme.feeds])
        return Solver(
            costs, matrix.low, matrix.high, matrix.coefficients, matrix.row_low, matrix.row_high
        )  # fmt: skip

    def _rebuild(self, programme: Programme) -> None:
        matrix = matrix_of(programme)
        _check_prices(programme, matrix)
        self.programme, self._matrix = programme, matrix
        self._solver = self._built()

    def _feed(self, name: str) -> tuple[int, Feed]:
        at = self._places.get(name)
        if at is None:
            raise Refused(f"There is no feed called {name} in this problem.", field=name)
        return at, self.programme.feeds[at]

    def _with(self, at: int, feed: Feed) -> Programme:
        feeds = self.programme.feeds
        return replace(self.programme, feeds=(*feeds[:at], feed, *feeds[at + 1 :]))

    def _bound(self, at: int, feed: Feed) -> None:
        check_feed(feed)
        old, programme, matrix = self.programme.feeds[at], self._with(at, feed), self._matrix
        low, high = feed.as_fed(feed.least_kg), min(programme.most_as_fed(feed))
        opens_or_shuts = (high > 0) != bool(matrix.high[at] > 0)  # what its analyses must hold changes
        first_stock = feed.stock_kg is not None and old.stock_kg is None  # heads and days are looked at again
        if opens_or_shuts or first_stock or feed.name in matrix.left_out:
            self._rebuild(programme)
            return
        self.programme = programme
        matrix.low[at], matrix.high[at] = low, high
        self._solver.model.changeColBounds(at, low, high)

    def _change_row(self, place: int, limit: Limit) -> None:
        matrix, model = self._matrix, self._solver.model
        coefficients, low, high = row_of(limit, matrix.rows[place], matrix)
        scale = float(matrix.scale[place])
        matrix.row_low[place], matrix.row_high[place] = low / scale, high / scale
        model.changeRowBounds(place, low / scale, high / scale)
        scaled = coefficients / scale
        for column in (scaled != matrix.coefficients[place]).nonzero()[0].tolist():
            model.changeCoeff(place, column, float(scaled[column]))
        matrix.coefficients[place] = scaled

    def _answer(self, amounts: Floats) -> Answer:
        programme, matrix = self.programme, self._matrix
        limits = limit_answers(programme, matrix, amounts, self._solver.row_duals())
        listed = amounts.tolist()
        feeds = _feed_answers(
            programme, matrix, listed, self._solver.column_duals(), self._solver.cost_ranges()
        )
        return Answer(
            cost_cents=sum(one.cost_cents for one in feeds),
            present_cents=present_cost(programme.feeds),
            feeds=feeds,
            limits=limits,
            left_out=matrix.left_out,
            cautions=cautions(programme, matrix, listed, limits),
        )


def _feed_answers(
    programme: Programme, matrix: Matrix, amounts: list[float], duals: list[float], ranges: CostRange | None
) -> tuple[FeedAnswer, ...]:
    lows = repeat(-INF) if ranges is None else ranges.low
    highs = repeat(INF) if ranges is None else ranges.high
    answers = []
    for feed, solved_kg, dual, low, high in zip(programme.feeds, amounts, duals, lows, highs):  # noqa: B905  (repeat has no end)
        kg = 0.0 if solved_kg <= DUST else solved_kg
        price = feed.price_cents_per_kg or 0.0
        at: At = sits(feed, kg, programme, matrix.left_out)
        # HiGHS prices a feed shut out by its own bounds too; no price brings that in
        comes_in = price - dual if at == "none" and min(programme.most_as_fed(feed)) > 0 else None
        held = at in ("fixed", "left out")
        answers.append(
            FeedAnswer(
                feed=feed.name,
                as_fed_kg=kg,
                dry_kg=kg * feed.dry_fraction,
                change_kg=kg - feed.present_kg,
                cost_cents=kg * price,
                at=at,
                adds_cents=dual,
                comes_in_below_cents=comes_in,
                stands_from_cents=None if held else finite(low),
                stands_to_cents=None if held else finite(high),
            )
        )
    return tuple(answers)


def _shape(limit: Limit) -> tuple[bool, bool, bool]:
    """Which rows a limit has."""
    return limit.low is None, limit.high is None, limit.low == limit.high


def _check_prices(programme: Programme, matrix: Matrix) -> None:
    offered = zip(programme.feeds, matrix.high.tolist(), strict=True)
    unpriced = [feed.name for feed, high in offered if feed.price_cents_per_kg is None and high > 0]
    if unpriced:
        raise Refused(
            f"There is no price for {list_of(unpriced)}.",
            remedy="Give a price, 0 if it costs nothing, or leave the feed out.",
            field=unpriced[0],
        )


def _without_end(programme: Programme) -> Refused:
    """The refusal of a problem whose cost has no bottom: only a feed one is paid to take can do that."""
    paid = [
        feed.name
        for feed in programme.feeds
        if (feed.price_cents_per_kg or 0.0) < 0 and min(programme.most_as_fed(feed)) == INF
    ]
    return Refused(
        f"Nothing keeps the ration from growing without end: {list_of(paid)} is priced below nothing and has no "
        "most.",
        remedy="Give it a most, or dry matter a high limit.",
        field=paid[0],
    )
