"""What published equations say the cows of a ration's pens eat, beside the dry matter that is offered."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from herdbook.chores.ground import Ground
from herdbook.reports.pen_known import PUBLISHED_ERRORS_KG, Pen, intake_predictions
from herdbook.reports.showing import in_farm_units

if TYPE_CHECKING:
    from herdbook.reports.what_if import WhatIf
    from herdbook.science.intake import IntakePrediction

OFF_KG = 0.9
"""Offered about 2 lb a head off every prediction is said: a house rule, no source."""


@dataclass(frozen=True, slots=True)
class Eater:
    """A pen that gets the ration, and what is known of its cows."""

    name: str
    known: Pen


@dataclass(frozen=True, slots=True)
class Predicted:
    """One prediction for one pen that has a value; the spread of its errors where its source prints it."""

    pen: str
    of: IntakePrediction
    kg: float
    spread_kg: float | None


def eaters_of(connection: Any, ground: Ground, pens: Sequence[Any]) -> list[Eater]:
    """The pens whose cows something was written of."""
    from herdbook.book.reading.pen_cows import cows_of_pen_on
    from herdbook.reports.pen_known import known_of

    today = ground.clock.farm_day(ground.now_s).isoformat()
    written = [(pen, cows_of_pen_on(connection, pen.pen, today)) for pen in pens]
    return [Eater(pen.name, known_of(cows, pen.kind)) for pen, cows in written if cows is not None]


def predicted(eaters: Sequence[Eater], tried: WhatIf) -> list[Predicted]:
    """Every prediction that has its inputs, on the ration as it is tried."""
    parts, sums = tried.parts(), tried.totals()
    return [
        Predicted(eater.name, one, one.value, PUBLISHED_ERRORS_KG.get(one.rule))
        for eater in eaters
        for one in intake_predictions(eater.known, parts, sums)
        if one.value is not None
    ]


def span_words(found: Sequence[Predicted], ground: Ground) -> str:
    """`52.4 ± 3.4 lb` for one prediction, `48.9 to 53.2 lb` for several."""
    unit = ground.units.load

    def shown(kg: float) -> str:
        return ground.units.number(in_farm_units(kg, "kg", ground.units), 1)

    low, high = min(one.kg for one in found), max(one.kg for one in found)
    if shown(low) != shown(high):
        return f"{shown(low)} to {shown(high)} {unit}"
    spread = found[0].spread_kg if len(found) == 1 else None
    return f"{shown(low)}{f' ± {shown(spread)}' if spread else ''} {unit}"


def off_kg(found: Sequence[Predicted], dry_kg: float) -> float:
    """How far the dry matter offered lies outside all predictions; below them less than nothing."""
    low, high = min(one.kg for one in found), max(one.kg for one in found)
    return min(0.0, dry_kg - low) + max(0.0, dry_kg - high)


def told(found: Sequence[Predicted], tried: WhatIf, ground: Ground) -> Iterator[str]:
    """Each prediction by name, with its spread and what the ration is off it, for reading at leisure."""

    def shown(kg: float) -> str:
        return f"{ground.units.number(in_farm_units(kg, 'kg', ground.units), 1)} {ground.units.load}"

    dry_kg = tried.totals().dry_kg
    for one in found:
        spread = f" ± {shown(one.spread_kg)}" if one.spread_kg else ", its source prints no spread"
        memory = "; recalled, its source not read again" if one.of.from_memory else ""
        cautions = "".join(f"; {words}" for words in one.of.cautions)
        edition = f" ({one.of.edition})" if one.of.edition else ""
        side = "over" if dry_kg >= one.kg else "under"
        yield (
            f"{one.pen}: {one.of.title}{edition} {shown(one.kg)}{spread}; "
            f"offered {shown(abs(dry_kg - one.kg))} {side}{memory}{cautions}."
        )
