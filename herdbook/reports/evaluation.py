"""A pen's ration judged over a span of days: as set, mixed, dropped or eaten, or all four side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.pen_cows import cows_of_pen_on
from herdbook.chores.ground import Ground
from herdbook.clock import shown_day
from herdbook.reports.evaluation_tables import feeds_of, figure_keys, figures_table, sum_facts
from herdbook.reports.figures import Column, Figure, Report, Table, entries_of, in_kg
from herdbook.reports.four_rations import (
    CALLED,
    EATEN,
    MEANING,
    SET,
    WHICH,
    FourRations,
)
from herdbook.reports.needs import intake_table, needs_table
from herdbook.reports.parts_of import leaf_parts
from herdbook.reports.pen_known import known_of
from herdbook.reports.sensitivity import moves_table
from herdbook.reports.side_by_side import (
    SAME,
    gap_of,
    gaps_table,
    side_feeds,
    side_table,
    value_in,
    values_of,
)
from herdbook.reports.span_ration import SpanRation
from herdbook.reports.spans import Span, last_days
from herdbook.reports.sureness import Sure, feeds_table, sure_of, sure_table
from herdbook.science.figures import ration_figures

MILLION = 1_000_000
ALL = "all"
CHOICES = (*WHICH, ALL)
Bounds = tuple[float | None, float | None, float | None]

FACT_COLUMNS = {
    "pen": Column("pen", "Pen"),
    "which": Column("which", "Ration as"),
    "since": Column("since", "From", "day"),
    "until": Column("until", "To", "day"),
    "days": Column("days", "Days counted"),
    "head": Column("head", "Head", "", 1),
    "ration": Column("ration", "Ration"),
    "as_fed_kg": Column("as_fed_kg", "As fed", "kg", 2),
    "dm_kg": Column("dm_kg", "Dry matter", "kg", 2),
    "dm_percent": Column("dm_percent", "Dry matter of the mix", "%", 1),
    "forage_percent": Column("forage_percent", "Forage of dry matter", "%", 1),
    "cost_cents": Column("cost_cents", "Feed cost", "cents", 2),
    "no_analysis_percent": Column("no_analysis_percent", "Dry matter without any analysis", "%", 1),
    **{f"dm_{which}_kg": Column(f"dm_{which}_kg", f"Dry matter {which}", "kg", 2) for which in WHICH},
    "dm_gap_kg": Column("dm_gap_kg", "Eaten less set", "kg", 2),
    "dm_gap_from": Column("dm_gap_from", "Most of it"),
}


@dataclass(frozen=True, slots=True)
class Evaluation:
    """What a screen draws from: the rations by name, the targets, and how sure the figures are."""

    four: FourRations
    rations: Mapping[str, SpanRation]
    targets: Mapping[str, Bounds]
    sure: Sure | None


def make(connection: Any, ground: Ground, *, pen: int, of: Span | None = None, which: str = EATEN) -> Report:
    """A pen's ration over a span of farm days, a head and day.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        pen: the pen.
        of: the span; the seven days up to yesterday if not given.
        which: set, mixed, dropped, eaten, or all four side by side.
    """
    span = of or last_days(ground)
    four = FourRations(connection, ground, pen, span.first, span.last)
    targets, target_entries = _targets(connection, four)
    title = f"{ground.name_of('pen', pen)}, {span}, {'the four rations' if which == ALL else which}"
    if which == ALL:
        return _all(connection, ground, four, title, targets, target_entries)
    ration = four.ration(which)
    warnings = [f"Not in it: {word}." for word in ration.missing] + _span_warnings(four, ground)
    if not ration.parts:
        return Report(
            "evaluation",
            f"{title}: nothing to judge",
            facts=_lead_facts(four, ration, ground),
            columns=FACT_COLUMNS,
            tables=(feeds_of(ration),),
            warnings=tuple(warnings),
            data=Evaluation(four, {which: ration}, targets, None),
        )
    sure = sure_of(connection, ground, ration.parts, ration.days[-1], weighed=which != SET)
    figures = figures_table(ration, targets, target_entries, sure)
    off = [
        f"{line['figure'].value} {line['verdict'].says}"
        for line in figures.lines
        if line["verdict"].flag == "!"
    ]
    warnings = ([f"Outside the targets: {', '.join(off)}."] if off else []) + warnings
    return Report(
        "evaluation",
        f"{title}, a head and day",
        facts={**_lead_facts(four, ration, ground), **sum_facts(ration)},
        columns=FACT_COLUMNS,
        tables=(
            figures,
            sure_table(sure, targets, ground),
            feeds_of(ration),
            *_opinions(connection, ground, four, ration),
            moves_table(leaf_parts(ration.parts), ration.totals, targets, ration.carried_entries),
            feeds_table(sure),
        ),
        warnings=tuple(warnings),
        data=Evaluation(four, {which: ration}, targets, sure),
    )


def _all(
    connection: Any,
    ground: Ground,
    four: FourRations,
    title: str,
    targets: Mapping[str, Bounds],
    target_entries: tuple[int, ...],
) -> Report:
    """The four over the days on which all of them are known, so that what differs is the feed and not the days."""
    days = four.common_days
    rations = {which: four.ration(which, days or None) for which in (*WHICH, CALLED)}
    told = dict.fromkeys(word for which in WHICH for word in four.ration(which).missing)
    warnings = [f"Not in it: {word}." for word in told] + _span_warnings(four, ground)
    if not days:
        warnings.insert(
            0, "No day has all four rations: each is over its own days, and no step can be blamed."
        )
    keys = figure_keys(targets, rations)
    judged = next((rations[which] for which in reversed(WHICH) if rations[which].parts), None)
    tables = [
        side_table(rations, targets, keys, target_entries),
        *([gaps_table(rations, targets, keys)] if days else []),
        side_feeds(rations),
        *(_opinions(connection, ground, four, judged) if judged else ()),
    ]
    lead = rations[EATEN] if rations[EATEN].parts else judged or rations[EATEN]
    return Report(
        "evaluation",
        f"{title}, a head and day",
        facts={**_lead_facts(four, lead, ground, which=ALL), **_gap_facts(rations, days)},
        columns=FACT_COLUMNS,
        tables=tuple(tables),
        warnings=tuple(warnings),
        data=Evaluation(four, rations, targets, None),
    )


def _targets(connection: Any, four: FourRations) -> tuple[dict[str, Bounds], tuple[int, ...]]:
    """The targets in force on the span's last day for the ration in force then."""
    if not four.versions:
        return {}, ()
    rows = read_rations.targets_on(connection, four.versions[-1].ration, four.last.isoformat())
    found = {}
    for row in rows:
        low, aim, high = (
            None if row[name] is None else row[name] / MILLION for name in ("low", "aim", "high")
        )
        found[row["figure"]] = (low, aim, high)
    return found, (rows[0]["entry"], *four.in_force_entries) if rows else ()


