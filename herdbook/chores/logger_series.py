"""From a logger's rows to a series: order, doubled hours, one unit, and everything that cannot be said by line."""

from __future__ import annotations

from array import array
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import islice, pairwise
from operator import eq, gt

from herdbook.chores.logger_layouts import Layout
from herdbook.chores.logger_rows import RowFault, Rows
from herdbook.chores.moments import AHEAD_S
from herdbook.chores.readings import Series
from herdbook.errors import Refused

EARLIEST_S = 946_771_200
"""2000-01-02: a logger that lost its clock begins again at 1970 or at the turn of 2000."""

JUST_NOW_S = 30 * 60
"""A line that a logger has just written is no older: common practice, no source."""

COLDEST_MC, WARMEST_MC = -20_000, 110_000
"""A logger in an empty tank reads the winter air and the hot wash; colder or hotter is a broken sensor."""

COLD_OF_F = 30_000
"""Milk freezes just under 31 °F: what is colder is not written in °F (from memory, checked nowhere)."""
WARMEST_MILK_C = 40_000
NEVER_SO_LONG_S = 4 * 3600
FEW_READINGS = 12  # far apart they may each be of another milking; a guess
"""Milk comes in at no more than 40 °C and is not left so for hours: such figures are °F. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Found:
    """A file's series and what was found on the way.

    Args:
        series: the readings, in order.
        faults: rows that cannot be, by line.
        notes: what a person should know: order, gaps, repeats.
        unit: "C" or "F".
        why_unit: by what the unit is known.
    """

    series: Series
    faults: tuple[RowFault, ...]
    notes: tuple[str, ...]
    unit: str
    why_unit: str


@dataclass(frozen=True, slots=True)
class Grows:
    """A file that is read while it is written.

    Args:
        last_s: the last instant that was read of it before; none where this is its beginning.
    """

    last_s: int | None


def series_of(rows: Rows, now_s: int, shown: Callable[[int], str], grows: Grows | None = None) -> Found:
    """Put rows in order and in one unit.

    Args:
        rows: as read.
        now_s: the instant it is; what lies after it is a fault.
        shown: an instant as a person reads it.
        grows: of a file that is read while it is written.

    Raises:
        Refused: the unit cannot be told.
    """
    notes: list[str] = []
    faults = list(rows.faults)
    layout = rows.layout
    if _falls(rows.at):
        _turn_round(rows)
        notes.append("the newest reading stands first; they were turned round")
    faults += _settle_doubled(rows, grows, now_s)
    unit, why = unit_of(layout, rows.value, rows.at)
    to_mc = {value: millidegrees(value, unit) for value in set(rows.value)}
    mcs = array("q", map(to_mc.__getitem__, rows.value))
    bad = _impossible(rows, mcs, now_s, shown, unit)
    faults += bad.values()
    at, mc, line = _without(set(bad), rows.at, mcs, rows.line)
    if _any_before(at):
        where = next(place for place in range(1, len(at)) if at[place] < at[place - 1])
        notes.append(
            f"from line {line[where]} the times go back to {shown(at[where])}; they were put in order"
        )
        order = sorted(range(len(at)), key=at.__getitem__)
        at, mc, line = (array(one.typecode, map(one.__getitem__, order)) for one in (at, mc, line))
    at, mc, twice = _once(at, mc, line, layout, shown, notes)
    faults += twice
    if rows.missing:
        notes.append(f"rows without a temperature, left out: {rows.missing:,}")
    return Found(Series(at, mc), tuple(sorted(faults, key=lambda fault: fault.line)), tuple(notes), unit, why)


def _falls(at: Sequence[int]) -> bool:
    """Whether the newest stands first: most readings are older than the one before."""
    falling = sum(1 for earlier, later in pairwise(at) if later < earlier)
    return 2 * falling > len(at) - 1 > 0


def _any_before(at: Sequence[int]) -> bool:
    return any(map(gt, at, islice(at, 1, None)))


def _turn_round(rows: Rows) -> None:
    last = len(rows.at) - 1
    for one in (rows.at, rows.value, rows.line):
        one.reverse()
    rows.late = {last - place: late for place, late in reversed(rows.late.items())}


def _settle_doubled(rows: Rows, grows: Grows | None, now_s: int) -> list[RowFault]:
    """Give each reading of an hour that came twice its instant: the first time round until the times jump back."""
    faults, night = [], []
    places = sorted(rows.late)
    for index, place in enumerate(places):
        night.append(place)
        if index + 1 < len(places) and rows.at[places[index + 1]] - rows.at[place] < 12 * 3600:
            continue
        faults += _settle_night(rows, night, grows, now_s)
        night = []
    return faults


def _settle_night(rows: Rows, night: list[int], grows: Grows | None, now_s: int) -> list[RowFault]:
    at = rows.at
    jump = next((index for index in range(1, len(night)) if at[night[index]] < at[night[index - 1]]), None)
    if jump is None and grows is not None:
        jump = 0 if _is_second_time(rows, night, grows, now_s) else len(night)
    if jump is None:
        layout = rows.layout
        says = (
            f"the clock of {layout.zone} showed this hour twice, the file has it once: which is meant cannot be told; "
            "if the logger's clock does not change, give --zone with its offset"
        )
        return [RowFault(rows.line[night[0]], layout.column(layout.time_at), f"{says}.")]
    for place in night[jump:]:
        at[place] = rows.late[place]
    return []


def _is_second_time(rows: Rows, night: list[int], grows: Grows, now_s: int) -> bool:
    """Whether rows of a growing file are of the hour's second time: they go on from its last, or are of just now."""
    if grows.last_s is not None:
        return rows.at[night[0]] <= grows.last_s
    early, late = rows.at[night[-1]], rows.late[night[-1]]
    return abs(now_s - late) < abs(now_s - early) and abs(now_s - late) < JUST_NOW_S


