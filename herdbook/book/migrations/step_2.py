"""Version 2: mixes of feeds, cows of a pen, reports' dates, dry-matter subsamples, and files that were read in."""

from __future__ import annotations

import sqlite3

from herdbook.book.migrations.guards import day, make_table, points_at, text, whole

LONGEST_PLACE = 60


def add_the_ration_desk(connection: sqlite3.Connection) -> None:
    """Make what the nutritionist's desk needs. New columns of old tables may be empty: old entries lack them."""
    connection.execute(
        f"ALTER TABLE feed_card ADD COLUMN place TEXT CHECK (length(place) <= {LONGEST_PLACE})"
    )
    connection.execute(
        "ALTER TABLE analysis ADD COLUMN reported_on TEXT "
        "CHECK (reported_on GLOB '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]')"
    )
    connection.execute(
        "ALTER TABLE farm_card ADD COLUMN dry_step_ppm INTEGER CHECK (dry_step_ppm BETWEEN 1 AND 1000000)"
    )
    make_table(connection, "feed_mix", points_at("feed"), day("from_day"), indexes=("feed, from_day",))
    make_table(
        connection,
        "mix_part",
        points_at("feed_mix"),
        whole("place", 1, 1_000),
        points_at("feed"),
        whole("share_ppm", 1, 1_000_000),
        text("typed", 60),
        indexes=("feed_mix",),
    )
    make_table(
        connection,
        "pen_cows",
        points_at("pen"),
        day("from_day"),
        whole("body_g", 20_000, 1_500_000, optional=True),
        whole("days_in_milk", 0, 1_500, optional=True),
        whole("days_pregnant", 0, 300, optional=True),
        whole("older_ppm", 0, 1_000_000, optional=True),
        whole("condition_hundredths", 100, 500, optional=True),
        whole("milk_g", 0, 100_000, optional=True),
        whole("fat_ppm", 0, 150_000, optional=True),
        whole("protein_ppm", 0, 100_000, optional=True),
        indexes=("pen, from_day",),
    )
    make_table(
        connection,
        "dry_sample",
        points_at("dry_test"),
        whole("wet_mg", 1, 100_000_000),
        whole("dried_mg", 1, 100_000_000),
        indexes=("dry_test",),
    )
    make_table(
        connection,
        "read_file",
        text("kind", 30, empty=False),
        text("sha256", 64, empty=False),
        text("name", 200),
        whole("lines", 0, 100_000_000),
        indexes=("sha256",),
    )
