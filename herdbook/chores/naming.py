"""The names that what is typed may use, as the book stands: for writing and for reading the same."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from herdbook.book.reading import farm as read_farm
from herdbook.book.reading.held import TREATMENT_NAMED_S, treatment_names
from herdbook.book.reading.walk import WALK_NAMED_S, walk_names
from herdbook.chores.ground import Ground
from herdbook.chores.load_names import load_names


def with_names(connection: Any, ground: Ground) -> Ground:
    """The same ground with every name in the book.

    Args:
        connection: the book, open for reading.
        ground: the farm's units and clock, and the instant it is.
    """
    ground = replace(ground, names=read_farm.all_names(connection))
    named = {
        "load": load_names(connection, ground),
        "walk": walk_names(connection, ground.now_s - WALK_NAMED_S),
        "treatment": treatment_names(connection, ground.now_s - TREATMENT_NAMED_S),
    }
    return replace(ground, names={**ground.names, **named})
