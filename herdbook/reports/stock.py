"""The feed store by the book: what is there, what is used a day, how long it lasts, and what it is worth."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from herdbook.book.reading import farm as read_farm
from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading.feeds import FeedRow
from herdbook.chores.ground import Ground
from herdbook.chores.in_store import USE_DAYS, InStore, in_store
from herdbook.reports.figures import AS_WRITTEN, Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.parts_of import FeedFacts
from herdbook.units import MASS_G

FEED_DAYS = 7
"""Days that a feed must last where neither its card nor the farm says: common practice, no source."""

COLUMNS = (
    Column("feed", "Feed"),
    Column("counted_on", "Counted", "day"),
    Column("counted_kg", "Found", "kg"),
    Column("came_kg", "Came in", "kg"),
    Column("used_kg", "Used", "kg"),
    Column("held_kg", "In the store", "kg"),
    Column("use_a_day_kg", "Used a day", "kg"),
    Column("days_left", "Days left", "", 0),
    Column("order", "To order"),
    Column("worth_cents", "Worth", "cents", 2),
)
FACT_COLUMNS = {"worth_cents": Column("worth_cents", "Worth of the store", "cents", 2)}

HELD_RULE = "the last count, and what came in since, less what went into loads and into mixes made here"
USE_RULE = (
    f"what went in over the days loads were mixed on, of the last {USE_DAYS} whole days, over their number"
)
NOT_COUNTED = "never counted: what was there before it first came in"


@dataclass(frozen=True, slots=True)
class Low:
    """A feed that lasts fewer days than it must."""

    feed: int
    name: str
    days_left: float
    must_days: int
    its: InStore


def make(connection: Any, ground: Ground) -> Report:
    """Every feed that was counted or came in; the ones that run out first come first."""
    today = ground.clock.farm_day(ground.now_s).isoformat()
    facts = FeedFacts(connection, ground, today, ground.now_s)
    cards = {row.feed: row for row in read_feeds.feeds(connection)}
    found = in_store(connection, ground)
    low = {one.feed for one in low_in_store(connection, ground, found)}
    order = sorted(found.values(), key=lambda its: (its.days_left is None, its.days_left or 0.0))
    lines = tuple(_line(its, cards[its.feed], facts, ground, its.feed in low) for its in order)
    worths = [line["worth_cents"] for line in lines]
    unpriced = [gap for worth in worths for gap in worth.missing]
    return Report(
        "stock",
        "Feed store",
        facts={
            "worth_cents": Figure(
                sum(one.number or 0.0 for one in worths) if len(unpriced) < len(lines) else None,
                "cents",
                "the feeds' worth together",
                missing=tuple(unpriced),
                entries=lambda: tuple(dict.fromkeys(n for one in worths for n in one.entries())),
            )
        },
        columns=FACT_COLUMNS,
        tables=(
            Table(
                "feeds",
                "By the book",
                COLUMNS,
                lines,
                "Nothing has come in and nothing was counted yet: `herdbook write stock-count`.",
            ),
        ),
    )


def low_in_store(connection: Any, ground: Ground, found: dict[int, InStore] | None = None) -> Iterator[Low]:
    """The feeds that last fewer days than they take to come in: their own, else the farm's."""
    found = in_store(connection, ground) if found is None else found
    farms = read_farm.farm(connection).feed_days or FEED_DAYS
    for card in read_feeds.feeds(connection):
        its = found.get(card.feed)
        must = card.order_days or farms
        if its is not None and its.days_left is not None and its.days_left < must:
            yield Low(card.feed, card.name, its.days_left, must, its)


def low_in_words(low: Low, ground: Ground) -> str:
    """How long it lasts, for an alert."""
    if low.its.held_g < 0:
        return "the book has less than nothing left of it: count it."
    unit = ground.units.bulk
    held = ground.units.number(MASS_G.value_in(low.its.held_g, unit), 1)
    return f"{held} {unit} left, {low.days_left:.0f} days at present use; must last {low.must_days}. Order."


def _line(its: InStore, card: FeedRow, facts: FeedFacts, ground: Ground, is_low: bool) -> Line:
    name, price = card.name, facts.price(its.feed)
    under = entries_of(*its.entries)
    gap = () if its.counted_g is not None else (NOT_COUNTED,)
    began = ground.clock.farm_day(its.began_at).isoformat() if its.counted_g is not None else None
    return Line(
        name,
        {
            "feed": Figure(name, entries=entries_of(card.entry)),
            "counted_on": Figure(began, "day", entries=under),
            "counted_kg": Figure(_kg(its.counted_g), "kg", AS_WRITTEN, entries=under),
            "came_kg": Figure(_kg(its.came_g), "kg", "what came in since", entries=under),
            "used_kg": Figure(_kg(its.used_g), "kg", "what went into loads and mixes since", entries=under),
            "held_kg": Figure(
                _kg(its.held_g),
                "kg",
                HELD_RULE,
                missing=gap,
                entries=under,
                flag="!" if its.held_g < 0 else "",
                says="count it" if its.held_g < 0 else "",
            ),
            "use_a_day_kg": Figure(
                _kg(its.use_a_day_g),
                "kg",
                USE_RULE,
                missing=("no load in the last days",) if its.use_a_day_g is None else (),
            ),
            "days_left": Figure(
                None if its.days_left is None else round(its.days_left, 1),
                rule="what is in the store over what is used a day",
                entries=under,
            ),
            "order": Figure(
                "order" if is_low else None,
                rule=f"fewer days left than the feed takes to come in: its own, else the farm's, else {FEED_DAYS}",
                entries=entries_of(card.entry),
                flag="!" if is_low else "",
            ),
            "worth_cents": Figure(
                max(its.held_g, 0.0) / 1_000_000 * price[0] if price is not None else None,
                "cents",
                "what is in the store at the price of the day; nothing where the book has less than nothing",
                missing=() if price is not None else (f"no price of {name}",),
                entries=entries_of(*its.entries, *(price[1] if price else ())),
            ),
        },
    )


def _kg(grams: float | None) -> float | None:
    return None if grams is None else grams / 1000
