"""What a solved feed problem says: amounts, what holds them there, and what that costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

from herdbook.solving.programme import Limit, Side

At = Literal["", "none", "least", "most", "stock", "fixed", "left out"]


class FeedAnswer(NamedTuple):
    """One feed of a least-cost answer, a head a day.

    Attributes:
        feed: its name.
        as_fed_kg, dry_kg: how much.
        change_kg: as fed, against today's ration.
        cost_cents: what that much costs.
        at: the bound it sits at: "none" (not used), "least", "most", "stock", "fixed", "left out"; empty when
            it lies between its bounds.
        adds_cents: what one more kilogram as fed would add to the cost of the whole ration: above zero for a
            feed not used or at its least, below zero (a saving) at its most or at the end of its stock, 0
            between. A kilogram more in the store saves as much over the whole plan.
        comes_in_below_cents: price of a kilogram as fed under which an unused feed comes in; None when used.
        stands_from_cents, stands_to_cents: prices of a kilogram as fed between which all amounts stay as they
            are, this price alone changed; None where open. Where more bounds meet than are needed to hold the
            answer, it may stand somewhat further.
    """

    feed: str
    as_fed_kg: float
    dry_kg: float
    change_kg: float
    cost_cents: float
    at: At
    adds_cents: float
    comes_in_below_cents: float | None
    stands_from_cents: float | None
    stands_to_cents: float | None


class LimitAnswer(NamedTuple):
    """One limit of the problem and how the answer stands to it.

    Attributes:
        limit: as stated.
        value: the figure in the answer, in the limit's unit; None when there is nothing to divide by.
        unit: unit of the value, the bounds and the worth's denominator.
        side: the bound the answer sits at; empty when it lies between.
        worth: what easing that bound by one unit saves, at the rate that holds right here (cents a head a
            day for least cost, whole changes for smallest change): a low bound is eased by lowering it, a high
            one by raising it. Never below zero; 0 when the limit does not bind.
        words: the bound it sits at, else the limit's name, in words.
    """

    limit: Limit
    value: float | None
    unit: str
    side: Side | Literal[""]
    worth: float
    words: str


@dataclass(frozen=True, slots=True)
class Answer:
    """The cheapest ration that keeps to every limit, a head a day.

    Attributes:
        cost_cents: what it costs.
        present_cents: what today's ration costs; None when a feed in it has no price, or there is none.
        feeds, limits: one for each, in the order of the problem.
        left_out: feeds left out for want of an analysis, with the nutrients they lack.
        cautions: sentences to read beside it.
    """

    cost_cents: float
    present_cents: float | None
    feeds: tuple[FeedAnswer, ...]
    limits: tuple[LimitAnswer, ...]
    left_out: dict[str, tuple[str, ...]]
    cautions: tuple[str, ...]

    @property
    def binding(self) -> tuple[LimitAnswer, ...]:
        """The limits the answer sits at, those worth most first."""
        return tuple(sorted((one for one in self.limits if one.side), key=lambda one: -one.worth))

    @property
    def saves_cents(self) -> float | None:
        """What it saves against today's ration; below zero when it costs more."""
        return None if self.present_cents is None else self.present_cents - self.cost_cents


class ChangedFeed(NamedTuple):
    """One feed before and after, a head a day.

    Attributes:
        feed: its name.
        before_kg, as_fed_kg, dry_kg: today's amount as fed, and the new one as fed and as dry matter.
        change: the change as a part of today's amount, or of the weight a new feed is measured by.
    """

    feed: str
    before_kg: float
    as_fed_kg: float
    dry_kg: float
    change: float


@dataclass(frozen=True, slots=True)
class ChangeAnswer:
    """The ration nearest to today's that keeps to every limit, a head a day.

    Attributes:
        change: sum of the feeds' relative changes; 0 when today's ration keeps to all.
        cost_cents, present_cents: after and before; None when a feed in it has no price.
        feeds, limits: one for each, in the order of the problem.
        left_out: feeds left out for want of an analysis, with the nutrients they lack.
        cautions: sentences to read beside it.
    """

    change: float
    cost_cents: float | None
    present_cents: float | None
    feeds: tuple[ChangedFeed, ...]
    limits: tuple[LimitAnswer, ...]
    left_out: dict[str, tuple[str, ...]]
    cautions: tuple[str, ...]


class Member(NamedTuple):
    """One bound that takes part in a quarrel.

    Attributes:
        of: "limit" or "feed".
        at: its place among the problem's limits or feeds.
        side: "low" or "high" of a limit; "least", "most" or "stock" of a feed.
    """

    of: Literal["limit", "feed"]
    at: int
    side: Literal["low", "high", "least", "most", "stock"]


@dataclass(frozen=True, slots=True)
class Quarrel:
    """Bounds that cannot all hold; leave out any one, and the others of the list can.

    Attributes:
        members: the bounds.
        words: the same, one in words for each.
        left_out: feeds left out for want of an analysis, with the nutrients they lack: they may be the reason.
    """

    members: tuple[Member, ...]
    words: tuple[str, ...]
    left_out: dict[str, tuple[str, ...]]

    def __str__(self) -> str:
        if len(self.words) == 1:
            return f"This cannot hold: {self.words[0]}."
        return f"These cannot all hold: {'; '.join(self.words)}. Leave out any one and the others can."


class Miss(NamedTuple):
    """A limit that the nearest ration does not keep.

    Attributes:
        limit: as stated.
        side: the bound missed.
        value: the figure in the nearest ration, in the limit's unit; None when there is nothing to divide by.
        missed_by: how far beyond the bound, in the limit's unit.
        unit: that unit.
        words: the bound in words.
    """

    limit: Limit
    side: Side
    value: float | None
    missed_by: float
    unit: str
    words: str


@dataclass(frozen=True, slots=True)
class Nearest:
    """The ration that misses its limits by least, a head a day.

    Attributes:
        as_fed_kg, dry_kg: amounts by feed.
        missed: sum of the misses, each as a part of its bound, at the weights of `solving.nearest`.
        misses: the limits missed, worst first.
        cut: feeds whose least amount is more than their most or their stock, and was cut to that.
        cost_cents: what it costs; None when a feed in it has no price.
        left_out: feeds left out for want of an analysis, with the nutrients they lack.
    """

    as_fed_kg: dict[str, float]
    dry_kg: dict[str, float]
    missed: float
    misses: tuple[Miss, ...]
    cut: tuple[str, ...]
    cost_cents: float | None
    left_out: dict[str, tuple[str, ...]]
