"""The four rations of a pen over a span of days, a head and day: set, mixed, dropped and eaten.

*Set* is what the version in force at each feeding gives a head. *Called* is that times the pen's call: what was meant
to be fed. *Mixed* is what the scale says went into the pen's loads, *dropped* the pen's drops at the real composition
of their loads, *eaten* what was dropped or re-fed to the pen less what was weighed back, taken to be as what lay before
the cows that day. Feeds are judged by the analysis in force on each day.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import feeding_plan as read_plan
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.feeding import LoadRow
from herdbook.chores.ground import Ground
from herdbook.clock import shown_day
from herdbook.reports.fed import LEAD_DAYS, NO_DROP, NO_HEAD, PenDay, dry_share_of, pen_days
from herdbook.reports.figures import days_between
from herdbook.reports.parts_of import FeedFacts, leaf_parts
from herdbook.reports.ration import end_of_day
from herdbook.reports.span_ration import Heap, SpanRation, parts_of_heaps
from herdbook.science.ration import totals

MILLION = 1_000_000
SET, CALLED, MIXED, DROPPED, EATEN = "set", "called", "mixed", "dropped", "eaten"
WHICH = (SET, MIXED, DROPPED, EATEN)
"""The rations people ask for; *called* stands between the first two, so that the call is no mixing error."""
STEPS = {CALLED: "call", MIXED: "mixing error", DROPPED: "delivery error", EATEN: "refusal"}
"""What each ration differs by from the one before it."""
MEANING = {
    SET: "the version in force at each feeding",
    CALLED: "the version in force at each feeding, times the pen's call",
    MIXED: "weights loaded for the pen, at the dry matter used then, over heads",
    DROPPED: "each drop at what was really in its load, over heads",
    EATEN: "dropped and re-fed, less refusals taken to be as the mix before the cows, over heads",
}
NO_RATION, NO_LOAD = "no ration in force", "no load written"


@dataclass(slots=True)
class DayOfPen:
    """One pen on one farm day: a heap of the whole pen's feed for each ration that has one, and what is missing."""

    day: date
    head: float | None
    head_entries: tuple[int, ...]
    heaps: dict[str, Heap] = field(default_factory=dict)
    gaps: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    notes: list[str] = field(default_factory=list)
    versions: list[read_rations.Version] = field(default_factory=list)
    pen_ration: int | None = None


