"""Second opinions beside a ration: intake predictions with their spread, and requirements by edition."""

from __future__ import annotations

from collections.abc import Sequence

from herdbook.reports.figures import Column, Figure, Line, Table, entries_of
from herdbook.reports.parts_of import leaf_parts
from herdbook.reports.pen_known import PUBLISHED_ERRORS_KG, Pen, intake_predictions
from herdbook.reports.requirements import Need, needs
from herdbook.reports.span_ration import SpanRation
from herdbook.science.intake import IntakePrediction

NEED_NOTHING = "Nothing is known of the pen's cows: write it with `herdbook write pen-cows`."
NO_EDITION_KEYS = frozenset({"nel"})
"""Supplies that belong to no known edition, so that no balance is drawn."""

INTAKE_COLUMNS = (
    Column("prediction", "Prediction"),
    Column("edition", "Edition"),
    Column("dm_kg", "DM", "kg", 1),
    Column("spread_kg", "±", "kg", 1),
    Column("off_kg", "Ration less it", "kg", 1),
    Column("says", "So"),
)
NEED_COLUMNS = (
    Column("need", "Need"),
    Column("edition", "Edition"),
    Column("needed", "Needed", "own", 1),
    Column("supplied", "Supplied", "own", 1),
    Column("supplied_most", "at most", "own", 1),
    Column("unit", "Unit"),
    Column("balance", "Balance", "own", 1),
)


def intake_table(pen: Pen, ration: SpanRation) -> Table:
    """What each published equation makes of these cows, beside what the ration holds."""
    parts = leaf_parts(ration.parts)
    under = tuple(dict.fromkeys((*pen.entries, *ration.carried_entries)))
    lines = [
        _intake_line(one, ration.totals.dry_kg, under)
        for one in intake_predictions(pen, parts, ration.totals)
    ]
    return Table("intake", "Intake predicted, a head and day", INTAKE_COLUMNS, tuple(lines), NEED_NOTHING)


def _intake_line(one: IntakePrediction, dry_kg: float, under: Sequence[int]) -> Line:
    error = PUBLISHED_ERRORS_KG.get(one.rule)
    off = None if one.value is None or not dry_kg else dry_kg - one.value
    memory = ("the formula was recalled, its source not read again",) if one.from_memory else ()
    remarks = (*one.missing, *one.cautions)
    value = Figure(
        one.value,
        "kg",
        one.rule,
        {"remarks": "; ".join((*one.cautions, *memory)) or "none"},
        tuple(f"{word} not known" for word in one.missing) or (one.cautions if one.value is None else ()),
        entries_of(*under),
        flag="?" if one.value is None or remarks else "",
    )
    says = ""
    if off is not None and error is not None:
        says = "within its spread" if abs(off) <= error else "beyond its spread"
    return Line(
        one.rule,
        {
            "prediction": Figure(one.title),
            "edition": Figure(one.edition),
            "dm_kg": value,
            "spread_kg": Figure(
                error, "kg", "spread of its errors, as its source prints it",
                missing=() if error else ("its source prints none, as read here",),
            ),
            "off_kg": Figure(
                off, "kg", "dry matter of the ration less the prediction", {"prediction": value}, entries=value.entries,
            ),
            "says": Figure(says),
        },
    )  # fmt: skip


def needs_table(pen: Pen, ration: SpanRation) -> Table:
    """Requirements by edition beside supplies; editions stand apart and are never mixed."""
    parts = leaf_parts(ration.parts)
    under = tuple(dict.fromkeys((*pen.entries, *ration.carried_entries)))
    lines = [
        _need_line(need, under)
        for need in (needs(pen, parts, ration.totals) if pen.entries else ())
        if need.needed is not None or need.low is not None
    ]
    title = "Needed by edition, a head and day"
    return Table("needs", title, NEED_COLUMNS, tuple(lines), NEED_NOTHING)


def _need_line(need: Need, under: Sequence[int]) -> Line:
    remarks = "; ".join(need.cautions)
    inputs = dict(need.inputs) | ({"remarks": remarks} if remarks else {})
    needed = Figure(
        need.needed, need.unit, need.rule, inputs, tuple(f"{word} not known" for word in need.missing),
        entries_of(*under), flag="" if need.needed is not None else "?",
    )  # fmt: skip
    supplied = Figure(
        need.low,
        need.unit,
        "what the ration holds, absorbed at the edition's own coefficients where it says so",
        {"remarks": remarks} if remarks else {},
        tuple(word for word in need.cautions if word.endswith("not determined")),
        entries_of(*under),
        flag="" if need.low is not None else "?",
    )
    is_span = need.low is not None and need.high is not None and need.high > need.low * (1 + 1e-9)
    balance = None
    if need.key not in NO_EDITION_KEYS and need.needed is not None and need.low is not None:
        balance = need.low - need.needed
    return Line(
        f"{need.edition} {need.key}",
        {
            "need": Figure(need.label),
            "edition": Figure(need.edition),
            "needed": needed,
            "supplied": supplied,
            "supplied_most": Figure(need.high if is_span else None, need.unit, entries=entries_of(*under)),
            "unit": Figure(need.unit),
            "balance": Figure(
                balance,
                need.unit,
                "supplied less needed, both by the same edition",
                {"needed": needed, "supplied": supplied},
                supplied.missing,
                entries_of(*under),
            ),
        },
    )
