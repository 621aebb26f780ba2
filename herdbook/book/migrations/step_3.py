"""Version 3: orders of mixers, shares of feedings, bunk scores, push-ups, troughs, the walk, weather and choices."""

from __future__ import annotations

import sqlite3

from herdbook.book.migrations.guards import day, make_table, one_of, points_at, text, whole, yes_or_no
from herdbook.book.migrations.step_1 import INSTANT, LOAD_G

LONGEST_LOT = 60


def add_the_feeding_round(connection: sqlite3.Connection) -> None:
    """Make what the round from mixer to bunk to walk needs. New columns of old tables may be empty."""
    connection.execute(
        f"ALTER TABLE mixer_card ADD COLUMN least_g INTEGER CHECK (least_g BETWEEN 0 AND {LOAD_G})"
    )
    connection.execute(f"ALTER TABLE load_weight ADD COLUMN lot TEXT CHECK (length(lot) <= {LONGEST_LOT})")
    _plan(connection)
    _bunk(connection)
    _walk(connection)
    make_table(
        connection,
        "weather_day",
        day("farm_day"),
        whole("air_mC", -60_000, 60_000),
        whole("humidity_ppm", 0, 1_000_000),
        indexes=("farm_day",),
    )
    make_table(
        connection,
        "farm_choice",
        day("from_day"),
        text("choice", 60, empty=False),
        text("chosen", 200),
        indexes=("choice, from_day",),
    )


def _plan(connection: sqlite3.Connection) -> None:
    make_table(
        connection,
        "mixer_feed",
        points_at("mixer"),
        day("from_day"),
        whole("place", 1, 1_000),
        points_at("feed"),
        indexes=("mixer, from_day",),
    )
    make_table(
        connection,
        "pen_feeding_share",
        points_at("pen"),
        day("from_day"),
        whole("feeding", 1, 12),
        whole("share_ppm", 0, 1_000_000),
        indexes=("pen, from_day",),
    )


def _bunk(connection: sqlite3.Connection) -> None:
    make_table(
        connection,
        "bunk_score",
        points_at("pen"),
        whole("read_at", *INSTANT),
        text("scale", 60, empty=False),
        text("score", 10, empty=False),
        text("note", 300),
        indexes=("pen, read_at",),
    )
    make_table(
        connection,
        "push_up",
        whole("pushed_at", *INSTANT),
        points_at("pen", optional=True),
        indexes=("pushed_at",),
    )
    make_table(
        connection,
        "trough_seen",
        points_at("pen", optional=True),
        whole("seen_at", *INSTANT),
        one_of("state", "clean", "cleaned", "dirty", "empty"),
        text("note", 300),
        indexes=("seen_at",),
    )


def _walk(connection: sqlite3.Connection) -> None:
    make_table(connection, "walk")
    make_table(
        connection,
        "walk_note",
        points_at("walk"),
        text("cow", 30, empty=False),
        points_at("pen", optional=True),
        whole("seen_at", *INSTANT),
        one_of("what", "off feed", "lame", "slow", "calving", "other"),
        text("words", 300),
        text("done", 300),
        whole("watch_again_at", *INSTANT, optional=True),
        yes_or_no("vet_called"),
        indexes=("walk", "cow"),
    )
    make_table(
        connection,
        "walk_closed",
        points_at("walk"),
        whole("closed_at", *INSTANT),
        text("outcome", 300, empty=False),
        indexes=("walk",),
    )
