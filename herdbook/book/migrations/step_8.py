"""Version 8: rain, new faces of a store, feed that came in, counts of the store, and the farm's limits for them."""

from __future__ import annotations

import sqlite3

from herdbook.book.migrations.guards import day, make_table, points_at, text, whole
from herdbook.book.migrations.step_1 import INSTANT

STORE_G = 10_000_000_000
"""10,000 t: more than any one store of a farm holds."""
RAIN_UM = 2_000_000
"""2 m in a day: more than has ever been measured."""


def add_the_store(connection: sqlite3.Connection) -> None:
    """Make what the feed store needs. New columns of old tables may be empty: old entries lack them."""
    for table, column, most in (
        ("farm_card", "rain_step_um", RAIN_UM),
        ("farm_card", "feed_days", 365),
        ("feed_card", "order_days", 365),
    ):
        connection.execute(
            f"ALTER TABLE {table} ADD COLUMN {column} INTEGER CHECK ({column} BETWEEN 1 AND {most})"
        )
    make_table(connection, "rain_day", day("farm_day"), whole("rain_um", 0, RAIN_UM), indexes=("farm_day",))
    make_table(
        connection,
        "new_face",
        points_at("feed"),
        whole("opened_at", *INSTANT),
        text("what", 60),
        indexes=("feed, opened_at",),
    )
    make_table(
        connection,
        "feed_delivery",
        points_at("feed"),
        whole("came_at", *INSTANT),
        whole("came_g", 1, STORE_G),
        whole("cents_per_t", 0, 10**9, optional=True),
        text("lot", 60),
        text("supplier", 60),
        indexes=("feed, came_at",),
    )
    make_table(
        connection,
        "stock_count",
        points_at("feed"),
        whole("counted_at", *INSTANT),
        whole("held_g", 0, STORE_G),
        indexes=("feed, counted_at",),
    )
