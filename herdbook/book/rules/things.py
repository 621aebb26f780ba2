"""Rules of the book on people, things and their names, and on what is dated when."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Iterator

from herdbook.book.checks import Finding
from herdbook.book.reading import farm as read_farm
from herdbook.book.reading.entries import NAMED_BY, links
from herdbook.book.reading.rows import stands
from herdbook.book.rules.looking import Look, found, rule

AHEAD_S = 10 * 60
"""Two clocks on one farm differ by minutes; what lies further ahead of its writing is dated in the future."""

INSTANTS = {
    "head_count": "counted_at",
    "dry_test": "tested_at",
    "load_plan": "started_at",
    "load_weight": "weighed_at",
    "feed_drop": "dropped_at",
    "refusal": "weighed_at",
    "milking_start": "started_at",
    "milking_end": "ended_at",
    "temperature": "read_at",
    "reading_batch": "last_at",
    "pickup_ticket": "picked_at",
    "bunk_score": "read_at",
    "push_up": "pushed_at",
    "trough_seen": "seen_at",
    "walk_note": "seen_at",
    "walk_closed": "closed_at",
    "treatment_card": "last_given_at",
    "treatment_dose": "given_at",
    "treatment_over": "back_at",
    "held_milk": "went_at",
    "milk_test": "sampled_at",
    "milk_dump": "dumped_at",
    "tank_level": "read_at",
    "thermometer_check": "checked_at",
    "milk_result": "sampled_at",
    "wash": "washed_at",
    "new_face": "opened_at",
    "feed_delivery": "came_at",
    "stock_count": "counted_at",
    "alarm_raised": "raised_at",
}
"""The instant each fact happened at."""


@rule
def facts_lean_on_what_stands(look: Look) -> Iterator[Finding]:
    """No fact points at a thing whose description was struck and not replaced."""
    cards = {thing: card for card, thing in NAMED_BY.items()}
    for table, column, kind in links(look.connection):
        card = cards.get(kind, table)
        if card == table:  # what it points at has no card, or is described here
            continue
        sql = (
            f"SELECT {table}.entry, entry.farm_day FROM {table} {stands(table)} "
            f"WHERE {table}.{column} NOT IN (SELECT {card}.{kind} FROM {card} {stands(card)}) "
            f"ORDER BY {table}.entry"
        )
        for row in look.rows(sql):
            says = f"leans on a {kind} that was struck and not replaced."
            yield found(f"entry {row['entry']}", says, (row["entry"],), row["farm_day"])


@rule
def names_are_used_once(look: Look) -> Iterator[Finding]:
    """No two pens, feeds, rations, mixers, tanks or people share a name."""
    for kind, card in ((kind, f"{kind}_card") for kind in read_farm.CARDS):
        named: dict[str, dict[int, int]] = defaultdict(dict)
        newest: dict[int, sqlite3.Row] = {}
        for row in look.rows(f"SELECT {card}.* FROM {card} {stands(card)} ORDER BY {card}.id"):
            newest[row[kind]] = row
        for thing, row in newest.items():
            named[row["name"].lower()][thing] = row["entry"]
        for name, things in named.items():
            if len(things) > 1:
                entries = tuple(things.values())
                yield found(f"{kind} {name}", f"is the name of {len(things)} different ones.", entries, "")


@rule
def an_owner_is_left(look: Look) -> Iterator[Finding]:
    """Someone active may do everything."""
    people = read_farm.people(look.connection)
    if not any(person.active and "owner" in person.roles for person in people):
        yield found("people", "nobody active is an owner.", tuple(person.entry for person in people), "")


@rule
def nothing_is_written_ahead_of_time(look: Look) -> Iterator[Finding]:
    """No entry is dated after now."""
    limit_ms = (look.now_s + AHEAD_S) * 1000
    for row in look.rows("SELECT number, written_ms, farm_day FROM entry WHERE written_ms > ?", limit_ms):
        says = f"was written at {look.at(row['written_ms'] // 1000)}, which lies ahead."
        yield found(f"entry {row['number']}", says, (row["number"],), row["farm_day"])


@rule
def nothing_happened_after_it_was_written(look: Look) -> Iterator[Finding]:
    """No fact is dated after its entry was written."""
    for table, column in INSTANTS.items():
        sql = (
            f"SELECT {table}.entry, {column} AS instant, entry.farm_day, entry.chore FROM {table} {stands(table)} "
            f"WHERE {column} > entry.written_ms / 1000 + ?"
        )
        for row in look.rows(sql, AHEAD_S):
            says = f"({row['chore']}) is of {look.at(row['instant'])}, after it was written."
            yield found(f"entry {row['entry']}", says, (row["entry"],), row["farm_day"])
