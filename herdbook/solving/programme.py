"""A feed problem as the nutritionist states it: feeds with prices, stocks and bounds, and limits on figures."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from herdbook.errors import Refused
from herdbook.science.figures import amount_of, ration_figures
from herdbook.science.nutrients import nutrients

Basis = Literal["as fed", "dry matter"]
Counted = Literal["figure", "amount", "ratio"]
Side = Literal["low", "high"]
Undetermined = Literal["refuse", "leave out"]

NO_AMOUNT = ("dm_share", "ca_to_p")
TARGET = tuple[float | None, float | None, float | None]


@dataclass(frozen=True, slots=True)
class Feed:
    """One feed that may go into the ration.

    Attributes:
        name: its name, told apart from every other.
        kind: what sort of feed; "forage" counts as forage, "mineral" and "premix" are watched for ceilings.
        dry_fraction: dry matter as a fraction of as fed; 0 is water.
        nutrients: figures on dry matter by nutrient key; an absent key was not determined, which is not zero.
        price_cents_per_kg: price of a kilogram as fed; None when not known.
        least_kg, most_kg: bounds on the amount a head a day, in kg on `basis`; None is no bound of its own.
        basis: what the bounds are counted in.
        stock_kg: as fed in the store for this problem's heads and days; None when it does not run out.
        present_kg: as fed a head a day in today's ration.
        counted_as: figures to count with where none was determined, as the nutritionist said; told with the
            answer every time.
    """

    name: str
    kind: str
    dry_fraction: float
    nutrients: Mapping[str, float]
    price_cents_per_kg: float | None = None
    least_kg: float = 0.0
    most_kg: float | None = None
    basis: Basis = "as fed"
    stock_kg: float | None = None
    present_kg: float = 0.0
    counted_as: Mapping[str, float] = field(default_factory=dict)

    def fixed(self, kg: float, basis: Basis = "as fed") -> Feed:
        """The same feed held at one amount a head a day, in kg on the basis."""
        return replace(self, least_kg=kg, most_kg=kg, basis=basis)

    def as_fed(self, kg: float) -> float:
        """An amount on this feed's basis, in kg as fed."""
        return kg if self.basis == "as fed" else kg / self.dry_fraction


@dataclass(frozen=True, slots=True)
class Limit:
    """One line the ration must keep to.

    Attributes:
        figure: key of a ration figure or nutrient.
        low, high: the bounds; either may be open.
        counted: "figure" in the figure's own unit (share of dry matter, energy per kg, kg of dry matter);
            "amount" a head a day, in the nutrient's amount unit (kg for percentages); "ratio" of the amounts
            of two nutrients.
        to: the nutrient below the line of a ratio.
    """

    figure: str
    low: float | None = None
    high: float | None = None
    counted: Counted = "figure"
    to: str = ""

    def bound(self, side: Side) -> float | None:
        """The low or the high bound."""
        return self.low if side == "low" else self.high


@dataclass(frozen=True, slots=True)
class Programme:
    """Feeds and limits of one ration, a head a day.

    Attributes:
        feeds: every feed on offer, today's and others.
        limits: what the ration must keep to.
        heads, days: what a stock has to last for; needed when a feed has a stock.
        undetermined: what to do with a feed that lacks an analysis some limit counts with: "refuse" the
            problem, or "leave out" the feed and say so. It is never counted as zero.
    """

    feeds: tuple[Feed, ...]
    limits: tuple[Limit, ...]
    heads: float | None = None
    days: float | None = None
    undetermined: Undetermined = "refuse"

    def check(self) -> None:
        """Go through everything typed.

        Raises:
            Refused: naming the feed or limit that cannot be used, and why.
        """
        if not self.feeds:
            raise Refused("There is no feed to make a ration of.", remedy="Name one or more.", field="feeds")
        seen: set[str] = set()
        for feed in self.feeds:
            if feed.name in seen:
                raise Refused(f"{feed.name} is listed twice.", remedy="List a feed once.", field=feed.name)
            seen.add(feed.name)
            check_feed(feed)
        for limit in self.limits:
            check_limit(limit)
        if any(feed.stock_kg is not None for feed in self.feeds):
            for name, value in (("heads", self.heads), ("days", self.days)):
                if value is None or not 0 < value < math.inf:
                    raise Refused(f"A stock needs the number of {name} it is to last for.", field=name)

    def most_as_fed(self, feed: Feed) -> tuple[float, float]:
        """A feed's own most and what the store gives, each in kg as fed a head a day; infinite when open."""
        own = math.inf if feed.most_kg is None else feed.as_fed(feed.most_kg)
        if feed.stock_kg is None or self.heads is None or self.days is None:
            return own, math.inf
        return own, feed.stock_kg / (self.heads * self.days)


