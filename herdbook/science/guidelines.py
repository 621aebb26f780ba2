"""Guideline bands in print, each with its source: beside the nutritionist's targets, never in their place."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from herdbook.science.tables_as_published import rows


class Guideline(NamedTuple):
    """One printed band.

    Attributes:
        item: what it is for, a nutrient key where there is one.
        group: which cows or which feed.
        low, high: the band; None where the source gives no limit on that side.
        unit: of both; empty for a plain number.
        source: key of the source.
        from_memory: recalled and not read again.
    """

    item: str
    group: str
    low: float | None
    high: float | None
    unit: str
    source: str
    from_memory: bool


@cache
def guidelines(item: str = "") -> tuple[Guideline, ...]:
    """Printed bands of one item, or of all; sources that disagree stand beside each other.

    Args:
        item: such as "starch", "refusal" or "sieve_8_mm"; all when empty.
    """
    return tuple(
        Guideline(
            row["item"],
            row["group"],
            float(row["low"]) if row["low"] else None,
            float(row["high"]) if row["high"] else None,
            row["unit"],
            row["source"],
            row["read"] == "memory",
        )
        for row in rows("guidelines.csv")
        if item in ("", row["item"])
    )
