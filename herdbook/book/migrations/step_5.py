"""Version 5: the money of the milk: prices from a day on, and cheques for a span of days."""

from __future__ import annotations

import sqlite3

from herdbook.book.migrations.guards import day, make_table, text, whole

MOST_CENTS = 10**11


def add_the_money_of_the_milk(connection: sqlite3.Connection) -> None:
    """Make the tables of milk prices and cheques."""
    make_table(
        connection,
        "milk_price",
        day("from_day"),
        whole("mcents_per_t", 0, 10**12),
        text("words", 200),
        indexes=("from_day",),
    )
    make_table(
        connection,
        "milk_cheque",
        day("first_day"),
        day("last_day"),
        day("received_day"),
        whole("paid_cents", 0, MOST_CENTS),
        whole("taken_off_cents", 0, MOST_CENTS),
        text("reference", 60),
        text("words", 300),
        indexes=("first_day",),
    )
