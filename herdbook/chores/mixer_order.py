"""How a farm loads and shares out: a mixer's own order of feeds, and the share of each feeding of a pen's day."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from herdbook.book.tables import MixerFeed, PenFeedingShare
from herdbook.chores.asking import Count, Name
from herdbook.chores.choosing import only_one
from herdbook.chores.doing import HAND, NUTRITIONIST, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.measures import ask_share
from herdbook.chores.moments import Day
from herdbook.chores.repeated import Pair, Several
from herdbook.errors import Refused

AHEAD_DAYS = 120
MILLION = 1_000_000
ROUNDED_PPM = 1_000
"""Shares typed in per cent may miss the whole by this much: three times 33.3 % is meant as all of it."""


class MixerOrderDraft(ChoreDraft):
    """In which order a mixer is loaded, whatever order the ration has."""

    feed: Annotated[
        list[int],
        Several(
            label="feed",
            help="the feeds in the order they go in, repeated",
            each=Name(label="feed", thing="feed"),
            least=1,
        ),
    ]
    mixer: Annotated[
        int | None, Name(label="mixer", help="which mixer; needed where there are several", thing="mixer")
    ] = None
    since: Annotated[
        date | None, Day(label="since", help="from which day; today if not given", ahead_days=AHEAD_DAYS)
    ] = None


@chore("mixer-order", "a mixer's own loading order", MixerOrderDraft, roles=[NUTRITIONIST, HAND])
def set_mixer_order(doing: Doing, draft: MixerOrderDraft) -> str:
    """Write a mixer's order; it replaces the earlier one from that day on."""
    mixer = only_one(doing, "mixer", draft.mixer)
    twice = next((feed for feed in draft.feed if draft.feed.count(feed) > 1), None)
    if twice is not None:
        raise Refused(
            f"feed: {doing.ground.name_of('feed', twice)} stands in the order twice.",
            remedy="Give each feed once.",
            field="feed",
        )
    since = draft.since or doing.ground.clock.farm_day(doing.ground.now_s)
    for place, feed in enumerate(draft.feed, start=1):
        doing.add(MixerFeed(mixer=mixer, from_day=since.isoformat(), place=place, feed=feed))
    names = ", ".join(doing.ground.name_of("feed", feed) for feed in draft.feed)
    return (
        f"{doing.ground.name_of('mixer', mixer)} is loaded in this order from {since.isoformat()}: {names}."
    )


class FeedingSharesDraft(ChoreDraft):
    """How much of a pen's day each of its feedings is."""

    pen: Annotated[int, Name(label="pen", help="which pen", thing="pen")]
    share: Annotated[
        list[tuple[int, int, str]],
        Several(
            label="share",
            help="feeding=share of the day, repeated for each feeding",
            each=Pair(
                label="share",
                first=Count(label="feeding", least=1, most=12),
                second=ask_share("share", least_ppm=0),
            ),
            least=1,
            most=12,
        ),
    ]
    since: Annotated[
        date | None, Day(label="since", help="from which day; today if not given", ahead_days=AHEAD_DAYS)
    ] = None


@chore("feeding-shares", "the shares of a pen's feedings", FeedingSharesDraft, roles=[NUTRITIONIST])
def set_feeding_shares(doing: Doing, draft: FeedingSharesDraft) -> str:
    """Write the shares of a pen's feedings; together they are the whole day."""
    feedings = sorted(feeding for feeding, _, _ in draft.share)
    if feedings != list(range(1, len(feedings) + 1)):
        raise Refused(
            "share: the feedings are not 1, 2, 3 and so on, each once.",
            remedy="Give every feeding of the day one share.",
            field="share",
        )
    whole = sum(share for _, share, _ in draft.share)
    if abs(whole - MILLION) > ROUNDED_PPM:
        raise Refused(
            f"share: together that is {whole / 10_000:g} %.",
            remedy="The feedings of a day make 100 %.",
            field="share",
        )
    since = draft.since or doing.ground.clock.farm_day(doing.ground.now_s)
    for feeding, share, _ in sorted(draft.share):
        doing.add(
            PenFeedingShare(pen=draft.pen, from_day=since.isoformat(), feeding=feeding, share_ppm=share)
        )
    shares = ", ".join(f"{feeding}: {share / 10_000:g} %" for feeding, share, _ in sorted(draft.share))
    return f"{doing.ground.name_of('pen', draft.pen)}, shares of the feedings from {since.isoformat()}: {shares}."
