"""What the feeding place reads: the day's plan and loads, the pens, what to take care with, and cows of the walk."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from herdbook.chores.ground import Ground
from herdbook.errors import HerdbookError
from herdbook.reports.fed import PenDay
from herdbook.reports.figures import Report

if TYPE_CHECKING:
    from herdbook.book.reading.feeding import LoadRow
    from herdbook.book.reading.herd import PenRow
    from herdbook.book.reading.walk import WalkRow
    from herdbook.chores.day_plan import DayPlan, PlannedLoad
    from herdbook.reports.loading_errors import LoadJudge
    from herdbook.reports.parts_of import FeedFacts

LITTLE = 0.02
"""What may be left of a load that is dropped: the usual tolerance of a load."""
UREA_AND_ITS_LIKE_CP = 100.0
"""No true protein has more crude protein than this, %: what has is urea or its like."""


@dataclass(frozen=True, slots=True)
class PenMorning:
    """One pen as the feeder sees it: what is asked, what was dropped today, what was refused of yesterday's."""

    pen: PenRow
    head: int | None
    ask_g: int | None
    feedings: int
    today: PenDay
    last_drop_s: int | None
    yesterday: PenDay
    score: Any = None


@dataclass(frozen=True, slots=True)
class AtMixer:
    """What is known of one load while it is mixed.

    Attributes:
        judge: how far each feed may be off, and what an error does.
        notes: feed -> cautions the hand should read before it goes in.
        careful: feeds of which a mistake can poison: minerals, premixes, urea, monensin, and those with a maximum.
        most_g: feed -> the most the load's cows may get of it in a day.
        parts: pen -> its part of the load, for sharing it out.
        recounted: pen -> head as it was when the load was begun, and now; only where that differs.
    """

    judge: LoadJudge
    notes: Mapping[int, Sequence[str]] = field(default_factory=dict)
    careful: frozenset[int] = frozenset()
    most_g: Mapping[int, float] = field(default_factory=dict)
    parts: Mapping[int, float] = field(default_factory=dict)
    recounted: Mapping[int, tuple[int, int]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class FeedingData:
    """What the place draws: today's plan, its loads with their report, the pens, and open cows of the walk."""

    report: Report
    loads: Sequence[LoadRow]
    pens: Sequence[PenMorning]
    plan: DayPlan
    mixing: Mapping[int, AtMixer]
    walks: Sequence[WalkRow]
    scale: str

    def load(self, number: int | None) -> LoadRow | None:
        """The load with that number in the book, if it is of today."""
        return next((load for load in self.loads if load.load == number), None)

    @property
    def unfinished(self) -> Sequence[LoadRow]:
        """Loads begun that are not in or not dropped yet."""
        return [load for load in self.loads if not is_dropped(load)]


def waiting_pens(load: LoadRow) -> list[int]:
    """Pens of a load that got nothing of it yet."""
    got = {row["pen"] for row in load.dropped}
    return [row["pen"] for row in load.pens if row["pen"] not in got]


def is_dropped(load: LoadRow) -> bool:
    """Whether a load is out of the mixer: each pen got its part, or hardly anything is left."""
    if not load.dropped:
        return False
    return not waiting_pens(load) or load.loaded_g - load.dropped_g <= LITTLE * load.loaded_g


def feeding_data(connection: Any, ground: Ground, in_view: int | None = None) -> FeedingData:
    """Read the day at the ground's instant.

    Args:
        connection: the book.
        ground: the farm's clock and names.
        in_view: a load to be read whole even when it is dropped.
    """
    from herdbook.book.reading import bunks as read_bunks
    from herdbook.book.reading import walk as read_walk
    from herdbook.book.reading.choices import chosen_on
    from herdbook.chores.bunk_scores import DAIRY, SCALES
    from herdbook.chores.day_plan import plan_day
    from herdbook.reports import loads as loads_report

    report = loads_report.make(connection, ground)
    loads: Sequence[LoadRow] = report.data
    plan = plan_day(connection, ground)
    day = ground.clock.farm_day(ground.now_s).isoformat()
    chosen = chosen_on(connection, read_bunks.CALL_ADVICE, day)
    scale = chosen if chosen in SCALES else DAIRY
    last = loads[-1].load if loads else None
    whole = [load for load in loads if not is_dropped(load) or load.load in (in_view, last)]
    planned = {one.entry: load for load in plan.loads for one in load.begun}
    mixing = {load.load: _at_mixer(connection, ground, load, planned.get(load.entry)) for load in whole}
    pens = list(_pens(connection, ground, loads))
    return FeedingData(report, loads, pens, plan, mixing, read_walk.walks(connection), scale)


def _pens(connection: Any, ground: Ground, loads: Sequence[LoadRow]) -> Iterator[PenMorning]:
    from herdbook.book.reading import bunks as read_bunks
    from herdbook.book.reading import herd as read_herd
    from herdbook.reports.fed import pen_days

    today = ground.clock.farm_day(ground.now_s)
    span = ground.clock.day_starts(today), ground.clock.day_starts(today + timedelta(days=1))
    scores = {row["pen"]: row for row in read_bunks.scores(connection, *span)}
    fed = pen_days(connection, ground, today - timedelta(days=1), today)
    for pen in read_herd.pens(connection):
        head = read_herd.head_at(connection, pen.pen, ground.now_s)
        last = [row["dropped_at"] for load in loads for row in load.dropped if row["pen"] == pen.pen]
        yield PenMorning(
            pen,
            head.head if head else None,
            *_asked(connection, ground, pen.pen),
            fed[pen.pen, today],
            max(last, default=None),
            fed[pen.pen, today - timedelta(days=1)],
            scores.get(pen.pen),
        )


def _asked(connection: Any, ground: Ground, pen: int) -> tuple[int | None, int]:
    """What a pen should get over the whole day, as fed, and in how many feedings; none without ration or heads."""
    from herdbook.book.reading import rations as read_rations
    from herdbook.chores.planning import plan_load

    day = ground.clock.farm_day(ground.now_s).isoformat()
    its = read_rations.pen_ration_on(connection, pen, day)
    if its is None:
        return None, 0
    try:
        return plan_load(connection, ground, [pen]).total_g * int(its["feedings"]), int(its["feedings"])
    except HerdbookError:
        return None, int(its["feedings"])


def _at_mixer(connection: Any, ground: Ground, load: LoadRow, planned: PlannedLoad | None) -> AtMixer:
    from herdbook.book.reading import herd as read_herd
    from herdbook.book.reading import rations as read_rations
    from herdbook.chores.cautions import notes_at_the_mixer
    from herdbook.reports.loading_errors import LoadJudge
    from herdbook.reports.parts_of import FeedFacts

    facts = FeedFacts(connection, ground, load.farm_day, load.started_at)
    feeds = {row["feed"] for row in load.planned}
    version = read_rations.version_by_id(connection, load.ration_version)
    most_g = {
        feed: most_mg / 1000 * load.head for feed in feeds if (most_mg := facts.most_mg(feed)) is not None
    }
    heads = {}
    recounted = {}
    for row in load.pens:
        was = read_herd.head_at(connection, row["pen"], load.started_at)
        now = read_herd.head_at(connection, row["pen"], ground.now_s)
        heads[row["pen"]] = float(was.head) if was else 1.0
        if was and now and was.head != now.head:
            recounted[row["pen"]] = (was.head, now.head)
    return AtMixer(
        LoadJudge(connection, ground, load),
        notes_at_the_mixer(connection, ground, version, at_s=load.started_at) if version else {},
        frozenset(feed for feed in feeds if feed in most_g or _can_poison(facts, feed)),
        most_g,
        {pen.pen: pen.grams for pen in planned.split.pens} if planned else heads,
        recounted if not is_dropped(load) else {},
    )


def _can_poison(facts: FeedFacts, feed: int) -> bool:
    """Whether too much of a feed can poison: a mineral or premix, or something with urea or monensin in it."""
    from herdbook.science.load_tolerance import PREMIX_KINDS

    if facts.kind(feed) in PREMIX_KINDS:
        return True
    for inside in facts.shares_inside(feed):
        analysis = facts.analysis(inside)
        values: Mapping[str, float] = analysis.values if analysis else {}
        if values.get("monensin") or values.get("npn_cp") or values.get("cp", 0) > UREA_AND_ITS_LIKE_CP:
            return True
    return False
