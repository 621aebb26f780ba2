"""The walk: cows somebody saw and nobody has closed, when each is looked at again, and when to call for help."""

from __future__ import annotations

from typing import Any

from herdbook.book.reading import walk as read_walk
from herdbook.book.reading.walk import WalkRow
from herdbook.chores.ground import Ground
from herdbook.chores.vet_signs import CALL_NOW_SAYS
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of

COLUMNS = (
    Column("cow", "Cow"),
    Column("what", "Seen"),
    Column("pen", "Pen"),
    Column("first_at", "First", "time"),
    Column("seen_at", "Last", "time"),
    Column("looks", "Looks"),
    Column("words", "Words"),
    Column("done", "Done"),
    Column("vet", "Vet"),
    Column("again_at", "Again", "time"),
    Column("state", "State"),
    Column("walk", "Its number"),
)


def make(connection: Any, ground: Ground, *, days: int | None = None) -> Report:
    """What is open, late ones first; with `days` also what was closed in the last days."""
    since_s = read_walk.NEVER if days is None else ground.now_s - days * 86_400
    found = read_walk.walks(connection, since_s=since_s)
    found.sort(key=lambda one: (one.closed is not None, _again(one), one.walk))
    return Report(
        "walk",
        "Cows seen on the walk" + ("" if days is None else f", and closed in {days} days"),
        tables=(
            Table(
                "walk", "On the walk", COLUMNS, tuple(_line(one, ground) for one in found), "No cow is open."
            ),
        ),
        warnings=(CALL_NOW_SAYS,),
    )


def _again(one: WalkRow) -> int:
    again = one.newest["watch_again_at"]
    return int(one.newest["seen_at"] if again is None else again)


def _line(one: WalkRow, ground: Ground) -> Line:
    newest, under = one.newest, entries_of(one.newest["entry"])
    every = entries_of(*one.entries)
    again = newest["watch_again_at"]
    late = one.closed is None and again is not None and again < ground.now_s
    if one.closed is not None:
        state = Figure(f"closed: {one.closed['outcome']}", entries=entries_of(one.closed["entry"]))
    else:
        state = Figure("open", entries=every, flag="!" if late else "", says="late" if late else "")
    return Line(
        f"{one.cow} {newest['what']}",
        {
            "cow": Figure(one.cow, entries=under),
            "what": Figure(newest["what"], entries=under),
            "pen": Figure(
                None if newest["pen"] is None else ground.name_of("pen", newest["pen"]), entries=under
            ),
            "first_at": Figure(one.looks[0]["seen_at"], "time", entries=entries_of(one.looks[0]["entry"])),
            "seen_at": Figure(newest["seen_at"], "time", entries=under),
            "looks": Figure(len(one.looks), rule="how often it was written", entries=every),
            "words": Figure(newest["words"], entries=under),
            "done": Figure(newest["done"], entries=under),
            "vet": Figure("called" if one.vet_called else "", entries=every),
            "again_at": Figure(again, "time", entries=under),
            "state": state,
            "walk": Figure(f"#{one.walk}", entries=every),
        },
    )
