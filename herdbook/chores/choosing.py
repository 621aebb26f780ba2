"""Choosing what a chore is about: the only tank or mixer there is, a load that stands."""

from __future__ import annotations

from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading.feeding import LoadRow
from herdbook.chores.doing import Doing
from herdbook.errors import ChoreRefused, Refused


def only_one(doing: Doing, kind: str, given: int | None) -> int:
    """The thing that was given, or the only one of its kind.

    Raises:
        ChoreRefused: there is none.
        Refused: there are several and none was given.
    """
    if given is not None:
        return given
    known = doing.ground.names.get(kind, {})
    if not known:
        raise ChoreRefused(
            f"There is no {kind} in the book yet.", remedy=f"Write one first: `herdbook write {kind}`."
        )
    if len(known) > 1:
        raise Refused(f"{kind}: which one?", remedy=f"Give {' or '.join(known)}.", field=kind)
    return next(iter(known.values()))


def standing_load(doing: Doing, load: int) -> LoadRow:
    """A load with everything that went into it.

    Raises:
        Refused: it was struck, or never was.
    """
    found = read_feeding.load_by_id(doing.book, load)
    if found is None:
        raise Refused(
            "load: it is not in the book, or was struck.",
            remedy="See `herdbook show loads`, or begin it again with `herdbook write load`.",
            field="load",
        )
    return found
