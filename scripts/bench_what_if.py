"""Times what one keystroke costs on a ration of 20 feeds: an amount is changed and every figure is worked out again.

Prints median and slowest of many keystrokes beside a floor taken in the same run: the totals alone.
"""

from __future__ import annotations

import sys
import time
from random import Random

from herdbook.chores.ground import Ground
from herdbook.reports.tried import AS_FED, Item, TriedFeed
from herdbook.reports.what_if import WhatIf
from herdbook.science.ration import Part, totals
from herdbook.science.spread import PartSpread, figure_spread
from scripts.bench_science import made_up_ration

KEYSTROKES, LIMIT_MS = 1_000, 5.0
TARGETED = (
    "cp",
    "ndf",
    "starch",
    "sugar",
    "fat",
    "ca",
    "p",
    "mg",
    "k",
    "na",
    "dm_intake",
    "nfc",
    "dcad",
    "forage_ndf",
)


def made_up() -> WhatIf:
    """A ration of 20 feeds with 45 analyses each, and 14 targets."""
    feeds, items = {}, []
    for number, part in enumerate(made_up_ration(), start=1):
        leaf = Part(part.feed, part.kind, 1.0, part.dry_fraction, part.nutrients)
        feeds[number] = TriedFeed(
            number,
            part.feed,
            part.kind,
            round(part.dry_fraction * 1e6),
            (leaf,),
            20_000.0,
            9_000_000,
            "Read the label.",
        )
        items.append(Item(number, round(part.as_fed_kg * 1e6), AS_FED))
    return WhatIf("Bench", feeds, items, dict.fromkeys(TARGETED, (10.0, 15.0, 20.0)), Ground())


def main() -> None:
    """Measure, print, and fail when the median is over the limit."""
    what, chance = made_up(), Random(11)
    taken = []
    for _ in range(KEYSTROKES):
        feed, mg = chance.randint(1, 20), chance.randint(100_000, 20_000_000)
        start = time.perf_counter_ns()
        what.change(feed, mg)
        what.figures(), what.rows(), what.cost_cents(), what.cautions()
        taken.append((time.perf_counter_ns() - start) / 1e6)
    parts = made_up_ration()
    start = time.perf_counter_ns()
    for _ in range(KEYSTROKES):
        totals(parts)
    floor = (time.perf_counter_ns() - start) / 1e6 / KEYSTROKES
    spreads = [PartSpread(dict.fromkeys(part.nutrients, 0.05), 0.01, 0.02) for part in parts]
    start = time.perf_counter_ns()
    for _ in range(100):
        for key in TARGETED:
            figure_spread(key, parts, spreads)
    sure = (time.perf_counter_ns() - start) / 1e6 / 100
    taken.sort()
    median = taken[len(taken) // 2]
    print(f"20 feeds, {len(what.figures())} figures, {len(TARGETED)} targets, {KEYSTROKES} keystrokes")
    print(f"  totals alone (floor)      {floor:6.3f} ms")
    print(
        f"  one keystroke, median     {median:6.3f} ms   {median / floor:.1f} x floor   aim under {LIMIT_MS:g} ms"
    )
    print(f"  one keystroke, slowest    {taken[-1]:6.3f} ms")
    print(f"  how sure, {len(TARGETED)} figures      {sure:6.3f} ms")
    if median > LIMIT_MS:
        sys.exit(f"Slower than {LIMIT_MS:g} ms.")


if __name__ == "__main__":
    main()
