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
        if not load.dropped:
            continue
        weights = [(row["feed"], row["loaded_g"], row["entry"]) for row in load.weighed]
        weighed = {feed for feed, _, _ in weights}
        gaps = []
        if not load.loaded_g:
            weights = [(row["feed"], row["planned_g"], load.entry) for row in load.planned]
            gaps.append(f"load {load.number} was not weighed in; its plan is used")
        elif any(row["planned_g"] and row["feed"] not in weighed for row in load.planned):
            gaps.append(f"load {load.number}: not every planned feed was weighed in")
        whole_g = sum(grams for _, grams, _ in weights)
        cost, beneath = 0.0, [load.entry]
        for feed, grams, entry in weights:
            beneath.append(entry)
            key = (feed, load.farm_day)
            if key not in priced:
                priced[key] = read_feeds.price_on(connection, *key)
            if priced[key] is None:
                gaps.append(f"{ground.name_of('feed', feed)} has no price")
                continue
            cost += grams * priced[key]["cents_per_t"] / MILLION
            beneath.append(priced[key]["entry"])
        for drop in load.dropped if whole_g else ():
            pen_day = (drop["pen"], date.fromisoformat(load.farm_day))
            cents[pen_day] += cost * drop["dropped_g"] / whole_g
            under[pen_day] |= {drop["entry"], *beneath}
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
