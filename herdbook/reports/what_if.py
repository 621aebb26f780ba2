"""A ration to try things on: change an amount and every figure moves at once, with nothing written in the book.

It is made once from the book and needs it no more. What it became can be handed to the `ration` chore as typed texts.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.rations import Version
from herdbook.chores.ground import Ground
from herdbook.chores.measures import ask_per_head, is_dm
from herdbook.errors import ChoreRefused, Refused
from herdbook.reports.parts_of import FeedFacts
from herdbook.reports.ration import end_of_day, judged_against, sheet_of
from herdbook.reports.tried import (
    AS_FED,
    DRY,
    NO_BOUNDS,
    Basis,
    Bounds,
    Change,
    Item,
    TriedFeed,
    TriedFigure,
    TriedRow,
)
from herdbook.science.figures import RationFigure, amount_of, figure_value, ration_figures
from herdbook.science.ration import Part, Totals, totals

MILLION = 1_000_000
NOTHING = re.compile(r"0+([.,]0*)? *[a-z]{0,3}( *dm)?")
MOST_MG = 150_000_000
"""No head eats or drinks more of a feed in a day: the same bound as the ration chore's."""


class WhatIf:
    """A ration that can be changed, and what every change does.

    Args:
        name: the ration's name.
        feeds: every feed that may be in it, by number.
        items: the version in use, in loading order.
        targets: low, aim and high by figure.
        ground: the farm's units, for reading and writing amounts.
    """

    def __init__(
        self,
        name: str,
        feeds: Mapping[int, TriedFeed],
        items: Sequence[Item],
        targets: Mapping[str, Bounds],
        ground: Ground,
    ) -> None:
        self.name, self.feeds, self.targets = name, feeds, targets
        self._ground = ground
        self._amount = ask_per_head("amount")
        self.in_use = {item.feed: item for item in items}
        self._items = dict(self.in_use)
        self._in_use_totals = self._totals_of(self.in_use)
        self._totals: Totals | None = self._in_use_totals
        known = ration_figures()
        self._targeted = [key for key in known if key in targets] + [key for key in targets if amount_of(key)]
        self._untargeted = [key for key in known if key not in targets]

    @classmethod
    def of(
        cls,
        connection: Any,
        ground: Ground,
        ration: int,
        *,
        on: date | None = None,
        version: Version | None = None,
    ) -> WhatIf:
        """The version of a ration in force on a day, with every feed in the book at hand.

        Args:
            connection: the book; not needed any more afterwards.
            ground: the farm's units, clock and names.
            ration: the ration.
            on: at the dry matter, analyses and prices of that day; today if not given.
            version: another version to start from.

        Raises:
            ChoreRefused: the ration has no version in force on that day.
        """
        day = on or ground.clock.farm_day(ground.now_s)
        name = ground.name_of("ration", ration)
        version = version or read_rations.version_in_force(connection, ration, day.isoformat())
        if version is None:
            raise ChoreRefused(
                f"Ration {name} has no version in force on {day.isoformat()}.", remedy="Choose a later day."
            )
        facts = FeedFacts(connection, ground, day.isoformat(), end_of_day(ground, day))
        feeds = {row.feed: _tried(facts, row.feed) for row in read_feeds.feeds(connection)}
        for item in version.items:
            feeds.setdefault(item["feed"], _tried(facts, item["feed"]))
        items = [Item(item["feed"], item["mg"], item["basis"]) for item in version.items]
        return cls(name, feeds, items, sheet_of(connection, ground, version, day).targets, ground)

    # what is asked of it

    @property
    def items(self) -> tuple[Item, ...]:
        """The ration as tried, in loading order; what was set to nothing is not there."""
        return tuple(item for item in self._items.values() if item.mg)

    @property
    def triples(self) -> list[tuple[int, int, str]]:
        """Feed, milligrams and basis of each item, as `chores.cautions.cautions_of_items` takes them."""
        return [(item.feed, item.mg, item.basis) for item in self.items]

    @property
    def is_changed(self) -> bool:
        """Whether anything differs from the version in use; locks do not count."""
        return bool(self.changes())

    def totals(self) -> Totals:
        """What the ration as tried carries, a head and day."""
        if self._totals is None:
            self._totals = self._totals_of(self._items)
        return self._totals

    def rows(self) -> list[TriedRow]:
        """Every feed of the ration as tried or in use, in loading order."""
        made = []
        for feed in dict.fromkeys([*self._items, *self.in_use]):
            item = self._items.get(feed) or replace(self.in_use[feed], mg=0)
            its, before = self.feeds[feed], self.in_use.get(feed)
            as_fed_kg = self._as_fed_kg(item)
            cents = None if its.cents_per_t is None else as_fed_kg / 1000 * its.cents_per_t
            made.append(
                TriedRow(
                    feed, its.name, item.basis, item.mg, item.is_locked, as_fed_kg, as_fed_kg * self._dry(feed),
                    None if before is None else self._as_fed_kg(before),
                    None if before is None else self._as_fed_kg(before) * self._dry(feed), cents,
                )
            )  # fmt: skip
        return made

    def figures(self) -> list[TriedFigure]:
        """Figures with a target first, then all others that have a value as tried or in use."""
        known, now = ration_figures(), self.totals()
        made = [self._figure(known[key], now) for key in self._targeted]
        others = [self._figure(known[key], now) for key in self._untargeted]
        return made + [one for one in others if one.value is not None or one.in_use is not None]

    def cost_cents(self) -> tuple[float, float, tuple[str, ...]]:
        """Cost a head and day as tried and in use, in cents, and the feeds without a price, which are not counted."""
        tried, unpriced = self._cost(self._items)
        in_use, _ = self._cost(self.in_use)
        return tried, in_use, unpriced

    def changes(self) -> list[Change]:
        """What was changed, in loading order; the same weight on another basis is a change too."""
        found = []
        for feed in dict.fromkeys([*self.in_use, *self._items]):
            before, after = self.in_use.get(feed), self._items.get(feed)
            after = after if after is not None and after.mg else None
            same = before and after and (before.mg, before.basis) == (after.mg, after.basis)
            if not same and (before or after):
                found.append(Change(feed, self.feeds[feed].name, before, after))
        return found

    def cautions(self) -> list[str]:
        """The feeds' own maxima that it passes first, then each feed's own caution.

        The chore looks for more before it writes: minerals, urea, drugs and slips of the decimal point, by the book.
        """
        over, own = [], []
        for item in self.items:
            its = self.feeds[item.feed]
            as_fed_mg = self._as_fed_kg(item) * MILLION
            if its.most_mg is not None and as_fed_mg > its.most_mg:
                units = self._ground.units
                over.append(
                    f"{its.name}: {units.mass(as_fed_mg / 1000, 2)} a head is over its own maximum of "
                    f"{units.mass(its.most_mg / 1000, 2)}. {its.caution}".strip()
                )
            elif its.caution:
                own.append(f"{its.name}: {its.caution}")
        return over + own

    def texts(self) -> dict[str, Any]:
        """The ration as tried, as texts of the `ration` chore: they give back the very same amounts when understood."""
        items = []
        for item in self.items:
            amount = self._amount.typed_again(item.mg, self._ground)
            items.append(f"{self.feeds[item.feed].name}={amount}{' dm' if item.basis == DRY else ''}")
        return {"name": self.name, "item": items}

    # what is done to it

    def change(self, feed: int, mg: int, basis: Basis | None = None) -> None:
        """Give a feed another amount a head and day; nothing takes it out, a new feed comes last.

        Args:
            feed: which feed.
            mg: milligrams.
            basis: as fed or dry matter; as it was if not given.

        Raises:
            Refused: the feed is held fast, not in the book, has no dry matter, or the amount cannot be.
        """
        its = self._changeable(feed)
        if not 0 <= mg <= MOST_MG:
            most = self._amount.shown(MOST_MG, self._ground)
            raise Refused(f"{its.name}: that cannot be.", remedy=f"It lies from 0 to {most}.", field="amount")
        old = self._items.get(feed) or self.in_use.get(feed)
        self._items[feed] = Item(feed, mg, basis or (old.basis if old else AS_FED))
        self._totals = None

    def type_amount(self, feed: int, text: str) -> None:
        """Give a feed the amount that was typed: `17.3 lb dm` is dry matter, `17.3` is as fed; 0 takes it out.

        Raises:
            Refused: the text is no amount, or as for `change`.
        """
        self._changeable(feed)
        if NOTHING.fullmatch(text.strip().lower()):
            self.change(feed, 0)
            return
        self.change(feed, self._amount.understand(text, self._ground), DRY if is_dm(text) else AS_FED)

    def on_basis(self, feed: int, basis: Basis) -> None:
        """Hold the same weight of a feed on another basis: as dry matter it keeps its dry matter when that moves."""
        self._changeable(feed)
        item = self._items.get(feed)
        if item is None or item.basis == basis:
            return
        kg = self._as_fed_kg(item) * (self._dry(feed) if basis == DRY else 1.0)
        self._items[feed] = Item(feed, round(kg * MILLION), basis)
        self._totals = None

    def lock(self, feed: int, *, locked: bool = True) -> None:
        """Hold a feed's amount fast, or let it go again."""
        if feed in self._items:
            self._items[feed] = replace(self._items[feed], is_locked=locked)

    def scale_to(self, dry_kg: float) -> None:
        """Bring the whole to so much dry matter, by the feeds that are not held fast, all by the same factor.

        Raises:
            Refused: the feeds held fast alone are more, or nothing is left to scale.
        """
        fast = sum(self._dry_kg(item) for item in self.items if item.is_locked)
        loose = [item for item in self.items if not item.is_locked]
        free = sum(self._dry_kg(item) for item in loose)
        if free <= 0 or dry_kg < fast:
            raise Refused(
                "dry matter: what is held fast leaves no room for that.",
                remedy="Let a feed go.",
                field="dm_intake",
            )
        factor = (dry_kg - fast) / free
        for item in loose:
            self._items[item.feed] = replace(item, mg=min(round(item.mg * factor), MOST_MG))
        self._totals = None

    def put_back(self, feed: int | None = None) -> None:
        """Put one feed, or all of them, back to the version in use."""
        if feed is None:
            self._items = dict(self.in_use)
        elif feed in self.in_use:
            self._items[feed] = self.in_use[feed]
        else:
            self._items.pop(feed, None)
        self._totals = None

    # how it is worked out

    def _changeable(self, feed: int) -> TriedFeed:
        its = self.feeds.get(feed)
        if its is None:
            raise Refused("feed: that feed is not in the book.", remedy="Choose another.", field="feed")
        if its.dry_ppm is None:
            raise Refused(
                f"{its.name} has no dry matter yet.",
                remedy="Write its analysis or a dry-matter test.",
                field="feed",
            )
        item = self._items.get(feed)
        if item is not None and item.is_locked:
            raise Refused(f"{its.name} is held fast.", remedy="Let it go first.", field="feed")
        return its

    def _dry(self, feed: int) -> float:
        return (self.feeds[feed].dry_ppm or 0) / MILLION

    def _as_fed_kg(self, item: Item) -> float:
        ppm = self.feeds[item.feed].dry_ppm
        if item.basis == DRY and ppm:
            return item.mg / ppm
        return item.mg / MILLION

    def _dry_kg(self, item: Item) -> float:
        return self._as_fed_kg(item) * self._dry(item.feed)

    def parts(self) -> list[Part]:
        """What the ration as tried is made of, mixes taken apart."""
        return self._parts_of(self._items)

    def _totals_of(self, items: Mapping[int, Item]) -> Totals:
        return totals(self._parts_of(items))

    def _parts_of(self, items: Mapping[int, Item]) -> list[Part]:
        parts = []
        for item in items.values():
            if item.mg:
                kg = self._as_fed_kg(item)
                for leaf in self.feeds[item.feed].leaves:
                    parts.append(
                        Part(leaf.feed, leaf.kind, kg * leaf.as_fed_kg, leaf.dry_fraction, leaf.nutrients)
                    )
        return parts

    def _figure(self, of: RationFigure, now: Totals) -> TriedFigure:
        bounds = self.targets.get(of.key, NO_BOUNDS)
        found, before = figure_value(of.key, now), figure_value(of.key, self._in_use_totals)
        word, distance, word_before = "", 0.0, ""
        if bounds is not NO_BOUNDS:
            judged = judged_against(of, found.value, bounds)
            word, distance = judged.word, judged.distance
            word_before = judged_against(of, before.value, bounds).word
        return TriedFigure(
            of, found.value, before.value, *bounds, word, word_before, distance, found.unknown_share
        )

    def _cost(self, items: Mapping[int, Item]) -> tuple[float, tuple[str, ...]]:
        cents, unpriced = 0.0, []
        for item in items.values():
            its = self.feeds[item.feed]
            if not item.mg:
                continue
            if its.cents_per_t is None:
                unpriced.append(its.name)
            else:
                cents += self._as_fed_kg(item) / 1000 * its.cents_per_t
        return cents, tuple(unpriced)


def _tried(facts: FeedFacts, feed: int) -> TriedFeed:
    """What trying needs of a feed, from what the book knows of it."""
    dry, price = facts.dry(feed), facts.price(feed)
    ppm = dry.dry_ppm if dry else None
    return TriedFeed(
        feed,
        facts.name(feed),
        facts.kind(feed),
        ppm,
        facts.leaves(feed, 1.0, (ppm or 0) / MILLION),
        None if price is None else price[0],
        facts.most_mg(feed),
        facts.caution(feed),
    )
