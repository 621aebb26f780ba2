"""The feeds of a feed problem as the book has them: amounts, bounds, prices, and what stands in for no analysis."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from herdbook.chores.ground import Ground
from herdbook.chores.in_store import InStore
from herdbook.errors import Refused
from herdbook.reports.parts_of import MILLION, FedPart, FeedFacts
from herdbook.reports.suggestion_asks import AS_NONE, AS_THE_REST, LEAST_COST
from herdbook.reports.suggestion_words import amount_said, nutrients_said
from herdbook.science.nutrients import ADDED
from herdbook.science.ration import Part, Totals
from herdbook.solving.programme import TARGET, Feed, Limit

Items = Sequence[tuple[int, int, str]]
"""Feed, milligrams a head and day, and "as fed" or "dry matter"."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What a person wants of a suggestion, beside the ration itself.

    Attributes:
        aim: "least-cost" or "smallest-change".
        fix: feed -> milligrams and basis to hold it at; none for today's amount.
        least, most: feed -> milligrams and basis.
        also: feeds on offer beside those of the ration.
        price: feed -> cents a tonne as fed, in place of the book's.
        stock_g: feed -> grams as fed in the store.
        from_store: whether what the book has in the store is the stock of the other feeds.
        days: how long the stock is to last.
        heads: cows it is for, in place of the heads of the pens that get the ration.
        limits: figure -> low, aim and high in its unit, in place of the target.
        without: figures whose target is left aside.
        counted: feed -> nutrient -> figure to count with where none was determined.
        unknown: "as the rest", "none" or "refuse": what a feed of the ration is counted with for a figure it lacks.
    """

    aim: str = LEAST_COST
    fix: Mapping[int, tuple[int, str] | None] = field(default_factory=dict)
    least: Mapping[int, tuple[int, str]] = field(default_factory=dict)
    most: Mapping[int, tuple[int, str]] = field(default_factory=dict)
    also: tuple[int, ...] = ()
    price: Mapping[int, float] = field(default_factory=dict)
    stock_g: Mapping[int, int] = field(default_factory=dict)
    from_store: bool = False
    days: int | None = None
    heads: float | None = None
    limits: Mapping[str, TARGET] = field(default_factory=dict)
    without: frozenset[str] = frozenset()
    counted: Mapping[int, Mapping[str, float]] = field(default_factory=dict)
    unknown: str = AS_THE_REST

    def told_of(self) -> Iterator[tuple[str, int]]:
        """Every option that names a feed, with the feed."""
        for option, told in (
            ("fix", self.fix),
            ("least", self.least),
            ("most", self.most),
            ("price", self.price),
            ("stock", self.stock_g),
            ("count", self.counted),
        ):
            for feed in told:
                yield option, feed


@dataclass(frozen=True, slots=True)
class Offered:
    """A feed of the problem, and what it rests on.

    Attributes:
        feed: which feed.
        fed: today's part; of a feed that is not in the ration, none of it.
        cents_per_t: its price as fed; none when not known.
        price_entries: the entries under the price; none when it was typed for this question.
        of_one_kg: a kilogram of it as fed, as the parts to add up.
        item_mg, basis: its item of the ration as set; 0 of a feed beside it.
    """

    feed: int
    fed: FedPart
    cents_per_t: float | None
    price_entries: tuple[int, ...]
    of_one_kg: tuple[Part, ...]
    item_mg: int = 0
    basis: str = "as fed"

    @property
    def name(self) -> str:
        """The feed's name."""
        return self.fed.part.feed

    @property
    def dry_fraction(self) -> float:
        """Its dry matter in force."""
        return self.fed.part.dry_fraction

    @property
    def today_kg(self) -> float:
        """Today's amount a head, as fed."""
        return self.fed.part.as_fed_kg

    @property
    def entries(self) -> tuple[int, ...]:
        """The entries under what the problem takes of it: item, dry matter, analysis and price."""
        found = (*self.fed.nutrient_entries, *self.price_entries)
        return tuple(dict.fromkeys(number for number in found if number))


