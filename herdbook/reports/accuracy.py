"""How near loads came to their plan, by person, mixer, feed or load: facts about the work, not a score of people."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from statistics import median
from typing import Any

from herdbook.book.reading import herd as read_herd
from herdbook.chores.ground import Ground
from herdbook.reports.fed import PenDay, pen_days
from herdbook.reports.figures import Column, Figure, Line, Report, Table, days_between, entries_of
from herdbook.reports.loadings import Loading, Mixed, entries_under, mixed_between, name_of_load
from herdbook.science.loading_accuracy import (
    HIT_PERCENT,
    TURNS_OF_CHANCE,
    WIDE_PERCENT,
    Interval,
    loading_accuracy,
    sawtooth,
)

DAYS = 30
PERSON, MIXER, FEED, LOAD = "person", "mixer", "feed", "load"
BY = (PERSON, MIXER, FEED, LOAD)
FACTS_NOT_SCORES = (
    "Facts about the work, not a score of people: scale, feed, loader and hurry all have their part. Elsewhere 46.7 % "
    "of 386,011 loadings in 33 herds were within 2 %, from 10.8 to 80.6 % by herd (Barry, abstract W324); where a "
    "tolerance was set, feeders aimed at it and 46 % of loadings missed by more than 2 % (Silva-del-Río, UC Davis)."
)

GROUP_COLUMNS = (
    Column("of", "Of"),
    Column("loadings", "Loadings"),
    Column("bias_percent", "Bias", "%", 1),
    Column("bias_low_percent", "from", "%", 1),
    Column("bias_high_percent", "to", "%", 1),
    Column("error_percent", "Error", "%", 1),
    Column("within_2_percent", "Within 2 %", "%"),
    Column("within_2_low_percent", "from", "%"),
    Column("within_2_high_percent", "to", "%"),
    Column("within_5_percent", "Within 5 %", "%"),
    Column("over_kg", "Too much", "kg"),
    Column("under_kg", "Too little", "kg"),
    Column("over_cents", "Too much cost", "cents"),
    Column("net_cents", "Net of too little", "cents"),
)
LOAD_COLUMNS = (
    Column("load", "Load"),
    Column("mixer", "Mixer"),
    Column("planned_kg", "Planned", "kg"),
    Column("loaded_kg", "Loaded", "kg"),
    Column("off_percent", "Off by", "%", 1),
    Column("order", "Order"),
    Column("minutes_min", "First feed to last drop", "min"),
)
PEN_COLUMNS = (
    Column("pen", "Pen"),
    Column("days", "Days known"),
    Column("step_percent", "Day to day", "%", 1),
    Column("turns_percent", "Turns", "%"),
    Column("says", "So"),
)
FACT_COLUMNS = {
    "loads": Column("loads", "Loads"),
    "loadings": Column("loadings", "Loadings"),
    "bias_percent": Column("bias_percent", "Bias", "%", 1),
    "error_percent": Column("error_percent", "Error", "%", 1),
    "within_2_percent": Column("within_2_percent", "Within 2 %", "%", 1),
    "within_5_percent": Column("within_5_percent", "Within 5 %", "%", 1),
    "over_cents": Column("over_cents", "Cost of too much", "cents"),
    "order_kept_percent": Column("order_kept_percent", "Order kept", "%"),
    "minutes_min": Column("minutes_min", "First feed to last drop, middle", "min"),
}


def make(
    connection: Any, ground: Ground, *, of: date | None = None, days: int = DAYS, by: str = FEED
) -> Report:
    """Loading errors over a span of farm days.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        of: the last day; today if not given.
        days: how many days back, that day included.
        by: person, mixer, feed or load.
    """
    last = of or ground.clock.farm_day(ground.now_s)
    first = last - timedelta(days=days - 1)
    mixed = mixed_between(connection, first, last)
    groups = _grouped([one for load in mixed for one in load.loadings], by, ground)
    group_lines = tuple(Line(name, {"of": Figure(name), **_figures(its)}) for name, its in groups.items())
    return Report(
        "accuracy",
        f"Loading by {by}, {first.isoformat()} to {last.isoformat()}",
        facts=_facts(mixed),
        columns=FACT_COLUMNS,
        tables=(
            Table("groups", f"By {by}", GROUP_COLUMNS, group_lines, "No planned feed was weighed in."),
            Table("loads", "Loads", LOAD_COLUMNS, tuple(_load_line(one, ground) for one in reversed(mixed))),
            Table(
                "pens",
                "Intake from day to day",
                PEN_COLUMNS,
                tuple(_pen_lines(connection, ground, first, last)),
            ),
        ),
        warnings=(FACTS_NOT_SCORES,),
        data=mixed,
    )


def _grouped(loadings: Sequence[Loading], by: str, ground: Ground) -> Mapping[str, list[Loading]]:
    name: Callable[[Loading], str] = {
        PERSON: lambda one: ground.name_of("person", one.person),
        MIXER: lambda one: ground.name_of("mixer", one.load.mixer),
        FEED: lambda one: ground.name_of("feed", one.feed),
        LOAD: lambda one: name_of_load(ground, one.load),
    }[by]
    groups: dict[str, list[Loading]] = defaultdict(list)
    for one in loadings:
        groups[name(one)].append(one)
    return groups if by == LOAD else dict(sorted(groups.items()))


def _figures(its: Sequence[Loading]) -> dict[str, Figure]:
    under = entries_of(*entries_under(its))
    errors = [one.off_percent for one in its]
    found = loading_accuracy(errors)
    unpriced = () if all(one.cents_per_t is not None for one in its) else ("a feed has no price",)
    cents = [one.off_cents for one in its if one.off_cents is not None]
    over_g = sum(max(0, one.loaded_g - one.planned_g) for one in its)
    under_g = sum(max(0, one.planned_g - one.loaded_g) for one in its)
    few = () if found.bias.low is not None else ("one loading has no spread",)

    def figure(value: float | None, unit: str, rule: str, missing: tuple[str, ...] = ()) -> Figure:
        return Figure(value, unit, rule, missing=missing, entries=under)

    def share(bound: float, one: Interval) -> Figure:
        return figure(one.value, "%", f"loadings within {bound:g} % of their target, of all")

    mean = "mean of (loaded - planned) / planned"
    return {
        "loadings": figure(found.loadings, "", "feeds planned and weighed in, one for each load"),
        "bias_percent": figure(found.bias.value, "%", mean),
        "bias_low_percent": figure(found.bias.low, "%", f"{mean}, lower bound, 19 times in 20", few),
        "bias_high_percent": figure(found.bias.high, "%", f"{mean}, upper bound, 19 times in 20", few),
        "error_percent": figure(found.error, "%", f"{mean}, each without its sign"),
        "within_2_percent": share(HIT_PERCENT, found.within_hit),
        "within_2_low_percent": figure(found.within_hit.low, "%", "its lower bound, 19 times in 20"),
        "within_2_high_percent": figure(found.within_hit.high, "%", "its upper bound, 19 times in 20"),
        "within_5_percent": share(WIDE_PERCENT, found.within_wide),
        "over_kg": figure(over_g / 1000, "kg", "sum of what was loaded above the targets"),
        "under_kg": figure(under_g / 1000, "kg", "sum of what was loaded below the targets"),
        "over_cents": figure(
            sum(one for one in cents if one > 0) if cents else None,
            "cents",
            "weight above the target times its price",
            unpriced,
        ),
        "net_cents": figure(
            sum(cents) if cents else None,
            "cents",
            "weight above less weight below the target, times its price",
            unpriced,
        ),
    }


def _facts(mixed: Sequence[Mixed]) -> dict[str, Figure]:
    loadings = [one for load in mixed for one in load.loadings]
    loads = entries_of(*(load.load.entry for load in mixed))
    facts = {"loads": Figure(len(mixed), rule="loads with weights", entries=loads)}
    if loadings:
        figures = _figures(loadings)
        facts |= {key: figures[key] for key in FACT_COLUMNS if key in figures}
    ordered = [one for one in mixed if one.order is not None]
    timed = [one for one in mixed if one.minutes is not None]
    facts["order_kept_percent"] = Figure(
        100 * sum(bool(one.order) for one in ordered) / len(ordered) if ordered else None,
        "%",
        "loads whose feeds went in in the planned order, of those whose weights have times",
        missing=() if ordered else ("no load has times of its weights",),
        entries=entries_of(*(number for one in ordered for number in _under(one))),
    )
    facts["minutes_min"] = Figure(
        median(one.minutes for one in timed if one.minutes is not None) if timed else None,
        "min",
        "middle of the loads that were dropped",
        missing=() if timed else ("no load has times and drops",),
        entries=entries_of(*(number for one in timed for number in _under(one))),
    )
    return facts


def _under(one: Mixed) -> tuple[int, ...]:
    load = one.load
    return (load.entry, *(row["entry"] for row in load.weighed), *(row["entry"] for row in load.dropped))


def _load_line(one: Mixed, ground: Ground) -> Line:
    load = one.load
    weighed = entries_of(load.entry, *(row["entry"] for row in load.weighed))
    off = 100 * (load.loaded_g / load.planned_g - 1) if load.planned_g else None
    words = {True: "kept", False: "not kept", None: None}
    return Line(
        name_of_load(ground, load),
        {
            "load": Figure(name_of_load(ground, load), entries=entries_of(load.entry)),
            "mixer": Figure(ground.name_of("mixer", load.mixer), entries=entries_of(load.entry)),
            "planned_kg": Figure(
                load.planned_g / 1000, "kg", "sum of the plan", entries=entries_of(load.entry)
            ),
            "loaded_kg": Figure(load.loaded_g / 1000, "kg", "sum of the weights", entries=weighed),
            "off_percent": Figure(off, "%", "loaded over planned", entries=weighed),
            "order": Figure(
                words[one.order],
                rule="the order of the weights' times against the plan's",
                missing=() if one.order is not None else ("the weights were written in one go",),
                entries=weighed,
            ),
            "minutes_min": Figure(
                one.minutes,
                "min",
                "first weight to last drop",
                missing=()
                if one.minutes is not None
                else ("not dropped yet, or the weights were written in one go",),
                entries=entries_of(*_under(one)),
            ),
        },
    )


def _pen_lines(connection: Any, ground: Ground, first: date, last: date) -> list[Line]:
    fed = pen_days(connection, ground, first, last)
    lines = []
    for pen in read_herd.pens(connection):
        days = [fed[pen.pen, day] for day in days_between(first, last)]
        if any(its.is_in_use and its.fed_entries for its in days):
            lines.append(_pen_line(pen.name, days))
    return lines


def _pen_line(name: str, days: Sequence[PenDay]) -> Line:
    known = [its for its in days if its.eaten_kg is not None]
    found = sawtooth([its.eaten_kg for its in days])
    under = entries_of(*dict.fromkeys(number for its in known for number in its.entries))
    few = ("no two days that follow on are known",) if found.step is None else ()
    short = ("no three days that follow on are known",) if found.turns is None else ()
    return Line(
        name,
        {
            "pen": Figure(name),
            "days": Figure(found.days, rule="days with heads, drops and refusal", entries=under),
            "step_percent": Figure(
                found.step,
                "%",
                "mean change of intake to the next day, without sign",
                missing=few,
                entries=under,
            ),
            "turns_percent": Figure(
                found.turns,
                "%",
                "days above or below both neighbours, of inner days",
                missing=short,
                entries=under,
            ),
            "says": Figure(
                None if found.turns is None else f"chance alone turns on {TURNS_OF_CHANCE:.0f} %",
                rule="of three days in any order the middle one is the highest or lowest in four of six",
            ),
        },
    )
