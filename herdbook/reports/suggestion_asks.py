"""How the options of a suggestion are typed: feeds held or counted with, and the dry words that choose its aim."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from herdbook.chores.asking import Ask, Name
from herdbook.chores.ground import Ground
from herdbook.chores.measures import PerHead, ask_weight
from herdbook.chores.nutrient_asks import NutrientKey, NutrientValue
from herdbook.chores.repeated import Pair
from herdbook.errors import Refused
from herdbook.units import LONGEST_TYPED, MASS_MG

LEAST_COST, SMALLEST_CHANGE = "least-cost", "smallest-change"
AIMS = (LEAST_COST, SMALLEST_CHANGE)
AS_THE_REST, AS_NONE, REFUSE = "as the rest", "none", "refuse"
UNKNOWN = (AS_THE_REST, AS_NONE, REFUSE)

FEED = Name(label="feed", thing="feed")


def per_head(label: str) -> PerHead:
    """An amount a head and day in milligrams; nought is an amount here: the feed is to stay out."""
    return PerHead(
        label=label, kept=MASS_MG, unit=lambda u: u.load, least=0, most=150_000_000, decimals=2
    )  # fmt: skip


def feed_amount(label: str) -> Pair:
    """`FEED=amount a head and day`."""
    return Pair(label=label, first=FEED, second=per_head("amount"))


def feed_stock(label: str) -> Pair:
    """`FEED=weight in the store`."""
    return Pair(label=label, first=FEED, second=ask_weight("weight", least_g=0, most_g=10**10, bulk=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedHeld(Ask):
    """A feed to hold: at today's amount, or `FEED=amount`; kept as feed, milligrams or none, and the text."""

    @property
    def kind(self) -> str:
        return "feed, or feed=amount"

    def choices(self, ground: Ground) -> Sequence[str] | None:
        return FEED.choices(ground)

    def understand(self, text: str, ground: Ground) -> tuple[int, int | None, str]:
        if "=" in text:
            feed, mg, typed = feed_amount(self.label).understand(text, ground)
            return feed, mg, typed
        return FEED.understand(text, ground), None, ""

    def shown(self, value: tuple[int, int | None, str], ground: Ground) -> str:
        feed, mg, _ = value
        held = "held" if mg is None else f"held at {per_head('amount').shown(mg, ground)}"
        return f"{FEED.shown(feed, ground)} {held}"


@dataclass(frozen=True, slots=True, kw_only=True)
class CountedAs(Ask):
    """A figure to count with where a feed has none: `FEED=nutrient value`; kept as feed, nutrient and millionths."""

    @property
    def kind(self) -> str:
        return "feed=nutrient value"

    def choices(self, ground: Ground) -> Sequence[str] | None:
        return FEED.choices(ground)

    def understand(self, text: str, ground: Ground) -> tuple[int, str, int]:
        name, mark, figure = self.short(text, LONGEST_TYPED + 120).rpartition("=")
        words = figure.split(maxsplit=1)
        if not mark or len(words) != 2:
            raise Refused(
                f"{self.label}: {text!r} does not name a feed, a nutrient and a figure.",
                remedy="Type FEED=starch 0.",
                field=self.label,
            )
        feed = FEED.understand(name, ground)
        key: Any = NutrientKey(label=self.label).understand(words[0], ground)
        value = NutrientValue(label=self.label, key=key).understand(words[1], ground)
        if value is None:
            raise Refused(
                f"{self.label}: not determined is nothing to count with.",
                remedy="Give a number.",
                field=self.label,
            )
        return feed, key, value
