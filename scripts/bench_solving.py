"""Times the least-cost ration: 60 feeds by 40 rows, beside HiGHS fed the same matrix through its arrays.

The floor is what no way of asking could avoid: pass the ready arrays with HiGHS's own settings and solve, in the
same run. Prints medians and ratios (of the three that are compared: the best of nine medians taken in turns), and
fails when building and solving takes over twice the floor or a price change over a millisecond.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from itertools import count
from random import Random

import numpy as np

from herdbook.science.nutrients import nutrients
from herdbook.solving import highs
from herdbook.solving.answers import Answer, Quarrel
from herdbook.solving.least_cost import LeastCost, least_cost
from herdbook.solving.matrix import matrix_of
from herdbook.solving.nearest import nearest
from herdbook.solving.programme import Feed, Limit, Programme
from herdbook.solving.smallest_change import smallest_change

FEEDS, ROWS, ROUNDS = 60, 40, 300
MOST_RATIO, MOST_PRICE_MS = 2.0, 1.0


def made_up(seed: int = 7) -> Programme:
    """Feeds with invented analyses and prices, and limits that an invented ration keeps to."""
    chance = Random(seed)
    keys = [one.key for one in nutrients().values() if one.of == "dm"][: ROWS - 1]
    feeds = tuple(
        Feed(
            f"feed {n}", "forage" if n < 8 else "grain", chance.uniform(0.3, 0.95),
            {key: chance.uniform(0, 40) for key in keys}, chance.uniform(4, 60), most_kg=chance.uniform(2, 12),
            present_kg=chance.uniform(0, 1),
        )
        for n in range(FEEDS)
    )  # fmt: skip
    dry = [feed.present_kg * feed.dry_fraction for feed in feeds]
    limits = [Limit("dm_intake", sum(dry) * 0.98, sum(dry) * 1.02)]
    for n, key in enumerate(keys):
        share = sum(kg * feed.nutrients[key] for kg, feed in zip(dry, feeds, strict=True)) / sum(dry)
        limits.append(Limit(key, share * 0.97, None) if n % 2 else Limit(key, None, share * 1.03))
    return Programme(feeds, tuple(limits))


def milliseconds(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Median time of one call."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(1000 * (time.perf_counter() - start))
    return statistics.median(times)


def bare(programme: Programme, *, our_settings: bool = False) -> Callable[[], float]:
    """HiGHS alone on the same matrix, as it comes or with our settings: pass arrays, solve, take the objective."""
    matrix, highspy = matrix_of(programme), highs.load()
    rows, columns = matrix.coefficients.shape
    if (rows, columns) != (ROWS, FEEDS):
        sys.exit(f"The matrix is {rows} x {columns}.")
    costs = np.array([feed.price_cents_per_kg for feed in programme.feeds])
    starts = np.arange(0, rows * columns + 1, columns, dtype=np.int32)
    places = np.tile(np.arange(columns, dtype=np.int32), rows)
    values, whole = matrix.coefficients.ravel(), np.zeros(columns, dtype=np.int32)

    settings = highs.OPTIONS if our_settings else (("output_flag", False),)

    def solve() -> float:
        model = highspy.Highs()
        for option, value in settings:
            model.setOptionValue(option, value)
        model.passModel(
            columns, rows, rows * columns, 2, 1, 0.0, costs, matrix.low, matrix.high, matrix.row_low,
            matrix.row_high, starts, places, values, whole,
        )  # fmt: skip
        model.run()
        return float(model.getObjectiveValue())

    return solve


def main() -> None:
    """Measure, print, and fail when an aim is missed."""
    start = time.perf_counter()
    highs.load()
    print(f"loading HiGHS, once a process      {1000 * (time.perf_counter() - start):8.1f} ms")
    programme = made_up()
    solve = bare(programme)
    answer = least_cost(programme)
    if not isinstance(answer, Answer) or abs(answer.cost_cents - solve()) > 1e-6 * answer.cost_cents:
        sys.exit("The two do not agree on the cost.")
    # in turns, so that a busy machine slows both alike
    rounds = [
        tuple(
            map(
                milliseconds,
                (solve, bare(programme, our_settings=True), lambda: least_cost(programme)),
                [40] * 3,
            )
        )
        for _ in range(9)
    ]
    floor, lower, whole = (min(column) for column in zip(*rounds, strict=True))
    kept = LeastCost(programme)
    kept.solve()
    turn = count()

    def price() -> object:
        n = next(turn)
        feed = programme.feeds[n % FEEDS]
        kept.price(feed.name, (feed.price_cents_per_kg or 0.0) * (1.02 if n // FEEDS % 2 else 0.98))
        return kept.solve()

    def limit() -> object:
        n = next(turn)
        at = 1 + n % (ROWS - 1)
        one = programme.limits[at]
        by = 1.001 if n // ROWS % 2 else 0.999
        kept.limit(at, low=one.low and one.low * by, high=one.high and one.high * by)
        return kept.solve()

    changed, moved = milliseconds(price), milliseconds(limit)
    impossible = Programme(programme.feeds, (*programme.limits, Limit("ndf", low=60)))
    if not isinstance(least_cost(impossible), Quarrel):
        sys.exit("What cannot be was solved.")
    print(f"{FEEDS} feeds x {ROWS} rows, {ROUNDS} rounds, medians")
    print(f"  bare arrays (floor)              {floor:8.3f} ms")
    print(f"  bare arrays with our settings    {lower:8.3f} ms   {lower / floor:.2f} x")
    print(
        f"  least_cost, build and solve      {whole:8.3f} ms   {whole / floor:.2f} x floor, aim {MOST_RATIO:g} x"
    )
    print(
        f"  price changed and solved again   {changed:8.3f} ms   {changed / floor:.2f} x, aim {MOST_PRICE_MS:g} ms"
    )
    print(f"  limit changed and solved again   {moved:8.3f} ms   {moved / floor:.2f} x")
    for name, work in (
        ("smallest change", lambda: smallest_change(programme)),
        ("what quarrels", lambda: least_cost(impossible)),
        ("nearest ration", lambda: nearest(impossible)),
    ):
        took = milliseconds(work, 20)
        print(f"  {name:<32} {took:8.3f} ms   {took / floor:.2f} x")
    if whole > MOST_RATIO * floor or changed > MOST_PRICE_MS:
        sys.exit("Slower than the aim.")


if __name__ == "__main__":
    main()
