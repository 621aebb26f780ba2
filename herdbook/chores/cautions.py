"""What in a ration could do harm: amounts nobody may set without saying why, and amounts worth a look.

Every caution names its source. Nothing here replaces a label, the law of the place, the veterinarian or the
nutritionist; it stops the slip of a finger.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from statistics import median
from typing import Any

from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.rations import Version
from herdbook.chores.ground import Ground
from herdbook.reports.parts_of import FedPart, FeedFacts, leaf_parts
from herdbook.science.additives import (
    MONENSIN_G_PER_TON,
    NPN_MOST_OF_PROTEIN,
    SELENIUM_MOST_ADDED_MG_PER_KG,
    UREA_MOST_G_PER_DAY,
    UREA_MOST_OF_CONCENTRATE,
    grams_per_ton,
    looks_tenfold,
    npn_of_protein,
    urea_of_concentrate,
)
from herdbook.science.limits_feed import over_tolerable, tolerable_levels, toxin_limits
from herdbook.science.nitrate import nitrate_bands
from herdbook.science.nutrients import nutrient, nutrients
from herdbook.science.ration import Part, Totals, totals
from herdbook.science.sources import SOURCES

CONCENTRATE = ("grain", "protein", "fat", "mineral", "premix", "liquid")
SMALL_KINDS = ("protein", "fat", "mineral", "premix", "liquid")
"""Kinds that a slip of the decimal point is looked for in: forage and grain move tenfold without harm to be told."""
UREA_CP_PERCENT = 281.0
"""Crude protein of urea of 45 % nitrogen, the weakest in print: it gives the largest weight of urea for a protein."""
NEVER_HARD = ("k",)
"""Rations rich in forage pass it as a matter of course: its own source says so."""
TOXINS = ("aflatoxin", "don", "fumonisin")
DUST = 1e-9


@dataclass(frozen=True, slots=True)
class Caution:
    """Something in a ration that could do harm.

    Attributes:
        key: what sort it is: `most`, `tenfold`, `urea`, `nitrate`, `selenium`, `monensin`, `mineral` or `toxin`.
        says: a sentence, with its source.
        hard: true when the ration is not written without a reason.
        feeds: the feeds it comes from.
    """

    key: str
    says: str
    hard: bool
    feeds: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class _Look:
    """What every caution is found in: the parts a head and day, their totals and where each leaf came from."""

    parts: Sequence[FedPart]
    sums: Totals
    facts: FeedFacts
    ground: Ground
    usual_g: Mapping[int, tuple[float, str]] = field(default_factory=dict)

    def leaves(self) -> Iterator[tuple[FedPart, Part]]:
        """Every leaf with the item it came by."""
        for fed in self.parts:
            for leaf in fed.leaves or (fed.part,):
                yield fed, leaf

    def carriers(self, key: str) -> tuple[int, ...]:
        """The items that bring a nutrient, the one that brings most first."""
        brought: dict[int, float] = {}
        for fed, leaf in self.leaves():
            amount = leaf.as_fed_kg * leaf.dry_fraction * leaf.nutrients.get(key, 0.0)
            brought[fed.feed] = brought.get(fed.feed, 0.0) + amount
        return tuple(feed for feed in sorted(brought, key=lambda feed: -brought[feed]) if brought[feed] > 0)

    def most_from(self, key: str) -> str:
        """`, most of it from Mineral mix`; empty where nothing brings it."""
        carriers = self.carriers(key)
        return f", most of it from {self.facts.name(carriers[0])}" if carriers else ""


def cautions_of_items(
    connection: Any,
    ground: Ground,
    items: Sequence[tuple[int, int, str]],
    *,
    day: str,
    at_s: int,
    ration: int | None = None,
    without_entry: int | None = None,
) -> list[Caution]:
    """Every caution of a ration's items, the hard ones first.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        items: feed, milligrams a head and day, and "as fed" or "dry matter".
        day: the farm day it is meant for.
        at_s: tests of dry matter up to this instant count.
        ration: the ration it is a version of; its version before is what amounts are held against.
        without_entry: an entry that is being corrected and does not count.
    """
    facts = FeedFacts(connection, ground, day, at_s)
    parts = facts.parts_of_items(items)
    usual = _usual(connection, ground, facts, day, ration, without_entry)
    look = _Look(parts, totals(leaf_parts(parts)), facts, ground, usual)
    found = [
        caution
        for find in (_over_most, _tenfold, _urea, _nitrate, _selenium, _monensin, _minerals, _toxins)
        for caution in find(look)
    ]
    return sorted(found, key=lambda one: not one.hard)


def cautions_of_version(connection: Any, ground: Ground, version: Version, *, at_s: int) -> list[Caution]:
    """Every caution of a version that stands, as it is fed at an instant.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        version: the version.
        at_s: the instant.
    """
    items = [(item["feed"], item["mg"], item["basis"]) for item in version.items]
    day = ground.clock.farm_day(at_s).isoformat()
    return cautions_of_items(
        connection,
        ground,
        items,
        day=day,
        at_s=at_s,
        ration=version.ration,
        without_entry=version.entry,
    )


def notes_at_the_mixer(
    connection: Any, ground: Ground, version: Version, *, at_s: int
) -> Mapping[int, tuple[str, ...]]:
    """What the hand at the mixer should read beside each feed of a load: its own caution, and every hard one.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        version: the ration version that is mixed, from `version_in_force` or `version_by_id`.
        at_s: the instant it is mixed.

    Returns:
        feed -> sentences; feeds without any are left out.
    """
    day = ground.clock.farm_day(at_s).isoformat()
    facts = FeedFacts(connection, ground, day, at_s)
    notes: dict[int, list[str]] = {}
    for item in version.items:
        for feed, said in _own_cautions(facts, item["feed"]):
            notes.setdefault(item["feed"], []).append(
                said if feed == item["feed"] else f"{facts.name(feed)}: {said}"
            )
    for caution in cautions_of_version(connection, ground, version, at_s=at_s):
        if caution.hard:
            for feed in caution.feeds[:1]:
                notes.setdefault(feed, []).append(caution.says)
    return {feed: tuple(dict.fromkeys(said)) for feed, said in notes.items()}


def _own_cautions(facts: FeedFacts, feed: int) -> Iterator[tuple[int, str]]:
    """A feed's own caution, and those of everything it is mixed from."""
    for inside in facts.all_inside(feed):
        if facts.caution(inside):
            yield inside, facts.caution(inside)


