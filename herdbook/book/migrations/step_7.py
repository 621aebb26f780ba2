"""Version 7: treated cows and milk held back, tests, milk poured away, levels, thermometer checks and washes."""

from __future__ import annotations

import sqlite3

from herdbook.book.migrations.guards import make_table, one_of, points_at, text, whole, yes_or_no
from herdbook.book.migrations.step_1 import INSTANT

TANK_G = 100_000_000
LONGEST_H = 9_600
STICK_UM = 3_000_000


def add_the_milk_house(connection: sqlite3.Connection) -> None:
    """Make what the milk house needs beside milkings, temperatures and pickups."""
    _treatments(connection)
    _held(connection)
    _tank(connection)


def _treatments(connection: sqlite3.Connection) -> None:
    make_table(connection, "treatment")
    make_table(
        connection,
        "treatment_card",
        points_at("treatment"),
        text("cow", 30, empty=False),
        text("drug", 120, empty=False),
        text("amount", 120),
        text("route", 120),
        text("reason", 300),
        text("given_by", 60),
        text("ordered_by", 120),
        text("order_number", 60),
        whole("milk_h", 0, LONGEST_H),
        whole("meat_h", 0, LONGEST_H),
        one_of("hours_from", "label", "veterinarian"),
        text("label_words", 300),
        whole("last_given_at", *INSTANT),
        indexes=("treatment", "last_given_at"),
    )
    make_table(
        connection,
        "treatment_dose",
        points_at("treatment"),
        whole("given_at", *INSTANT),
        indexes=("treatment",),
    )
    make_table(
        connection,
        "treatment_over",
        points_at("treatment"),
        whole("back_at", *INSTANT),
        text("reason", 300),
        indexes=("treatment",),
    )


def _held(connection: sqlite3.Connection) -> None:
    make_table(
        connection,
        "held_milk",
        points_at("tank"),
        text("cow", 30, empty=False),
        whole("went_at", *INSTANT),
        whole("milk_g", 1, TANK_G, optional=True),
        text("words", 300),
        indexes=("tank, went_at",),
    )
    make_table(
        connection,
        "milk_test",
        points_at("tank"),
        whole("sampled_at", *INSTANT),
        one_of("result", "clear", "not clear"),
        text("words", 300),
        text("told_by", 120, empty=False),
        text("number", 60),
        indexes=("tank, sampled_at",),
    )
    make_table(
        connection,
        "milk_dump",
        points_at("tank"),
        whole("dumped_at", *INSTANT),
        whole("milk_g", 1, TANK_G),
        text("reason", 300, empty=False),
        yes_or_no("emptied"),
        indexes=("tank, dumped_at",),
    )


def _tank(connection: sqlite3.Connection) -> None:
    make_table(
        connection,
        "tank_level",
        points_at("tank"),
        whole("read_at", *INSTANT),
        whole("milk_g", 0, TANK_G),
        whole("stick_um", 0, STICK_UM, optional=True),
        indexes=("tank, read_at",),
    )
    make_table(
        connection,
        "thermometer_check",
        points_at("tank"),
        text("thermometer", 60, empty=False),
        whole("checked_at", *INSTANT),
        whole("shown_mC", -5_000, 60_000),
        whole("reference_mC", -5_000, 60_000),
        text("reference", 120),
        indexes=("tank, checked_at",),
    )
    make_table(
        connection,
        "wash",
        one_of("what", "tank", "pipeline"),
        points_at("tank", optional=True),
        whole("washed_at", *INSTANT),
        text("steps", 300),
        whole("begins_mC", 0, 100_000, optional=True),
        whole("ends_mC", 0, 100_000, optional=True),
        text("chemicals", 300),
        text("washed_by", 60),
        text("words", 300),
        indexes=("washed_at",),
    )
