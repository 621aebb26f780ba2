"""The book's schema as numbered steps, each recorded with itself in one transaction."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

from herdbook.book.migrations import (
    step_1,
    step_2,
    step_3,
    step_4,
    step_5,
    step_6,
    step_7,
    step_8,
    step_9,
    step_10,
    step_11,
)

Step = Callable[[sqlite3.Connection], None]

STEPS: tuple[Step, ...] = (
    step_1.make_the_first_book,
    step_2.add_the_ration_desk,
    step_3.add_the_feeding_round,
    step_4.add_the_alarms,
    step_5.add_the_money_of_the_milk,
    step_6.add_the_feeding_of_a_load,
    step_7.add_the_milk_house,
    step_8.add_the_store,
    step_9.add_logger_readings,
    step_10.add_cooling_goals,
    step_11.add_milk_results,
)
"""Step n brings a book from version n - 1 to version n. A step that has been shipped never changes."""

NEWEST = len(STEPS)


def version_of(connection: sqlite3.Connection) -> int:
    """The version a book is at; 0 for an empty file."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def bring_up_to_date(connection: sqlite3.Connection, *, to: int | None = None) -> list[int]:
    """Apply the steps a book lacks, each in its own immediate transaction with its number.

    Safe to run twice and from two programs at once: each step looks at the version again under the lock.

    Args:
        connection: in autocommit mode (`isolation_level=None`).
        to: the version to stop at; the newest unless a test asks for an older one.

    Returns:
        The numbers of the steps applied.
    """
    applied: list[int] = []
    for number, step in enumerate(STEPS[:to], start=1):
        connection.execute("BEGIN IMMEDIATE")
        try:
            if version_of(connection) < number:
                step(connection)
                connection.execute(f"PRAGMA user_version = {number}")
                applied.append(number)
        except BaseException:
            connection.execute("ROLLBACK")
            raise
        connection.execute("COMMIT")
    return applied
