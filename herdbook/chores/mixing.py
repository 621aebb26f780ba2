"""At the mixer: a load is begun, and each feed's weight is written as the scale says it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Annotated, Any, Protocol

from herdbook.book.reading import entries as read_entries
from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.feeding_plan import mixer_order
from herdbook.book.tables import Load, LoadPen, LoadPlan, LoadPlanLine, LoadWeight
from herdbook.chores.asking import Count, Name, YesNo
from herdbook.chores.choosing import only_one, standing_load
from herdbook.chores.day_plan import PlannedLoad, plan_day
from herdbook.chores.doing import HAND, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.load_names import LoadName
from herdbook.chores.measures import ask_weight
from herdbook.chores.moments import Moment
from herdbook.chores.planning import Plan, PlannedLine, plan_load
from herdbook.chores.repeated import Pair, Several
from herdbook.errors import ChoreRefused, Refused
from herdbook.science.load_split import in_order

TENFOLD = 10
"""Ten times the planned weight is asked about: one nought too many (common practice, no source)."""


class LoadDraft(ChoreDraft):
    """A load: for which pens, in which mixer, what was planned and what went in."""

    pen: Annotated[
        list[int],
        Several(
            label="pen",
            help="for which pens, repeated; those of the planned load if not given",
            each=Name(label="pen", thing="pen"),
            most=20,
        ),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    mixer: Annotated[
        int | None, Name(label="mixer", help="in which mixer; needed where there are several", thing="mixer")
    ] = None
    feeding: Annotated[int, Count(label="feeding", help="which feeding of the day", least=1, most=12)] = 1
    started: Annotated[int | None, Moment(label="started", help="when; now if not given")] = None
    planned: Annotated[
        list[tuple[int, int, str]],
        Several(
            label="planned",
            help="feed=weight, repeated; worked out from ration, heads and dry matter if not given",
            each=Pair(label="planned", first=Name(label="feed", thing="feed"), second=ask_weight("weight")),
        ),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    loaded: Annotated[
        list[tuple[int, int, str]],
        Several(
            label="loaded",
            help="feed=weight as loaded, repeated; or write each with `weigh`",
            each=Pair(
                label="loaded", first=Name(label="feed", thing="feed"), second=ask_weight("weight", least_g=0)
            ),
        ),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    planned_load: Annotated[
        int | None,
        Count(
            label="planned load",
            help="its number in the day's plan; pens, mixer, feeding and weights come from there",
            least=1,
            most=200,
        ),
    ] = None


@chore("load", "a load", LoadDraft, roles=[HAND])
def begin_load(doing: Doing, draft: LoadDraft) -> str:
    """Write a load as planned, with what went in where that is known already."""
    see_once(doing, draft.planned)
    started_at = draft.started or doing.ground.now_s
    mixer, pens, plan = what_is_planned(doing, draft, started_at)
    if draft.planned:
        plan = as_given(doing, plan, draft.planned, started_at)
    load, number = add_load(doing, mixer, pens, plan, started_at)
    loaded_g = _add_loaded(doing, load, draft, plan, started_at)
    whose = ", ".join(doing.ground.name_of("pen", pen) for pen in pens)
    went_in = f", {doing.farm.units.mass(loaded_g)} loaded" if draft.loaded else ""
    return (
        f"Load {number}, {whose}, {plan.head} cows, {doing.farm.units.mass(plan.total_g)} planned{went_in}."
    )


def add_load(doing: Doing, mixer: int, pens: Sequence[int], plan: Plan, started_at: int) -> tuple[int, int]:
    """Add the rows of a load as planned; its id and its number of the farm day come back.

    Raises:
        ChoreRefused: the mixer does not hold it.
    """
    card = read_rations.mixers(doing.book)[mixer]
    if plan.total_g > card["capacity_g"]:
        raise ChoreRefused(
            f"That is {doing.farm.units.mass(plan.total_g)}; "
            f"{card['name']} holds {doing.farm.units.mass(card['capacity_g'])}.",
            remedy="Take fewer pens, or give the planned weights of a part load.",
        )
    day = doing.ground.clock.farm_day(started_at)
    number = read_feeding.last_load_number(doing.book, day.isoformat()) + 1
    if doing.corrects is not None:
        number = _number_of_corrected(doing, day.isoformat()) or number
    load = doing.identity(Load, "load_plan")
    doing.farm_day = day
    doing.add(
        LoadPlan(
            load=load,
            mixer=mixer,
            ration=plan.ration,
            ration_version=plan.ration_version,
            started_at=started_at,
            farm_day=day.isoformat(),
            number=number,
            head=plan.head,
        )
    )
    for pen in pens:
        doing.add(LoadPen(load=load, pen=pen))
    for place, line in enumerate(plan.lines, start=1):
        doing.add(
            LoadPlanLine(
                load=load, place=place, feed=line.feed, planned_g=line.planned_g, dry_ppm=line.dry_ppm
            )
        )
    return load, number


class AsksForALoad(Protocol):
    """What says which load is meant: one of the plan by its number, or pens."""

    pen: list[int]
    mixer: int | None
    feeding: int
    planned_load: int | None


def what_is_planned(doing: Doing, draft: AsksForALoad, started_at: int) -> tuple[int, list[int], Plan]:
    """The mixer, the pens and what goes in: of a load of the day's plan, or of the pens that were named."""
    pens = list(dict.fromkeys(draft.pen))
    if draft.planned_load is not None:
        one = planned_load(doing, draft.planned_load, started_at)
        if pens and set(pens) != set(one.pens):
            whose = ", ".join(doing.ground.name_of("pen", pen) for pen in one.pens)
            raise Refused(
                f"pen: load {one.number} of the plan is for {whose}.",
                remedy="Leave the pens out, or the planned load.",
                field="pen",
            )
        return draft.mixer or one.split.mixer.key, list(one.pens), one.as_plan()
    if not pens:
        raise Refused(
            "pen: nothing was given.", remedy="Give a pen, or the number of a planned load.", field="pen"
        )
    mixer = only_one(doing, "mixer", draft.mixer)
    card = read_rations.mixers(doing.book)[mixer]
    plan = plan_load(
        doing.book, doing.ground, pens, feeding=draft.feeding, at_s=started_at, step_mg=card["step_mg"]
    )
    day = doing.ground.clock.farm_day(started_at).isoformat()
    order, _ = mixer_order(doing.book, mixer, day)
    lines = {line.feed: line for line in plan.lines}
    return mixer, pens, replace(plan, lines=tuple(lines[feed] for feed in in_order(lines, order)))


