"""Results of milk samples, and which limits on counts the farm chose."""

from __future__ import annotations

import sqlite3

from herdbook.book.reading.choices import chosen_on
from herdbook.book.reading.rows import rows, stands

CELLS_LIMIT, BACTERIA_LIMIT = "limit on cells", "limit on bacteria"
"""What the choices are of, in `farm_choice`."""


def milk_results(
    connection: sqlite3.Connection, from_s: int, to_s: int, tank: int | None = None
) -> list[sqlite3.Row]:
    """Results of samples taken in a span, oldest first; of one tank or of all."""
    return rows(
        connection,
        f"SELECT milk_result.* FROM milk_result {stands('milk_result')} WHERE sampled_at >= ? AND sampled_at < ? "
        "AND (? IS NULL OR tank = ?) ORDER BY sampled_at, milk_result.id",
        from_s,
        to_s,
        tank,
        tank,
    )


def count_limit_choices(connection: sqlite3.Connection, farm_day: str) -> dict[str, str]:
    """The keys of the limits chosen by a day, by what the choice is of."""
    return {choice: chosen_on(connection, choice, farm_day) for choice in (CELLS_LIMIT, BACTERIA_LIMIT)}
