"""What a cubic foot of feed weighs, and how much of it is lost in store, as published."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from herdbook.science.feed_stores import LB_FT3
from herdbook.science.tables_as_published import rows


class Shrink(NamedTuple):
    """Loss of a feed in a kind of store, % of what went in."""

    feed: str
    store: str
    low_percent: float
    high_percent: float


@cache
def bulk_densities_kg_m3() -> Mapping[str, float]:
    """Loose weight by feed, kg in a cubic metre; published in lb/ft³."""
    return {row["feed"]: float(row["lb_per_ft3"]) * LB_FT3 for row in rows("bulk_densities.csv")}


@cache
def shrink() -> tuple[Shrink, ...]:
    """Losses in store by feed and kind of store."""
    return tuple(
        Shrink(row["feed"], row["store"], float(row["low"]), float(row["high"])) for row in rows("shrink.csv")
    )
