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
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.four_rations import (
    CALLED,
    EATEN,
    MEANING,
    SET,
    WHICH,
    FourRations,
    SpanPart,
    SpanRation,
)
from herdbook.reports.needs import intake_table, needs_table
from herdbook.reports.parts_of import leaf_parts
from herdbook.reports.ration import FLAGS, judged_against
from herdbook.reports.requirements import known_of
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
from herdbook.reports.spans import Span, last_days
from herdbook.reports.sureness import Sure, feeds_table, sure_cells, sure_of, sure_table
from herdbook.science.figures import RationFigure, amount_of, figure_value, ration_figures
from herdbook.science.nutrients import nutrients

MILLION = 1_000_000
ALL = "all"
CHOICES = (*WHICH, ALL)
Bounds = tuple[float | None, float | None, float | None]

FEED_COLUMNS = (
    Column("feed", "Feed"),
    Column("as_fed_kg", "As fed", "kg", 2),
    Column("dm_percent", "DM %", "%", 1),
    Column("dm_kg", "DM", "kg", 2),
    Column("share_percent", "of DM", "%", 1),
    Column("cost_cents", "Cost", "cents", 2),
)
FIGURE_COLUMNS = (
    Column("figure", "Figure"),
    Column("value", "Value", "own", 2),
    Column("spread", "±", "own", 2),
    Column("unit", "Unit"),
    Column("low", "Low", "own", 2),
    Column("aim", "Aim", "own", 2),
    Column("high", "High", "own", 2),
    Column("verdict", "Verdict"),
    Column("off_by", "Off by", "own", 2),
    Column("above_low_percent", "Above low", "%"),
    Column("below_high_percent", "Below high", "%"),
    Column("amount", "Amount", "own", 2),
    Column("amount_unit", "of"),
    Column("no_analysis_percent", "No analysis", "%", 1),
)
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
            tables=(Table("feeds", "Feeds a head and day", FEED_COLUMNS, ()),),
            warnings=tuple(warnings),
            data=Evaluation(four, {which: ration}, targets, None),
        )
    sure = sure_of(connection, ground, ration.parts, ration.days[-1], weighed=which != SET)
    figures = _figures_table(ration, targets, target_entries, sure)
    off = [
        f"{line['figure'].value} {line['verdict'].says}"
        for line in figures.lines
        if line["verdict"].flag == "!"
    ]
    warnings = ([f"Outside the targets: {', '.join(off)}."] if off else []) + warnings
    return Report(
        "evaluation",
        f"{title}, a head and day",
        facts={**_lead_facts(four, ration, ground), **_sum_facts(ration)},
        columns=FACT_COLUMNS,
        tables=(
            figures,
            sure_table(sure, targets, ground),
            Table("feeds", "Feeds a head and day", FEED_COLUMNS, tuple(_feed_lines(ration))),
            *_opinions(connection, four, ration),
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
    keys = _keys(targets, rations)
    judged = next((rations[which] for which in reversed(WHICH) if rations[which].parts), None)
    tables = [
        side_table(rations, targets, keys, target_entries),
        *([gaps_table(rations, targets, keys)] if days else []),
        side_feeds(rations),
        *(_opinions(connection, four, judged) if judged else ()),
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


def _sum_facts(ration: SpanRation) -> dict[str, Figure]:
    known = ration_figures()
    unknown = sum(one.dry_kg for one in ration.parts if one.analysis is None)
    dry_kg = ration.totals.dry_kg
    return {
        "as_fed_kg": value_in(known["as_fed"], ration),
        "dm_kg": value_in(known["dm_intake"], ration),
        "dm_percent": value_in(known["dm_share"], ration),
        "forage_percent": value_in(known["forage_share"], ration),
        "cost_cents": _cost(ration),
        "no_analysis_percent": Figure(
            100 * unknown / dry_kg if dry_kg else None,
            "%",
            "dry matter of feeds without any analysis over all dry matter",
            {one.part.feed: "no analysis" for one in ration.parts if one.analysis is None},
            entries=entries_of(*ration.carried_entries),
            flag="?" if unknown else "",
        ),
    }


def _cost(ration: SpanRation) -> Figure:
    priced = [one for one in ration.parts if one.cost_cents is not None]
    unpriced = tuple(f"{one.part.feed} has no price" for one in ration.parts if one.cost_cents is None)
    under = dict.fromkeys(number for one in priced for number in one.cost_entries)
    return Figure(
        sum(one.cost_cents or 0.0 for one in priced) if priced else None,
        "cents",
        "weight as fed times the price of the day, a head and day",
        {one.part.feed: f"{(one.cost_cents or 0.0) / 100:.4f}" for one in priced},
        unpriced,
        entries_of(*under),
        flag="?" if unpriced else "",
    )


def _gap_facts(rations: Mapping[str, SpanRation], days: Sequence[date]) -> dict[str, Figure]:
    of = ration_figures()["dm_intake"]
    made = {f"dm_{which}_kg": value_in(of, rations[which]) for which in WHICH}
    if days:
        gap = gap_of(values_of("dm_intake", rations), 0.5 * 10.0**-of.decimals)
        told = {which: "none" if value is None else f"{value:.3f} kg" for which, value in gap.values.items()}
        under = entries_of(*dict.fromkeys(number for its in rations.values() for number in its.entries))
        made["dm_gap_kg"] = Figure(gap.whole, "kg", "dry matter eaten less set", told, entries=under)
        says = gap.blame if gap.share is None else f"{gap.blame}, {100 * gap.share:.0f} % of it"
        made["dm_gap_from"] = Figure(
            says or SAME, "", "the step that adds most in its direction", told, entries=under
        )
    return made


def _keys(targets: Mapping[str, Bounds], rations: Mapping[str, SpanRation]) -> list[str]:
    """Figures that have a target first, then those that have a value, each in the order of the list."""
    known = ration_figures()
    wanted = [key for key in known if key in targets] + [key for key in targets if amount_of(key)]
    sums = [its.totals for its in rations.values() if its.parts]
    return wanted + [
        key
        for key in known
        if key not in targets and any(figure_value(key, of).value is not None for of in sums)
    ]


def _figures_table(
    ration: SpanRation, targets: Mapping[str, Bounds], target_entries: tuple[int, ...], sure: Sure
) -> Table:
    known = ration_figures()
    lines = [
        _figure_line(known[key], ration, targets.get(key, (None, None, None)), target_entries, sure)
        for key in _keys(targets, {ration.which: ration})
    ]
    return Table("figures", "Against the targets", FIGURE_COLUMNS, tuple(lines))


def _figure_line(
    of: RationFigure, ration: SpanRation, bounds: Bounds, target_entries: tuple[int, ...], sure: Sure
) -> Line:
    found = figure_value(of.key, ration.totals)
    value = value_in(of, ration)
    judged = judged_against(of, found.value, bounds)
    word = "" if judged.word == "no target" else judged.word
    target = entries_of(*target_entries)
    both = entries_of(*dict.fromkeys([*value.entries(), *target()]))
    total = None if amount_of(of.key) else ration.totals.nutrients.get(of.key)
    amount_unit = nutrients()[of.key].amount_unit if of.key in nutrients() else ""
    return Line(
        of.key,
        {
            "figure": Figure(of.label),
            "value": value,
            "unit": Figure(of.unit),
            "low": Figure(bounds[0], of.unit, entries=target),
            "aim": Figure(bounds[1], of.unit, entries=target),
            "high": Figure(bounds[2], of.unit, entries=target),
            "verdict": Figure(
                word, "", "the value against the nutritionist's low and high; right at a limit is ok",
                {"value": value}, value.missing, both, flag=FLAGS.get(word, ""), says=word,
            ),
            "off_by": Figure(
                judged.distance if judged.word in ("low", "high") else None,
                of.unit, "value less the limit it passed", {"value": value}, entries=both,
            ),
            **sure_cells(of, sure, bounds, both()),
            "amount": Figure(
                total.amount if total and amount_unit else None, amount_unit, "share times dry matter",
                entries=value.entries,
            ),
            "amount_unit": Figure(amount_unit),
            "no_analysis_percent": Figure(
                100 * found.unknown_share, "%", "dry matter without this analysis over all dry matter",
                entries=value.entries,
            ),
        },
    )  # fmt: skip


def _feed_lines(ration: SpanRation) -> list[Line]:
    """One row a feed, however often it was analysed within the span."""
    by_feed: dict[int, list[SpanPart]] = {}
    for one in ration.parts:
        by_feed.setdefault(one.feed, []).append(one)
    return [_feed_line(its, ration) for its in by_feed.values()]


def _feed_line(its: Sequence[SpanPart], ration: SpanRation) -> Line:
    name, all_dry_kg = its[0].part.feed, ration.totals.dry_kg
    under = entries_of(*dict.fromkeys(number for one in its for number in one.weight_entries))
    analysed = [f"analysed {one.analysis.sampled_on}" if one.analysis else "no analysis" for one in its]
    as_fed_kg, dry_kg = sum(one.part.as_fed_kg for one in its), sum(one.dry_kg for one in its)
    costs = [one.cost_cents for one in its]
    known = [cents for cents in costs if cents is not None]
    rule = f"{MEANING[ration.which]}, by head and day"
    return Line(
        name,
        {
            "feed": Figure(
                name,
                inputs={"figures": ", then ".join(analysed)},
                entries=entries_of(*dict.fromkeys(number for one in its for number in one.nutrient_entries)),
            ),
            "as_fed_kg": Figure(as_fed_kg, "kg", rule, entries=under),
            "dm_percent": Figure(
                100 * dry_kg / as_fed_kg if as_fed_kg else None, "%", "dry matter over as fed", entries=under
            ),
            "dm_kg": Figure(dry_kg, "kg", rule, entries=under),
            "share_percent": Figure(
                100 * dry_kg / all_dry_kg if all_dry_kg else None,
                "%",
                "over all dry matter",
                entries=entries_of(*ration.entries),
            ),
            "cost_cents": Figure(
                sum(known) if len(known) == len(costs) else None,
                "cents",
                "weight as fed times the price of the day",
                missing=() if len(known) == len(costs) else (f"{name} has no price",),
                entries=entries_of(*dict.fromkeys(number for one in its for number in one.cost_entries)),
            ),
        },
    )


def _opinions(connection: Any, four: FourRations, ration: SpanRation) -> tuple[Table, Table]:
    """What the books say of these cows; beside the targets, never in their place."""
    kind = next((pen.kind for pen in read_herd.pens(connection) if pen.pen == four.pen), "milking")
    cows = known_of(cows_of_pen_on(connection, four.pen, four.last.isoformat()), kind)
    return intake_table(cows, ration), needs_table(cows, ration)
