"""What the ration desk reads: every ration's report as of now, each to be tried, and the pens that get it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from herdbook.chores.ground import Ground
from herdbook.errors import HerdbookError
from herdbook.reports.figures import Report

if TYPE_CHECKING:
    from herdbook.book.reading.herd import PenRow
    from herdbook.reports.what_if import WhatIf
    from herdbook.screens.ration_intake import Eater


@dataclass(frozen=True, slots=True)
class RationData:
    """Every ration's report as of now, those that have one, each to be tried; and the names of those that do not."""

    reports: Sequence[Report]
    tried: Sequence[WhatIf]
    without: Sequence[str]
    used_by: dict[str, list[str]]
    store_g: Mapping[int, float]
    eaters: Mapping[str, Sequence[Eater]]


def read_rations(connection: Any, ground: Ground) -> RationData:
    """Every ration as of now, to be shown and tried; runs in the reading thread."""
    from herdbook.book.reading import herd as read_herd
    from herdbook.book.reading import rations as read_rations
    from herdbook.chores.in_store import in_store
    from herdbook.reports import ration
    from herdbook.reports.what_if import WhatIf
    from herdbook.screens.ration_intake import eaters_of

    reports, tried, without = [], [], []
    today = ground.clock.farm_day(ground.now_s).isoformat()
    used: dict[str, list[str]] = {}
    fed: dict[str, list[PenRow]] = {}
    for pen in read_herd.pens(connection):
        its = read_rations.pen_ration_on(connection, pen.pen, today)
        if its is not None:
            used.setdefault(ground.name_of("ration", its["ration"]), []).append(pen.name)
            fed.setdefault(ground.name_of("ration", its["ration"]), []).append(pen)
    for name, number in ground.names.get("ration", {}).items():
        try:
            report = ration.make(connection, ground, name=number)
            tried.append(WhatIf.of(connection, ground, number, version=report.data.version))
        except HerdbookError:
            without.append(name)
        else:
            reports.append(report)
    store = {feed: max(0.0, its.held_g) for feed, its in in_store(connection, ground).items()}
    eaters = {ration: eaters_of(connection, ground, pens) for ration, pens in fed.items()}
    return RationData(reports, tried, without, used, store, eaters)
