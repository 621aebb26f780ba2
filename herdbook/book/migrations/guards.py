"""The shape every written table shares: its key, its entry, and triggers that refuse to change the past."""

from __future__ import annotations

import sqlite3

REFUSAL = "the book is only added to"

LATER = "DEFERRABLE INITIALLY DEFERRED"

# Control characters, DEL and the 8-bit escape introducer, as the last line of defence behind plain().
_HARMFUL = "'*[' || char(1) || '-' || char(31) || char(127) || '-' || char(159) || ']*'"


def text(name: str, longest: int = 200, *, empty: bool = True, otherwise: str = "") -> str:
    """A column of people's text: bounded, and free of control characters."""
    least = "" if empty else f" AND length({name}) > 0"
    default = f" DEFAULT '{otherwise}'" if empty else ""
    return f"{name} TEXT NOT NULL{default} CHECK (length({name}) <= {longest} AND {name} NOT GLOB {_HARMFUL}{least})"


def points_at(table: str, *, name: str = "", optional: bool = False, key: str = "id") -> str:
    """A column that names a row of another table."""
    return f"{name or table} INTEGER {'' if optional else 'NOT NULL '}REFERENCES {table}({key}) {LATER}"


def whole(name: str, low: int, high: int, *, optional: bool = False) -> str:
    """A whole-number column with its bounds."""
    null = f"{name} IS NULL OR " if optional else ""
    bounds = f"{null}(typeof({name}) = 'integer' AND {name} BETWEEN {low} AND {high})"
    return f"{name} INTEGER{'' if optional else ' NOT NULL'} CHECK ({bounds})"


def day(name: str) -> str:
    """A farm day, ISO 8601."""
    return f"{name} TEXT NOT NULL CHECK ({name} GLOB '[12][0-9][0-9][0-9]-[01][0-9]-[0-3][0-9]')"


def one_of(name: str, *words: str) -> str:
    """A column that holds one of a few words."""
    return f"{name} TEXT NOT NULL CHECK ({name} IN ({', '.join(repr(word) for word in words)}))"


def yes_or_no(name: str, *, optional: bool = False) -> str:
    """A true or false column."""
    return whole(name, 0, 1, optional=optional)


def make_table(
    connection: sqlite3.Connection, name: str, *columns: str, indexes: tuple[str, ...] = ()
) -> None:
    """Make one written table with its key, its entry, its indexes and its guards."""
    entry = points_at("entry", key="number")
    body = ", ".join(["id INTEGER PRIMARY KEY", entry, *columns])
    connection.execute(f"CREATE TABLE {name} ({body}) STRICT")
    for index in ("entry", *indexes):
        label = index.replace(", ", "_")
        connection.execute(f"CREATE INDEX ix_{name}_{label} ON {name}({index})")
    guard(connection, name)


def guard(connection: sqlite3.Connection, name: str) -> None:
    """Refuse UPDATE and DELETE on a table; REPLACE is a delete once recursive triggers are on."""
    for what in ("UPDATE", "DELETE"):
        connection.execute(
            f"CREATE TRIGGER {name}_no_{what.lower()} BEFORE {what} ON {name} "
            f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
        )
