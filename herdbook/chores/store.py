"""The feed store: what comes in, what is counted, and which face, bag or lot was opened."""

from __future__ import annotations

from typing import Annotated

from herdbook.book.reading import feeds as read_feeds
from herdbook.book.tables import FeedDelivery, FeedPrice, NewFace, StockCount
from herdbook.chores.asking import Name, Words, YesNo
from herdbook.chores.doing import HAND, NUTRITIONIST, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.in_store import in_store
from herdbook.chores.measures import Measure, PricePerWeight
from herdbook.chores.moments import Moment
from herdbook.errors import Refused
from herdbook.units import MASS_G

STORE_G = 10_000_000_000
"""10,000 t: more than any one store of a farm holds."""


def _ask_bulk(label: str, *, least_g: int = 1, help: str) -> Measure:
    """A weight of stored feed, shown to a tenth of the farm's bulk unit."""
    return Measure(
        label=label,
        help=help,
        kept=MASS_G,
        unit=lambda u: u.bulk,
        least=least_g,
        most=STORE_G,
        decimals=2,
    )


class DeliveryDraft(ChoreDraft):
    """Feed that came in: bought, brought in from the field, or mixed for the store."""

    feed: Annotated[int, Name(label="feed", help="which feed", thing="feed")]
    weight: Annotated[int, _ask_bulk("weight", help="what came in, as fed")]
    price: Annotated[
        int | None,
        PricePerWeight(
            label="price", help="what it cost as fed; with `reprice` the feed's price from then on"
        ),
    ] = None
    reprice: Annotated[
        bool, YesNo(label="reprice", help="yes: what was paid is the feed's price from that day on")
    ] = False
    lot: Annotated[str, Words(label="lot", help="lot, cutting or ticket", longest=60)] = ""
    supplier: Annotated[
        str, Words(label="supplier", help="who brought it; a mix without one was made here", longest=60)
    ] = ""
    came: Annotated[int | None, Moment(label="came", help="when; now if not given")] = None


@chore("delivery", "feed that came in", DeliveryDraft, roles=[HAND, NUTRITIONIST])
def take_in(doing: Doing, draft: DeliveryDraft) -> str:
    """Write feed that came in, and say what should be in the store now."""
    if draft.reprice and draft.price is None:
        raise Refused("price: `reprice` needs one.", remedy="Type what it cost.", field="price")
    at_s = draft.came or doing.ground.now_s
    doing.farm_day = doing.ground.clock.farm_day(at_s)
    before = in_store(doing.book, doing.ground).get(draft.feed)
    doing.add(
        FeedDelivery(
            feed=draft.feed,
            came_at=at_s,
            came_g=draft.weight,
            cents_per_t=draft.price,
            lot=draft.lot,
            supplier=draft.supplier,
        )
    )
    asks = draft.asks()
    said = (
        f"{doing.ground.name_of('feed', draft.feed)}: {asks['weight'].shown(draft.weight, doing.ground)} in"
    )
    if draft.price is not None:
        said += f" at {asks['price'].shown(draft.price, doing.ground)}"
    if draft.reprice and draft.price is not None:
        doing.add(FeedPrice(feed=draft.feed, from_day=doing.farm_day.isoformat(), cents_per_t=draft.price))
        said += ", its price from then on"
    lots = "".join(f", {words}" for words in (draft.lot, draft.supplier) if words)
    counted = before is not None and before.counted_g is not None and at_s <= before.began_at
    if counted:
        return f"{said}{lots}; it lies before the last count, which stands."
    if doing.corrects is not None:
        return f"{said}{lots}."
    held = (before.held_g if before else 0) + draft.weight
    return f"{said}{lots}; {bulk(doing, held)} in the store by the book."


class StockCountDraft(ChoreDraft):
    """What was found of a feed in the store."""

    feed: Annotated[int, Name(label="feed", help="which feed", thing="feed")]
    found: Annotated[int, _ask_bulk("found", least_g=0, help="what is there, as fed")]
    counted: Annotated[int | None, Moment(label="counted", help="when; now if not given")] = None


@chore("stock-count", "a count of the feed store", StockCountDraft, roles=[HAND, NUTRITIONIST])
def count_stock(doing: Doing, draft: StockCountDraft) -> str:
    """Write what was found; it counts from then on, and how far the book was off is said."""
    at_s = draft.counted or doing.ground.now_s
    doing.farm_day = doing.ground.clock.farm_day(at_s)
    before = in_store(doing.book, doing.ground, at_s).get(draft.feed) if doing.corrects is None else None
    doing.add(StockCount(feed=draft.feed, counted_at=at_s, held_g=draft.found))
    said = f"{doing.ground.name_of('feed', draft.feed)}: {bulk(doing, draft.found)} counted"
    if before is None:
        return f"{said}."
    gap_g = draft.found - before.held_g
    less = "less" if gap_g < 0 else "more"
    taken_g = (before.counted_g or 0) + before.came_g
    share = f", {abs(gap_g) / taken_g * 100:.1f} % of what was put in" if taken_g else ""
    return f"{said}, {bulk(doing, abs(gap_g))} {less} than the book's {bulk(doing, before.held_g)}{share}."


class NewFaceDraft(ChoreDraft):
    """A new face, bag or lot of a feed was opened."""

    feed: Annotated[int, Name(label="feed", help="which feed", thing="feed")]
    what: Annotated[
        str, Words(label="what", help="bunker, bag 3, second cutting: whatever it is called", longest=60)
    ] = ""
    opened: Annotated[int | None, Moment(label="opened", help="when; now if not given")] = None


@chore("new-face", "a new face, bag or lot of a feed", NewFaceDraft, roles=[HAND, NUTRITIONIST])
def open_face(doing: Doing, draft: NewFaceDraft) -> str:
    """Write that a new face was opened; its dry matter and analysis may be others'."""
    at_s = draft.opened or doing.ground.now_s
    doing.farm_day = doing.ground.clock.farm_day(at_s)
    doing.add(NewFace(feed=draft.feed, opened_at=at_s, what=draft.what))
    name = doing.ground.name_of("feed", draft.feed)
    dry = read_feeds.dry_matter_at(doing.book, draft.feed, at_s, doing.farm_day.isoformat())
    governs = f" Loads go by {dry.dry_ppm / 10_000:.1f} % ({dry.since}) until then." if dry else ""
    what = f", {draft.what}" if draft.what else ""
    return f"{name}: new face opened{what}. Test its dry matter.{governs}"


def bulk(doing: Doing, grams: float) -> str:
    """Grams in the farm's unit of stored feed."""
    units = doing.ground.units
    return f"{units.number(MASS_G.value_in(grams, units.bulk), 2)} {units.bulk}"