def on_offer(facts: FeedFacts, items: Items, asked: Asked, entry: int) -> tuple[Offered, ...]:
    """The feeds of the ration and those asked for beside, in that order.

    Raises:
        Refused: an option names a feed that is in neither, or a feed beside has no dry matter or no price.
    """
    parts = facts.parts_of_items(items, entry=entry)
    made = [
        _offered(facts, part, asked, mg, basis)
        for part, (_, mg, basis) in zip(parts, items, strict=True)
    ]  # fmt: skip
    known = {one.feed for one in made}
    for feed in asked.also:
        if feed not in known:
            known.add(feed)
            made.append(_beside(facts, feed, asked))
    for option, feed in asked.told_of():
        if feed not in known:
            name = facts.name(feed)
            raise Refused(
                f"{option}: {name} is not in the ration.",
                remedy="Offer it too, with `also`.",
                field=option,
            )
    return tuple(made)


def with_the_store(asked: Asked, offered: Sequence[Offered], found: Mapping[int, InStore]) -> Asked:
    """What was asked, with the book's own store of every feed on offer that has one and none was typed for."""
    held = {
        one.feed: max(0, round(found[one.feed].held_g))
        for one in offered
        if one.feed in found and one.feed not in asked.stock_g
    }
    return replace(asked, stock_g={**held, **asked.stock_g})


def _beside(facts: FeedFacts, feed: int, asked: Asked) -> Offered:
    one = _offered(facts, facts.part(feed, 0, entry=0), asked)
    if one.fed.dry is None:
        raise Refused(
            f"also: {one.name} has no dry matter yet.",
            remedy="Write its analysis or a dry-matter test first.",
            field="also",
        )
    if one.cents_per_t is None and asked.aim == LEAST_COST:
        raise Refused(
            f"also: {one.name} has no price.",
            remedy="Write its price, or give one with `price`.",
            field="also",
        )
    return one


def _offered(facts: FeedFacts, fed: FedPart, asked: Asked, mg: int = 0, basis: str = "as fed") -> Offered:
    typed, known = asked.price.get(fed.feed), facts.price(fed.feed)
    cents, entries = (None, ()) if known is None else known
    if typed is not None:
        cents, entries = typed, ()
    leaves = facts.leaves(fed.feed, 1.0, fed.part.dry_fraction)
    return Offered(fed.feed, fed, cents, entries, leaves, mg, basis)


def is_held_unpriced(one: Offered, asked: Asked) -> bool:
    """Whether a feed of the ration is held as it is since nothing can be said of its cost."""
    return one.cents_per_t is None and asked.aim == LEAST_COST


def feed_of(one: Offered, facts: FeedFacts, asked: Asked, ground: Ground) -> Feed:
    """The feed as the solver takes it, all bounds as fed.

    Raises:
        Refused: a bound in dry matter of a feed that has none, or a bound on a feed that has no price.
    """
    part = one.fed.part
    card_mg = facts.most_mg(one.feed)
    most = [kg for kg in (_as_fed_kg(one, asked.most.get(one.feed), "most"),) if kg is not None]
    most += [] if card_mg is None else [card_mg / MILLION]
    feed = Feed(
        part.feed,
        part.kind,
        part.dry_fraction,
        dict(one.fed.analysis.values) if one.fed.analysis else {},
        None if one.cents_per_t is None else one.cents_per_t / 1000,
        _as_fed_kg(one, asked.least.get(one.feed), "least") or 0.0,
        min(most, default=None),
        stock_kg=None if one.feed not in asked.stock_g else asked.stock_g[one.feed] / 1000,
        present_kg=one.today_kg,
        counted_as=dict(asked.counted.get(one.feed, {})),
    )
    if one.feed in asked.fix:
        held = _as_fed_kg(one, asked.fix[one.feed], "fix")
        feed = feed.fixed(one.today_kg if held is None else held)
    if not is_held_unpriced(one, asked):
        return feed
    if one.feed in asked.least or one.feed in asked.most:
        raise Refused(
            f"{one.name} has no price, so nothing can be said of the cheapest amount of it.",
            remedy="Write its price, or give one with `price`.",
            field="price",
        )
    held_kg = feed.least_kg if one.feed in asked.fix else one.today_kg
    return replace(feed.fixed(held_kg), price_cents_per_kg=0.0)


