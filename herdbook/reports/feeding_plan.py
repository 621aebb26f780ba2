"""The feeding plan of a day: its loads, what goes in each in the mixer's own order, who gets it, and what is begun."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from herdbook.chores.day_plan import DayPlan, PlannedLoad, plan_day
from herdbook.chores.ground import Ground
from herdbook.clock import shown_day
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.science.load_split import FeedLine

SET_BY = "heads x call x share of the feeding, as fed at the newest dry matter"
ON_STEP = f"{SET_BY}, on the scale's step; what rounding leaves goes into the next load of that feed"

LOAD_COLUMNS = (
    Column("load", "Load"),
    Column("feeding", "Feeding"),
    Column("pens", "Pens"),
    Column("ration", "Ration"),
    Column("mixer", "Mixer"),
    Column("head", "Head"),
    Column("planned_kg", "Planned", "kg"),
    Column("full_percent", "Full", "%"),
    Column("begun", "Begun as"),
)
FEED_COLUMNS = (
    Column("load", "Load"),
    Column("feed", "Feed"),
    Column("add_kg", "Add", "kg"),
    Column("scale_to_kg", "Scale to", "kg"),
    Column("by_hand_kg", "By hand", "kg", 2),
    Column("exact_kg", "Ration asks", "kg", 1),
)
PEN_COLUMNS = (
    Column("load", "Load"),
    Column("pen", "Pen"),
    Column("head", "Head"),
    Column("part_percent", "of its feeding", "%"),
    Column("drop_kg", "Drop", "kg"),
)
TOTAL_COLUMNS = (
    Column("feed", "Feed"),
    Column("asks_kg", "Ration asks", "kg", 1),
    Column("planned_kg", "Planned", "kg", 1),
    Column("off_kg", "Off by", "kg", 1),
)


def make(connection: Any, ground: Ground, *, of: date | None = None, feeding: int | None = None) -> Report:
    """The plan of a farm day.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        of: the day; today if not given.
        feeding: only this feeding's loads; numbers stay those of the whole day.
    """
    plan = plan_day(connection, ground, of)
    loads = [load for load in plan.loads if feeding in (None, load.feeding)]
    which = f", feeding {feeding}" if feeding else ""
    return Report(
        "plan",
        f"Feeding plan of {shown_day(plan.day)} {plan.day.year}{which}",
        tables=(
            Table(
                "loads",
                "Loads",
                LOAD_COLUMNS,
                tuple(_load_line(load, ground) for load in loads),
                "Nothing is planned: no pen has a ration and a head count.",
            ),
            Table(
                "feeds",
                "Feed by feed",
                FEED_COLUMNS,
                tuple(_feed_line(load, line, ground) for load in loads for line in load.split.lines),
            ),
            Table(
                "pens",
                "Pen by pen",
                PEN_COLUMNS,
                tuple(line for load in loads for line in _pen_lines(load, ground)),
            ),
            Table("totals", "Totals", TOTAL_COLUMNS, tuple(_total_lines(loads, ground))),
        ),
        warnings=tuple(warnings_of(plan, loads, ground)),
        data=plan,
    )


def warnings_of(plan: DayPlan, loads: list[PlannedLoad], ground: Ground) -> Iterator[str]:
    """What to know before mixing: what could not be planned, what the mixer or its scale is not made for."""
    yield from plan.problems
    for load in loads:
        mixer, name = load.split.mixer, ground.name_of("mixer", load.split.mixer.key)
        if load.split.is_under_least:
            yield (
                f"Load {load.number} is {ground.units.mass(load.split.total_g)}, less than the "
                f"{ground.units.mass(mixer.least_g)} that {name} mixes well."
            )
    for mixer, name in {
        load.split.mixer: ground.name_of("mixer", load.split.mixer.key) for load in loads
    }.items():
        its = {line.feed for load in loads if load.split.mixer == mixer for line in load.split.lines}
        strays = [ground.name_of("feed", feed) for feed in sorted(its - set(mixer.order))]
        if mixer.order and strays:
            yield f"{name} has no place in its order for {', '.join(strays)}; what has none goes in last."
        hands = {
            line.feed
            for load in loads
            if load.split.mixer == mixer
            for line in load.split.lines
            if line.by_hand
        }
        if hands:
            names = ", ".join(ground.name_of("feed", feed) for feed in sorted(hands))
            step = ground.units.number(ground_step(mixer.step_mg, ground), 1).removesuffix(".0")
            yield f"Weigh by hand, {name} steps by {step} {ground.units.load}: {names}."
    for other in plan.others:
        pens = ", ".join(ground.name_of("pen", row["pen"]) for row in other.pens)
        yield f"Load {other.number} ({pens}) was begun beside the plan."


def ground_step(step_mg: int, ground: Ground) -> float:
    """A scale's step in the farm's unit of loads."""
    from herdbook.units import MASS_MG

    return MASS_MG.value_in(step_mg, ground.units.load)


def begun_as(load: PlannedLoad) -> str:
    """The numbers of the loads that were begun for a planned one; empty for none."""
    return ", ".join(f"load {one.number}" for one in load.begun)


def _load_line(load: PlannedLoad, ground: Ground) -> Line:
    under = entries_of(*load.entries)
    split = load.split
    short = split.is_under_least
    return Line(
        f"load {load.number}",
        {
            "load": Figure(load.number),
            "feeding": Figure(load.feeding),
            "pens": Figure(pens_in_words(load, ground), entries=under),
            "ration": Figure(ground.name_of("ration", load.ration), entries=under),
            "mixer": Figure(ground.name_of("mixer", split.mixer.key), entries=under),
            "head": Figure(split.head, rule="head at the instant of planning, by their part", entries=under),
            "planned_kg": Figure(split.total_g / 1000, "kg", "sum of its feeds", entries=under),
            "full_percent": Figure(
                100 * split.total_g / split.mixer.capacity_g,
                "%",
                "planned over what the mixer holds",
                entries=under,
                flag="!" if short else "",
                says="too little" if short else "",
            ),
            "begun": Figure(begun_as(load) or None, entries=entries_of(*(one.entry for one in load.begun))),
        },
    )


def pens_in_words(load: PlannedLoad, ground: Ground) -> str:
    """`High, part of Low`: the pens a load is for."""
    return ", ".join(
        f"{'' if pen.part > 0.9995 else 'part of '}{ground.name_of('pen', pen.pen)}"
        for pen in load.split.pens
    )


def _feed_line(load: PlannedLoad, line: FeedLine, ground: Ground) -> Line:
    name, under = ground.name_of("feed", line.feed), entries_of(*load.entries)
    inputs = {"dry matter": f"{load.dry_ppm[line.feed] / 10_000:.1f} %"}
    return Line(
        f"load {load.number} {name}",
        {
            "load": Figure(load.number),
            "feed": Figure(name),
            "add_kg": Figure(line.grams / 1000, "kg", ON_STEP, inputs, entries=under),
            "scale_to_kg": Figure(
                line.scale_to_g / 1000,
                "kg",
                "everything that is in by then, as the scale shows it",
                entries=under,
            ),
            "by_hand_kg": Figure(
                line.grams / 1000 if line.by_hand else None,
                "kg",
                "the ration's own amount, to the gram: fewer than five steps of the scale",
                entries=under,
                flag="!" if line.by_hand else "",
                says="weigh by hand" if line.by_hand else "",
            ),
            "exact_kg": Figure(line.exact_g / 1000, "kg", SET_BY, inputs, entries=under),
        },
    )


def _pen_lines(load: PlannedLoad, ground: Ground) -> Iterator[Line]:
    under = entries_of(*load.entries)
    for pen in load.split.pens:
        name = ground.name_of("pen", pen.pen)
        yield Line(
            f"load {load.number} {name}",
            {
                "load": Figure(load.number),
                "pen": Figure(name),
                "head": Figure(pen.head, entries=under),
                "part_percent": Figure(
                    100 * pen.part, "%", "the part of the pen's feeding that is in this load", entries=under
                ),
                "drop_kg": Figure(
                    drop_g(load, pen.grams) / 1000, "kg", "its part of the load", entries=under
                ),
            },
        )


def drop_g(load: PlannedLoad, exact_g: float) -> float:
    """What a pen gets of a load as it was rounded, so that the pens' drops make the load."""
    return exact_g * load.split.total_g / sum(pen.grams for pen in load.split.pens)


def _total_lines(loads: list[PlannedLoad], ground: Ground) -> Iterator[Line]:
    feeds = dict.fromkeys(line.feed for load in loads for line in load.split.lines)
    for feed in feeds:
        its = [(load, line) for load in loads for line in load.split.lines if line.feed == feed]
        under = entries_of(*(number for load, _ in its for number in load.entries))
        asks = sum(line.exact_g for _, line in its) / 1000
        planned = sum(line.grams for _, line in its) / 1000
        yield Line(
            ground.name_of("feed", feed),
            {
                "feed": Figure(ground.name_of("feed", feed)),
                "asks_kg": Figure(asks, "kg", SET_BY, entries=under),
                "planned_kg": Figure(planned, "kg", "sum over the loads", entries=under),
                "off_kg": Figure(planned - asks, "kg", "planned less asked for", entries=under),
            },
        )
