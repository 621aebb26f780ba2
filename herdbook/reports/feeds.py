"""The feeds as they stand: dry matter and where it comes from, price, analysis; and what mixes are made of."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading import mixes as read_mixes
from herdbook.book.reading.feeds import FeedRow
from herdbook.chores.ground import Ground
from herdbook.reports.figures import AS_WRITTEN, Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.parts_of import FeedFacts

COLUMNS = (
    Column("feed", "Feed"),
    Column("kind", "Kind"),
    Column("place", "Place"),
    Column("dm_percent", "DM %", "%", 1),
    Column("dm_from", "From"),
    Column("price_cents_per_t", "Price a t", "cents", 2),
    Column("analysed_on", "Analysed", "day"),
    Column("figures", "Figures"),
)
MIX_COLUMNS = (
    Column("mix", "Mix"),
    Column("part", "Part"),
    Column("share_percent", "Share", "%", 2),
    Column("since", "From", "day"),
)


def make(connection: Any, ground: Ground) -> Report:
    """Every feed."""
    today = ground.clock.farm_day(ground.now_s).isoformat()
    facts = FeedFacts(connection, ground, today, ground.now_s)
    feeds = read_feeds.feeds(connection)
    lines = tuple(_line(feed, facts) for feed in feeds)
    return Report(
        "feeds",
        "Feeds",
        tables=(
            Table("feeds", "Feeds", COLUMNS, lines, "There is no feed in the book yet."),
            Table(
                "mixes",
                "Mixes, as fed",
                MIX_COLUMNS,
                tuple(_mix_lines(connection, today, facts)),
                "The farm mixes none of its feeds itself.",
            ),
        ),
    )


def _line(feed: FeedRow, facts: FeedFacts) -> Line:
    dry, analysis, price = facts.dry(feed.feed), facts.analysis(feed.feed), facts.price(feed.feed)
    card = entries_of(feed.entry)
    under_dry = entries_of(*(dry.entries if dry else ()))
    under_analysis = entries_of(*(analysis.entries if analysis else ()))
    gaps = {facts.name(one): None for its in (analysis.gaps.values() if analysis else ()) for one in its}
    return Line(
        feed.name,
        {
            "feed": Figure(feed.name, entries=card),
            "kind": Figure(feed.kind, entries=card),
            "place": Figure(feed.place or None, entries=card),
            "dm_percent": Figure(
                dry.dry_ppm / 10_000 if dry else None,
                "%",
                "total dry matter over total as fed of its parts" if dry and not dry.day else AS_WRITTEN,
                entries=under_dry,
            ),
            "dm_from": Figure(dry.since if dry else None, entries=under_dry),
            "price_cents_per_t": Figure(
                price[0] if price else None, "cents", entries=entries_of(*(price[1] if price else ()))
            ),
            "analysed_on": Figure(
                analysis.sampled_on if analysis and not analysis.is_worked_out else None,
                "day",
                entries=under_analysis,
            ),
            "figures": Figure(
                len(analysis.values) if analysis else None,
                rule="figures worked out from its parts"
                if analysis and analysis.is_worked_out
                else "figures that were determined",
                missing=(f"not all determined in {', '.join(gaps)}",) if gaps else (),
                entries=under_analysis,
            ),
        },
    )


def _mix_lines(connection: Any, day: str, facts: FeedFacts) -> Iterator[Line]:
    """Every part of every mix in force."""
    for feed, recipe in read_mixes.recipes_on(connection, day).items():
        under = entries_of(recipe.entry)
        for part, share in recipe.parts:
            yield Line(
                f"{facts.name(feed)}, {facts.name(part)}",
                {
                    "mix": Figure(facts.name(feed), entries=under),
                    "part": Figure(facts.name(part), entries=under),
                    "share_percent": Figure(share / 10_000, "%", entries=under),
                    "since": Figure(recipe.from_day, "day", entries=under),
                },
            )
