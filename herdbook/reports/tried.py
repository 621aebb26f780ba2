"""What a ration that is tried is made of: its feeds, items, rows to show, figures beside their targets, changes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from herdbook.science.figures import RationFigure
from herdbook.science.ration import Part

Basis = Literal["as fed", "dry matter"]
AS_FED: Basis = "as fed"
DRY: Basis = "dry matter"
Bounds = tuple[float | None, float | None, float | None]
NO_BOUNDS: Bounds = (None, None, None)


@dataclass(frozen=True, slots=True)
class TriedFeed:
    """What trying needs to know of one feed.

    Args:
        feed, name, kind: which feed it is.
        dry_ppm: its dry matter in force; none where it has none, and then it cannot be fed.
        leaves: a kilogram of it as fed, as the parts to add up.
        cents_per_t: its price; none where it has none.
        most_mg: the most a head may get in a day as fed.
        caution: what must be read before it is fed.
    """

    feed: int
    name: str
    kind: str
    dry_ppm: int | None
    leaves: tuple[Part, ...]
    cents_per_t: float | None
    most_mg: int | None
    caution: str


@dataclass(frozen=True, slots=True)
class Item:
    """One feed of the ration that is tried: milligrams a head and day on a basis, and whether it is held fast."""

    feed: int
    mg: int
    basis: Basis
    is_locked: bool = False


@dataclass(frozen=True, slots=True)
class TriedRow:
    """One row to show: weights a head and day, beside those of the version in use (none where it lacks the feed)."""

    feed: int
    name: str
    basis: Basis
    mg: int
    is_locked: bool
    as_fed_kg: float
    dry_kg: float
    in_use_as_fed_kg: float | None
    in_use_dry_kg: float | None
    cost_cents: float | None


@dataclass(frozen=True, slots=True)
class TriedFigure:
    """One figure as tried and in use, with its target and verdicts."""

    of: RationFigure
    value: float | None
    in_use: float | None
    low: float | None
    aim: float | None
    high: float | None
    verdict: str
    in_use_verdict: str
    off_by: float
    unknown_share: float

    @property
    def change(self) -> float | None:
        """Tried less in use."""
        return None if self.value is None or self.in_use is None else self.value - self.in_use


@dataclass(frozen=True, slots=True)
class Change:
    """What became of one feed: amounts before and after in milligrams on a basis; none where it was not there."""

    feed: int
    name: str
    before: Item | None
    after: Item | None
