"""A ration, load or drop as parts the calculator can add up, with the entries each part rests on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading.feeds import AnalysisRow, DryMatter, FeedsAsOf
from herdbook.book.reading.rations import Version
from herdbook.chores.ground import Ground
from herdbook.science.cation_anion import dcad_caution
from herdbook.science.ration import DCAD_TERMS, Part

MILLION = 1_000_000
NEAR_INFRARED = "near-infrared"


@dataclass(frozen=True, slots=True)
class FedPart:
    """One feed of a ration, load or drop: the calculator's part, and what it rests on.

    Attributes:
        part: the feed as one part; of a mix, a figure is over the dry matter that has it.
        leaves: what it comes down to: itself, or a mix's parts, of which each lacks what it lacks. Add these up.
        near_infrared: leaf's name -> minerals of the cation-anion difference that near infrared read.
    """

    feed: int
    part: Part
    dry: DryMatter | None
    analysis: AnalysisRow | None
    cost_cents: float | None
    price_entries: tuple[int, ...]
    entry: int
    leaves: tuple[Part, ...] = ()
    near_infrared: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def weight_entries(self) -> tuple[int, ...]:
        """The entries under its weight as fed and dry: the item itself and its dry matter."""
        return tuple(dict.fromkeys([self.entry, *(self.dry.entries if self.dry else ())]))

    @property
    def nutrient_entries(self) -> tuple[int, ...]:
        """The entries under what it carries: its weight and its analysis."""
        return tuple(dict.fromkeys([*self.weight_entries, *(self.analysis.entries if self.analysis else ())]))

    @property
    def price_entry(self) -> int | None:
        """The entry of its own price; of a mix priced by its parts, of the recipe."""
        return self.price_entries[0] if self.price_entries else None

    @property
    def cost_entries(self) -> tuple[int, ...]:
        """The entries under what it costs: its weight and its price."""
        return tuple(dict.fromkeys([*self.weight_entries, *self.price_entries]))


def leaf_parts(parts: Sequence[FedPart]) -> list[Part]:
    """The parts to add up: mixes taken apart, so that what one part of a mix lacks is missing for it alone."""
    return [leaf for fed in parts for leaf in fed.leaves or (fed.part,)]


def doubts_of(key: str, parts: Sequence[FedPart]) -> tuple[str, ...]:
    """Why a figure of these parts is not to be leant on, though all of it is there; empty where nothing is known.

    Args:
        key: the figure's key.
        parts: what it is worked out from.
    """
    if key != "dcad":
        return ()
    by_feed = {name: keys for fed in parts for name, keys in fed.near_infrared.items()}
    if not by_feed:
        return ()
    feeds = "; ".join(f"{name}: {', '.join(keys)}" for name, keys in by_feed.items())
    return (f"{dcad_caution(near_infrared=True)} {feeds}. Hoard's Dairyman 28094",)


class FeedFacts:
    """What the book knows of each feed on one day, asked once.

    Args:
        connection: the book.
        ground: the farm's names.
        day: the farm day; analyses sampled up to it count.
        at_s: dry-matter tests up to this instant count.
        dry_ppm: feed -> a dry matter to take in place of the book's, to see what it would change.
    """

    def __init__(
        self, connection: Any, ground: Ground, day: str, at_s: int, dry_ppm: Mapping[int, int] | None = None
    ) -> None:
        self._connection, self._day, self._ground = connection, day, ground
        self._cards = {row.feed: row for row in read_feeds.feeds(connection)}
        self._as_of = FeedsAsOf(connection, day, at_s, dry_ppm)
        self._inside: dict[int, dict[int, float]] = {}
        self._prices: dict[int, tuple[float, tuple[int, ...]] | None] = {}

    def name(self, feed: int) -> str:
        """The feed's name."""
        return self._cards[feed].name if feed in self._cards else self._ground.name_of("feed", feed)

    def kind(self, feed: int) -> str:
        """What sort of feed it is."""
        return self._cards[feed].kind if feed in self._cards else ""

    def caution(self, feed: int) -> str:
        """What must be read before it is fed."""
        return self._cards[feed].caution if feed in self._cards else ""

    def most_mg(self, feed: int) -> int | None:
        """The most of it one head may get in a day, as fed, in milligrams."""
        return self._cards[feed].most_mg if feed in self._cards else None

    def dry(self, feed: int) -> DryMatter | None:
        """Its dry matter in force."""
        return self._as_of.dry(feed)

    def analysis(self, feed: int) -> AnalysisRow | None:
        """Its analysis in force; of a mix that has none of its own, worked out from its parts."""
        return self._as_of.analysis(feed)

    def is_mix(self, feed: int) -> bool:
        """Whether the farm mixes it itself."""
        return feed in self._as_of.recipes

    def shares_inside(self, feed: int) -> Mapping[int, float]:
        """The feed and everything it is mixed from, all the way down, with each one's share of it as fed."""
        if feed not in self._inside:
            found = {feed: 1.0}
            self._inside[feed] = found  # a mix in a circle, should one stand, ends here
            recipe = self._as_of.recipes.get(feed)
            whole = sum(ppm for _, ppm in recipe.parts) if recipe else 0
            for part, ppm in recipe.parts if recipe else ():
                for inside, share in tuple(self.shares_inside(part).items()):
                    found[inside] = found.get(inside, 0.0) + share * ppm / whole
        return self._inside[feed]

    def all_inside(self, feed: int) -> tuple[int, ...]:
        """The feed and everything it is mixed from."""
        return tuple(self.shares_inside(feed))

    def price(self, feed: int) -> tuple[float, tuple[int, ...]] | None:
        """Cents a tonne as fed, and the entries under it; of a mix without a price, from its parts, if all have one."""
        if feed not in self._prices:
            self._prices[feed] = None  # a mix in a circle, should one stand, has no price
            self._prices[feed] = self._price(feed)
        return self._prices[feed]

    def _price(self, feed: int) -> tuple[float, tuple[int, ...]] | None:
        own = read_feeds.price_on(self._connection, feed, self._day)
        if own is not None:
            return float(own["cents_per_t"]), (own["entry"],)
        recipe = self._as_of.recipes.get(feed)
        if recipe is None:
            return None
        found = [(share, self.price(part)) for part, share in recipe.parts]
        priced = [(share, price) for share, price in found if price is not None]
        if len(priced) < len(found) or not priced:
            return None
        cents = sum(share * price[0] for share, price in priced) / sum(share for share, _ in priced)
        return cents, (recipe.entry, *(number for _, price in priced for number in price[1]))

    def leaves(self, feed: int, as_fed_kg: float, dry_fraction: float) -> tuple[Part, ...]:
        """A weight of a feed as the parts to add up, together of that dry matter.

        Args:
            feed: which feed.
            as_fed_kg: its weight as fed.
            dry_fraction: its dry matter, 0 to 1; a mix's parts are scaled to make it.
        """
        found = self._as_of.leaves(feed)
        if len(found) == 1 and found[0].feed == feed:
            return (self._leaf(feed, as_fed_kg, dry_fraction),)
        fractions = [self._fraction(leaf.feed) for leaf in found]
        by_parts = sum(leaf.share * fraction for leaf, fraction in zip(found, fractions, strict=True))
        scale = dry_fraction / by_parts if by_parts else 0.0
        return tuple(
            self._leaf(leaf.feed, as_fed_kg * leaf.share, fraction * scale)
            for leaf, fraction in zip(found, fractions, strict=True)
        )

    def _fraction(self, feed: int) -> float:
        dry = self.dry(feed)
        return dry.dry_ppm / MILLION if dry else 0.0

    def _leaf(self, feed: int, as_fed_kg: float, dry_fraction: float) -> Part:
        analysis = self.analysis(feed)
        return Part(
            self.name(feed), self.kind(feed), as_fed_kg, dry_fraction, analysis.values if analysis else {}
        )

    def _near_infrared(self, feed: int) -> Mapping[str, tuple[str, ...]]:
        """Leaf's name -> minerals of the cation-anion difference that near infrared read."""
        found = {}
        for leaf in self._as_of.leaves(feed):
            analysis = self.analysis(leaf.feed)
            keys = tuple(key for key in DCAD_TERMS if analysis and analysis.methods.get(key) == NEAR_INFRARED)
            if keys:
                found[self.name(leaf.feed)] = keys
        return found

    def part(self, feed: int, as_fed_g: float, *, entry: int, dry_ppm: int | None = None) -> FedPart:
        """A weight of a feed as a part; `dry_ppm` overrides the dry matter in force (a load keeps its own)."""
        dry, analysis = self.dry(feed), self.analysis(feed)
        ppm = dry_ppm if dry_ppm is not None else (dry.dry_ppm if dry else 0)
        price = self.price(feed)
        values: Mapping[str, float] = analysis.values if analysis else {}
        return FedPart(
            feed,
            Part(self.name(feed), self.kind(feed), as_fed_g / 1000, ppm / MILLION, values),
            dry,
            analysis,
            None if price is None else as_fed_g / MILLION * price[0],
            () if price is None else price[1],
            entry,
            self.leaves(feed, as_fed_g / 1000, ppm / MILLION),
            self._near_infrared(feed),
        )

    def parts_of_version(self, version: Version) -> Sequence[FedPart]:
        """A version's items a head and day, as fed at the dry matter in force."""
        return self.parts_of_items(
            [(item["feed"], item["mg"], item["basis"]) for item in version.items], entry=version.entry
        )

    def parts_of_items(self, items: Sequence[tuple[int, int, str]], *, entry: int = 0) -> list[FedPart]:
        """Items of a ration a head and day, as fed at the dry matter in force.

        Args:
            items: feed, milligrams, and "as fed" or "dry matter".
            entry: the entry they were set by.
        """
        made = []
        for feed, mg, basis in items:
            grams = mg / 1000
            dry = self.dry(feed)
            if basis == "dry matter" and dry is not None:
                grams = grams * MILLION / dry.dry_ppm
            made.append(self.part(feed, grams, entry=entry))
        return made