def _span_warnings(four: FourRations, ground: Ground) -> list[str]:
    found = []
    if four.unfinished is not None:
        day = shown_day(four.unfinished)
        alone = four.unfinished == four.first == four.last
        found.append(f"{day} is not over{': what follows is only so far' if alone else ' and is left out'}.")
    rations = dict.fromkeys(version.ration for version in four.versions)
    if len(rations) > 1:
        names = ", ".join(ground.name_of("ration", ration) for ration in rations)
        found.append(f"The pen had several rations in these days ({names}); the targets are the last one's.")
    return found


def _lead_facts(four: FourRations, ration: SpanRation, ground: Ground, which: str = "") -> dict[str, Figure]:
    of = " and ".join(
        f"{ground.name_of('ration', version.ration)} version {version.version}" for version in four.versions
    )
    days = [shown_day(day) for day in ration.days]
    return {
        "pen": Figure(ground.name_of("pen", four.pen)),
        "which": Figure(
            which or ration.which, rule=MEANING.get(which or ration.which, "the four side by side")
        ),
        "since": Figure(four.first.isoformat(), "day"),
        "until": Figure(four.last.isoformat(), "day"),
        "days": Figure(
            len(ration.days),
            "",
            "farm days that have what it takes",
            {"days": ", ".join(days) or "none"},
            ration.missing,
            entries_of(*ration.entries),
            flag="" if not ration.missing else "?",
        ),
        "head": Figure(
            ration.head,
            "",
            "mean of the days' heads, each by the hours its counts held",
            entries=entries_of(*ration.entries),
        ),
        "ration": Figure(of or None, entries=entries_of(*(version.entry for version in four.versions))),
    }


def _gap_facts(rations: Mapping[str, SpanRation], days: Sequence[date]) -> dict[str, Figure]:
    of = ration_figures()["dm_intake"]
    made = {f"dm_{which}_kg": value_in(of, rations[which]) for which in WHICH}
    if days:
        gap = gap_of(values_of("dm_intake", rations), 0.5 * 10.0**-of.decimals)
        told = {which: "none" if value is None else in_kg(value) for which, value in gap.values.items()}
        under = entries_of(*dict.fromkeys(number for its in rations.values() for number in its.entries))
        made["dm_gap_kg"] = Figure(gap.whole, "kg", "dry matter eaten less set", told, entries=under)
        says = gap.blame if gap.share is None else f"{gap.blame}, {100 * gap.share:.0f} % of it"
        made["dm_gap_from"] = Figure(
            says or SAME, "", "the step that adds most in its direction", told, entries=under
        )
    return made


def _opinions(connection: Any, ground: Ground, four: FourRations, ration: SpanRation) -> tuple[Table, Table]:
    """What the books say of these cows; beside the targets, never in their place.

    What was first said of a pen's cows serves the days before it too, as a feed's first analysis does.
    """
    kind = next((pen.kind for pen in read_herd.pens(connection) if pen.pen == four.pen), "milking")
    today = ground.clock.farm_day(ground.now_s).isoformat()
    written = cows_of_pen_on(connection, four.pen, four.last.isoformat())
    cows = known_of(written or cows_of_pen_on(connection, four.pen, today), kind)
    return intake_table(cows, ration), needs_table(cows, ration)
