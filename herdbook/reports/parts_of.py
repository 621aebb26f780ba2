"""A ration, load or drop as parts the calculator can add up, with the entries each part rests on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading.feeds import AnalysisRow, DryMatter
from herdbook.book.reading.rations import Version
from herdbook.chores.ground import Ground
from herdbook.science.ration import Part

MILLION = 1_000_000


@dataclass(frozen=True, slots=True)
class FedPart:
    """One feed of a mix: the calculator's part, and what it rests on."""

    feed: int
    part: Part
    dry: DryMatter | None
    analysis: AnalysisRow | None
    cost_cents: float | None
    price_entry: int | None
    entry: int

    @property
    def weight_entries(self) -> tuple[int, ...]:
        """The entries under its weight as fed and dry: the item itself and its dry matter."""
        return tuple(dict.fromkeys([self.entry, *([self.dry.entry] if self.dry else [])]))

    @property
    def nutrient_entries(self) -> tuple[int, ...]:
        """The entries under what it carries: its weight and its analysis."""
        return tuple(dict.fromkeys([*self.weight_entries, *([self.analysis.entry] if self.analysis else [])]))

    @property
    def cost_entries(self) -> tuple[int, ...]:
        """The entries under what it costs: its weight and its price."""
        price = [] if self.price_entry is None else [self.price_entry]
        return tuple(dict.fromkeys([*self.weight_entries, *price]))


class FeedFacts:
    """What the book knows of each feed on one day, asked once."""

    def __init__(self, connection: Any, ground: Ground, day: str, at_s: int) -> None:
        self._connection, self._day, self._at_s = connection, day, at_s
        self._cards = {row.feed: row for row in read_feeds.feeds(connection)}
        self._ground = ground
        self._dry: dict[int, DryMatter | None] = {}
        self._analysis: dict[int, AnalysisRow | None] = {}

    def name(self, feed: int) -> str:
        """The feed's name."""
        return self._cards[feed].name if feed in self._cards else self._ground.name_of("feed", feed)

    def kind(self, feed: int) -> str:
        """What sort of feed it is."""
        return self._cards[feed].kind if feed in self._cards else ""

    def caution(self, feed: int) -> str:
        """What must be read before it is fed."""
        return self._cards[feed].caution if feed in self._cards else ""

    def dry(self, feed: int) -> DryMatter | None:
        """Its dry matter in force."""
        if feed not in self._dry:
            self._dry[feed] = read_feeds.dry_matter_at(self._connection, feed, self._at_s, self._day)
        return self._dry[feed]

    def analysis(self, feed: int) -> AnalysisRow | None:
        """Its analysis in force."""
        if feed not in self._analysis:
            self._analysis[feed] = read_feeds.analysis_on(self._connection, feed, self._day)
        return self._analysis[feed]

    def part(self, feed: int, as_fed_g: float, *, entry: int, dry_ppm: int | None = None) -> FedPart:
        """A weight of a feed as a part; `dry_ppm` overrides the dry matter in force (a load keeps its own)."""
        dry, analysis = self.dry(feed), self.analysis(feed)
        ppm = dry_ppm if dry_ppm is not None else (dry.dry_ppm if dry else 0)
        price = read_feeds.price_on(self._connection, feed, self._day)
        values: Mapping[str, float] = analysis.values if analysis else {}
        return FedPart(
            feed,
            Part(self.name(feed), self.kind(feed), as_fed_g / 1000, ppm / MILLION, values),
            dry,
            analysis,
            None if price is None else as_fed_g / MILLION * price["cents_per_t"],
            None if price is None else price["entry"],
            entry,
        )

    def parts_of_version(self, version: Version) -> Sequence[FedPart]:
        """A version's items a head and day, as fed at the dry matter in force."""
        made = []
        for item in version.items:
            grams = item["mg"] / 1000
            dry = self.dry(item["feed"])
            if item["basis"] == "dry matter" and dry is not None:
                grams = grams * MILLION / dry.dry_ppm
            made.append(self.part(item["feed"], grams, entry=version.entry))
        return made
