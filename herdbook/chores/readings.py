"""Readings of a logger: many under one entry, from a file or typed off a chart, each written once."""

from __future__ import annotations

from array import array
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Annotated, Any

from pydantic import PrivateAttr

from herdbook.book.reading.logged import logged_between
from herdbook.book.tables import ReadFile, ReadingBatch
from herdbook.chores.asking import Name, Words
from herdbook.chores.choosing import only_one
from herdbook.chores.doing import HAND, Doing, chore
from herdbook.chores.drafting import ChoreDraft, raise_all
from herdbook.chores.files_read import FileRead
from herdbook.chores.ground import Ground
from herdbook.chores.measures import ask_warmth
from herdbook.chores.moments import Moment
from herdbook.chores.repeated import Pair, Several
from herdbook.errors import ChoreRefused, Refused

FILE_KIND = "readings"
PROBE = "logger"
"""What a probe is called that was given no name."""
MOST_TYPED = 500
MOST_FAULTS = 20


@dataclass(frozen=True, slots=True)
class Series:
    """Readings in order of time, none twice.

    Args:
        read_at: UTC seconds, rising.
        tank_mC: millidegrees C, one for each.
    """

    read_at: array[int] = field(default_factory=lambda: array("q"))
    tank_mC: array[int] = field(default_factory=lambda: array("q"))

    def __len__(self) -> int:
        return len(self.read_at)

    @classmethod
    def of(cls, pairs: Sequence[tuple[int, int]]) -> Series:
        """Of pairs in order."""
        return cls(array("q", [at for at, _ in pairs]), array("q", [mc for _, mc in pairs]))


@dataclass(frozen=True, slots=True)
class Conflict:
    """A reading that differs from one the book has of the same probe and instant."""

    read_at: int
    tank_mC: int
    known_mc: int
    entry: int

    def says(self, ground: Ground) -> str:
        """In words, by the farm's clock and units."""
        warm = ground.units.temperature
        return (
            f"{ground.clock.iso(self.read_at)} {warm(self.tank_mC)}, but the book has {warm(self.known_mc)} "
            f"from entry {self.entry}"
        )


@dataclass(frozen=True, slots=True)
class Sifted:
    """A series held against the book: what is new, how many it knows already, and what disagrees."""

    new: Series
    known: int
    conflicts: tuple[Conflict, ...]


def sift(connection: Any, tank: int, probe: str, series: Series, *, but_not: int | None = None) -> Sifted:
    """Hold a series against what the book has of the same probe; two files that overlap are no fault.

    Args:
        connection: the book.
        tank: the tank.
        probe: the probe.
        series: the readings.
        but_not: an entry that is being corrected; what it wrote does not count.
    """
    if not len(series):
        return Sifted(series, 0, ())
    rows = logged_between(connection, tank, probe, series.read_at[0], series.read_at[-1])
    before = (row for row in rows if row[2] != but_not)
    had = next(before, None)
    if had is None:
        return Sifted(series, 0, ())
    new, conflicts, again = Series(), [], 0
    for at, mc in zip(series.read_at, series.tank_mC, strict=True):
        while had is not None and had[0] < at:
            had = next(before, None)
        if had is None or had[0] > at:
            new.read_at.append(at)
            new.tank_mC.append(mc)
        elif had[1] == mc:
            again += 1
        else:
            conflicts.append(Conflict(at, mc, had[1], had[2]))
    return Sifted(new, again, tuple(conflicts))


