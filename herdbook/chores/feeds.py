"""Feeds, laboratory analyses, dry-matter tests and prices."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from herdbook.book.reading import feeds as read_feeds
from herdbook.book.tables import Analysis, AnalysisValue, DryTest, Feed, FeedCard, FeedPrice
from herdbook.chores.asking import Name, Word, Words
from herdbook.chores.doing import HAND, NUTRITIONIST, ChoreDraft, Doing, chore
from herdbook.chores.measures import PricePerWeight, ask_per_head, ask_share
from herdbook.chores.moments import Day, Moment
from herdbook.chores.nutrient_asks import MILLION, NutrientKey, NutrientValue
from herdbook.chores.repeated import Pair, Several
from herdbook.errors import Refused
from herdbook.science.nutrients import nutrient

KINDS = ("forage", "wet by-product", "grain", "protein", "fat", "mineral", "premix", "liquid", "water")
AS_RECEIVED, ON_DRY = "as received", "dry matter"


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
    price: Annotated[int | None, PricePerWeight(label="price", help="what it costs as fed, from today")] = (
        None
    )


@chore("feed", "a feed", FeedDraft, roles=[NUTRITIONIST])
def add_feed(doing: Doing, draft: FeedDraft) -> str:
    """Write a feed."""
    doing.free_name("feed", draft.name)
    feed = doing.identity(Feed, "feed_card")
    doing.add(
        FeedCard(feed=feed, name=draft.name, kind=draft.kind, most_mg=draft.most, caution=draft.caution)
    )
    if draft.price is not None:
        today = doing.ground.clock.farm_day(doing.ground.now_s).isoformat()
        doing.add(FeedPrice(feed=feed, from_day=today, cents_per_t=draft.price))
    return f"Feed {draft.name}, {draft.kind}."


class AnalysisDraft(ChoreDraft):
    """What a laboratory found in a sample of a feed."""

    feed: Annotated[int, Name(label="feed", help="which feed was sampled", thing="feed")]
    dry: Annotated[int, ask_share("dry matter", help="dry matter of the sample")]
    sampled: Annotated[
        date | None, Day(label="sampled", help="day the sample was taken; today if not given")
    ] = None
    basis: Annotated[
        str,
        Word(
            label="basis",
            help="whether the figures are on dry matter or as received",
            words=(ON_DRY, AS_RECEIVED),
        ),
    ] = ON_DRY
    value: Annotated[
        list[tuple[str, int | None, str]],
        Several(
            label="value",
            help="nutrient=figure, repeated; `nd` where it was not determined",
            each=Pair(
                label="value", first=NutrientKey(label="nutrient"), second=NutrientValue(label="figure")
            ),
            most=100,
        ),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    laboratory: Annotated[str, Words(label="laboratory", help="who analysed it", longest=60)] = ""
    number: Annotated[str, Words(label="number", help="the report's number", longest=60)] = ""
    method: Annotated[str, Words(label="method", help="near-infrared or wet chemistry", longest=30)] = ""


@chore("analysis", "a feed analysis", AnalysisDraft, roles=[NUTRITIONIST])
def record_analysis(doing: Doing, draft: AnalysisDraft) -> str:
    """Write an analysis; figures as received are turned to dry matter where water dilutes them, others kept.

    Crude protein may pass 100 % (urea counts as far more than its own weight); other shares of dry matter may not.
    """
    sampled = draft.sampled or doing.ground.clock.farm_day(doing.ground.now_s)
    analysis = doing.put(
        Analysis(
            feed=draft.feed,
            sampled_on=sampled.isoformat(),
            dry_ppm=draft.dry,
            basis=draft.basis,
            laboratory=draft.laboratory,
            number=draft.number,
        )
    )
    seen: set[str] = set()
    for key, typed_value, typed in draft.value:
        if key in seen:
            raise Refused(f"value {key}: given twice.", remedy="Give each nutrient once.", field="value")
        seen.add(key)
        kept = typed_value if typed_value is None else _on_dry_matter(key, typed_value, draft)
        doing.add(
            AnalysisValue(analysis=analysis, nutrient=key, millionths=kept, typed=typed, method=draft.method)
        )
    name = doing.ground.name_of("feed", draft.feed)
    return f"{name}: analysis of {sampled.isoformat()}, {draft.dry / 10_000:.1f} % dry matter, {len(seen)} figures."


def _on_dry_matter(key: str, millionths: int, draft: AnalysisDraft) -> int:
    one = nutrient(key)
    kept = millionths
    if draft.basis == AS_RECEIVED:
        kept = round(one.to_dry_basis(float(millionths), dry_fraction=draft.dry / MILLION))
    if one.unit == "%" and kept > 100 * MILLION and key not in ("cp", "npn_cp", "rdp"):
        raise Refused(
            f"value {one.label}: {kept / MILLION:g} % of dry matter cannot be.",
            remedy="Check the figure and the basis.",
            field="value",
        )
    return kept


class DryTestDraft(ChoreDraft):
    """A dry-matter test on the farm."""

    feed: Annotated[int, Name(label="feed", help="which feed", thing="feed")]
    dry: Annotated[int, ask_share("dry matter", help="share of dry matter found")]
    tested: Annotated[int | None, Moment(label="tested", help="when; now if not given")] = None
    method: Annotated[str, Words(label="method", help="oven, microwave, tester", longest=60)] = ""


@chore("dry-matter", "a dry-matter test", DryTestDraft, roles=[HAND, NUTRITIONIST])
def test_dry_matter(doing: Doing, draft: DryTestDraft) -> str:
    """Write a dry-matter test; it governs loads from then on."""
    tested_at = draft.tested or doing.ground.now_s
    day = doing.ground.clock.farm_day(tested_at)
    before = read_feeds.dry_matter_at(doing.book, draft.feed, tested_at, day.isoformat())
    doing.add(DryTest(feed=draft.feed, tested_at=tested_at, dry_ppm=draft.dry, method=draft.method))
    doing.farm_day = day
    was = f", was {before.dry_ppm / 10_000:.1f} % ({before.since})" if before else ""
    return f"{doing.ground.name_of('feed', draft.feed)}: dry matter {draft.dry / 10_000:.1f} %{was}."


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
    price = ask.shown(draft.price, doing.ground)
    return f"{doing.ground.name_of('feed', draft.feed)}: {price} from {since.isoformat()}."
