"""The feeds as they stand: dry matter and where it comes from, price, analysis."""

from __future__ import annotations

from typing import Any

from herdbook.book.reading import feeds as read_feeds
from herdbook.chores.ground import Ground
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of

COLUMNS = (
    Column("feed", "Feed"),
    Column("kind", "Kind"),
    Column("dm_percent", "DM %", "%", 1),
    Column("dm_from", "From"),
    Column("price_cents_per_t", "Price a t", "cents", 2),
    Column("analysed_on", "Analysed", "day"),
    Column("figures", "Figures"),
)


def make(connection: Any, ground: Ground) -> Report:
    """Every feed."""
    today = ground.clock.farm_day(ground.now_s).isoformat()
    lines = []
    for feed in read_feeds.feeds(connection):
        dry = read_feeds.dry_matter_at(connection, feed.feed, ground.now_s, today)
        analysis = read_feeds.analysis_on(connection, feed.feed, today)
        price = read_feeds.price_on(connection, feed.feed, today)
        lines.append(
            Line(
                feed.name,
                {
                    "feed": Figure(feed.name, entries=entries_of(feed.entry)),
                    "kind": Figure(feed.kind, entries=entries_of(feed.entry)),
                    "dm_percent": Figure(
                        dry.dry_ppm / 10_000 if dry else None,
                        "%",
                        entries=entries_of(dry.entry if dry else None),
                    ),
                    "dm_from": Figure(
                        dry.since if dry else None, entries=entries_of(dry.entry if dry else None)
                    ),
                    "price_cents_per_t": Figure(
                        price["cents_per_t"] if price else None,
                        "cents",
                        entries=entries_of(price["entry"] if price else None),
                    ),
                    "analysed_on": Figure(
                        analysis.sampled_on if analysis else None,
                        "day",
                        entries=entries_of(analysis.entry if analysis else None),
                    ),
                    "figures": Figure(
                        len(analysis.values) if analysis else None,
                        rule="figures that were determined",
                        entries=entries_of(analysis.entry if analysis else None),
                    ),
                },
            )
        )
    return Report(
        "feeds",
        "Feeds",
        tables=(Table("feeds", "Feeds", COLUMNS, tuple(lines), "There is no feed in the book yet."),),
    )
