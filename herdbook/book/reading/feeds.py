"""Feeds as they stood on a day: newest analysis, newest dry matter, price."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass, field

from herdbook.book.reading.rows import first, rows, stands

MILLION = 1_000_000


@dataclass(frozen=True, slots=True)
class FeedRow:
    """A feed as it stands."""

    feed: int
    name: str
    kind: str
    most_mg: int | None
    caution: str
    entry: int


@dataclass(frozen=True, slots=True)
class AnalysisRow:
    """A feed's analysis: figures on dry matter in each nutrient's own unit; absent: not determined."""

    analysis: int
    feed: int
    sampled_on: str
    dry_ppm: int
    laboratory: str
    entry: int
    values: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class DryMatter:
    """A feed's dry matter in force, where it came from, and the entry under it."""

    dry_ppm: int
    since: str
    entry: int


def feeds(connection: sqlite3.Connection) -> list[FeedRow]:
    """Every feed, in the order they came into the book."""
    found: dict[int, FeedRow] = {}
    for row in rows(
        connection, f"SELECT feed_card.* FROM feed_card {stands('feed_card')} ORDER BY feed_card.id"
    ):
        found[row["feed"]] = FeedRow(
            row["feed"], row["name"], row["kind"], row["most_mg"], row["caution"], row["entry"]
        )
    return list(found.values())


def analysis_on(connection: sqlite3.Connection, feed: int, day: str) -> AnalysisRow | None:
    """The newest analysis whose sample was taken on or before a day; else the oldest there is.

    A feed's first analysis serves the days before it too: a ration of yesterday is better judged by it than by nothing.
    """
    found = rows(
        connection,
        f"SELECT analysis.* FROM analysis {stands('analysis')} WHERE feed = ? ORDER BY sampled_on, analysis.id",
        feed,
    )
    if not found:
        return None
    before = [row for row in found if row["sampled_on"] <= day]
    row = before[-1] if before else found[0]
    values = {
        value["nutrient"]: value["millionths"] / MILLION
        for value in rows(
            connection, "SELECT nutrient, millionths FROM analysis_value WHERE analysis = ?", row["id"]
        )
        if value["millionths"] is not None
    }
    return AnalysisRow(
        row["id"], feed, row["sampled_on"], row["dry_ppm"], row["laboratory"], row["entry"], values
    )


def dry_matter_at(connection: sqlite3.Connection, feed: int, instant_s: int, day: str) -> DryMatter | None:
    """The dry matter in force at an instant: the newer of the last farm test and the last analysis.

    Args:
        instant_s: tests up to this instant count.
        day: the farm day of that instant; analyses sampled up to it count.
    """
    test = first(
        connection,
        f"SELECT dry_test.*, entry.farm_day AS day FROM dry_test {stands('dry_test')} "
        "WHERE feed = ? AND tested_at <= ? ORDER BY tested_at DESC, dry_test.id DESC LIMIT 1",
        feed,
        instant_s,
    )
    analysis = analysis_on(connection, feed, day)
    if test is not None and (analysis is None or test["day"] >= analysis.sampled_on):
        return DryMatter(test["dry_ppm"], f"tested {test['day']}", test["entry"])
    if analysis is None:
        return None
    return DryMatter(analysis.dry_ppm, f"analysed {analysis.sampled_on}", analysis.entry)


def price_on(connection: sqlite3.Connection, feed: int, day: str) -> sqlite3.Row | None:
    """The price of a feed in force on a day (`cents_per_t`, `from_day`, `entry`)."""
    return first(
        connection,
        f"SELECT feed_price.* FROM feed_price {stands('feed_price')} WHERE feed = ? AND from_day <= ? "
        "ORDER BY from_day DESC, feed_price.id DESC LIMIT 1",
        feed,
        day,
    )
