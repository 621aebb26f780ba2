"""Whether the book has a copy that is young enough: the day its disk fails is too late to ask."""

from __future__ import annotations

from typing import Any

from herdbook.book.reading.entries import began_ms
from herdbook.book.reading.farm import farm
from herdbook.chores.ground import Ground
from herdbook.reports.exceptions import Found


def old_copies(connection: Any, ground: Ground) -> Found | None:
    """What is wrong with the copies of the book, by their names; None when nothing is.

    A made-up farm needs no copies, and a book none until it is itself as old as a copy may be.
    """
    if ground.copies is None or farm(connection).invented:
        return None
    limit_s = ground.copies.limit_s
    began = began_ms(connection)
    if began is None or ground.now_s - began / 1000 <= limit_s:
        return None
    from herdbook.book.copying import copies_are_old, newest_copy

    if not copies_are_old(ground.copies.folder, now_s=ground.now_s, limit_s=limit_s):
        return None
    newest = newest_copy(ground.copies.folder, ground.now_s)
    made = (
        "the book has none" if newest is None else f"the newest was made {ground.clock.shown(newest.made_s)}"
    )
    says = f"{made}; it may be {limit_s // 3600} h old (`herdbook copy`)."
    return Found(ground.clock.farm_day(ground.now_s), "Copies", says, ())
