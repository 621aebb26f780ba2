"""What each pen was dropped, refused and ate a head, by farm day, beside what its ration sets."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.feeds import DryMatter
from herdbook.book.reading.rations import Version
from herdbook.chores.ground import Ground
from herdbook.reports.fed import PenDay, pen_days
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.in_force import InForce
from herdbook.reports.ration import end_of_day

MILLION = 1_000_000

COLUMNS = (
    Column("day", "Day", "day"),
    Column("pen", "Pen"),
    Column("head", "Head", "", 1),
    Column("dropped_kg", "Dropped", "kg"),
    Column("refused_kg", "Refused", "kg"),
    Column("refused_percent", "of fed", "%", 1),
    Column("dm_dropped_kg", "DM dropped", "kg", 1),
    Column("dm_refused_kg", "DM refused", "kg", 1),
    Column("dm_eaten_kg", "DM eaten", "kg", 1),
    Column("dm_set_kg", "DM set", "kg", 1),
)


def make(connection: Any, ground: Ground, *, of: date | None = None, days: int = 1) -> Report:
    """Intake by pen and day; dry-matter columns are a head and day.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        of: the last day; today if not given.
        days: how many days back, that day included.
    """
    last = of or ground.clock.farm_day(ground.now_s)
    first = last - timedelta(days=days - 1)
    found = pen_days(connection, ground, first, last)
    pens = read_herd.pens(connection)
    sets = SetIntakes(connection, ground, first, last)
    written = [
        _line(sets, pen.name, its)
        for day in (last - timedelta(days=back) for back in range(days))
        for pen in pens
        if (its := found[pen.pen, day]).fed_entries or its.refusal_entries
    ]
    span = last.isoformat() if days == 1 else f"{first.isoformat()} to {last.isoformat()}"
    gaps = [
        f"{line['pen'].value} {line['day'].value}: {', '.join(line['dm_eaten_kg'].missing)}"
        for line in written
        if line["dm_eaten_kg"].missing
    ]
    return Report(
        "intake",
        f"Intake by pen, {span}, dry matter a head",
        tables=(Table("pens", "By pen and day", COLUMNS, tuple(written), "Nothing was fed in these days."),),
        warnings=tuple(gaps[:6])
        + ((f"{len(gaps) - 6} more days are not complete.",) if len(gaps) > 6 else ()),
        data=found,
    )


def _line(sets: SetIntakes, name: str, its: PenDay) -> Line:
    refused = Figure(
        its.refused_g / 1000 if its.refusal_entries else None,
        "kg",
        "sum of what was weighed back",
        missing=() if its.refusal_entries else ("refusal not written",),
        entries=entries_of(*its.refusal_entries),
    )
    return Line(
        f"{its.day.isoformat()} {name}",
        {
            "day": Figure(its.day.isoformat(), "day"),
            "pen": Figure(name),
            "head": Figure(
                its.head,
                "",
                "mean of the day's counts by the hours each held",
                entries=entries_of(*its.head_entries),
            ),
            "dropped_kg": Figure(
                its.dropped_g / 1000 if its.drop_entries else None,
                "kg",
                "sum of the drops",
                entries=entries_of(*its.drop_entries),
            ),
            "refused_kg": refused,
            "refused_percent": its.refused_percent,
            "dm_dropped_kg": its.dropped,
            "dm_refused_kg": its.refused,
            "dm_eaten_kg": its.eaten,
            "dm_set_kg": sets.of(its.pen, its.day),
        },
    )


class SetIntakes:
    """What the rations set a head over a span of days; versions, pens' rations and dry matters are asked once."""

    def __init__(self, connection: Any, ground: Ground, first: date, last: date) -> None:
        self._connection, self._ground = connection, ground
        self._versions: dict[int, list[Version]] = {}
        self._rations = InForce(self._ration_on, lambda row: row["entry"], first, last)
        self._dry = InForce(self._dry_on, lambda dry: dry.entries, first, last)

    def of(self, pen: int, day: date) -> Figure:
        """Dry matter a head that the pen's ration sets on a day, before the call."""
        its = self._rations.on(pen, day)
        version = None if its is None else self._version(its["ration"], day.isoformat())
        if its is None or version is None:
            return Figure(None, "kg", missing=("no ration in force",))
        mg, under, missing = 0.0, [its["entry"], version.entry], []
        for item in version.items:
            if item["basis"] == "dry matter":
                mg += item["mg"]
                continue
            dry = self._dry.on(item["feed"], day)
            if dry is None:
                missing.append(f"{self._ground.name_of('feed', item['feed'])} has no dry matter")
                continue
            mg += item["mg"] * dry.dry_ppm / MILLION
            under += dry.entries
        return Figure(
            mg / MILLION,
            "kg",
            "dry matter of the ration in force",
            {"ration": f"{self._ground.name_of('ration', its['ration'])} version {version.version}"},
            tuple(missing),
            entries_of(*under),
        )

    def _ration_on(self, pen: int, day: date) -> Any:
        return read_rations.pen_ration_on(self._connection, pen, day.isoformat())

    def _dry_on(self, feed: int, day: date) -> DryMatter | None:
        at_s = end_of_day(self._ground, day)
        return read_feeds.dry_matter_at(self._connection, feed, at_s, day.isoformat())

    def _version(self, ration: int, day: str) -> Version | None:
        if ration not in self._versions:
            self._versions[ration] = read_rations.versions(self._connection, ration)
        return next((one for one in reversed(self._versions[ration]) if one.from_day <= day), None)
