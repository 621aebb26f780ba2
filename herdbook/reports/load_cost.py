"""What each pen's feed cost on each day: the dropped share of each load, at the prices of that day."""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from typing import Any

from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import feeds as read_feeds
from herdbook.chores.ground import Ground
from herdbook.reports.figures import Figure, entries_of

MILLION = 1_000_000


def costs_by_pen_day(
    connection: Any, ground: Ground, first: date, last: date
) -> dict[tuple[int, date], Figure]:
    """Cost in cents of what each pen was dropped on each farm day; feeds without a price are named as missing."""
    priced: dict[tuple[int, str], Any] = {}
    cents: dict[tuple[int, date], float] = defaultdict(float)
    under: dict[tuple[int, date], set[int]] = defaultdict(set)
    missing: dict[tuple[int, date], dict[str, None]] = defaultdict(dict)
    for load in read_feeding.loads(connection, first.isoformat(), last.isoformat()):
        if not load.loaded_g:
            continue
        cost, gaps, prices = 0.0, [], []
        for row in load.weighed:
            key = (row["feed"], load.farm_day)
            if key not in priced:
                priced[key] = read_feeds.price_on(connection, *key)
            if priced[key] is None:
                gaps.append(f"{ground.name_of('feed', row['feed'])} has no price")
                continue
            cost += row["loaded_g"] * priced[key]["cents_per_t"] / MILLION
            prices.append(priced[key]["entry"])
        for drop in load.dropped:
            pen_day = (drop["pen"], date.fromisoformat(drop["farm_day"]))
            cents[pen_day] += cost * drop["dropped_g"] / load.loaded_g
            under[pen_day] |= {drop["entry"], load.entry, *prices}
            missing[pen_day] |= dict.fromkeys(gaps)
    return {
        key: Figure(
            value,
            "cents",
            "loaded weight times price, shared by weight dropped",
            missing=tuple(missing[key]),
            entries=entries_of(*sorted(under[key])),
            flag="?" if missing[key] else "",
        )
        for key, value in cents.items()
    }
