"""What laboratories found in the feeds over time: every analysis with its values, and how far they spread."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from statistics import mean, stdev
from typing import Any

from herdbook.book.reading import feed_history
from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading.feed_history import AnalysisCard
from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.spreads import FEWEST, PUBLISHED
from herdbook.reports.unit_keys import key_with_unit
from herdbook.science.nutrients import Nutrient, nutrients
from herdbook.science.spread import expected_of

NOT_DETERMINED = "not determined"

LEAD_COLUMNS = (
    Column("feed", "Feed"),
    Column("sampled_on", "Sampled", "day"),
    Column("reported_on", "Reported", "day"),
    Column("laboratory", "Laboratory"),
    Column("number", "Number"),
    Column("basis", "Basis"),
    Column("dm_percent", "DM %", "%", 1),
)
SPREAD_COLUMNS = (
    Column("feed", "Feed"),
    Column("nutrient", "Nutrient"),
    Column("unit", "Unit"),
    Column("newest", "Newest", "own", 2),
    Column("before", "Before", "own", 2),
    Column("mean", "Mean", "own", 2),
    Column("spread", "±", "own", 2),
    Column("analyses", "of"),
    Column("spread_from", "± by"),
)


def make(connection: Any, ground: Ground, *, feed: int | None = None) -> Report:
    """Every analysis, newest first by feed.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        feed: only this one.
    """
    today = ground.clock.farm_day(ground.now_s).isoformat()
    cards = feed_history.analyses_up_to(connection, today, feed=feed)
    by_feed: dict[int, list[AnalysisCard]] = defaultdict(list)
    for card in cards:
        by_feed[card.feed].append(card)
    order = [row.feed for row in read_feeds.feeds(connection)]
    listed = [card for number in order for card in by_feed.get(number, ())]
    keys = list(nutrients())  # every key always, so that what reads the file finds the same columns
    without = [
        ground.name_of("feed", number) for number in order if number not in by_feed and feed in (None, number)
    ]
    whose = "Feeds and their analyses" if feed is None else f"Analyses of {ground.name_of('feed', feed)}"
    return Report(
        "feed-analyses",
        whose,
        tables=(
            Table(
                "analyses",
                "Figures on dry matter, newest first",
                (*LEAD_COLUMNS, *(_column(nutrients()[key]) for key in keys)),
                tuple(_analysis_line(card, keys, ground) for card in listed),
                "No analysis is written yet.",
            ),
            Table(
                "spread",
                "Over time, ± is one standard deviation",
                SPREAD_COLUMNS,
                tuple(
                    _spread_line(key, by_feed[number], ground)
                    for number in order
                    if number in by_feed
                    for key in keys
                    if any(card.values.get(key) is not None for card in by_feed[number])
                ),
                "No analysis is written yet.",
            ),
        ),
        warnings=(f"Without an analysis: {', '.join(without)}.",) if without else (),
        data=listed,
    )


def _column(one: Nutrient) -> Column:
    return Column(key_with_unit(one.key, one.unit), one.label, one.unit, one.decimals)


def _analysis_line(card: AnalysisCard, keys: Sequence[str], ground: Ground) -> Line:
    name, under = ground.name_of("feed", card.feed), entries_of(card.entry)
    cells = {
        "feed": Figure(name),
        "sampled_on": Figure(card.sampled_on, "day", entries=under),
        "reported_on": Figure(card.reported_on or None, "day", entries=under),
        "laboratory": Figure(plain(card.laboratory) or None, entries=under),
        "number": Figure(plain(card.number) or None, entries=under),
        "basis": Figure(
            card.basis, rule="the basis the figures were typed on; they are kept on dry matter", entries=under
        ),
        "dm_percent": Figure(card.dry_ppm / 10_000, "%", entries=under),
    }
    for key in keys:
        one = nutrients()[key]
        method = card.methods.get(key)
        value = card.values.get(key)
        cells[key_with_unit(key, one.unit)] = Figure(
            value,
            one.unit,
            "as the laboratory found it, on dry matter",
            {"method": plain(method)} if method else {},
            missing=(NOT_DETERMINED,) if key in card.values and value is None else (),
            entries=under,
        )
    return Line(f"{name} {card.sampled_on}", cells)


def _spread_line(key: str, cards: Sequence[AnalysisCard], ground: Ground) -> Line:
    one = nutrients()[key]
    known = [(card, value) for card in cards if (value := card.values.get(key)) is not None]
    values = [value for _, value in known]
    name, under = ground.name_of("feed", cards[0].feed), entries_of(*(card.entry for card, _ in known))
    told = {card.sampled_on: f"{value:g} {one.unit}" for card, value in known}
    sd, source, rule = _deviation(key, values)
    return Line(
        f"{name} {key}",
        {
            "feed": Figure(name),
            "nutrient": Figure(one.label),
            "unit": Figure(one.unit),
            "newest": Figure(values[0], one.unit, entries=entries_of(known[0][0].entry)),
            "before": Figure(
                values[1] if len(values) > 1 else None, one.unit,
                entries=entries_of(*(card.entry for card, _ in known[:2])),
            ),
            "mean": Figure(mean(values), one.unit, "mean of all its analyses", told, entries=under),
            "spread": Figure(sd, one.unit, rule, told, entries=under),
            "analyses": Figure(len(values), "", "analyses that determined it", entries=under),
            "spread_from": Figure(source),
        },
    )  # fmt: skip


def _deviation(key: str, values: Sequence[float]) -> tuple[float | None, str, str]:
    """One standard deviation, whose it is, and the rule."""
    if len(values) >= FEWEST:
        return stdev(values), "its own", f"standard deviation of its {len(values)} analyses"
    published = expected_of(key)
    if published is None:
        return None, "not known", "no published variation covers it"
    return published.relative_sd * abs(values[0]), "published", PUBLISHED
