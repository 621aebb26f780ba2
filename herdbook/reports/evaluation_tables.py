"""The tables of a ration that is judged: its figures against their targets, its feeds, its sums."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from herdbook.reports.figures import Column, Figure, Line, Table, entries_of
from herdbook.reports.four_rations import MEANING
from herdbook.reports.ration import FLAGS, judged_against
from herdbook.reports.side_by_side import value_in
from herdbook.reports.span_ration import SpanPart, SpanRation
from herdbook.reports.sureness import Sure, sure_cells
from herdbook.science.figures import RationFigure, amount_of, figure_value, ration_figures
from herdbook.science.nutrients import nutrients

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


def sum_facts(ration: SpanRation) -> dict[str, Figure]:
    """A ration's sums as single figures."""
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


def figure_keys(targets: Mapping[str, Bounds], rations: Mapping[str, SpanRation]) -> list[str]:
    """Figures that have a target first, then those that have a value, each in the order of the list."""
    known = ration_figures()
    wanted = [key for key in known if key in targets] + [key for key in targets if amount_of(key)]
    sums = [its.totals for its in rations.values() if its.parts]
    return wanted + [
        key
        for key in known
        if key not in targets and any(figure_value(key, of).value is not None for of in sums)
    ]


def figures_table(
    ration: SpanRation, targets: Mapping[str, Bounds], target_entries: tuple[int, ...], sure: Sure
) -> Table:
    """Every figure of a ration against its target, with how sure it is."""
    known = ration_figures()
    lines = [
        _figure_line(known[key], ration, targets.get(key, (None, None, None)), target_entries, sure)
        for key in figure_keys(targets, {ration.which: ration})
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


def feeds_of(ration: SpanRation) -> Table:
    """One row a feed, however often it was analysed within the span."""
    by_feed: dict[int, list[SpanPart]] = {}
    for one in ration.parts:
        by_feed.setdefault(one.feed, []).append(one)
    lines = tuple(_feed_line(its, ration) for its in by_feed.values())
    return Table("feeds", "Feeds a head and day", FEED_COLUMNS, lines)


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