def _usual(
    connection: Any, ground: Ground, facts: FeedFacts, day: str, ration: int | None, without_entry: int | None
) -> dict[int, tuple[float, str]]:
    """Grams of dry matter a head of each feed: in the version before, else in the other rations in force."""
    others: dict[int, list[float]] = {}
    usual: dict[int, tuple[float, str]] = {}
    for one in ground.names.get("ration", {}).values():
        standing = [
            version
            for version in read_rations.versions(connection, one)
            if version.entry != without_entry and version.from_day <= day
        ]
        if not standing:
            continue
        for fed in facts.parts_of_version(standing[-1]):
            grams = 1000 * fed.part.as_fed_kg * fed.part.dry_fraction
            if one == ration:
                usual[fed.feed] = (grams, f"version {standing[-1].version}")
            else:
                others.setdefault(fed.feed, []).append(grams)
    for feed, amounts in others.items():
        usual.setdefault(feed, (median(amounts), "the farm's other rations"))
    return usual


def _cite(key: str) -> str:
    source = SOURCES[key]
    year = f" {source.year}" if source.year else ""
    place = f", {source.place}" if source.place else ""
    return f"({source.author}{year}{place})"


def _over_most(look: _Look) -> Iterator[Caution]:
    """A feed over its own maximum, inside mixes too."""
    grams: dict[int, float] = {}
    by_item: dict[int, list[int]] = {}
    for fed in look.parts:
        for inside, share in look.facts.shares_inside(fed.feed).items():
            grams[inside] = grams.get(inside, 0.0) + 1000 * fed.part.as_fed_kg * share
            by_item.setdefault(inside, []).append(fed.feed)
    for feed, grams_of_it in grams.items():
        most_mg = look.facts.most_mg(feed)
        if most_mg is None or grams_of_it * 1000 <= most_mg * (1 + DUST):
            continue
        units, own = look.ground.units, look.facts.caution(feed)
        says = (
            f"{look.facts.name(feed)}: {units.mass(grams_of_it, 2)} a head is over its own maximum of "
            f"{units.mass(most_mg / 1000, 2)} (the feed's card).{' ' if own else ''}{own}"
        )
        yield Caution("most", says, True, tuple(by_item[feed]))


