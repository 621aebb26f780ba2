"""Feeds lying in heaps, and what becomes of them over a span of days: one ration, a head and day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from herdbook.reports.parts_of import FedPart, FeedFacts
from herdbook.science.ration import Totals

MILLION = 1_000_000


@dataclass(slots=True)
class Lot:
    """One feed of a heap: grams as fed and dry, and the entries they rest on."""

    as_fed_g: float = 0.0
    dry_g: float = 0.0
    entries: dict[int, None] = field(default_factory=dict)


class Heap(dict[int, Lot]):
    """Feeds lying together, by feed."""

    def put(self, feed: int, as_fed_g: float, dry_g: float, entries: Iterable[int | None]) -> None:
        """Lay a weight of a feed on it."""
        lot = self.setdefault(feed, Lot())
        lot.as_fed_g += as_fed_g
        lot.dry_g += dry_g
        lot.entries |= dict.fromkeys(number for number in entries if number is not None)

    def pour(self, other: Heap, as_fed: float, dry: float | None = None, entries: Iterable[int] = ()) -> None:
        """Pour another heap onto it, so many times as much; its dry matter by another factor where that differs."""
        for feed, lot in other.items():
            by = as_fed if dry is None else dry
            self.put(feed, lot.as_fed_g * as_fed, lot.dry_g * by, [*lot.entries, *entries])

    @property
    def as_fed_g(self) -> float:
        """Everything as fed."""
        return sum(lot.as_fed_g for lot in self.values())

    @property
    def dry_g(self) -> float:
        """All dry matter."""
        return sum(lot.dry_g for lot in self.values())


@dataclass(frozen=True, slots=True)
class SpanPart(FedPart):
    """One feed of a ration over a span, a head and day; a feed analysed anew within it comes once for each analysis.

    Args:
        under: the entries under its weight.
    """

    under: tuple[int, ...] = ()

    @property
    def weight_entries(self) -> tuple[int, ...]:
        """The entries under its weight as fed and dry."""
        return self.under

    @property
    def dry_kg(self) -> float:
        """Its dry matter, a head and day."""
        return self.part.as_fed_kg * self.part.dry_fraction


@dataclass(frozen=True, slots=True)
class SpanRation:
    """One of the rations over a span, a head and day.

    Args:
        which: set, called, mixed, dropped or eaten.
        parts: its feeds; none when no day has what it takes.
        totals: what they carry together.
        days: the farm days it is the mean of, by head.
        head: mean head of those days.
        head_entries: the counts under it.
        missing: what is not in it, in words.
    """

    which: str
    parts: tuple[SpanPart, ...]
    totals: Totals
    days: tuple[date, ...]
    head: float | None
    head_entries: tuple[int, ...]
    missing: tuple[str, ...]

    @property
    def entries(self) -> tuple[int, ...]:
        """Every entry under its weights."""
        found = [number for part in self.parts for number in part.weight_entries]
        return tuple(dict.fromkeys([*found, *self.head_entries]))

    @property
    def carried_entries(self) -> tuple[int, ...]:
        """Every entry under what it carries: its weights and its analyses."""
        found = [number for part in self.parts for number in part.nutrient_entries]
        return tuple(dict.fromkeys([*found, *self.head_entries]))


def parts_of_heaps(heaps: Iterable[tuple[FeedFacts, Heap]], heads: float) -> tuple[SpanPart, ...]:
    """Heaps of several days as parts a head and day; lots of a feed under the same figures are one part.

    Args:
        heaps: what was known of the feeds on each day, and that day's heap.
        heads: heads times days to share it among.
    """
    made: dict[tuple[int, int], _Growing] = {}
    variants: dict[int, list[Any]] = defaultdict(list)
    for facts, heap in heaps:
        for feed, lot in heap.items():
            known, made_of = variants[feed], _made_of(facts, feed)
            if made_of not in known:
                known.append(made_of)
            growing = made.setdefault((feed, known.index(made_of)), _Growing(feed, facts))
            growing.add(facts, lot)
    return tuple(growing.made(heads) for growing in made.values())


def _made_of(facts: FeedFacts, feed: int) -> list[tuple[str, float, Mapping[str, float]]]:
    """What a feed is on a day: its figures, or those of what it is mixed of; equal while nothing was found anew."""
    return [(leaf.feed, leaf.as_fed_kg, leaf.nutrients) for leaf in facts.leaves(feed, 1.0, 1.0)]


class _Growing:
    """A part of a span while its lots are added up."""

    def __init__(self, feed: int, facts: FeedFacts) -> None:
        self.feed, self.facts = feed, facts
        self.lot = Lot()
        self.cents: float | None = 0.0
        self.prices: dict[int, None] = {}

    def add(self, facts: FeedFacts, lot: Lot) -> None:
        self.lot.as_fed_g += lot.as_fed_g
        self.lot.dry_g += lot.dry_g
        self.lot.entries |= lot.entries
        price = facts.price(self.feed)
        if price is None or self.cents is None:
            self.cents = None
            return
        self.cents += lot.as_fed_g / MILLION * price[0]
        self.prices |= dict.fromkeys(price[1])

    def made(self, heads: float) -> SpanPart:
        """The part a head and day; what it carries is as on its first day, and the same on all the others."""
        as_fed_kg = self.lot.as_fed_g / 1000 / heads
        fraction = self.lot.dry_g / self.lot.as_fed_g if self.lot.as_fed_g else 0.0
        fed = self.facts.part(self.feed, as_fed_kg * 1000, entry=0)
        return SpanPart(
            self.feed,
            replace(fed.part, as_fed_kg=as_fed_kg, dry_fraction=fraction),
            fed.dry,
            fed.analysis,
            None if self.cents is None else self.cents / heads,
            tuple(self.prices),
            0,
            self.facts.leaves(self.feed, as_fed_kg, fraction),
            fed.near_infrared,
            under=tuple(self.lot.entries),
        )
