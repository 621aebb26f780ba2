"""Who may write or look."""

from __future__ import annotations

from typing import Any

from herdbook.book.reading import farm as read_farm
from herdbook.chores.ground import Ground
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of

COLUMNS = (
    Column("person", "Name"),
    Column("roles", "May"),
    Column("login", "Login"),
    Column("active", "Active"),
)


def make(connection: Any, ground: Ground) -> Report:
    """Everyone in the book."""
    lines = tuple(
        Line(
            person.name,
            {
                "person": Figure(person.name, entries=entries_of(person.entry)),
                "roles": Figure(", ".join(sorted(person.roles)), entries=entries_of(person.entry)),
                "login": Figure(person.login or None, entries=entries_of(person.entry)),
                "active": Figure("yes" if person.active else "no", entries=entries_of(person.entry)),
            },
        )
        for person in read_farm.people(connection)
    )
    return Report("people", "People", tables=(Table("people", "People", COLUMNS, lines),))
