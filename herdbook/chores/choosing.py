"""Taking the only one there is, so that a farm with one tank or one mixer need not name it."""

from __future__ import annotations

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
