"""The feeding plan of a day: which pens get what at each feeding, and the loads of the mixers that make it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import feeding_plan as read_plan
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.feeding import LoadRow
from herdbook.book.reading.feeds import FeedsAsOf
from herdbook.chores.ground import Ground
from herdbook.chores.planning import MILLION, Plan, PlannedLine, share_of_feeding
from herdbook.errors import Refused
from herdbook.science.load_split import (
    MOST_LOADS,
    Batch,
    MixerScale,
    PenNeed,
    SplitLoad,
    TooManyLoads,
    split_day,
)

MOST_FEEDINGS = 12


@dataclass(frozen=True, slots=True)
class PlannedLoad:
    """One load of the day.

    Attributes:
        number: its number in the day's plan; on paper and for `--planned-load`.
        feeding: which feeding of the day.
        ration, version: what it is made by; `version` is the row of the version.
        split: mixer, pens with their parts, and feeds in order.
        dry_ppm: feed -> dry matter used.
        begun: the loads in the book that were begun for it: none, one, or one for each of its pens.
        entries: everything in the book it was worked out from.
    """

    number: int
    feeding: int
    ration: int
    version: int
    split: SplitLoad
    dry_ppm: Mapping[int, int]
    entries: tuple[int, ...]
    begun: tuple[LoadRow, ...] = ()

    @property
    def pens(self) -> tuple[int, ...]:
        """The pens it is for, in walking order."""
        return tuple(pen.pen for pen in self.split.pens)

    def as_plan(self) -> Plan:
        """What a load is begun with."""
        lines = tuple(
            PlannedLine(line.feed, line.grams, self.dry_ppm[line.feed]) for line in self.split.lines
        )
        return Plan(self.ration, self.version, self.split.head, lines, self.feeding)


@dataclass(frozen=True, slots=True)
class DayPlan:
    """A day's loads; what stands in the way of planning the rest, in sentences; loads begun outside the plan."""

    day: date
    at_s: int
    loads: tuple[PlannedLoad, ...]
    problems: tuple[str, ...] = ()
    others: tuple[LoadRow, ...] = ()

    def find(self, number: int) -> PlannedLoad:
        """The load of that number.

        Raises:
            Refused: the plan has none.
        """
        for load in self.loads:
            if load.number == number:
                return load
        has = f"It has 1 to {len(self.loads)}." if self.loads else "It has none."
        has = f"{has} {self.problems[0]}" if self.problems else has
        raise Refused(
            f"planned load: the plan of {self.day.isoformat()} has no load {number}.",
            remedy=f"{has} See `herdbook show plan`.",
            field="planned load",
        )

    def next_one(self) -> PlannedLoad | None:
        """The first load that was not begun yet."""
        return next((load for load in self.loads if not load.begun), None)


def plan_day(
    connection: Any,
    ground: Ground,
    day: date | None = None,
    *,
    at_s: int | None = None,
    without: int | None = None,
) -> DayPlan:
    """Plan a farm day's loads, and find those that were begun.

    Args:
        connection: the book.
        ground: the farm's clock and names.
        day: the farm day; today if not given.
        at_s: the instant whose head counts and dry matter count; now, or the last second of a day that is over.
        without: an entry that is about to be replaced; its load does not count as begun.
    """
    day = day or ground.clock.farm_day(ground.now_s)
    if at_s is None:
        at_s = min(ground.now_s, ground.clock.day_starts(day + timedelta(days=1)) - 1)
    made = _Planning(connection, ground, day, at_s)
    loads = made.loads()
    begun = [
        load
        for load in read_feeding.loads(connection, day.isoformat(), day.isoformat())
        if load.entry != without
    ]
    loads, others = _with_begun(connection, loads, begun)
    return DayPlan(day, at_s, tuple(loads), tuple(dict.fromkeys(made.problems)), tuple(others))


@dataclass(frozen=True, slots=True)
class _Fed:
    """A pen at one feeding."""

    need: PenNeed
    ration: int
    entries: tuple[int, ...]