def _as_fed_kg(one: Offered, amount: tuple[int, str] | None, option: str) -> float | None:
    if amount is None:
        return None
    mg, basis = amount
    if basis == "as fed":
        return mg / MILLION
    if not one.dry_fraction:
        raise Refused(f"{option}: {one.name} has no dry matter.", remedy="Give it as fed.", field=option)
    return mg / MILLION / one.dry_fraction


def feed_notes(offered: Sequence[Offered], facts: FeedFacts, asked: Asked, ground: Ground) -> Iterator[str]:
    """What a person must know of how the feeds were taken."""
    for one in offered:
        if is_held_unpriced(one, asked):
            yield f"{one.name} has no price: it is held as it is, and the costs are without it."
        most_mg = facts.most_mg(one.feed)
        if most_mg is not None and one.today_kg > most_mg / MILLION and one.feed not in asked.fix:
            most = amount_said(most_mg / MILLION, ground)
            yield f"{one.name} stands over its own maximum of {most} a head today; the suggestion keeps to that."
        if one.fed.analysis is not None and one.fed.analysis.gaps:
            gaps = [key for key in one.fed.analysis.gaps if key in one.fed.analysis.values]
            if gaps:
                yield f"{one.name} is a mix; its {nutrients_said(gaps)} is that of the parts that have it."
    if asked.stock_g:
        yield "The stock is taken to feed this ration alone."


@dataclass(frozen=True, slots=True)
class Lacking:
    """What feeds of the ration lack that a limit counts with, by feed.

    Attributes:
        as_the_rest: nutrients taken as the rest of the ration has them.
        as_none: nutrients of which only an amount is limited, taken as none.
    """

    as_the_rest: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    as_none: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def counted(
    feeds: tuple[Feed, ...], limits: tuple[Limit, ...], asked: Asked, today: Totals
) -> tuple[tuple[Feed, ...], Lacking]:
    """The feeds with what stands in for analyses they lack, and which those are.

    A figure that a feed of the ration lacks is taken as the ration's own sheet reads: a share is over the dry matter
    that was analysed, so the feed counts as the rest has it; an amount is what was found, so the feed adds none.
    What only gets into a feed by being added is none where it is not told. A feed beside the ration is not taken so:
    it would come in on figures nobody has.
    """
    shares = {key: one.share for key, one in today.nutrients.items() if one.share is not None}
    made = list(feeds)
    as_the_rest: dict[str, tuple[str, ...]] = {}
    as_none: dict[str, tuple[str, ...]] = {}
    for at, keys in _lacks(feeds, limits).items():
        feed = feeds[at]
        stands_in = {key: 0.0 for key in keys if key in ADDED or asked.unknown == AS_NONE}
        if asked.unknown == AS_THE_REST and feed.present_kg > 0:
            left = {key: of_share for key, of_share in keys.items() if key not in stands_in}
            rest = {key: shares[key] for key, of_share in left.items() if of_share and key in shares}
            none = {key: 0.0 for key, of_share in left.items() if not of_share}
            as_the_rest |= {feed.name: tuple(rest)} if rest else {}
            as_none |= {feed.name: tuple(none)} if none else {}
            stands_in |= rest | none
        made[at] = replace(feed, counted_as={**stands_in, **feed.counted_as})
    return tuple(made), Lacking(as_the_rest, as_none)


def _lacks(feeds: tuple[Feed, ...], limits: tuple[Limit, ...]) -> dict[int, dict[str, bool]]:
    """The nutrients each feed lacks, with whether a share rests on them; else only an amount does."""
    from herdbook.solving.linear import FeedTable, form_of, lacking

    table = FeedTable(feeds, limits)
    found: dict[int, dict[str, bool]] = {}
    for limit in limits:
        for at, key in lacking(form_of(limit, table), table):
            its = found.setdefault(at, {})
            its[key] = its.get(key, False) or limit.counted != "amount"
    return found
