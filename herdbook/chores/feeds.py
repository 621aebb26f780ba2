"""Feeds and what they cost."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from herdbook.book.tables import Feed, FeedCard, FeedPrice
from herdbook.chores.asking import Count, Name, Word, Words
from herdbook.chores.doing import NUTRITIONIST, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.measures import PricePerWeight, ask_per_head
from herdbook.chores.moments import Day

KINDS = ("forage", "wet by-product", "grain", "protein", "fat", "mineral", "premix", "liquid", "water")


class FeedDraft(ChoreDraft):
    """Something that is fed."""

    name: Annotated[str, Words(label="name", help="as the mixer calls it", least=1, longest=60)]
    kind: Annotated[str, Word(label="kind", help="what sort of feed", words=KINDS)]
    most: Annotated[int | None, ask_per_head("most", help="the most one head may get in a day, as fed")] = (
        None
    )
    caution: Annotated[
        str, Words(label="caution", help="what must be read before it is fed", longest=500)
    ] = ""
    place: Annotated[str, Words(label="place", help="where it stands: a silo, a bay, a bin", longest=60)] = ""
    price: Annotated[int | None, PricePerWeight(label="price", help="what it costs as fed, from today")] = (
        None
    )
    order_days: Annotated[
        int | None,
        Count(
            label="order days",
            help="days it takes to come in; fewer left says order; the farm's own if not given",
            noun="days",
            least=1,
            most=365,
        ),
    ] = None


@chore("feed", "a feed", FeedDraft, roles=[NUTRITIONIST])
def add_feed(doing: Doing, draft: FeedDraft) -> str:
    """Write a feed."""
    doing.free_name("feed", draft.name)
    feed = doing.identity(Feed, "feed_card")
    doing.add(
        FeedCard(
            feed=feed,
            name=draft.name,
            kind=draft.kind,
            most_mg=draft.most,
            caution=draft.caution,
            place=draft.place or None,
            order_days=draft.order_days,
        )
    )
    if draft.price is not None:
        today = doing.ground.clock.farm_day(doing.ground.now_s).isoformat()
        doing.add(FeedPrice(feed=feed, from_day=today, cents_per_t=draft.price))
    stands = f", stands in {draft.place}" if draft.place else ""
    return f"Feed {draft.name}, {draft.kind}{stands}."


class PriceDraft(ChoreDraft):
    """What a feed costs."""

    feed: Annotated[int, Name(label="feed", help="which feed", thing="feed")]
    price: Annotated[int, PricePerWeight(label="price", help="what it costs as fed")]
    since: Annotated[
        date | None, Day(label="since", help="from which day; today if not given", ahead_days=60)
    ] = None


@chore("price", "the price of a feed", PriceDraft, roles=[NUTRITIONIST])
def set_price(doing: Doing, draft: PriceDraft) -> str:
    """Write the price of a feed from a day on."""
    since = draft.since or doing.ground.clock.farm_day(doing.ground.now_s)
    doing.add(FeedPrice(feed=draft.feed, from_day=since.isoformat(), cents_per_t=draft.price))
    ask = PriceDraft.asks()["price"]
    name = doing.ground.name_of("feed", draft.feed)
    return f"{name}: {ask.shown(draft.price, doing.ground)} from {since.isoformat()}."
