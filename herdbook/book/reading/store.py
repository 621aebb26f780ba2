"""The feed store: what came in, what was counted, what the mixer took, and which face was opened when."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Mapping

from herdbook.book.reading.rows import first, rows, stands


def newest_face(connection: sqlite3.Connection, feed: int, until_s: int) -> sqlite3.Row | None:
    """The last opening of a face, bag or lot (`opened_at`, `what`, `entry`), up to an instant."""
    return first(
        connection,
        f"SELECT new_face.* FROM new_face {stands('new_face')} WHERE feed = ? AND opened_at <= ? "
        "ORDER BY opened_at DESC, new_face.id DESC LIMIT 1",
        feed,
        until_s,
    )


def deliveries(connection: sqlite3.Connection, until_s: int) -> list[sqlite3.Row]:
    """What came in up to an instant, oldest first."""
    return rows(
        connection,
        f"SELECT feed_delivery.* FROM feed_delivery {stands('feed_delivery')} WHERE came_at <= ? "
        "ORDER BY came_at, feed_delivery.id",
        until_s,
    )


def newest_counts(connection: sqlite3.Connection, until_s: int) -> dict[int, sqlite3.Row]:
    """Feed -> its last count (`counted_at`, `held_g`, `entry`), up to an instant."""
    found = rows(
        connection,
        f"SELECT stock_count.* FROM stock_count {stands('stock_count')} WHERE counted_at <= ? "
        "ORDER BY counted_at, stock_count.id",
        until_s,
    )
    return {row["feed"]: row for row in found}


def weighed_in(connection: sqlite3.Connection, since: Mapping[int, int], until_s: int) -> dict[int, int]:
    """Feed -> grams weighed into loads after its own instant, up to another."""
    if not since:
        return {}
    marks = ", ".join(["(?, ?)"] * len(since))
    values = [value for pair in since.items() for value in pair]
    found = rows(
        connection,
        f"WITH since(thing, after_s) AS (VALUES {marks}) "
        "SELECT load_weight.feed, sum(loaded_g) AS grams FROM load_weight "
        f"{stands('load_weight')} JOIN since ON thing = load_weight.feed AND weighed_at > after_s "
        "WHERE weighed_at <= ? GROUP BY load_weight.feed",
        *values,
        until_s,
    )
    return {row["feed"]: row["grams"] for row in found}


def weighings_of(
    connection: sqlite3.Connection, feeds: Collection[int], after_s: int, until_s: int
) -> list[sqlite3.Row]:
    """Each weighing of some feeds into loads (`feed`, `weighed_at`, `loaded_g`), oldest first."""
    marks = ", ".join("?" * len(feeds))
    return rows(
        connection,
        f"SELECT load_weight.feed, weighed_at, loaded_g FROM load_weight {stands('load_weight')} "
        f"WHERE load_weight.feed IN ({marks}) AND weighed_at > ? AND weighed_at <= ? ORDER BY weighed_at",
        *feeds,
        after_s,
        until_s,
    )


def days_mixed(connection: sqlite3.Connection, from_day: str, to_day: str) -> int:
    """On how many farm days of a span, both ends included, a load was begun."""
    row = first(
        connection,
        f"SELECT count(DISTINCT load_plan.farm_day) AS days FROM load_plan {stands('load_plan')} "
        "WHERE load_plan.farm_day BETWEEN ? AND ?",
        from_day,
        to_day,
    )
    return int(row["days"]) if row else 0