class FourRations:
    """A pen's rations over a span of farm days, both ends included.

    Args:
        connection: the book.
        ground: the farm's clock and names.
        pen: the pen.
        first, last: the span; a farm day that is not over is left out unless it is the only one.
    """

    def __init__(self, connection: Any, ground: Ground, pen: int, first: date, last: date) -> None:
        self._connection, self._ground, self.pen = connection, ground, pen
        today = ground.clock.farm_day(ground.now_s)
        self.unfinished = today if first <= today <= last else None
        self.first = first
        self.last = last if first == last else min(last, today - timedelta(days=1))
        self._facts: dict[date, FeedFacts] = {}
        self._loads = self._loads_by_day()
        self._pen_days = pen_days(connection, ground, first - timedelta(days=LEAD_DAYS), self.last)
        self._refed = self._refed_by_day()
        self.days = {day: self._day(day) for day in days_between(first, self.last)}

    @property
    def common_days(self) -> tuple[date, ...]:
        """The days on which every ration is known: only over these can they be held against each other."""
        return tuple(day for day, its in self.days.items() if all(which in its.heaps for which in WHICH))

    @property
    def versions(self) -> tuple[read_rations.Version, ...]:
        """The ration versions that were in force, oldest first."""
        found = {version.id: version for its in self.days.values() for version in its.versions}
        return tuple(found.values())

    @property
    def in_force_entries(self) -> tuple[int, ...]:
        """The entries that say which ration was in force on the last day: the version's and the pen's."""
        known = [its for its in self.days.values() if its.versions]
        if not known:
            return ()
        pen_ration = known[-1].pen_ration
        return (known[-1].versions[-1].entry, *(() if pen_ration is None else (pen_ration,)))

    def ration(self, which: str, days: Sequence[date] | None = None) -> SpanRation:
        """One ration, a head and day.

        Args:
            which: set, called, mixed, dropped or eaten.
            days: over these days; over all that have it if not given.
        """
        wanted = [its for day, its in self.days.items() if days is None or day in days]
        having = [its for its in wanted if which in its.heaps]
        heads = sum(its.head or 0.0 for its in having)
        parts = parts_of_heaps(
            [(self.facts(its.day), its.heaps[which]) for its in having], heads or float(len(having)) or 1.0
        )
        return SpanRation(
            which,
            parts,
            totals(leaf_parts(parts)),
            tuple(its.day for its in having),
            heads / len(having) if having and heads else None,
            tuple(dict.fromkeys(number for its in having for number in its.head_entries)),
            (*_by_reason(which, wanted), *dict.fromkeys(note for its in having for note in its.notes)),
        )

    def facts(self, day: date) -> FeedFacts:
        """What the book knew of each feed at the end of a day."""
        if day not in self._facts:
            at_s = end_of_day(self._ground, day)
            self._facts[day] = FeedFacts(self._connection, self._ground, day.isoformat(), at_s)
        return self._facts[day]

    def _loads_by_day(self) -> dict[date, list[LoadRow]]:
        begin = self.first - timedelta(days=LEAD_DAYS)
        found: dict[date, list[LoadRow]] = defaultdict(list)
        for load in read_feeding.loads(self._connection, begin.isoformat(), self.last.isoformat()):
            found[date.fromisoformat(load.farm_day)].append(load)
        return found

    def _refed_by_day(self) -> dict[date, list[Any]]:
        """Leavings of other pens (or of days before) that were fed to this pen, by the day they were."""
        begin = self.first - timedelta(days=LEAD_DAYS)
        found: dict[date, list[Any]] = defaultdict(list)
        for row in read_feeding.refusals(self._connection, begin.isoformat(), self.last.isoformat()):
            if row["fed_to"] == self.pen:
                found[self._ground.clock.farm_day(row["weighed_at"])].append(row)
        return found

    def _day(self, day: date) -> DayOfPen:
        pen_day = self._pen_days.get((self.pen, day)) or PenDay(self.pen, day)
        its = DayOfPen(day, pen_day.head, tuple(pen_day.head_entries))
        self._set(its)
        self._mixed(its)
        self._dropped(its, pen_day)
        self._eaten(its, pen_day)
        if not its.head:  # nothing can be said a head
            for which in (MIXED, DROPPED, EATEN):
                its.heaps.pop(which, None)
                its.gaps[which] = [NO_HEAD]
        return its

    def _set(self, its: DayOfPen) -> None:
        """The version in force at each feeding, by the feeding's share of the day; equal where none was set."""
        day, facts = its.day.isoformat(), self.facts(its.day)
        last = read_rations.pen_ration_on(self._connection, self.pen, day)
        feedings = last["feedings"] if last else 1
        its.pen_ration = last["entry"] if last else None
        shares, shares_entry = read_plan.feeding_shares(self._connection, self.pen, day)
        known = {feeding: shares.get(feeding, 0) for feeding in range(1, feedings + 1)}
        whole = sum(known.values())
        set_, called = Heap(), Heap()
        for feeding in range(1, feedings + 1):
            pen_ration = read_rations.pen_ration_on(self._connection, self.pen, day, feeding)
            version = pen_ration and read_rations.version_in_force(
                self._connection, pen_ration["ration"], day, feeding
            )
            if not version or pen_ration is None:
                its.gaps[SET] = its.gaps[CALLED] = [NO_RATION]
                return
            its.versions += [] if version in its.versions else [version]
            share = known[feeding] / whole if whole else 1 / feedings
            weight = (its.head or 1.0) * share
            for fed in facts.parts_of_version(version):
                grams = fed.part.as_fed_kg * 1000 * weight
                under = (*fed.weight_entries, pen_ration["entry"], shares_entry)
                for heap, factor in ((set_, 1.0), (called, pen_ration["call_ppm"] / MILLION)):
                    heap.put(fed.feed, grams * factor, grams * factor * fed.part.dry_fraction, under)
        its.heaps |= {SET: set_, CALLED: called}

    def _mixed(self, its: DayOfPen) -> None:
        """The pen's planned share of what went into each of its loads."""
        mine = [load for load in self._loads[its.day] if any(row["pen"] == self.pen for row in load.pens)]
        heap = Heap()
        for feeding, load in enumerate(mine, start=1):
            share, under = self._planned_share(load, feeding)
            if share is None:
                its.gaps[MIXED].append(f"load {load.number}: the share of this pen cannot be told")
                continue
            heap.pour(self._in_load(load, its.notes), share, entries=under)
        if mine and not its.gaps[MIXED]:
            its.heaps[MIXED] = heap
        elif not mine:
            its.gaps[MIXED].append(NO_LOAD)

    def _planned_share(self, load: LoadRow, feeding: int) -> tuple[float | None, list[int]]:
        """Heads times call over feedings of this pen, over those of all the load's pens, and the entries under it.

        None where a pen has no count or no ration.
        """
        if len(load.pens) == 1:
            return 1.0, []
        parts: dict[int, float] = {}
        under: list[int] = []
        for row in load.pens:
            head = read_herd.head_at(self._connection, row["pen"], load.started_at)
            its = read_rations.pen_ration_on(self._connection, row["pen"], load.farm_day, feeding)
            if head is None or its is None:
                return None, []
            under += [head.entry, its["entry"]]
            parts[row["pen"]] = head.head * its["call_ppm"] / its["feedings"]
        whole = sum(parts.values())
        return (parts[self.pen] / whole if whole else None), under

    def _in_load(self, load: LoadRow, notes: list[str]) -> Heap:
        """What went into a load; what was planned where nothing was weighed in."""
        _, note = dry_share_of(load)
        notes += [note] if note and note not in notes else []
        heap = Heap()
        lines = load.weighed or load.planned
        weight = "loaded_g" if load.weighed else "planned_g"
        for row in lines:
            grams = row[weight]
            heap.put(row["feed"], grams, grams * row["dry_ppm"] / MILLION, (row["entry"], load.entry))
        return heap

    def _drops(self, pen: int, day: date, notes: list[str]) -> Heap:
        """Everything dropped to a pen on a day, at what was in the loads."""
        heap = Heap()
        for load in self._loads[day]:
            drops = [row for row in load.dropped if row["pen"] == pen]
            if not drops:
                continue
            inside = self._in_load(load, notes)
            grams = sum(row["dropped_g"] for row in drops)
            if inside.as_fed_g:
                heap.pour(inside, grams / inside.as_fed_g, entries=[row["entry"] for row in drops])
            if not any(row["pen"] == pen for row in load.pens):
                notes.append(f"load {load.number} was not planned for this pen")
        return heap

    def _dropped(self, its: DayOfPen, pen_day: PenDay) -> None:
        if not pen_day.drop_entries:
            its.gaps[DROPPED].append(NO_DROP)
            return
        heap = self._drops(self.pen, its.day, its.notes)
        if pen_day.unknown or not heap:
            its.gaps[DROPPED] += pen_day.unknown or ["what was in the load is not known"]
            return
        its.heaps[DROPPED] = heap

    def _eaten(self, its: DayOfPen, pen_day: PenDay) -> None:
        if DROPPED not in its.heaps or pen_day.gaps:
            its.gaps[EATEN] += list(pen_day.gaps) or its.gaps[DROPPED]
            return
        offered = Heap()
        offered.pour(its.heaps[DROPPED], 1.0)
        for row in self._refed[its.day]:
            self._pour_refed(offered, row, its)
        if its.gaps[EATEN]:
            return
        if pen_day.refused_g > pen_day.fed_g or pen_day.refused_dry_g > pen_day.fed_dry_g:
            its.gaps[EATEN].append("more refused than fed")
            return
        left, left_dry = pen_day.refused_g / offered.as_fed_g, pen_day.refused_dry_g / offered.dry_g
        eaten = Heap()
        eaten.pour(offered, 1.0 - left, 1.0 - left_dry, pen_day.refused_entries)
        its.heaps[EATEN] = eaten

    def _pour_refed(self, offered: Heap, row: Any, its: DayOfPen) -> None:
        """Leavings of a pen carry what that pen was dropped, drugs and minerals included."""
        origin_day = date.fromisoformat(row["fed_on"])
        origin = self._pen_days.get((row["pen"], origin_day))
        heap = self._drops(row["pen"], origin_day, [])
        if not row["refused_g"]:
            return
        if origin is None or not heap.dry_g:
            its.gaps[EATEN].append("what was in re-fed leavings is not known")
            return
        tested = row["dry_ppm"]
        share = tested / MILLION if tested is not None else origin.fed_dry_g / origin.fed_g
        dry_g = row["refused_g"] * share
        offered.pour(heap, row["refused_g"] / heap.as_fed_g, dry_g / heap.dry_g, [row["entry"]])


def _by_reason(which: str, days: Sequence[DayOfPen]) -> Sequence[str]:
    """Days that lack the ration, told by what they lack: "refusal not written: Mon 8 Jun, Tue 9 Jun"."""
    lacking: dict[str, list[str]] = defaultdict(list)
    for its in days:
        if which not in its.heaps:
            for gap in its.gaps.get(which) or ["not known"]:
                lacking[gap].append(shown_day(its.day))
    return [f"{reason}: {', '.join(names)}" for reason, names in lacking.items()]
