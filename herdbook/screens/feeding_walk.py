"""Cows of the walk can be named on the screens: those still open, by number and what was seen."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from herdbook.chores.ground import Ground


def with_cows(connection: Any, ground: Ground) -> Ground:
    """The ground with the names of everything open on the walk.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
    """
    from herdbook.book.reading.walk import NEVER, walk_names

    return replace(ground, names={**ground.names, "walk": walk_names(connection, NEVER)})
