"""A temperature record drawn in letters, one day under the other, as the milk screen draws its curve."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from datetime import timedelta
from typing import TYPE_CHECKING

from herdbook.cli.printing import width
from herdbook.clock import shown_day
from herdbook.units import TEMPERATURE_MC

if TYPE_CHECKING:
    from herdbook.chores.ground import Ground
    from herdbook.reports.temperature_record import TemperatureRecord
    from herdbook.screens.parts.curve import CurveSheet

HIGH = 11
MOST_DAYS = 14
"""Curves of more days than this are no help on a terminal: the HTML form draws any span in one."""
SCALE = {"°F": (32.0, 64.0, (40.0, 50.0, 60.0)), "°C": (0.0, 18.0, (5.0, 10.0, 15.0))}


def curves(record: TemperatureRecord, ground: Ground) -> Iterator[str]:
    """Each day's name and its curve; what lies off the scale is an arrow at its edge."""
    from herdbook.screens.parts.curve import curve
    from herdbook.screens.parts.signs import choose_signs

    signs = choose_signs(
        "plain" if not sys.stdout.isatty() else "", os.environ
    )  # any printer takes plain letters
    day, last = ground.clock.farm_day(record.first_s), ground.clock.farm_day(record.last_s - 1)
    if (last - day).days >= MOST_DAYS:
        yield f"{(last - day).days + 1} days are drawn in the HTML form only: --as html."
        return
    while day <= last:
        begins_s = ground.clock.day_starts(day)
        ends_s = ground.clock.day_starts(day + timedelta(days=1))
        sheet = _sheet(record, ground, begins_s, ends_s)
        yield ""
        yield shown_day(day)
        if not sheet.readings:
            yield "  no reading"
        else:
            yield from (line.plain.rstrip() for line in curve(sheet, width(), HIGH, signs))
        day += timedelta(days=1)


def _sheet(record: TemperatureRecord, ground: Ground, begins_s: int, ends_s: int) -> CurveSheet:
    from herdbook.reports.temperature_record import GAP_S
    from herdbook.screens.parts.curve import CurveSheet, LimitLine

    warmth = ground.units.warmth
    lowest, highest, levels = SCALE[warmth]
    hours = range(begins_s, ends_s, 4 * 3600)
    return CurveSheet(
        first_s=begins_s,
        last_s=ends_s,
        lowest=lowest,
        highest=highest,
        readings=[
            (at_s, TEMPERATURE_MC.value_in(milli, warmth))
            for at_s, milli in record.points
            if begins_s <= at_s < ends_s
        ],
        gap_s=GAP_S,
        limits=[LimitLine(TEMPERATURE_MC.value_in(milli, warmth), words) for milli, words in record.limits],
        levels=[(level, f"{level:g}") for level in levels],
        times=[(float(at_s), ground.clock.shown_time(at_s)) for at_s in hours if at_s > begins_s],
        unit=warmth,
    )
