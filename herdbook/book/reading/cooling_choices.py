"""What a farm's cooling is held against: the rules it chose from a day on, and goals of its own."""

from __future__ import annotations

import sqlite3

from herdbook.book.reading.rows import rows, stands

COOLING_RULE = "cooling rule"
"""What the choice is of, in `farm_choice`."""


def cooling_goals(connection: sqlite3.Connection) -> list[sqlite3.Row]:
    """Every goal that stands (`from_day`, `clock`, `limit_hundredths`, `unit`, `within_min`, `is_over`), in order."""
    return rows(
        connection,
        f"SELECT cooling_goal.* FROM cooling_goal {stands('cooling_goal')} ORDER BY from_day, cooling_goal.id",
    )
