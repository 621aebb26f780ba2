"""Version 9: readings that a logger wrote, many to one entry, and how a logger's files are to be read."""

from __future__ import annotations

import sqlite3

from herdbook.book.migrations.guards import guard, make_table, points_at, text, whole
from herdbook.book.migrations.step_1 import INSTANT

COLDEST_MC, WARMEST_MC = -20_000, 110_000
"""A logger in an empty tank reads the winter air and the hot wash; colder or hotter is a broken sensor."""

WORDS = (
    "delimiter",
    "decimal",
    "date_order",
    "unit",
    "zone",
    "time_column",
    "date_column",
    "temperature_column",
)


def add_logger_readings(connection: sqlite3.Connection) -> None:
    """Make the table of readings, the batches that bind them to the chain, and the profiles of files."""
    make_table(
        connection,
        "reading_batch",
        points_at("tank"),
        text("probe", 60, empty=False),
        text("source", 200),
        whole("first_at", *INSTANT),
        whole("last_at", *INSTANT),
        whole("readings", 1, 100_000_000),
        text("sha256", 64, empty=False),
        indexes=("tank, first_at",),
    )
    # A million of them must be cheap: no key of their own, no index beside the order they are asked for in. They
    # hang on their batch at once, not at the end of the turn: a later key would make every new entry look for them.
    columns = (
        whole("tank", 1, 2**62),
        whole("read_at", *INSTANT),
        "batch INTEGER NOT NULL REFERENCES reading_batch(id)",
        whole("tank_mC", COLDEST_MC, WARMEST_MC),
        "PRIMARY KEY (tank, read_at, batch)",
    )
    connection.execute(f"CREATE TABLE reading ({', '.join(columns)}) STRICT, WITHOUT ROWID")
    guard(connection, "reading")
    make_table(
        connection,
        "reading_profile",
        text("name", 60, empty=False),
        text("probe", 60),
        *(text(name, 80) for name in WORDS),
        indexes=("name",),
    )