def _tenfold(look: _Look) -> Iterator[Caution]:
    for fed in look.parts:
        if look.facts.kind(fed.feed) not in SMALL_KINDS or fed.feed not in look.usual_g:
            continue
        grams, (usual, where) = 1000 * fed.part.as_fed_kg * fed.part.dry_fraction, look.usual_g[fed.feed]
        if looks_tenfold(typed=grams, usual=usual):
            units = look.ground.units
            times = f"{grams / usual:.0f} times" if grams > usual else f"a {usual / grams:.0f}th of"
            says = (
                f"{look.facts.name(fed.feed)}: {units.mass(grams, 3)} dry matter a head is {times} the "
                f"{units.mass(usual, 3)} in {where}; a slip of the decimal point? {_cite('EXT-MTL')}."
            )
            yield Caution("tenfold", says, True, (fed.feed,))


def _urea(look: _Look) -> Iterator[Caution]:
    """Nitrogen that is not protein; a feed whose crude protein passes 100 % is taken as such a feed, said or not."""
    npn_kg = cp_kg = concentrate_kg = 0.0
    by_item: dict[int, float] = {}
    for fed, leaf in look.leaves():
        dry_kg, cp = leaf.as_fed_kg * leaf.dry_fraction, leaf.nutrients.get("cp", 0.0)
        npn = leaf.nutrients.get("npn_cp", cp if cp > 100 else 0.0)
        npn_kg += dry_kg * npn / 100
        cp_kg += dry_kg * max(cp, npn) / 100
        concentrate_kg += leaf.as_fed_kg if leaf.kind in CONCENTRATE else 0.0
        if npn:
            by_item[fed.feed] = by_item.get(fed.feed, 0.0) + dry_kg * npn
    if not npn_kg:
        return
    feeds = tuple(sorted(by_item, key=lambda feed: -by_item[feed]))
    urea_g = 1000 * npn_kg / UREA_CP_PERCENT * 100
    words = []
    if urea_g > UREA_MOST_G_PER_DAY * (1 + DUST):
        words.append(
            f"as much nitrogen as {urea_g:.0f} g of urea a head and day, {UREA_MOST_G_PER_DAY:g} is the most"
        )
    if concentrate_kg:
        share = urea_of_concentrate(urea=urea_g / 1000, concentrate=concentrate_kg)
        if share > UREA_MOST_OF_CONCENTRATE * (1 + DUST):
            words.append(f"urea {share:.1f} % of the concentrate, {UREA_MOST_OF_CONCENTRATE:g} is the most")
    share = npn_of_protein(npn=npn_kg, crude_protein=cp_kg)
    if share > NPN_MOST_OF_PROTEIN * (1 + DUST):
        words.append(
            f"{share:.0f} % of the crude protein is not protein, {NPN_MOST_OF_PROTEIN:g} is the most"
        )
    if words:
        names = ", ".join(look.facts.name(feed) for feed in feeds)
        says = f"Urea and its like ({names}): {'; '.join(words)}. It kills quickly. {_cite('KERTZ2010')}."
        yield Caution("urea", says, True, feeds)


