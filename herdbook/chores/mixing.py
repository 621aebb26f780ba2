"""At the mixer: a load is begun, and each feed's weight is written as the scale says it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from typing import Annotated, Protocol

from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.feeding_plan import mixer_order
from herdbook.book.tables import Load, LoadPen, LoadPlan, LoadPlanLine, LoadWeight
from herdbook.chores.asking import Count, Name, YesNo
from herdbook.chores.choosing import only_one
from herdbook.chores.day_plan import PlannedLoad, plan_day
from herdbook.chores.doing import HAND, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.measures import ask_weight
from herdbook.chores.moments import Moment
from herdbook.chores.planning import Plan, PlannedLine, plan_load
from herdbook.chores.repeated import Pair, Several
from herdbook.errors import ChoreRefused, Refused
from herdbook.science.load_split import in_order

TENFOLD = 10
"""Ten times the planned weight is asked about: one nought too many (common practice, no source)."""
HAIR_G = 10
"""Weights are kept to the gram, and ten of them may be ten grams out."""
FEEDING = Count(
    label="feeding", help="which feeding of the day; the one that comes next if not given", least=1, most=12
)


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
    feeding: Annotated[int | None, FEEDING] = None
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
    sure: Annotated[bool, YesNo(label="sure", help="yes: ten times the planned weight is really meant")] = (
        False
    )


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
            feeding=plan.feeding,
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
    feeding: int | None
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
    feeding = draft.feeding or _feeding_that_comes(doing, pens, started_at)
    plan = plan_load(
        doing.book, doing.ground, pens, feeding=feeding, at_s=started_at, step_mg=card["step_mg"]
    )
    day = doing.ground.clock.farm_day(started_at).isoformat()
    order, _ = mixer_order(doing.book, mixer, day)
    lines = {line.feed: line for line in plan.lines}
    return mixer, pens, replace(plan, lines=tuple(lines[feed] for feed in in_order(lines, order)))


def _feeding_that_comes(doing: Doing, pens: Sequence[int], at_s: int) -> int:
    """The feeding after those these pens were begun a load for on the day an instant lies in."""
    day = doing.ground.clock.farm_day(at_s).isoformat()
    begun = [load for load in read_feeding.loads(doing.book, day, day) if load.entry != doing.corrects]
    its = [load.feeding or 1 for load in begun if set(pens) & {row["pen"] for row in load.pens}]
    gets = (read_rations.pen_ration_on(doing.book, pen, day) for pen in pens)
    most = min((row["feedings"] for row in gets if row is not None), default=1)
    return min(max(its, default=0) + 1, most)


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
    return replace(plan, lines=lines)


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
    planned = {line.feed: line.planned_g for line in plan.lines}
    so_far: dict[int, int] = defaultdict(int)
    for feed, grams, typed in draft.loaded:
        total_g += grams
        so_far[feed] += grams
        see_not_tenfold(doing, feed, so_far[feed], planned.get(feed, 0), sure=draft.sure)
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


def is_tenfold(grams: int, planned_g: int) -> bool:
    """Whether a weight is ten times its plan or more; what was not planned is not."""
    return planned_g > 0 and grams + HAIR_G >= TENFOLD * planned_g


def see_not_tenfold(doing: Doing, feed: int, grams: int, planned_g: int, *, sure: bool) -> None:
    """See that a weight is not one nought too many.

    Raises:
        ChoreRefused: it is ten times the plan or more, and nobody said that they are sure.
    """
    if sure or not is_tenfold(grams, planned_g):
        return
    mass = doing.farm.units.mass
    raise ChoreRefused(
        f"{doing.ground.name_of('feed', feed)}: {mass(grams)} is {grams / planned_g:.0f} times the planned "
        f"{mass(planned_g)}.",
        remedy="Check the reading; say that you are sure if it really went in.",
    )
