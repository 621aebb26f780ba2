"""Where a figure of a ration that is tried comes from: the same words as of the version in use."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from herdbook.book.opening import reading
from herdbook.chores.ground import Ground
from herdbook.reports.explaining import explain, said_in
from herdbook.reports.figures import Column
from herdbook.reports.parts_of import FeedFacts, leaf_parts
from herdbook.reports.ration import RationSheet, end_of_day, ration_value
from herdbook.science.figures import ration_figures
from herdbook.science.ration import totals
from herdbook.screens.ration_offer import items_of

if TYPE_CHECKING:
    from herdbook.book.reading.rations import Version
    from herdbook.reports.what_if import WhatIf

NOT_IN_USE = "Of amounts that are tried; they are not in use."


def figure_explained(path: Path, ground: Ground, version: Version, tried: WhatIf, key: str) -> Sequence[str]:
    """The lines that say where a figure of the ration as tried comes from.

    Args:
        path: the book.
        ground: the farm's units and clock.
        version: the version in use.
        tried: the ration as it is tried.
        key: the figure.
    """
    day = ground.clock.farm_day(ground.now_s)
    with reading(path) as connection:
        facts = FeedFacts(connection, ground, day.isoformat(), end_of_day(ground, day))
        parts = tuple(facts.parts_of_items(items_of(tried), entry=version.entry))
        sheet = RationSheet(version, parts, totals(leaf_parts(parts)), tried.targets, ())
        of = ration_figures()[key]
        column = Column(key, of.label, of.unit, of.decimals)
        told = explain(of.label, ration_value(of, sheet), ground, said_in(connection), column=column)
        lines = list(told.lines())
    return [*lines[:1], NOT_IN_USE, *lines[1:]] if tried.is_changed else lines