class ReadingsDraft(ChoreDraft):
    """Readings of one probe in one tank; those of a file are held beside the fields, not in the entry's text."""

    tank: Annotated[
        int | None, Name(label="tank", help="which tank; needed where there are several", thing="tank")
    ] = None
    reading: Annotated[
        list[tuple[int, int, str]],
        Several(
            label="reading",
            help="time=temperature off a chart, repeated; `herdbook import readings` reads whole files",
            each=Pair(label="reading", first=Moment(label="time"), second=ask_warmth("temperature")),
            most=MOST_TYPED,
        ),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    probe: Annotated[str, Words(label="probe", help="which thermometer of the tank", least=1, longest=60)] = (
        PROBE
    )
    source: Annotated[
        str, Words(label="source", help="where they came from: a chart, a file, a topic", longest=200)
    ] = ""
    file: Annotated[
        tuple[str, str, int] | None,
        FileRead(label="file", help="the file they were read from; filled in by itself"),
    ] = None

    _series: Series = PrivateAttr(default_factory=Series)

    def series(self) -> Series:
        """The readings: those of the file, else those typed, in order of time.

        Raises:
            Refused: two that were typed disagree.
        """
        return self._series if len(self._series) else Series.of(list(self._typed()))

    def _typed(self) -> Iterator[tuple[int, int]]:
        seen: dict[int, tuple[int, str]] = {}
        for at, mc, typed in sorted(self.reading):
            if at in seen and seen[at][0] != mc:
                raise Refused(
                    f"reading: {seen[at][1]} and {typed} stand at the same instant.",
                    remedy="Give one of them.",
                    field="reading",
                )
            if at not in seen:
                yield at, mc
            seen[at] = mc, typed

    def carry(self, series: Series) -> ReadingsDraft:
        """This draft with the readings of a file."""
        self._series = series
        return self


@chore("readings", "readings of a logger or a chart", ReadingsDraft, roles=[HAND])
def record_readings(doing: Doing, draft: ReadingsDraft) -> str:
    """Write what is new of a series under one entry; the same readings again are passed by."""
    from herdbook.book.batches import batch_hash, store

    tank, series = only_one(doing, "tank", draft.tank), draft.series()
    if not len(series):
        raise Refused(
            "reading: no reading was given.",
            remedy="Give time=temperature, or read a file with `herdbook import readings`.",
            field="reading",
        )
    sifted = sift(doing.book, tank, draft.probe, series, but_not=doing.corrects)
    raise_all([_disagrees(conflict, doing) for conflict in sifted.conflicts[:MOST_FAULTS]])
    new = sifted.new
    if not len(new):
        raise ChoreRefused("The book has all of these readings already.", remedy="Nothing was written.")
    batch = ReadingBatch(
        tank=tank,
        probe=draft.probe,
        source=draft.source or (draft.file[0] if draft.file else ""),
        first_at=new.read_at[0],
        last_at=new.read_at[-1],
        readings=len(new),
        sha256=batch_hash(new.read_at, new.tank_mC),
    )
    store(doing.turn, tank, doing.put(batch), new.read_at, new.tank_mC)
    if draft.file is not None:
        name, sha256, lines = draft.file
        doing.add(ReadFile(kind=FILE_KIND, sha256=sha256, name=name, lines=lines))
    doing.farm_day = doing.ground.clock.farm_day(new.read_at[-1])
    return _said(doing, tank, draft, sifted)


def _disagrees(conflict: Conflict, doing: Doing) -> Refused:
    return Refused(
        f"reading: {conflict.says(doing.ground)}.",
        remedy=f"Strike entry {conflict.entry} if it is the wrong one.",
        field="reading",
    )


def _said(doing: Doing, tank: int, draft: ReadingsDraft, sifted: Sifted) -> str:
    ground, new = doing.ground, sifted.new
    many = "1 reading" if len(new) == 1 else f"{len(new):,} readings"
    when = ground.clock.iso(new.read_at[0])[:16].replace("T", " ")
    until = ground.clock.iso(new.read_at[-1])[:16].replace("T", " ")
    span = when if when == until else f"{when} to {until}"
    warm = ground.units.temperature
    low, high = min(new.tank_mC), max(new.tank_mC)
    range_ = warm(low) if low == high else f"{warm(low)} to {warm(high)}"
    again = f"; {sifted.known:,} known already" if sifted.known else ""
    return f"{ground.name_of('tank', tank)}, {draft.probe}: {many}, {span}, {range_}{again}."
