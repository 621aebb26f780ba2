"""Why nothing fits: a set of bounds that cannot all hold and from which none can be spared."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from herdbook.errors import HerdbookError
from herdbook.solving.answers import Member, Quarrel
from herdbook.solving.highs import Solver
from herdbook.solving.matrix import INF, Matrix
from herdbook.solving.programme import Programme
from herdbook.solving.words import limit_words, number

GRAIN = 1e-9  # a multiplier of the proof under this is rounding


def clash_of(programme: Programme, matrix: Matrix) -> Quarrel | None:
    """The first feed whose least is more than its most or its stock; None when there is no such feed."""
    clashing = (matrix.low > matrix.high).nonzero()[0].tolist()
    if not clashing:
        return None
    at = clashing[0]
    most, stock = programme.most_as_fed(programme.feeds[at])
    other = Member("feed", at, "stock" if stock < most else "most")
    return _told([Member("feed", at, "least"), other], programme, matrix)


def quarrel_of(programme: Programme, matrix: Matrix) -> Quarrel:
    """The bounds of a problem that has no answer which quarrel, as few as two ways of looking find.

    Each bound in turn is left out, and stays out when the rest still quarrel (a deletion filter); what the
    solver's proof of the quarrel (its dual ray) does not use goes out at once. Done forwards and backwards, and
    the shorter list told: nothing in it can be spared, but a shorter one that neither finds is possible.
    HiGHS's own search for such a set counts "no feed below nothing" as a bound like any other, so that its set
    may hold bounds that can be spared; it also takes longer.
    """
    clash = clash_of(programme, matrix)
    if clash is not None:
        return clash
    bounds = _Bounds(programme, matrix)
    everything = bounds.members()
    forwards, backwards = bounds.filtered(everything), bounds.filtered(everything[::-1])
    fewest = forwards if len(forwards) <= len(backwards) else backwards
    return _told(sorted(fewest, key=everything.index), programme, matrix)


class _Bounds:
    """The problem without costs, in which bounds can be let go and taken up again, solved warm."""

    def __init__(self, programme: Programme, matrix: Matrix) -> None:
        import numpy as np

        self._programme, self._matrix = programme, matrix
        self._solver = Solver(
            np.zeros(len(programme.feeds)),
            matrix.low, matrix.high, matrix.coefficients, matrix.row_low, matrix.row_high,
        )  # fmt: skip
        self._kept = set(self.members())

    def members(self) -> list[Member]:
        """Every bound that someone set."""
        limits = [
            Member("limit", row.limit, side)
            for row in self._matrix.rows
            for side in ("low", "high")
            if row.keeps(side) and self._programme.limits[row.limit].bound(side) is not None
        ]
        return limits + [one for at in range(len(self._programme.feeds)) for one in self._of_feed(at)]

    def quarrel(self, members: Iterable[Member]) -> bool:
        """Whether these bounds alone cannot all hold; not, where the solver cannot tell: then none is spared for it."""
        kept = set(members)
        changed, self._kept = self._kept ^ kept, kept
        model = self._solver.model
        for feed in {one.at for one in changed if one.of == "feed"}:
            model.changeColBounds(feed, *self._column_bounds(feed))
        limits = {one.at for one in changed if one.of == "limit"}
        for place, row in enumerate(self._matrix.rows):
            if row.limit in limits:
                model.changeRowBounds(place, *self._row_bounds(place))
        try:
            return self._solver.run() == "infeasible"
        except HerdbookError:  # at the very edge of what fits
            return False

    def filtered(self, members: Sequence[Member]) -> list[Member]:
        """An irreducible part of bounds that quarrel, tried in the order given."""
        kept = self._used_by_proof(members) if self.quarrel(members) else list(members)
        for one in list(kept):
            without = [other for other in kept if other != one]
            if one in kept and self.quarrel(without):
                kept = self._used_by_proof(without)
        return kept

    def _used_by_proof(self, members: Sequence[Member]) -> list[Member]:
        """The members that the last run's proof of infeasibility rests on; all when they do not stand alone."""
        ray = self._solver.dual_ray()
        if ray is None:
            return list(members)
        columns = abs(ray @ self._matrix.coefficients) > GRAIN
        limits = {row.limit for row, used in zip(self._matrix.rows, abs(ray) > GRAIN, strict=True) if used}
        used = [one for one in members if (one.at in limits if one.of == "limit" else columns[one.at])]
        return used if len(used) < len(members) and self.quarrel(used) else list(members)

    def _of_feed(self, at: int) -> list[Member]:
        feed = self._programme.feeds[at]
        if feed.name in self._matrix.left_out:
            return []
        most, stock = self._programme.most_as_fed(feed)
        made = [Member("feed", at, "least")] if feed.least_kg > 0 else []
        made += [Member("feed", at, "most")] if most < INF else []
        return made + ([Member("feed", at, "stock")] if stock < INF else [])

    def _column_bounds(self, at: int) -> tuple[float, float]:
        feed = self._programme.feeds[at]
        most, stock = self._programme.most_as_fed(feed)
        low = feed.as_fed(feed.least_kg) if Member("feed", at, "least") in self._kept else 0.0
        return low, min(
            most if Member("feed", at, "most") in self._kept else INF,
            stock if Member("feed", at, "stock") in self._kept else INF,
        )

    def _row_bounds(self, place: int) -> tuple[float, float]:
        limit, matrix = self._matrix.rows[place].limit, self._matrix
        return (
            float(matrix.row_low[place]) if Member("limit", limit, "low") in self._kept else -INF,
            float(matrix.row_high[place]) if Member("limit", limit, "high") in self._kept else INF,
        )


def _told(members: Sequence[Member], programme: Programme, matrix: Matrix) -> Quarrel:
    return Quarrel(tuple(members), tuple(_words(one, programme) for one in members), matrix.left_out)


def _words(one: Member, programme: Programme) -> str:
    if one.side == "low" or one.side == "high":
        return limit_words(programme.limits[one.at], one.side)
    feed = programme.feeds[one.at]
    if one.side == "stock":
        _, stock = programme.most_as_fed(feed)
        return f"{feed.name} at most {number(stock)} kg as fed, which is what the store holds"
    kg, side = (feed.least_kg, "at least") if one.side == "least" else (feed.most_kg or 0.0, "at most")
    return f"{feed.name} {side} {number(kg)} kg {feed.basis}"
