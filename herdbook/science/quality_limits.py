"""Limits on bacteria and cells by place, and which of the two ways of counting each place uses."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any, Literal

from herdbook.science.tables_as_published import document

Counted = Literal["n of m", "rolling mean"]


@dataclass(frozen=True, slots=True)
class CountLimit:
    """A limit on a count in one place.

    Attributes:
        key: what settings call it.
        title: one line for a list.
        what: "bacteria" or "cells".
        place: where it holds.
        value: counts per mL.
        at_limit: "passes" where the text says "not to exceed", "fails" where it says "or more".
        counted: "n of m" (bad results out of the last ones) or "rolling mean" (geometric, over months).
        source: where the text is.
        read: "text", or "second-hand" where another work told it.
        months, least_a_month: for a rolling mean, its length and the samples each month must have.
        resample_from_days: days after a notice before the next sample counts.
        resample_until_days: days after a notice within which it must be taken; 0 where no end is given.
    """

    key: str
    title: str
    what: str
    place: str
    value: int
    at_limit: Literal["passes", "fails"]
    counted: Counted
    source: str
    read: str
    months: int = 0
    least_a_month: int = 0
    resample_from_days: int = 3
    resample_until_days: int = 21

    def violates(self, count: float) -> bool:
        """Whether a count (or a mean) breaks the limit.

        Args:
            count: per mL.
        """
        return count >= self.value if self.at_limit == "fails" else count > self.value


@cache
def quality_limits() -> Mapping[str, CountLimit]:
    """Every limit by key, in the order of the table."""
    rows = document("quality_limits.toml")["limit"]
    limits = {row["key"]: CountLimit(**_with_open_end(row)) for row in rows}
    return MappingProxyType(limits)


def _with_open_end(row: dict[str, Any]) -> dict[str, Any]:
    """A place that names its own first day of resampling (Oregon) names no last one."""
    return {"resample_until_days": 0, **row} if "resample_from_days" in row else row
