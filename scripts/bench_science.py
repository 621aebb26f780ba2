"""Times the ration arithmetic: a ration of 20 feeds with 45 analyses each, added up in plain floats.

Prints the median and the quickest of many rounds beside a floor taken in the same run: the bare
multiplications and additions that no way of writing it could avoid.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from operator import mul
from random import Random

from herdbook.science.nutrients import nutrients
from herdbook.science.ration import Part, totals

FEEDS, ANALYSES, ROUNDS, LIMIT_US = 20, 45, 2_000, 200.0


def made_up_ration(seed: int = 7) -> list[Part]:
    """Feeds with invented weights and analyses, the same every time."""
    chance = Random(seed)
    keys = [one.key for one in nutrients().values() if one.of == "dm"][:ANALYSES]
    if len(keys) < ANALYSES:
        sys.exit(f"Only {len(keys)} nutrients are shares of dry matter.")
    return [
        Part(f"feed {n}", "forage" if n < 4 else "grain", chance.uniform(0.1, 20), chance.uniform(0.3, 0.95),
             {key: chance.uniform(0, 40) for key in keys})
        for n in range(FEEDS)
    ]  # fmt: skip


def microseconds(work: Callable[[], object]) -> tuple[float, float]:
    """Median and quickest time of one call."""
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter_ns()
        work()
        times.append((time.perf_counter_ns() - start) / 1000)
    return statistics.median(times), min(times)


def main() -> None:
    """Measure, print, and fail when the median is over the limit."""
    parts = made_up_ration()
    dry = [part.as_fed_kg * part.dry_fraction for part in parts]
    columns = [[part.nutrients[key] for part in parts] for key in parts[0].nutrients]
    floor, _ = microseconds(lambda: [sum(map(mul, dry, column)) for column in columns])
    whole, quickest = microseconds(lambda: totals(parts))
    gaps = [Part(p.feed, p.kind, p.as_fed_kg, p.dry_fraction, dict(list(p.nutrients.items())[n % 3 :]))
            for n, p in enumerate(parts)]  # fmt: skip
    with_gaps, _ = microseconds(lambda: totals(gaps))
    print(f"{FEEDS} feeds x {ANALYSES} analyses, {ROUNDS} rounds")
    print(f"  bare sums (floor)     {floor:7.1f} us")
    print(
        f"  totals, median        {whole:7.1f} us   {whole / floor:.2f} x floor   aim under {LIMIT_US:.0f} us"
    )
    print(f"  totals, quickest      {quickest:7.1f} us")
    print(f"  totals with gaps      {with_gaps:7.1f} us")
    if whole > LIMIT_US:
        sys.exit(f"Slower than {LIMIT_US:.0f} us.")


if __name__ == "__main__":
    main()