def planned_load(doing: Doing, number: int, at_s: int) -> PlannedLoad:
    """A load of the plan of the day an instant lies in, that was not begun yet.

    Raises:
        Refused: the plan has no load of that number.
        ChoreRefused: it was begun already.
    """
    day = doing.ground.clock.farm_day(at_s)
    one = plan_day(doing.book, doing.ground, day, at_s=at_s, without=doing.corrects).find(number)
    if one.begun:
        raise ChoreRefused(
            f"Load {number} of the plan was begun already, as load {one.begun[0].number}.",
            remedy="See `herdbook show plan`; a load beside the plan is begun with its pens.",
        )
    return one


def see_once(doing: Doing, planned: Sequence[tuple[int, int, str]]) -> None:
    """See that no feed was planned twice.

    Raises:
        Refused: one was.
    """
    feeds = [feed for feed, _, _ in planned]
    twice = next((feed for feed in feeds if feeds.count(feed) > 1), None)
    if twice is not None:
        raise Refused(
            f"planned {doing.ground.name_of('feed', twice)}: given twice.",
            remedy="Give each feed once.",
            field="planned",
        )


def _number_of_corrected(doing: Doing, day: str) -> int | None:
    from herdbook.book.reading.entries import rows_of

    assert doing.corrects is not None
    before = rows_of(doing.book, doing.corrects).get("load_plan")
    return int(before[0]["number"]) if before and before[0]["farm_day"] == day else None


def as_given(doing: Doing, plan: Plan, planned: Sequence[tuple[int, int, str]], at_s: int) -> Plan:
    """A plan with the weights that were given in place of its own."""
    lines = tuple(PlannedLine(feed, grams, dry_of(doing, plan, feed, at_s)) for feed, grams, _ in planned)
    return Plan(plan.ration, plan.ration_version, plan.head, lines)


def dry_of(doing: Doing, plan: Plan, feed: int, at_s: int) -> int:
    """The dry matter a load counts a feed with: that of its plan, else the newest.

    Raises:
        ChoreRefused: it has none.
    """
    for line in plan.lines:
        if line.feed == feed:
            return line.dry_ppm
    dry = read_feeds.dry_matter_at(doing.book, feed, at_s, doing.ground.clock.farm_day(at_s).isoformat())
    if dry is None:
        raise ChoreRefused(
            f"{doing.ground.name_of('feed', feed)} has no dry matter.",
            remedy="Write its analysis or a dry-matter test.",
        )
    return dry.dry_ppm


def _add_loaded(doing: Doing, load: int, draft: LoadDraft, plan: Plan, at_s: int) -> int:
    total_g = 0
    for feed, grams, typed in draft.loaded:
        total_g += grams
        doing.add(
            LoadWeight(
                load=load,
                feed=feed,
                loaded_g=grams,
                scale_g=total_g,
                dry_ppm=dry_of(doing, plan, feed, at_s),
                weighed_at=at_s,
                typed=typed,
            )
        )
    return total_g


