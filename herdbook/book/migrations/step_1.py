"""Version 1: the chain of entries, people, herd, feeds, rations, feeding and milk."""

from __future__ import annotations

import sqlite3

from herdbook.book.migrations.guards import (
    LATER,
    REFUSAL,
    day,
    make_table,
    one_of,
    points_at,
    text,
    whole,
    yes_or_no,
)

INSTANT = (631_152_000, 7_258_118_400)  # 1990 to 2200, UTC seconds
LOAD_G = 100_000_000  # 100 t, past any mixer, tank or lorry a farm has
MILLIONTHS = 10**15


def make_the_first_book(connection: sqlite3.Connection) -> None:
    """Make every table of version 1 in an empty file."""
    _chain(connection)
    _people_and_farm(connection)
    _herd(connection)
    _feeds(connection)
    _rations(connection)
    _feeding(connection)
    _milk(connection)


def _instant(name: str) -> str:
    return whole(name, *INSTANT)


def _chain(connection: sqlite3.Connection) -> None:
    connection.execute(
        "CREATE TABLE entry (number INTEGER PRIMARY KEY CHECK (number > 0), written_ms INTEGER NOT NULL, "
        f"{points_at('person')}, {text('chore', 40, empty=False)}, {day('farm_day')}, {text('note', 2000)}, "
        f"{text('said', 2000)}, asked TEXT NOT NULL CHECK (asked LIKE '{{%}}' AND length(asked) <= 100000), "
        f"strikes INTEGER UNIQUE REFERENCES entry(number) {LATER}, "
        f"struck_by INTEGER UNIQUE REFERENCES entry(number) {LATER}, "
        f"{text('request', 80, empty=False)} UNIQUE, previous TEXT NOT NULL UNIQUE, hash TEXT NOT NULL UNIQUE) STRICT"
    )
    unchanged = " AND ".join(
        f"NEW.{name} IS OLD.{name}"
        for name in (
            "number",
            "written_ms",
            "person",
            "chore",
            "farm_day",
            "note",
            "said",
            "asked",
            "strikes",
            "request",
            "previous",
            "hash",
        )
    )
    connection.execute(
        "CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry "
        f"WHEN NOT (OLD.struck_by IS NULL AND NEW.struck_by IS NOT NULL AND {unchanged}) "
        f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
    )
    connection.execute(
        f"CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
    )
    connection.execute("CREATE INDEX ix_entry_farm_day ON entry(farm_day)")
    # what a person has begun and not yet written; not part of the record, so it is not guarded
    connection.execute(
        f"CREATE TABLE draft ({points_at('person')}, {text('form', 60, empty=False)}, "
        f"{text('request', 80, empty=False)}, texts TEXT NOT NULL CHECK (length(texts) <= 100000), "
        "saved_ms INTEGER NOT NULL, PRIMARY KEY (person, form)) STRICT"
    )


def _people_and_farm(connection: sqlite3.Connection) -> None:
    make_table(connection, "person")
    make_table(
        connection,
        "person_card",
        points_at("person"),
        text("name", 60, empty=False),
        text("roles", 60, empty=False),
        text("login", 60),
        yes_or_no("active"),
        indexes=("person",),
    )
    make_table(
        connection,
        "farm_card",
        text("farm_key", 60, empty=False),
        text("name", 60, empty=False),
        text("zone", 60, empty=False),
        whole("day_start_min", 0, 1439),
        one_of("system", "us", "metric"),
        one_of("decimal", ".", ","),
        text("currency", 8, empty=False),
        text("cooling_rule", 60, empty=False),
        yes_or_no("invented"),
    )


def _herd(connection: sqlite3.Connection) -> None:
    make_table(connection, "pen")
    make_table(
        connection,
        "pen_card",
        points_at("pen"),
        text("name", 60, empty=False),
        one_of("kind", "milking", "dry", "close-up", "heifers", "sick"),
        whole("walk", 0, 10_000),
        indexes=("pen",),
    )
    make_table(
        connection,
        "head_count",
        points_at("pen"),
        _instant("counted_at"),
        whole("head", 0, 100_000),
        indexes=("pen, counted_at",),
    )


def _feeds(connection: sqlite3.Connection) -> None:
    make_table(connection, "feed")
    make_table(
        connection,
        "feed_card",
        points_at("feed"),
        text("name", 60, empty=False),
        text("kind", 30, empty=False),
        whole("most_mg", 1, 200_000_000, optional=True),
        text("caution", 500),
        indexes=("feed",),
    )
    make_table(
        connection,
        "analysis",
        points_at("feed"),
        day("sampled_on"),
        whole("dry_ppm", 1, 1_000_000),
        one_of("basis", "dry matter", "as received"),
        text("laboratory", 60),
        text("number", 60),
        indexes=("feed, sampled_on",),
    )
    make_table(
        connection,
        "analysis_value",
        points_at("analysis"),
        text("nutrient", 30, empty=False),
        whole("millionths", -MILLIONTHS, MILLIONTHS, optional=True),
        text("typed", 60),
        text("method", 30),
        indexes=("analysis",),
    )
    make_table(
        connection,
        "dry_test",
        points_at("feed"),
        _instant("tested_at"),
        whole("dry_ppm", 1, 1_000_000),
        text("method", 60),
        text("typed", 60),
        indexes=("feed, tested_at",),
    )
    make_table(
        connection,
        "feed_price",
        points_at("feed"),
        day("from_day"),
        whole("cents_per_t", 0, 10**10),
        text("typed", 60),
        indexes=("feed, from_day",),
    )