class _Planning:
    """One pass over pens and feedings; sentences about what cannot be planned gather in `problems`."""

    def __init__(self, connection: Any, ground: Ground, day: date, at_s: int) -> None:
        self.connection, self.ground = connection, ground
        self.day, self.at_s = day.isoformat(), at_s
        self.problems: list[str] = []
        self.feeds = FeedsAsOf(connection, self.day, at_s)
        self.under: dict[int, tuple[int, ...]] = {}
        self.dry_ppm: dict[int, dict[int, int]] = {}
        self.rations: dict[int, int] = {}

    def loads(self) -> list[PlannedLoad]:
        batches: list[Batch] = []
        entries: dict[tuple[int, int], tuple[int, ...]] = {}
        for feeding in range(1, MOST_FEEDINGS + 1):
            gathered: dict[int, list[_Fed]] = {}
            for fed in self._pens_at(feeding):
                gathered.setdefault(fed.ration, []).append(fed)
            for ration, its in gathered.items():
                batch = self._batch(feeding, ration, [fed.need for fed in its])
                if batch is not None:
                    batches.append(batch)
                    entries[feeding, batch.recipe] = tuple(n for fed in its for n in fed.entries)
        if not batches:
            return []
        mixers, mixer_entries = self._mixers()
        if not mixers:
            self.problems.append("There is no mixer. The nutritionist writes one: `herdbook write mixer`.")
            return []
        try:
            splits = split_day(batches, mixers)
        except TooManyLoads as error:
            name = self.ground.name_of("mixer", error.mixer)
            self.problems.append(f"{name} would take more than {MOST_LOADS} loads. Check what it holds.")
            return []
        return [
            PlannedLoad(
                number,
                split.feeding,
                self.rations[split.recipe],
                split.recipe,
                split,
                self.dry_ppm[split.recipe],
                tuple(
                    dict.fromkeys(
                        (
                            *self.under[split.recipe],
                            *entries[split.feeding, split.recipe],
                            *mixer_entries[split.mixer.key],
                        )
                    )
                ),
            )
            for number, split in enumerate(splits, start=1)
        ]

    def _pens_at(self, feeding: int) -> Iterator[_Fed]:
        for pen in read_herd.pens(self.connection):
            its = read_rations.pen_ration_on(self.connection, pen.pen, self.day, feeding)
            if its is None or feeding > its["feedings"]:
                continue
            count = read_herd.head_at(self.connection, pen.pen, self.at_s)
            if count is None:
                self.problems.append(f"{pen.name} has no head count. Write one: `herdbook write head`.")
                continue
            shares, shares_entry = read_plan.feeding_shares(self.connection, pen.pen, self.day)
            if shares and len(shares) != its["feedings"]:
                self.problems.append(
                    f"{pen.name} has shares for {len(shares)} feedings and gets {its['feedings']}: "
                    "equal ones are taken. Write them: `herdbook write feeding-shares`."
                )
            share = share_of_feeding(shares, feeding, its["feedings"])
            cow_days = count.head * its["call_ppm"] / MILLION * share
            entries = (its["entry"], count.entry, *([shares_entry] if shares_entry else []))
            if cow_days > 0:
                yield _Fed(PenNeed(pen.pen, count.head, cow_days), its["ration"], entries)

    def _batch(self, feeding: int, ration: int, pens: Sequence[PenNeed]) -> Batch | None:
        version = read_rations.version_in_force(self.connection, ration, self.day, feeding)
        if version is None:
            name = self.ground.name_of("ration", ration)
            self.problems.append(
                f"Ration {name} has no version in force. Write one: `herdbook write ration`."
            )
            return None
        per_cow_g: dict[int, float] = {}
        dry_ppm: dict[int, int] = {}
        under = [version.entry]
        for item in version.items:
            dry = self.feeds.dry(item["feed"])
            if dry is None:
                name = self.ground.name_of("feed", item["feed"])
                self.problems.append(
                    f"{name} has no dry matter, so ration {self.ground.name_of('ration', ration)} cannot be "
                    "planned. Write its analysis or a dry-matter test."
                )
                return None
            grams = item["mg"] / 1000
            per_cow_g[item["feed"]] = (
                grams * MILLION / dry.dry_ppm if item["basis"] == "dry matter" else grams
            )
            dry_ppm[item["feed"]] = dry.dry_ppm
            under += dry.entries
        self.under[version.id], self.dry_ppm[version.id] = tuple(under), dry_ppm
        self.rations[version.id] = ration
        return Batch(feeding, version.id, per_cow_g, tuple(pens))

    def _mixers(self) -> tuple[list[MixerScale], dict[int, tuple[int, ...]]]:
        made, entries = [], {}
        for mixer, card in read_rations.mixers(self.connection).items():
            order, order_entry = read_plan.mixer_order(self.connection, mixer, self.day)
            made.append(
                MixerScale(mixer, card["capacity_g"], card["step_mg"], card["least_g"] or 0, order)
            )  # fmt: skip
            entries[mixer] = (card["entry"], *([order_entry] if order_entry else []))
        return made, entries


def _with_begun(
    connection: Any, planned: Sequence[PlannedLoad], begun: Sequence[LoadRow]
) -> tuple[list[PlannedLoad], list[LoadRow]]:
    """Planned loads with what was begun for each, and the loads begun that are none of them.

    A load that was begun by its number is that one; else the first of its ration for the same pens; else loads of
    the ration that together are for just its pens. Those of the same feeding go before any others.
    """
    asked = read_plan.asked_as(connection, [load.entry for load in begun])
    left = list(begun)
    found: dict[int, tuple[LoadRow, ...]] = {}
    for load in begun:
        number = asked.get(load.entry, {}).get("planned_load")
        its = next((one for one in planned if one.number == number and one.ration == load.ration), None)
        if its is not None and its.number not in found:
            found[its.number] = (load,)
            left.remove(load)
    for whole, any_feeding in ((True, False), (False, False), (True, True), (False, True)):
        for one in planned:
            if one.number in found:
                continue
            its_feeding = [load for load in left if any_feeding or load.feeding == one.feeding]
            some = _for_just_these_pens(one, its_feeding, whole=whole)
            if some:
                found[one.number] = some
                left = [load for load in left if load not in some]
    return [replace(one, begun=found.get(one.number, ())) for one in planned], left


def _for_just_these_pens(one: PlannedLoad, left: Sequence[LoadRow], *, whole: bool) -> tuple[LoadRow, ...]:
    pens, covered, some = set(one.pens), set[int](), []
    for load in left:
        its = {row["pen"] for row in load.pens}
        if load.ration != one.ration or not its <= pens or its & covered or (whole and its != pens):
            continue
        some.append(load)
        covered |= its
        if covered == pens:
            return tuple(some)
    return ()
