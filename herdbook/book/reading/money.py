"""Questions about the money of the milk: prices and cheques."""

from __future__ import annotations

import sqlite3

from herdbook.book.reading.rows import rows, stands


def milk_prices(connection: sqlite3.Connection, until: str) -> list[sqlite3.Row]:
    """Prices from a day on (`from_day`, `mcents_per_t`, `words`, `entry`), oldest first, later ones of a day last."""
    return rows(
        connection,
        f"SELECT milk_price.* FROM milk_price {stands('milk_price')} WHERE from_day <= ? "
        "ORDER BY from_day, milk_price.id",
        until,
    )


def milk_cheques(connection: sqlite3.Connection, first: str, last: str) -> list[sqlite3.Row]:
    """Cheques whose span touches the farm days from `first` to `last`, by span and entry."""
    return rows(
        connection,
        f"SELECT milk_cheque.* FROM milk_cheque {stands('milk_cheque')} WHERE first_day <= ? AND last_day >= ? "
        "ORDER BY first_day, last_day, milk_cheque.id",
        last,
        first,
    )
