"""The farm's settings, its people, and the names of everything in the book."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection
from dataclasses import dataclass

from herdbook.book.reading.rows import first, rows, stands
from herdbook.clock import FarmClock
from herdbook.errors import DamagedBook
from herdbook.units import FarmUnits

CARDS = {
    "person": "person",
    "pen": "pen",
    "feed": "feed",
    "ration": "ration",
    "mixer": "mixer",
    "tank": "tank",
}
"""Kinds of things that have a name, and the column of their card that points at them."""


@dataclass(frozen=True, slots=True)
class Farm:
    """The farm's settings as they stand."""

    name: str
    farm_key: str
    units: FarmUnits
    clock: FarmClock
    cooling_rule: str
    invented: bool
    entry: int
    dry_step_ppm: int | None = None
    rain_step_um: int | None = None
    feed_days: int | None = None


@dataclass(frozen=True, slots=True)
class PersonRow:
    """A person as they stand in the book."""

    person: int
    name: str
    roles: frozenset[str]
    login: str
    active: bool
    entry: int


def farm(connection: sqlite3.Connection) -> Farm:
    """The settings in force.

    Raises:
        DamagedBook: a book without settings was never started properly.
    """
    row = first(
        connection,
        f"SELECT farm_card.* FROM farm_card {stands('farm_card')} ORDER BY farm_card.id DESC LIMIT 1",
    )
    if row is None:
        raise DamagedBook("This book has no farm in it.", remedy="Start one with `herdbook new`.")
    return Farm(
        name=row["name"],
        farm_key=row["farm_key"],
        units=FarmUnits(row["system"], row["decimal"], row["currency"]),
        clock=FarmClock(row["zone"], row["day_start_min"]),
        cooling_rule=row["cooling_rule"],
        invented=bool(row["invented"]),
        entry=row["entry"],
        dry_step_ppm=row["dry_step_ppm"],
        rain_step_um=row["rain_step_um"],
        feed_days=row["feed_days"],
    )


def people(connection: sqlite3.Connection, *, without: Collection[int] = ()) -> list[PersonRow]:
    """Everyone in the book, by their newest card; as if the entries `without` had been struck."""
    found: dict[int, PersonRow] = {}
    for row in rows(
        connection, f"SELECT person_card.* FROM person_card {stands('person_card')} ORDER BY person_card.id"
    ):
        if row["entry"] in without:
            continue
        found[row["person"]] = PersonRow(
            row["person"],
            row["name"],
            frozenset(filter(None, row["roles"].split(","))),
            row["login"],
            bool(row["active"]),
            row["entry"],
        )
    return list(found.values())


def names(connection: sqlite3.Connection, kind: str) -> dict[str, int]:
    """Name -> id of every pen, feed, ration, mixer, tank or person, in the order they came into the book."""
    card = f"{kind}_card"
    newest: dict[int, str] = {}
    for row in rows(connection, f"SELECT {card}.{kind}, name FROM {card} {stands(card)} ORDER BY {card}.id"):
        newest[row[kind]] = row["name"]
    return {name: number for number, name in newest.items()}


_ALL_NAMES = (
    " UNION ALL ".join(
        f"SELECT '{kind}' AS kind, {kind}_card.{kind} AS thing, name, {kind}_card.id AS place "
        f"FROM {kind}_card {stands(f'{kind}_card')}"
        for kind in CARDS
    )
    + " ORDER BY kind, place"
)


def all_names(connection: sqlite3.Connection) -> dict[str, dict[str, int]]:
    """Every kind's names, by one question."""
    newest: dict[str, dict[int, str]] = {kind: {} for kind in CARDS}
    for row in rows(connection, _ALL_NAMES):
        newest[row["kind"]][row["thing"]] = row["name"]
    return {kind: {name: number for number, name in known.items()} for kind, known in newest.items()}
