"""The four rations side by side: where set and eaten part company, and which step between them is to blame."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, cast

from herdbook.reports.figures import Column, Figure, Line, Table, entries_of
from herdbook.reports.four_rations import CALLED, DROPPED, EATEN, MIXED, SET, STEPS, WHICH
from herdbook.reports.ration import FLAGS, judged_against, ration_value
from herdbook.reports.span_ration import SpanRation
from herdbook.science.figures import RationFigure, figure_value, ration_figures

Bounds = tuple[float | None, float | None, float | None]
ORDER = (SET, CALLED, MIXED, DROPPED, EATEN)
SAME, CANCEL = "no gap", "they cancel"
WORTH_A_NAME = 0.2
"""Steps that add up to less than this share of their sizes work against each other, as a call and its refusal do."""

SIDE_COLUMNS = (
    Column("figure", "Figure"),
    Column("unit", "Unit"),
    *(Column(which, which.capitalize(), "own", 2) for which in WHICH),
    Column("low", "Low", "own", 2),
    Column("high", "High", "own", 2),
    Column("verdict", "Eaten is"),
)
GAP_COLUMNS = (
    Column("figure", "Figure"),
    Column("unit", "Unit"),
    Column("gap", "Eaten less set", "own", 2),
    Column("call", "Call", "own", 2),
    Column("mixing_error", "Mixing", "own", 2),
    Column("delivery_error", "Delivery", "own", 2),
    Column("refusal", "Refusal", "own", 2),
    Column("blame", "Most of it"),
    Column("blame_percent", "of it", "%"),
)
FEED_COLUMNS = (
    Column("feed", "Feed"),
    *(Column(f"dm_{which}_kg", f"{which.capitalize()} DM", "kg", 2) for which in WHICH),
)


@dataclass(frozen=True, slots=True)
class Gap:
    """How a figure comes from set to eaten.

    Args:
        values: the figure of each ration, in order.
        steps: what each step adds; none where a ration beside it has no value.
        whole: eaten less set.
        blame: the step that adds most in the direction of the gap; or that there is none, or that they cancel.
        share: what it adds, over the gap.
    """

    values: Mapping[str, float | None]
    steps: Mapping[str, float | None]
    whole: float | None
    blame: str
    share: float | None


def gap_of(values: Mapping[str, float | None], smallest: float) -> Gap:
    """Split a gap into its steps and name the one to blame.

    Args:
        values: the figure by ration: set, called, mixed, dropped, eaten.
        smallest: a gap below this is none.
    """
    steps: dict[str, float | None] = {}
    for before, after in pairwise(ORDER):
        left, right = values.get(before), values.get(after)
        steps[STEPS[after]] = None if left is None or right is None else right - left
    first, last = values.get(SET), values.get(EATEN)
    whole = None if first is None or last is None else last - first
    known = {name: step for name, step in steps.items() if step is not None}
    if whole is None or abs(whole) < smallest or len(known) < len(steps):
        return Gap(values, steps, whole, "" if whole is None else SAME, None)
    if abs(whole) < WORTH_A_NAME * sum(map(abs, known.values())):
        return Gap(values, steps, whole, CANCEL, None)
    blame = max(known, key=lambda name: known[name] / whole)
    return Gap(values, steps, whole, blame, known[blame] / whole)


def values_of(key: str, rations: Mapping[str, SpanRation]) -> dict[str, float | None]:
    """A figure of each ration; none for one without any feed."""
    return {
        which: figure_value(key, its.totals).value if its.parts else None for which, its in rations.items()
    }


def value_in(of: RationFigure, ration: SpanRation) -> Figure:
    """A figure of a span's ration with everything it rests on."""
    if not ration.parts:
        return Figure(None, of.unit, missing=ration.missing, flag="?")
    # a span's ration has the parts and totals that a sheet has, and that is all this reads
    return ration_value(of, cast("Any", ration))


def side_table(
    rations: Mapping[str, SpanRation],
    targets: Mapping[str, Bounds],
    keys: Sequence[str],
    target_entries: Sequence[int],
) -> Table:
    """Every figure of the four rations beside its target."""
    known = ration_figures()
    lines = []
    for key in keys:
        of, bounds = known[key], targets.get(key, (None, None, None))
        cells = {which: value_in(of, rations[which]) for which in WHICH}
        judged = judged_against(of, cells[EATEN].number, bounds)
        word = "" if judged.word == "no target" else judged.word
        target = entries_of(*target_entries)
        lines.append(
            Line(
                key,
                {
                    "figure": Figure(of.label),
                    "unit": Figure(of.unit),
                    **cells,
                    "low": Figure(bounds[0], of.unit, entries=target),
                    "high": Figure(bounds[2], of.unit, entries=target),
                    "verdict": Figure(
                        word,
                        rule="the eaten value against the nutritionist's low and high",
                        inputs={"eaten": cells[EATEN]},
                        entries=entries_of(*dict.fromkeys([*cells[EATEN].entries(), *target()])),
                        flag=FLAGS.get(word, ""),
                        says=word,
                    ),
                },
            )
        )
    return Table("side_by_side", "Set, mixed, dropped and eaten, a head and day", SIDE_COLUMNS, tuple(lines))


def gaps_table(
    rations: Mapping[str, SpanRation], targets: Mapping[str, Bounds], keys: Sequence[str]
) -> Table:
    """Where set and eaten part company: figures with a target, and the others that show a gap."""
    known = ration_figures()
    under = entries_of(*dict.fromkeys(number for its in rations.values() for number in its.carried_entries))
    lines = []
    for key in keys:
        of = known[key]
        gap = gap_of(values_of(key, rations), 0.5 * 10.0**-of.decimals)
        if key not in targets and gap.blame in ("", SAME):
            continue
        told = {
            which: "none" if value is None else Figure(value, of.unit) for which, value in gap.values.items()
        }
        blame = (
            f"{gap.blame} adds most in the direction of the gap"
            if gap.share is not None
            else "no step stands out"
        )
        cells = {
            "figure": Figure(of.label),
            "unit": Figure(of.unit),
            "gap": Figure(gap.whole, of.unit, "eaten less set", told, entries=under),
            "blame": Figure(gap.blame, rule=blame, inputs=told, entries=under),
            "blame_percent": Figure(
                None if gap.share is None else 100 * gap.share,
                "%",
                "what that step adds over the whole gap; more than 100 % where another step works against it",
                told,
                entries=under,
            ),
        }
        for before, after in pairwise(ORDER):
            name = STEPS[after]
            cells[name.replace(" ", "_")] = Figure(
                gap.steps[name], of.unit, f"{after} less {before}", told, entries=under
            )
        lines.append(Line(key, cells))
    return Table("gaps", "Where set and eaten part company", GAP_COLUMNS, tuple(lines))


def side_feeds(rations: Mapping[str, SpanRation]) -> Table:
    """Dry matter of each feed in the four rations, a head and day."""
    names = dict.fromkeys(one.part.feed for which in WHICH for one in rations[which].parts)
    lines = []
    for name in names:
        cells = {"feed": Figure(name)}
        for which in WHICH:
            its = [one for one in rations[which].parts if one.part.feed == name]
            cells[f"dm_{which}_kg"] = Figure(
                sum(one.dry_kg for one in its) if its else None,
                "kg",
                f"dry matter {which}, a head and day",
                entries=entries_of(
                    *dict.fromkeys(
                        [*(n for one in its for n in one.weight_entries), *rations[which].head_entries]
                    )
                ),
            )
        lines.append(Line(name, cells))
    return Table("feeds", "Dry matter by feed, a head and day", FEED_COLUMNS, tuple(lines))
