"""Version 10: goals for cooling that the farm sets itself, beside the rule of its place."""

from __future__ import annotations

import sqlite3

from herdbook.book.migrations.guards import day, make_table, one_of, whole, yes_or_no

CLOCKS = ("end of milking", "start of milking", "start of first milking", "first milking onwards")


def add_cooling_goals(connection: sqlite3.Connection) -> None:
    """Make the table of the farm's own goals."""
    make_table(
        connection,
        "cooling_goal",
        day("from_day"),
        one_of("clock", *CLOCKS),
        whole("limit_hundredths", -1_000, 20_000),
        one_of("unit", "degC", "degF"),
        whole("within_min", 1, 1_440, optional=True),
        yes_or_no("is_over"),
        indexes=("from_day",),
    )
