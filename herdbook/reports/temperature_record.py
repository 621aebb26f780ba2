"""A tank's temperature record of any span: every reading with its source, corrections, gaps, milkings and pickups."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from herdbook.book.reading import entries as read_entries
from herdbook.book.reading import milk as read_milk
from herdbook.book.reading import milk_rounds as read_rounds
from herdbook.chores.ground import Ground
from herdbook.reports.cooling import LOOK_BACK_S
from herdbook.reports.cooling_standard import Standards, every_limit
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.fillings import fillings
from herdbook.reports.spans import Span, last_days
from herdbook.reports.tank_rounds import LESS_ERROR_RULE, TankRounds, tank_rounds, thermometer_words
from herdbook.reports.verdict_lines import chosen_tank

GAP_S = 2 * 3600
"""Readings of milk further apart than this leave a gap: common practice, no source."""
MOST_LINES, THIN_S = 1_500, 1_800
"""A longer table keeps the warmest reading of each half hour, and says so."""
GOVERNS = (
    "A temperature log is not proof of compliance or of safety: the inspector's and the hauler's thermometers govern "
    "(official readings are taken with a calibrated thermometer, Washington WAC 16-125-210(2)(g))."
)
READING_COLUMNS = (
    Column("read_at", "Read", "time"),
    Column("tank_degC", "As read", "degC", 1),
    Column("less_error_degC", "Less its error", "degC", 1),
    Column("source", "Source"),
    Column("agitator", "Agitator"),
    Column("written_by", "By"),
    Column("state", "State"),
    Column("entry", "Entry"),
)
GAP_COLUMNS = (
    Column("from_at", "From", "time"),
    Column("to_at", "To", "time"),
    Column("gap_h", "Hours", "h", 1),
)
EVENT_COLUMNS = (Column("at", "At", "time"), Column("what", "What"), Column("entry", "Entry"))


@dataclass(frozen=True, slots=True)
class TemperatureRecord:
    """What a chart draws; instants are UTC seconds, temperatures thousandths of a degree C."""

    first_s: int
    last_s: int
    points: Sequence[tuple[int, int]]
    struck: Sequence[tuple[int, int]]
    gaps: Sequence[tuple[int, int]]
    milkings: Sequence[tuple[int, int]]
    taken: Sequence[int]
    limits: Sequence[tuple[int, str]]


def make(connection: Any, ground: Ground, *, tank: int | None = None, of: Span | None = None) -> Report:
    """The record of one tank.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        tank: which tank; the only one if not given.
        of: farm days; today and the six before if not given.

    Raises:
        ChoreRefused: there is no tank.
        Refused: there are several and none was named.
    """
    card = chosen_tank(connection, tank)
    span = of or Span(last_days(ground, 6).first, ground.clock.farm_day(ground.now_s))
    first_s = ground.clock.day_starts(span.first)
    last_s = min(ground.clock.day_starts(span.last + timedelta(days=1)), ground.now_s + 1)
    # a gap may begin before the span and end after it
    around_s = (first_s - LOOK_BACK_S, min(last_s + LOOK_BACK_S, ground.now_s + 1))
    known = read_milk.temperatures(connection, card.tank, *around_s)
    rows = [row for row in known if first_s <= row["read_at"] < last_s]
    struck = read_rounds.struck_temperatures(connection, card.tank, first_s, last_s)
    # what stood in the tank when the span began says whether nobody read milk, or nothing
    milkings = read_milk.milkings(connection, card.tank, *around_s)
    taken = read_milk.taken_out(connection, card.tank, *around_s)
    gaps = [
        (at_s, next_s)
        for at_s, next_s in _gaps(known, milkings, taken, around_s[1])
        if at_s < last_s and next_s > first_s
    ]
    milkings = [one for one in milkings if one.started_at < last_s]
    taken = [row for row in taken if row["picked_at"] < last_s]
    rounds = tank_rounds(connection, card, None, (), ground)
    data = TemperatureRecord(
        first_s,
        last_s,
        [(row["read_at"], row["tank_mC"]) for row in rows],
        [(row["read_at"], row["tank_mC"]) for row in struck],
        [(max(at_s, first_s), min(next_s, last_s)) for at_s, next_s in gaps],
        [(one.started_at, one.ended_at or last_s) for one in milkings if (one.ended_at or last_s) > first_s],
        [row["picked_at"] for row in taken if row["picked_at"] >= first_s],
        every_limit(Standards.of(connection).on(span.last)),
    )
    shown = _thinned(rows)
    lines = sorted([*shown, *struck], key=lambda row: (row["read_at"], row["entry"]))
    said = _Said(connection, ground, rounds)
    return Report(
        "temperature-record",
        f"Temperature record of {card.name}, {span}",
        facts=_facts(card.name, rows, struck, gaps),
        columns=FACT_COLUMNS,
        tables=(
            Table(
                "readings", "Readings", READING_COLUMNS, tuple(map(said.line, lines)), "Nobody read the tank."
            ),
            Table(
                "gaps",
                f"Gaps of more than {GAP_S // 3600} h while milk was in the tank",
                GAP_COLUMNS,
                tuple(_gap_line(one, ground) for one in gaps),
                "None.",
            ),
            Table(
                "events",
                "Milkings and pickups",
                EVENT_COLUMNS,
                tuple(_events(milkings, taken, ground, first_s)),
            ),
        ),
        warnings=(*_notes(rows, shown, rounds, ground), GOVERNS),
        data=data,
    )


FACT_COLUMNS = {
    "tank": Column("tank", "Tank"),
    "readings": Column("readings", "Readings"),
    "warmest_degC": Column("warmest_degC", "Warmest", "degC", 1),
    "coldest_degC": Column("coldest_degC", "Coldest", "degC", 1),
    "struck": Column("struck", "Struck or corrected"),
    "gaps": Column("gaps", "Gaps"),
}


def _facts(name: str, rows: Sequence[Any], struck: Sequence[Any], gaps: Sequence[Any]) -> dict[str, Figure]:
    warmth = [(row["tank_mC"], row["entry"]) for row in rows]
    low, high = min(warmth, default=None), max(warmth, default=None)
    return {
        "tank": Figure(name),
        "readings": Figure(len(rows), rule="readings that stand"),
        "warmest_degC": Figure(
            high and high[0] / 1000, "degC", entries=entries_of(high[1] if high else None)
        ),
        "coldest_degC": Figure(low and low[0] / 1000, "degC", entries=entries_of(low[1] if low else None)),
        "struck": Figure(
            len(struck),
            rule="readings that were struck or corrected; they stay in the table",
            entries=entries_of(*(row["entry"] for row in struck)),
        ),
        "gaps": Figure(
            len(gaps),
            rule="stretches without a reading while milk was in the tank",
            flag="!" if gaps else "",
            says="look" if gaps else "",
        ),
    }


def _notes(rows: Sequence[Any], shown: Sequence[Any], rounds: TankRounds, ground: Ground) -> Iterator[str]:
    if len(shown) < len(rows):
        yield f"{len(rows):,} readings: the table keeps the warmest of each half hour, the chart draws them all."
    for check in rounds.checks.values():
        yield f"{thermometer_words(check, ground)}; the column beside each reading since has that taken off."


def _thinned(rows: Sequence[Any]) -> list[Any]:
    if len(rows) <= MOST_LINES:
        return list(rows)
    warmest: dict[int, Any] = {}
    for row in rows:
        part = row["read_at"] // THIN_S
        if part not in warmest or row["tank_mC"] > warmest[part]["tank_mC"]:
            warmest[part] = row
    return list(warmest.values())


def _gaps(
    rows: Sequence[Any], milkings: Sequence[Any], taken: Sequence[Any], known_s: int
) -> Iterator[tuple[int, int]]:
    """Stretches without a reading, as far as milk was in the tank, until what is known ends."""
    with_milk = [
        (one.begins_s(one.milkings[0]), one.until_s or known_s)
        for one in fillings(milkings, [row["picked_at"] for row in taken if row["emptied"]])
        if one.milkings
    ]
    for begins_s, ends_s in with_milk:
        inside = [begins_s, *(row["read_at"] for row in rows if begins_s < row["read_at"] < ends_s), ends_s]
        for at_s, next_s in itertools.pairwise(inside):
            if next_s - at_s > GAP_S:
                yield at_s, next_s


@dataclass(slots=True)
class _Said:
    """Lines of readings, with who wrote each; an entry of many readings is looked up once."""

    connection: Any
    ground: Ground
    rounds: TankRounds
    known: dict[int, Any] = field(default_factory=dict)

    def line(self, row: Any) -> Line:
        if row["entry"] not in self.known:
            self.known[row["entry"]] = read_entries.entry(self.connection, row["entry"])
        entry, under = self.known[row["entry"]], entries_of(row["entry"])
        struck_by = None if entry is None else entry["struck_by"]
        corrects = None if entry is None else entry["strikes"]
        state = f"struck by {struck_by}" if struck_by else f"corrects {corrects}" if corrects else ""
        off = self.rounds.error_of(row["source"], row["read_at"])
        return Line(
            self.ground.clock.shown(row["read_at"]),
            {
                "read_at": Figure(row["read_at"], "time", entries=under),
                "tank_degC": Figure(row["tank_mC"] / 1000, "degC", entries=under),
                "less_error_degC": Figure(
                    None if not off else (row["tank_mC"] - off) / 1000,
                    "degC",
                    LESS_ERROR_RULE,
                    entries=under,
                ),
                "source": Figure(row["source"], entries=under),
                "agitator": Figure(
                    None if row["agitator"] is None else "ran" if row["agitator"] else "not run",
                    entries=under,
                ),
                "written_by": Figure(None if entry is None else entry["who"], entries=under),
                "state": Figure(state, entries=under, flag="!" if struck_by else ""),
                "entry": Figure(row["entry"], entries=under),
            },
        )


def _gap_line(gap: tuple[int, int], ground: Ground) -> Line:
    hours = Figure((gap[1] - gap[0]) / 3600, "h", flag="!", says="no reading")
    return Line(
        ground.clock.shown(gap[0]),
        {"from_at": Figure(gap[0], "time"), "to_at": Figure(gap[1], "time"), "gap_h": hours},
    )


def _events(milkings: Sequence[Any], taken: Sequence[Any], ground: Ground, first_s: int) -> Iterator[Line]:
    found: list[tuple[int, str, int]] = []
    for one in milkings:
        if one.started_at >= first_s:
            found.append((one.started_at, "milking begins", one.entry))
        if one.ended_at is not None and one.ended_at >= first_s:
            found.append((one.ended_at, "milking ends", one.end_entry or one.entry))
    for row in (one for one in taken if one["picked_at"] >= first_s):
        words = "poured away" if row["poured"] else "pickup"
        found.append((row["picked_at"], f"{words}{'' if row['emptied'] else ', not all'}", row["entry"]))
    for at_s, what, entry in sorted(found):
        under = entries_of(entry)
        yield Line(
            f"{ground.clock.shown(at_s)} {what}",
            {
                "at": Figure(at_s, "time", entries=under),
                "what": Figure(what, entries=under),
                "entry": Figure(entry, entries=under),
            },
        )
