"""Mixes: feeds that the farm makes of other feeds, and what they are made of from a day on."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from herdbook.book.reading import mixes as read_mixes
from herdbook.book.reading.mixes import Recipe
from herdbook.book.tables import FeedMix, MixPart
from herdbook.chores.asking import Name
from herdbook.chores.doing import NUTRITIONIST, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.measures import ask_share
from herdbook.chores.moments import Day
from herdbook.chores.repeated import Pair, Several
from herdbook.errors import Refused

MILLION = 1_000_000
OFF_BY_PPM = 1_000
"""Shares are typed to a tenth of a per cent: so much may they miss 100 % by."""
AHEAD_DAYS = 120


class MixDraft(ChoreDraft):
    """What a feed is mixed from, as shares of its weight as fed."""

    feed: Annotated[int, Name(label="feed", help="the feed that is mixed", thing="feed")]
    part: Annotated[
        list[tuple[int, int, str]],
        Several(
            label="part",
            help="feed=share in %, repeated; together 100 % as fed. A part may be a mix itself",
            each=Pair(label="part", first=Name(label="feed", thing="feed"), second=ask_share("share")),
            least=1,
        ),
    ]
    since: Annotated[
        date | None, Day(label="since", help="from which day; today if not given", ahead_days=AHEAD_DAYS)
    ] = None


@chore("mix", "what a mixed feed is made of", MixDraft, roles=[NUTRITIONIST])
def set_mix(doing: Doing, draft: MixDraft) -> str:
    """Write a recipe; the mix's analysis and dry matter follow from its parts unless it has a laboratory's own."""
    since = (draft.since or doing.ground.clock.farm_day(doing.ground.now_s)).isoformat()
    _see_parts(doing, draft)
    _see_no_circle(doing, draft, since)
    mix = doing.put(FeedMix(feed=draft.feed, from_day=since))
    for place, (feed, share, typed) in enumerate(draft.part, start=1):
        doing.add(MixPart(feed_mix=mix, place=place, feed=feed, share_ppm=share, typed=typed))
    units = doing.farm.units
    parts = ", ".join(
        f"{doing.ground.name_of('feed', feed)} {units.number(share / 10_000, 4).rstrip('0').rstrip(units.decimal)} %"
        for feed, share, _ in draft.part[:12]
    )
    more = f" and {len(draft.part) - 12} more" if len(draft.part) > 12 else ""
    return f"{doing.ground.name_of('feed', draft.feed)} is mixed from {parts}{more}, from {since}."


def _see_parts(doing: Doing, draft: MixDraft) -> None:
    """Refuse a feed that comes twice, one that is its own part, and shares that are not the whole."""
    seen: set[int] = set()
    for feed, _, _ in draft.part:
        name = doing.ground.name_of("feed", feed)
        if feed == draft.feed:
            raise Refused(
                f"part {name}: a mix cannot be its own part.",
                remedy="Choose another feed.",
                field="part",
            )
        if feed in seen:
            raise Refused(f"part {name}: given twice.", remedy="Give each feed once.", field="part")
        seen.add(feed)
    total = sum(share for _, share, _ in draft.part)
    if abs(total - MILLION) > OFF_BY_PPM:
        off = (total - MILLION) / 10_000
        raise Refused(
            f"part: the shares make {total / 10_000:.2f} %, {abs(off):.2f} too {'much' if off > 0 else 'little'}.",
            remedy="Together they must be 100 %, to a tenth.",
            field="part",
        )


def _see_no_circle(doing: Doing, draft: MixDraft, since: str) -> None:
    """Refuse a recipe by which, on any day from then on, a feed would be made of itself."""
    standing = {
        feed: [recipe for recipe in its if recipe.entry != doing.corrects]
        for feed, its in read_mixes.recipes(doing.book).items()
    }
    standing = {feed: its for feed, its in standing.items() if its}
    mine = Recipe(draft.feed, since, 0, tuple((feed, share) for feed, share, _ in draft.part))
    of_feed = [*standing.get(draft.feed, []), mine]
    standing[draft.feed] = sorted(of_feed, key=lambda recipe: recipe.from_day)
    days = {recipe.from_day for its in standing.values() for recipe in its} | {since}
    first_day = "" if not of_feed[:-1] else since  # a first recipe serves the days before it too
    for day in sorted(day for day in days if day >= first_day):
        on_day = {feed: read_mixes.in_force(its, day) for feed, its in standing.items()}
        way = read_mixes.circle(on_day, draft.feed)
        if way:
            names = " of ".join(doing.ground.name_of("feed", feed) for feed in way)
            raise Refused(
                f"part: {names}: a feed cannot be made of itself.",
                remedy="Leave out the part that leads back.",
                field="part",
            )