class WeighDraft(ChoreDraft):
    """One feed into a load: the scale's running total, or the weight of the feed alone."""

    load: Annotated[int, LoadName(label="load", help="its number of today, or `y 2`")]
    feed: Annotated[int, Name(label="feed", help="which feed went in", thing="feed")]
    scale: Annotated[
        int | None,
        ask_weight("scale", least_g=0, help="what the mixer's scale reads now, everything together"),
    ] = None
    weight: Annotated[
        int | None, ask_weight("weight", least_g=0, help="the feed's own weight, instead of the scale")
    ] = None
    weighed: Annotated[int | None, Moment(label="weighed", help="when; now if not given")] = None
    sure: Annotated[bool, YesNo(label="sure", help="yes: ten times the planned weight is really meant")] = (
        False
    )


@chore("weigh", "one feed into a load", WeighDraft, roles=[HAND])
def weigh_feed(doing: Doing, draft: WeighDraft) -> str:
    """Write what went into a load of one feed."""
    load = standing_load(doing, draft.load)
    weighed_at = draft.weighed or doing.ground.now_s
    grams, scale_g = _grams(doing, draft, _already_in(doing, load, weighed_at))
    planned = next((row for row in load.planned if row["feed"] == draft.feed), None)
    name = doing.ground.name_of("feed", draft.feed)
    if (
        planned is not None
        and planned["planned_g"]
        and grams >= TENFOLD * planned["planned_g"]
        and not draft.sure
    ):
        raise ChoreRefused(
            f"{name}: {doing.farm.units.mass(grams)} is {grams / planned['planned_g']:.0f} times the planned "
            f"{doing.farm.units.mass(planned['planned_g'])}.",
            remedy="Check the scale; say that you are sure if it really went in.",
        )
    dry_ppm = planned["dry_ppm"] if planned is not None else _dry_now(doing, draft.feed, weighed_at)
    doing.farm_day = doing.ground.clock.farm_day(load.started_at)
    doing.add(
        LoadWeight(
            load=load.load,
            feed=draft.feed,
            loaded_g=grams,
            scale_g=scale_g,
            dry_ppm=dry_ppm,
            weighed_at=weighed_at,
        )
    )
    off = f", {_signed(doing, grams - planned['planned_g'])}" if planned is not None else ", not in the plan"
    lead = f"Load {load.number}, {name}, {doing.farm.units.mass(grams)}{off}."
    return f"{lead} {_if_off(doing, load, draft.feed, grams)}".strip()


def _if_off(doing: Doing, load: read_feeding.LoadRow, feed: int, grams: int) -> str:
    """What an error does to the ration and what could mend it; empty while the feed is within its tolerance."""
    from herdbook.reports.loading_errors import LoadJudge, in_words, mend_in_words

    before = [row for row in load.weighed if row["entry"] != doing.corrects]
    judge = LoadJudge(doing.book, doing.ground, replace(load, weighed=before))
    error = judge.judge(feed, grams + judge.loaded.get(feed, 0))
    if not error.is_off:
        return ""
    mend = "" if load.dropped else mend_in_words(error, doing.ground)
    return f"{in_words(error, doing.ground)} {mend}".strip()


def _signed(doing: Doing, grams: int) -> str:
    return f"{'+' if grams >= 0 else ''}{doing.farm.units.mass(grams)}"


def _dry_now(doing: Doing, feed: int, at_s: int) -> int:
    dry = read_feeds.dry_matter_at(doing.book, feed, at_s, doing.ground.clock.farm_day(at_s).isoformat())
    if dry is None:
        raise ChoreRefused(
            f"{doing.ground.name_of('feed', feed)} has no dry matter.",
            remedy="Write its analysis or a dry-matter test.",
        )
    return dry.dry_ppm


def _already_in(doing: Doing, load: read_feeding.LoadRow, weighed_at: int) -> int:
    """What the scale showed before: everything weighed until then, without what is being corrected."""
    before = [
        row for row in load.weighed if row["entry"] != doing.corrects and row["weighed_at"] <= weighed_at
    ]
    if doing.corrects is not None:
        first = read_entries.first_of_corrections(doing.book, doing.corrects)
        # of rows weighed in the same second only those count that were written before it
        before = [
            row
            for row in before
            if row["weighed_at"] < weighed_at or first is None or _written_first(doing, row, first["number"])
        ]
    return sum(row["loaded_g"] for row in before)


def _written_first(doing: Doing, row: Any, number: int) -> bool:
    first = read_entries.first_of_corrections(doing.book, row["entry"])
    return first is not None and first["number"] < number


def _grams(doing: Doing, draft: WeighDraft, before_g: int) -> tuple[int, int]:
    """The feed's own weight and the scale's running total."""
    if (draft.scale is None) == (draft.weight is None):
        raise Refused(
            "scale: give the scale's reading or the feed's weight.", remedy="One of the two.", field="scale"
        )
    if draft.weight is not None:
        return draft.weight, before_g + draft.weight
    assert draft.scale is not None
    if draft.scale < before_g:
        raise Refused(
            f"scale: {doing.farm.units.mass(draft.scale)} is below "
            f"the {doing.farm.units.mass(before_g)} already in.",
            remedy="Read the scale again, or correct the weight before.",
            field="scale",
        )
    return draft.scale - before_g, draft.scale