def limits_of(targets: Mapping[str, TARGET]) -> tuple[Limit, ...]:
    """A ration's targets as limits, one to one; an aim alone bounds nothing and is left out.

    Args:
        targets: low, aim and high by figure, in the figure's unit.
    """
    return tuple(
        Limit(figure, low, high)
        for figure, (low, _, high) in targets.items()
        if low is not None or high is not None
    )


def check_feed(feed: Feed) -> None:
    """Refuse a feed whose numbers cannot be, naming it.

    Raises:
        Refused: a weight, price, figure or dry fraction that cannot be used.
    """
    numbers: Iterable[float | None] = (feed.least_kg, feed.most_kg, feed.stock_kg, feed.present_kg)
    if any(not 0 <= value < math.inf for value in numbers if value is not None):
        raise Refused(f"A weight of {feed.name} is below zero or no number.", field=feed.name)
    if not 0 <= feed.dry_fraction <= 1:
        raise Refused(
            f"{feed.name} cannot have a dry-matter fraction of {feed.dry_fraction:g}.",
            remedy="It goes from 0 to 1.",
            field=feed.name,
        )
    if feed.price_cents_per_kg is not None and not math.isfinite(feed.price_cents_per_kg):
        raise Refused(f"The price of {feed.name} is no number.", field=feed.name)
    if feed.basis == "dry matter" and not feed.dry_fraction:
        raise Refused(f"{feed.name} has no dry matter to bound.", remedy="Bound it as fed.", field=feed.name)
    figures = (*feed.nutrients.values(), *feed.counted_as.values())
    if not all(map(math.isfinite, figures)):
        raise Refused(f"A figure of {feed.name} is no number.", field=feed.name)


def check_limit(limit: Limit) -> None:
    """Refuse a limit that bounds nothing or that no figure answers to.

    Raises:
        Refused: an unknown figure, bounds the wrong way round, or a way of counting the figure has not.
    """
    name, listed = limit.figure, nutrients()
    if name not in ration_figures():
        raise Refused(f"There is no figure called {name!r} to limit.", field=name)
    if amount_of(name):
        raise Refused(
            f"{name} is an amount.", remedy=f"Limit {amount_of(name)}, counted as an amount.", field=name
        )
    bounds = [value for value in (limit.low, limit.high) if value is not None]
    if not all(map(math.isfinite, bounds)):
        raise Refused(f"A limit of {name} is no number.", field=name)
    if len(bounds) == 2 and bounds[0] > bounds[1]:
        raise Refused(
            f"The low limit of {name} ({bounds[0]:g}) lies above its high limit ({bounds[1]:g}).",
            remedy="Swap them or open one.",
            field=name,
        )
    if limit.counted == "amount" and name in NO_AMOUNT:
        raise Refused(f"{name} has no amount.", remedy="Limit the figure itself.", field=name)
    if limit.counted == "ratio" and not {name, limit.to} <= set(listed):
        raise Refused(f"A ratio needs two nutrients, not {name!r} to {limit.to!r}.", field=name)
