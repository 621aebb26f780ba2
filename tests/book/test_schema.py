"""The tables in the file are the tables the program speaks of, and the past in them cannot be changed."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import Any

import pytest

from herdbook.book import tables as book_tables
from herdbook.book.opening import connect
from tests.book import reference_chain
from tests.yard import Yard

MODELS = dict(book_tables.Entry.metadata.tables)
MAY_CHANGE = {"draft", "notice", "alarm_gone"}


def test_the_file_has_exactly_the_tables_of_the_models(bare_yard: Yard) -> None:
    found = bare_yard.rows("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
    assert {row["name"] for row in found} == set(MODELS)


@pytest.mark.parametrize("name", sorted(MODELS))
def test_columns_nullability_and_links_are_those_of_the_models(template_book: Any, name: str) -> None:
    with closing(sqlite3.connect(template_book)) as connection:
        in_file = {
            row[1]: (not row[3] and not row[5], bool(row[5]))
            for row in connection.execute(f"PRAGMA table_info({name})")
        }
        links = {
            (row[3], f"{row[2]}.{row[4]}") for row in connection.execute(f"PRAGMA foreign_key_list({name})")
        }
    table = MODELS[name]
    assert in_file == {c.name: (bool(c.nullable), bool(c.primary_key)) for c in table.columns}
    assert links == {(c.name, key.target_fullname) for c in table.columns for key in c.foreign_keys}


@pytest.mark.parametrize("name", sorted(MODELS))
def test_uniqueness_is_that_of_the_models(template_book: Any, name: str) -> None:
    with closing(sqlite3.connect(template_book)) as connection:
        unique = {
            tuple(info[2] for info in connection.execute(f"PRAGMA index_info({row[1]})"))
            for row in connection.execute(f"PRAGMA index_list({name})")
            if row[2] and row[3] == "u"
        }
    assert unique == {(c.name,) for c in MODELS[name].columns if c.unique}


@pytest.mark.parametrize("name", sorted(set(MODELS) - MAY_CHANGE))
def test_no_client_changes_takes_away_or_replaces_a_row(yard: Yard, name: str) -> None:
    if not yard.rows(f"SELECT 1 FROM {name} LIMIT 1"):
        fill(yard, name)
    key = {"entry": "number", "reading": "read_at"}.get(name, "id")
    whole_key = "tank, read_at, batch" if name == "reading" else key
    first = yard.rows(f"SELECT * FROM {name} ORDER BY {key} LIMIT 1")[0]
    before = yard.state()
    columns, marks = ", ".join(first), ", ".join("?" * len(first))
    attempts = [
        (f"UPDATE {name} SET {column} = {column}", ()) for column in first
    ] + [
        (f"DELETE FROM {name}", ()),
        (f"DELETE FROM {name} WHERE {key} = ?", (first[key],)),
        (f"REPLACE INTO {name} ({columns}) VALUES ({marks})", tuple(first.values())),
        (f"INSERT OR REPLACE INTO {name} ({columns}) VALUES ({marks})", tuple(first.values())),
        (f"UPDATE OR REPLACE {name} SET {key} = {key}", ()),
        (f"INSERT INTO {name} ({columns}) VALUES ({marks}) ON CONFLICT ({whole_key}) DO UPDATE SET {key} = {key}",
         tuple(first.values())),
    ]  # fmt: skip
    with closing(sqlite3.connect(yard.path)) as stranger, closing(connect(yard.path)) as ours:
        for client in (stranger, ours):
            client.execute("PRAGMA ignore_check_constraints = ON")  # the guards alone must do it
            for sql, values in attempts:
                if client is stranger and "REPLACE INTO" in sql:
                    continue  # a client without recursive triggers can; the chain then says so, see below
                with pytest.raises(sqlite3.IntegrityError, match="the book is only added to"):
                    client.execute(sql, values)
                client.rollback()
    assert yard.state() == before


def fill(yard: Yard, name: str) -> None:
    """Put some row in a table the sample farm has none in; what it says is of no matter here."""
    with closing(sqlite3.connect(yard.path)) as client:
        client.execute("PRAGMA ignore_check_constraints = ON")
        columns = {row[1]: row[2] for row in client.execute(f"PRAGMA table_info({name})") if row[3] or row[5]}
        some = [b"1" if kind == "BLOB" else "1" if kind == "TEXT" else 1 for kind in columns.values()]
        marks = ", ".join("?" * len(some))
        client.execute(f"INSERT INTO {name} ({', '.join(columns)}) VALUES ({marks})", some)
        client.commit()


def test_a_stranger_who_replaces_a_row_breaks_the_chain(yard: Yard) -> None:
    with closing(sqlite3.connect(yard.path)) as stranger:
        row = list(
            stranger.execute("SELECT id, entry, tank, read_at, tank_mC, typed FROM temperature").fetchone()
        )
        row[4] = 3_900
        stranger.execute("REPLACE INTO temperature (id, entry, tank, read_at, tank_mC, typed, source) "
                         "VALUES (?, ?, ?, ?, ?, ?, 'by hand')", row)  # fmt: skip
        stranger.commit()
    assert reference_chain.faults(yard.path) == [f"entry {row[1]} is not what was written"]


def test_an_entry_is_struck_once_and_never_unstruck(yard: Yard) -> None:
    struck = yard.do("head", pen="High", head="60").entry
    strike = yard.do("strike", entry=str(struck)).entry
    with closing(connect(yard.path)) as client:
        for sql in (
            f"UPDATE entry SET struck_by = NULL WHERE number = {struck}",
            f"UPDATE entry SET struck_by = 1 WHERE number = {struck}",
            f"UPDATE entry SET struck_by = {strike}, said = 'x' WHERE number = 2",
        ):
            with pytest.raises(sqlite3.IntegrityError):
                client.execute(sql)


@pytest.mark.parametrize(
    "bad", [chr(n) for n in [*range(1, 32), *range(127, 160)]], ids=lambda c: f"{ord(c):#04x}"
)
def test_the_file_itself_refuses_control_characters(yard: Yard, bad: str) -> None:
    with closing(connect(yard.path)) as client, pytest.raises(sqlite3.IntegrityError, match="CHECK"):
        client.execute(
            "INSERT INTO pen_card (entry, pen, name, kind, walk) VALUES (1, 1, ?, 'dry', 1)", (f"A{bad}B",)
        )


@pytest.mark.parametrize("value", [-5_001, 60_001, 3.5, "warm", None, b"\x01"])
def test_the_file_itself_refuses_what_cannot_be(yard: Yard, value: object) -> None:
    with closing(connect(yard.path)) as client, pytest.raises(sqlite3.IntegrityError):
        client.execute(
            "INSERT INTO temperature (entry, tank, read_at, tank_mC, typed, source) "
            "VALUES (1, 1, 1773068400, ?, '', '')",
            (value,),
        )


def test_a_row_without_an_entry_is_refused_at_the_end_of_the_turn(yard: Yard) -> None:
    with closing(connect(yard.path)) as client:
        client.execute("BEGIN IMMEDIATE")
        client.execute("INSERT INTO pen (entry) VALUES (99999)")
        with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
            client.execute("COMMIT")