def _rations(connection: sqlite3.Connection) -> None:
    make_table(connection, "ration")
    make_table(
        connection, "ration_card", points_at("ration"), text("name", 60, empty=False), indexes=("ration",)
    )
    make_table(
        connection,
        "ration_version",
        points_at("ration"),
        whole("version", 1, 1_000_000),
        day("from_day"),
        whole("from_feeding", 1, 12),
        indexes=("ration, from_day",),
    )
    make_table(
        connection,
        "ration_item",
        points_at("ration_version"),
        whole("place", 1, 1_000),
        points_at("feed"),
        one_of("basis", "as fed", "dry matter"),
        whole("mg", 1, 500_000_000),
        text("typed", 60),
        indexes=("ration_version",),
    )
    make_table(connection, "target_set", points_at("ration"), day("from_day"), indexes=("ration, from_day",))
    bounds = [whole(name, -MILLIONTHS, MILLIONTHS, optional=True) for name in ("low", "aim", "high")]
    make_table(
        connection,
        "target",
        points_at("target_set"),
        text("figure", 60, empty=False),
        *bounds,
        text("why", 300),
        indexes=("target_set",),
    )
    make_table(
        connection,
        "pen_ration",
        points_at("pen"),
        points_at("ration"),
        day("from_day"),
        whole("from_feeding", 1, 12),
        whole("call_ppm", 100_000, 3_000_000),
        whole("feedings", 1, 12),
        indexes=("pen, from_day",),
    )
    make_table(connection, "mixer")
    make_table(
        connection,
        "mixer_card",
        points_at("mixer"),
        text("name", 60, empty=False),
        whole("capacity_g", 1, LOAD_G),
        whole("step_mg", 1, 1_000_000_000),
        indexes=("mixer",),
    )


def _feeding(connection: sqlite3.Connection) -> None:
    make_table(connection, "load")
    make_table(
        connection,
        "load_plan",
        points_at("load"),
        points_at("mixer"),
        points_at("ration"),
        points_at("ration_version"),
        _instant("started_at"),
        day("farm_day"),
        whole("number", 1, 10_000),
        whole("head", 0, 100_000),
        indexes=("load", "farm_day"),
    )
    make_table(connection, "load_pen", points_at("load"), points_at("pen"), indexes=("load",))
    make_table(
        connection,
        "load_plan_line",
        points_at("load"),
        whole("place", 1, 1_000),
        points_at("feed"),
        whole("planned_g", 0, LOAD_G),
        whole("dry_ppm", 1, 1_000_000),
        indexes=("load",),
    )
    make_table(
        connection,
        "load_weight",
        points_at("load"),
        points_at("feed"),
        whole("loaded_g", 0, LOAD_G),
        whole("scale_g", 0, LOAD_G, optional=True),
        whole("dry_ppm", 1, 1_000_000),
        _instant("weighed_at"),
        text("typed", 60),
        indexes=("load",),
    )
    make_table(
        connection,
        "feed_drop",
        points_at("load"),
        points_at("pen"),
        _instant("dropped_at"),
        day("farm_day"),
        whole("dropped_g", 1, LOAD_G),
        text("typed", 60),
        indexes=("load", "pen, farm_day"),
    )
    make_table(
        connection,
        "refusal",
        points_at("pen"),
        day("fed_on"),
        _instant("weighed_at"),
        whole("refused_g", 0, LOAD_G),
        whole("dry_ppm", 1, 1_000_000, optional=True),
        one_of("went", "thrown", "re-fed"),
        points_at("pen", name="fed_to", optional=True),
        text("typed", 60),
        indexes=("pen, fed_on",),
    )


def _milk(connection: sqlite3.Connection) -> None:
    make_table(connection, "tank")
    make_table(
        connection,
        "tank_card",
        points_at("tank"),
        text("name", 60, empty=False),
        whole("capacity_g", 1, LOAD_G),
        indexes=("tank",),
    )
    make_table(
        connection,
        "stick_mark",
        points_at("tank"),
        whole("stick_um", 0, 10_000_000),
        whole("milk_g", 0, LOAD_G),
        indexes=("tank",),
    )
    make_table(connection, "milking")
    make_table(
        connection,
        "milking_start",
        points_at("milking"),
        points_at("tank"),
        _instant("started_at"),
        indexes=("milking", "tank, started_at"),
    )
    make_table(
        connection,
        "milking_end",
        points_at("milking"),
        _instant("ended_at"),
        whole("cows", 0, 100_000, optional=True),
        whole("milk_g", 0, LOAD_G, optional=True),
        text("typed", 60),
        indexes=("milking",),
    )
    make_table(
        connection,
        "temperature",
        points_at("tank"),
        _instant("read_at"),
        whole("tank_mC", -5_000, 60_000),
        text("typed", 60),
        text("source", 60),
        yes_or_no("agitator", optional=True),
        indexes=("tank, read_at",),
    )
    make_table(connection, "pickup")
    make_table(
        connection,
        "pickup_ticket",
        points_at("pickup"),
        points_at("tank"),
        _instant("picked_at"),
        whole("milk_g", 1, LOAD_G),
        whole("stick_um", 0, 10_000_000, optional=True),
        whole("tank_mC", -5_000, 60_000, optional=True),
        text("ticket", 60),
        text("hauler", 60),
        yes_or_no("emptied"),
        text("typed", 60),
        indexes=("pickup", "tank, picked_at"),
    )