def unit_of(layout: Layout, values: Sequence[int], at: Sequence[int]) -> tuple[str, str]:
    """The unit of a file and by what it is known: told, written in it, or the only one milk can have.

    Raises:
        Refused: it cannot be told, or no milk has such temperatures in either unit.
    """
    if layout.unit or not len(values):
        return layout.unit or "C", layout.why.get("unit", "")
    low, high = min(values), max(values)
    hours = (max(at) - min(at)) / NEVER_SO_LONG_S
    may_be_f = low >= COLD_OF_F + 1_000
    may_be_c = low < COLD_OF_F or (high <= WARMEST_MILK_C and (hours <= 1 or len(values) < FEW_READINGS))
    span = f"{low / 1000:g} to {high / 1000:g}"
    if may_be_c and not may_be_f:
        return "C", f"{span}: milk is not ice, so not °F"
    if may_be_f and not may_be_c:
        return "F", f"{span}: milk does not stay so warm, so not °C"
    raise Refused(
        f"{layout.column(layout.temperature_at)}: {span} may be °C or °F; nothing in the file tells.",
        remedy="Give --unit C or --unit F.",
        field="unit",
    )


def millidegrees(thousandths: int, unit: str) -> int:
    """Millidegrees C of thousandths of a degree."""
    return thousandths if unit == "C" else (10 * (thousandths - 32_000) + 9) // 18


def _impossible(
    rows: Rows, mcs: Sequence[int], now_s: int, shown: Callable[[int], str], unit: str
) -> dict[int, RowFault]:
    layout, found, latest = rows.layout, {}, now_s + AHEAD_S
    if len(mcs) and not (min(mcs) >= COLDEST_MC and max(mcs) <= WARMEST_MC):
        for place, mc in enumerate(mcs):
            if not COLDEST_MC <= mc <= WARMEST_MC:
                says = f"{rows.value[place] / 1000:g} °{unit} is no temperature of a tank; the sensor may be broken."
                found[place] = RowFault(rows.line[place], layout.column(layout.temperature_at), says)
    if len(mcs) and not (min(rows.at) >= EARLIEST_S and max(rows.at) <= latest):
        for place, at in enumerate(rows.at):
            if not EARLIEST_S <= at <= latest:
                lies = "in the future" if at > latest else "before loggers had the time"
                says = f"{shown(at)} lies {lies}; the logger's clock or its zone may be wrong."
                found[place] = RowFault(rows.line[place], layout.column(layout.time_at), says)
    return found


def _without(places: set[int], *columns: array[int]) -> list[array[int]]:
    if not places:
        return list(columns)
    return [
        array(column.typecode, (one for place, one in enumerate(column) if place not in places))
        for column in columns
    ]


def _once(
    at: array[int],
    mc: array[int],
    line: array[int],
    layout: Layout,
    shown: Callable[[int], str],
    notes: list[str],
) -> tuple[array[int], array[int], list[RowFault]]:
    """Each instant once: the same reading again is passed by, another temperature at the same instant is a fault."""
    if not any(map(eq, at, islice(at, 1, None))):
        return at, mc, []
    keep, again, faults = [0], 0, []
    for place in range(1, len(at)):
        first = keep[-1]
        if at[place] != at[first]:
            keep.append(place)
        elif mc[place] == mc[first]:
            again += 1
        else:
            says = f"{shown(at[place])} stands in line {line[first]} too, with another temperature."
            faults.append(RowFault(line[place], layout.column(layout.time_at), says))
    if again:
        notes.append(f"rows that stand twice, taken once: {again:,}")
    return array("q", map(at.__getitem__, keep)), array("q", map(mc.__getitem__, keep)), faults
