"""A suggestion for a ration: the cheapest amounts within its targets, or the least changed, beside today's."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from importlib.metadata import version as release_of
from typing import Any

from herdbook.book.reading import rations as read_rations
from herdbook.chores.ground import Ground
from herdbook.chores.measures import is_dm
from herdbook.chores.nutrient_asks import MILLION
from herdbook.errors import ChoreRefused
from herdbook.reports.figures import Column, Figure, Report, entries_of
from herdbook.reports.suggested import Suggested, parted_from_sheet, solve
from herdbook.reports.suggestion_asks import LEAST_COST
from herdbook.reports.suggestion_feeds import Asked
from herdbook.reports.suggestion_question import Question, state
from herdbook.reports.suggestion_tables import Telling, feeds_table, limits_table, quarrel_tables
from herdbook.reports.suggestion_words import misses_said, nutrients_said
from herdbook.science.nutrients import ADDED
from herdbook.solving.answers import Quarrel
from herdbook.solving.programme import TARGET
from herdbook.solving.words import list_of

FACT_COLUMNS = {
    "aim": Column("aim", "Asked for"),
    "fits": Column("fits", "Every limit holds"),
    "version": Column("version", "Today's version"),
    "dm_today_kg": Column("dm_today_kg", "Dry matter today", "kg", 2),
    "dm_suggested_kg": Column("dm_suggested_kg", "Dry matter suggested", "kg", 2),
    "cost_today_cents": Column("cost_today_cents", "Cost today", "cents", 2),
    "cost_suggested_cents": Column("cost_suggested_cents", "Cost suggested", "cents", 2),
    "cost_change_cents": Column("cost_change_cents", "Cost change", "cents", 2),
    "heads": Column("heads", "Cows that get it, times their call", "", 1),
    "herd_cost_change_cents": Column("herd_cost_change_cents", "Cost change, all cows a day", "cents", 2),
}
AIM_WORDS = {"least-cost": "least cost", "smallest-change": "smallest change"}


def make(
    connection: Any,
    ground: Ground,
    *,
    name: int,
    on: date | None = None,
    aim: str = LEAST_COST,
    **options: Any,
) -> Report:
    """What the solver suggests for a ration.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        name: the ration.
        on: analyses, prices and targets of that day; today if not given.
        aim: "least-cost" or "smallest-change".
        options: what else was typed, as in the catalogue of reports.

    Raises:
        ChoreRefused: the ration has no version in force on that day.
        Refused: something asked for cannot be.
        HerdbookError: the solver gave up.
    """
    day = on or ground.clock.farm_day(ground.now_s)
    version = read_rations.version_in_force(connection, name, day.isoformat())
    label = ground.name_of("ration", name)
    if version is None:
        raise ChoreRefused(
            f"Ration {label} has no version in force on {day.isoformat()}.", remedy="Choose a later day."
        )
    items = [(item["feed"], item["mg"], item["basis"]) for item in version.items]
    question = state(
        connection, ground, name, items, asked_of(aim, options), day, entry=version.entry
    )  # fmt: skip
    suggested = solve(question)
    telling = Telling(suggested, ground, rule_of(question))
    return Report(
        "suggestion",
        f"Ration {label}, version {version.version}: {_sought(suggested)}, a head a day",
        facts=_facts(telling, version.version, version.entry),
        columns=FACT_COLUMNS,
        tables=(feeds_table(telling), limits_table(telling), *quarrel_tables(telling)),
        warnings=tuple(warnings_of(suggested, ground)),
        data=suggested,
        status=0 if suggested.is_answer else 1,
    )


def _sought(suggested: Suggested) -> str:
    if not suggested.is_answer:
        return "no mix fits, and this comes nearest"
    return f"{AIM_WORDS[suggested.question.asked.aim]} within its targets"


def asked_of(aim: str, options: Mapping[str, Any]) -> Asked:
    """What was asked, from the options as the catalogue understood them."""

    def amounts(option: str) -> dict[int, tuple[int, str]]:
        return {feed: (mg, _basis(typed)) for feed, mg, typed in options.get(option, ())}

    counted: dict[int, dict[str, float]] = {}
    for feed, key, value in options.get("count", ()):
        counted.setdefault(feed, {})[key] = value / MILLION
    return Asked(
        aim,
        fix={feed: None if mg is None else (mg, _basis(typed)) for feed, mg, typed in options.get("fix", ())},
        least=amounts("least"),
        most=amounts("most"),
        also=tuple(options.get("also", ())),
        price={feed: float(cents) for feed, cents, _ in options.get("price", ())},
        stock_g={feed: grams for feed, grams, _ in options.get("stock", ())},
        from_store=bool(options.get("store")),
        days=options.get("days"),
        heads=options.get("heads"),
        limits={key: _bounds(bounds) for key, bounds, _ in options.get("limit", ())},
        without=frozenset(options.get("without", ())),
        counted=counted,
        **({"unknown": options["unknown"]} if "unknown" in options else {}),
    )


def _basis(typed: str) -> str:
    return "dry matter" if is_dm(typed) else "as fed"


def _bounds(millionths: Sequence[int | None]) -> TARGET:
    low, aim, high = (None if one is None else one / MILLION for one in millionths)
    return low, aim, high


def rule_of(question: Question) -> str:
    """How the amounts were found: what was sought, within which targets, by which solver."""
    sought = (
        "cheapest" if question.asked.aim == LEAST_COST else "least changed (sum of changes, each over today)"
    )
    targets = question.targets_said or "no targets"
    typed = ", with limits typed for this question" if question.asked.limits or question.asked.without else ""
    return f"{sought} amounts within {targets}{typed}; linear programme by HiGHS {release_of('highspy')}"


def warnings_of(suggested: Suggested, ground: Ground) -> Iterator[str]:
    """What must be read first: why nothing fits, then cautions, then how the problem was stated."""
    found, question = suggested.found, suggested.question
    if isinstance(found, Quarrel):
        missed = misses_said(suggested.nearest, ground) if suggested.nearest else ""
        yield f"No mix keeps to all limits. Nearest: {missed or 'see the table'}."
        if suggested.nearest and suggested.nearest.cut:
            yield f"In the nearest ration {list_of(list(suggested.nearest.cut))} stands under its least."
    else:
        yield from (said for said in found.cautions if " was counted with " not in said)
    for label in parted_from_sheet(suggested):
        yield f"{label}: the ration's own sheet judges the suggested amounts otherwise, for want of analyses."
    for feed, keys in suggested.left_out.items():
        yield f"{feed} was left out: it has no {nutrients_said(keys)}, which a limit counts with."
    for feed, keys in question.lacking.as_the_rest.items():
        yield f"{feed} has no {nutrients_said(keys)}: counted as the rest of the ration has it, as its sheet does."
    for feed, keys in question.lacking.as_none.items():
        yield f"{feed} has no {nutrients_said(keys)}: the amount is counted without it, as its sheet does."
    yield from _counted_as_told(question)
    yield from question.notes
    for one, kg in zip(question.offered, suggested.as_fed_kg, strict=True):
        if kg > one.today_kg and one.name in question.cautions:
            yield f"{one.name}: {question.cautions[one.name]}"


def _counted_as_told(question: Question) -> Iterator[str]:
    lacking = question.lacking

    def stood_in(feed: str) -> tuple[str, ...]:
        return (*lacking.as_the_rest.get(feed, ()), *lacking.as_none.get(feed, ()))

    for feed in question.programme.feeds:
        told = [
            f"{nutrients_said([key])} {value:g}"
            for key, value in feed.counted_as.items()
            if key not in feed.nutrients
            and key not in ADDED
            and key not in stood_in(feed.name)
            and not (key in question.ceilings and not value)
        ]
        if told:
            yield f"{feed.name} is counted with {list_of(told)} as told; that was not determined."


def _facts(telling: Telling, version: int, version_entry: int) -> Mapping[str, Figure]:
    suggested = telling.suggested
    question = suggested.question
    today, then = suggested.today_cents, suggested.cost_cents
    change = None if today is None or then is None else then - today
    missing = tuple(f"{name} has no price" for name in question.unpriced)
    unpriced = tuple(
        f"{one.name} has no price"
        for one in question.offered
        if one.cents_per_t is None and one.name not in question.unpriced
    )
    gaps = (*missing, *unpriced)
    flag = "?" if gaps else ""
    heads = question.programme.heads
    under = telling.under
    herd = entries_of(*question.entries, *question.head_entries)
    return {
        "aim": Figure(AIM_WORDS[question.asked.aim], rule=telling.rule, entries=telling.target),
        "fits": Figure(
            suggested.is_answer,
            rule=telling.rule,
            entries=under,
            flag="" if suggested.is_answer else "!",
            says="" if suggested.is_answer else "nearest",
        ),
        "version": Figure(version, entries=entries_of(version_entry)),
        "dm_today_kg": Figure(
            question.today.dry_kg, "kg", "sum of weight as fed times dry matter", entries=under
        ),
        "dm_suggested_kg": telling.solved(suggested.sums.dry_kg, "kg"),
        "cost_today_cents": Figure(
            today, "cents", "sum of weight as fed times price", {}, gaps, under, flag=flag
        ),
        "cost_suggested_cents": Figure(then, "cents", telling.rule, {}, gaps, under, flag=flag),
        "cost_change_cents": Figure(
            change, "cents", "cost suggested less cost today", {}, gaps, under, flag=flag
        ),
        "heads": Figure(
            heads,
            rule="heads of the pens that get the ration, times their call"
            if question.asked.heads is None
            else "as typed for this question",
            missing=() if heads else ("no pen with a head count gets it",),
            entries=entries_of(*question.head_entries),
        ),
        "herd_cost_change_cents": Figure(
            None if change is None or not heads else change * heads,
            "cents",
            "cost change a head times the heads",
            {},
            gaps,
            herd,
            flag=flag,
        ),
    }
