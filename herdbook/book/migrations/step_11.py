"""Version 11: what laboratories find in the milk of a tank."""

from __future__ import annotations

import sqlite3

from herdbook.book.migrations.guards import day, make_table, points_at, text, whole
from herdbook.book.migrations.step_1 import INSTANT

MOST_COUNT = 1_000_000_000
"""Counts in a millilitre: past what any method tells apart."""


def add_milk_results(connection: sqlite3.Connection) -> None:
    """Make the table of results; a figure that was not tested is empty."""
    make_table(
        connection,
        "milk_result",
        points_at("tank"),
        whole("sampled_at", *INSTANT),
        day("reported_day"),
        text("laboratory", 120),
        text("number", 60),
        whole("fat_ppm", 0, 200_000, optional=True),
        whole("protein_ppm", 0, 200_000, optional=True),
        whole("cells_mL", 0, MOST_COUNT, optional=True),
        whole("bacteria_mL", 0, MOST_COUNT, optional=True),
        whole("urea_n_ug_dL", 0, 1_000_000, optional=True),
        whole("freezing_udegC", -2_000_000, 0, optional=True),
        text("words", 300),
        indexes=("tank, sampled_at",),
    )