def _nitrate(look: _Look) -> Iterator[Caution]:
    """A feed whose nitrate allows less of it than stands in the ration; pregnant cows are told of too."""
    if not look.sums.dry_kg:
        return
    dry_kg: dict[str, float] = {}
    item_of: dict[str, int] = {}
    level_of: dict[str, float] = {}
    for fed, leaf in look.leaves():
        if leaf.nutrients.get("nitrate_n"):
            dry_kg[leaf.feed] = dry_kg.get(leaf.feed, 0.0) + leaf.as_fed_kg * leaf.dry_fraction
            item_of.setdefault(leaf.feed, fed.feed)
            level_of[leaf.feed] = leaf.nutrients["nitrate_n"]
    for name, kg in dry_kg.items():
        share, level = 100 * kg / look.sums.dry_kg, level_of[name]
        bands = nitrate_bands(level)
        if not bands:
            continue
        strict = bands[0]
        pregnant = f"; pregnant cows: {strict.pregnant_cows}" if strict.pregnant_cows != "safe" else ""
        what = f"{name}: nitrate nitrogen {level:.0f} mg/kg, {share:.0f} % of the dry matter"
        if share > strict.most_of_ration + 1e-6:
            says = f"{what}; {strict.open_cows}{pregnant} {_cite(strict.source)}. Ask a veterinarian."
            yield Caution("nitrate", says, True, (item_of[name],))
        elif pregnant and (strict.pregnant_cows == "not to be fed" or share > 50):
            says = f"{what}{pregnant} {_cite(strict.source)}. Ask a veterinarian."
            yield Caution("nitrate", says, False, (item_of[name],))


def _selenium(look: _Look) -> Iterator[Caution]:
    added = look.sums.nutrients.get("se_added")
    share = added.share_of_all if added else None
    if added and share is not None and share > SELENIUM_MOST_ADDED_MG_PER_KG * (1 + 1e-6):
        says = (
            f"Added selenium: {share:.2f} mg/kg of dry matter ({added.amount:.1f} mg a head)"
            f"{look.most_from('se_added')}; the law allows {SELENIUM_MOST_ADDED_MG_PER_KG:g} "
            f"{_cite('21CFR573.920')}."
        )
        yield Caution("selenium", says, True, look.carriers("se_added"))


def _monensin(look: _Look) -> Iterator[Caution]:
    dose = look.sums.nutrients.get("monensin")
    share = dose.share_of_all if dose else None
    if not dose or not share:
        return
    strength, (low, high) = grams_per_ton(share), MONENSIN_G_PER_TON
    if strength > high * (1 + 1e-6):
        says = (
            f"Monensin: {strength:.1f} g in a short ton of dry matter ({dose.amount:.0f} mg a head)"
            f"{look.most_from('monensin')}; {low:g} to {high:g} is the range, the label governs. It kills horses "
            f"{_cite('21CFR558.355')}."
        )
        yield Caution("monensin", says, True, look.carriers("monensin"))


def _minerals(look: _Look) -> Iterator[Caution]:
    """Minerals over published tolerable levels, by what the analysed feeds alone bring.

    A trace mineral is stopped at the strictest level in print, a macro mineral at the mildest: sound rations of
    forage lie between the two for magnesium and sulfur.
    """
    for key, total in look.sums.nutrients.items():
        share = total.share_of_all
        if share is None or not (over := over_tolerable(key, share)):
            continue
        one, every = nutrient(key), tolerable_levels(key)
        mildest = max(level.high for level in every)
        hard = key not in NEVER_HARD and (one.unit != "%" or share > mildest)
        levels = "; ".join(
            f"{level.low:g}{f' to {level.high:g}' if level.high > level.low else ''} {_cite(level.source)}"
            f"{f', {level.remark}' if level.remark else ''}{', from memory' if level.from_memory else ''}"
            for level in over
        )
        says = (
            f"{one.name}: {share:.{one.decimals}f} {one.unit} of dry matter{look.most_from(key)}; "
            f"highest tolerable {levels}."
        )
        yield Caution("mineral", says, hard, look.carriers(key))


def _toxins(look: _Look) -> Iterator[Caution]:
    for key in TOXINS:
        total = look.sums.nutrients.get(key)
        if total is None or total.share_of_all is None:
            continue
        least = total.share_of_all
        limits = toxin_limits(key, of="feed of dairy" if key == "aflatoxin" else "ration")
        over = [limit for limit in limits if least > limit.low]
        if over:
            levels = "; ".join(f"{limit.low:g} {_cite(limit.source)}" for limit in over)
            one = nutrients()[key]
            share = f"{least:.{one.decimals}f} {one.unit} of dry matter"
            says = f"{one.name}: {share}{look.most_from(key)}; at most {levels}."
            yield Caution("toxin", says, True, look.carriers(key))
