"""What the slip of a chore asks and says: its fields, what must be in the book first, what stands on it."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from herdbook.errors import Refused

if TYPE_CHECKING:
    from herdbook.chores.asking import Ask
    from herdbook.chores.doing import Chore
    from herdbook.chores.ground import Ground
    from herdbook.screens.desk import Desk

TOLD_OF_HELD_MILK = ("milking", "milked", "pickup")
"""Chores at which somebody can still keep held milk out of the tank, or off the lorry."""

ONE_WILL_DO = ("tank", "mixer")
"""Things a slip does not ask for while there is only one."""

THEIR_KEYS = {
    "load": "F3, then L begins one.",
    "milking": "F4, then M begins one.",
    "feed": "F5, then F writes one.",
    "ration": "F5, then E writes one.",
}

BY_ITSELF = {
    "": ("typed", "source", "file", "seen"),
    "load": ("planned", "loaded", "sure"),
    "alarm": ("kind",),  # the watcher's own kinds clear by themselves; what people raise, people say is over
}
"""Fields a slip does not ask, of every chore or of one: filled in by themselves, or written one by one elsewhere."""


def asked(chore: Chore, ground: Ground, fixed: Container[str]) -> list[str]:
    """The fields that a chore's slip asks: not those that are given, nor which of a thing there is one of."""
    hidden = {*BY_ITSELF[""], *BY_ITSELF.get(chore.name, ())}
    return [
        name
        for name, ask in chore.draft.asks().items()
        if name not in hidden and name not in fixed and not _is_only(ask, ground)
    ]


def _is_only(ask: Ask, ground: Ground) -> bool:
    """Whether it asks which, of a thing there is one of: then the chore takes that one by itself."""
    from herdbook.chores.asking import Name

    return isinstance(ask, Name) and ask.thing in ONE_WILL_DO and len(ground.names.get(ask.thing, {})) == 1


def see_things(chore: Chore, ground: Ground) -> None:
    """Say at once, not at the end of a form, that what a chore is about is not in the book yet.

    Raises:
        Refused: a thing is missing.
    """
    from herdbook.chores.repeated import Pair, Several

    for name, ask in chore.draft.asks().items():
        one = ask.each if isinstance(ask, Several) else ask
        one = one.first if isinstance(one, Pair) else one
        thing = str(getattr(one, "thing", one.label))
        needed = chore.draft.required(name) or thing in ONE_WILL_DO
        choices = one.choices(ground)
        if needed and choices is not None and not choices:
            way = THEIR_KEYS.get(thing, "W writes one first.")
            raise Refused(f"There is no {thing} in the book yet.", remedy=way)


def notes_on(chore_name: str, book: Path, ground: Ground) -> Sequence[str]:
    """What stands on a slip: whose milk stays out and which tank is blocked, and what is never mixed."""
    if chore_name == "wash":
        from herdbook.chores.wash_cautions import NEVER_MIX

        return (NEVER_MIX,)
    if chore_name not in TOLD_OF_HELD_MILK:
        return ()
    from herdbook.book.opening import reading
    from herdbook.reports.held import held_now

    with reading(book) as connection:
        return held_now(connection, ground).says()


def settings_now(desk: Desk, ground: Ground) -> Mapping[str, str | Sequence[str]]:
    """The farm's settings as they stand, for the slip that changes them: what is not changed stays."""
    from herdbook.book.opening import reading
    from herdbook.book.reading.entries import entry
    from herdbook.book.reading.farm import farm
    from herdbook.screens.chore_slip import texts_of_entry

    with reading(desk.path) as connection:
        row = entry(connection, farm(connection).entry)
    return {} if row is None else texts_of_entry(desk.chore(row["chore"]), row["asked"], ground)
