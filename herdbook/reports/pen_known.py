"""What is known of a pen's cows, in the units of the rules, and the intake predictions that follow from it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from herdbook.book.reading.pen_cows import CowsOfPen
from herdbook.science.intake import IntakePrediction, KnownForIntake, predictions
from herdbook.science.ration import FORAGE, Part, Totals, totals

State = Literal["lactating", "dry", "heifer"]
STATES: Mapping[str, State] = {
    "milking": "lactating",
    "sick": "lactating",
    "dry": "dry",
    "close-up": "dry",
    "heifers": "heifer",
}
"""What the cows of each kind of pen are taken for."""
DAYS_TO_CALVING = 280
"""Calving is counted as day 280 of pregnancy (NRC 2001, chapter 9)."""
PUBLISHED_ERRORS_KG = {"dmi-lactating-2021b": 1.55, "dmi-lactating-lee": 2.70}
"""Spread of the errors where the source prints it (Allen 2019, RMSE; Lee 2021, RMSPE)."""


@dataclass(frozen=True, slots=True)
class Pen:
    """What is known of a pen's cows, in the units of the rules; none where it was never said."""

    state: State
    kind: str
    body_weight: float | None = None
    days_in_milk: float | None = None
    days_pregnant: float | None = None
    parity: float | None = None
    condition: float | None = None
    milk: float | None = None
    fat: float | None = None
    true_protein: float | None = None
    entries: tuple[int, ...] = ()


def known_of(cows: CowsOfPen | None, kind: str) -> Pen:
    """A pen's cows in the units of the rules."""
    state = STATES.get(kind, "lactating")
    if cows is None:
        return Pen(state, kind)
    return Pen(
        state,
        kind,
        body_weight=_times(cows.body_g, 1e-3),
        days_in_milk=_times(cows.days_in_milk, 1.0) if state == "lactating" else None,
        days_pregnant=_times(cows.days_pregnant, 1.0),
        parity=_times(cows.older_ppm, 1e-6),
        condition=_times(cows.condition_hundredths, 1e-2),
        milk=_times(cows.milk_g, 1e-3),
        fat=_times(cows.fat_ppm, 1e-4),
        true_protein=_times(cows.protein_ppm, 1e-4),
        entries=cows.entries,
    )


def _times(value: int | None, factor: float) -> float | None:
    return None if value is None else value * factor


def intake_predictions(pen: Pen, parts: Sequence[Part], sums: Totals) -> tuple[IntakePrediction, ...]:
    """Every intake prediction for cows in that state, on the ration's own figures."""
    forage = totals([part for part in parts if part.kind == FORAGE])
    to_calving = None if pen.days_pregnant is None else min(pen.days_pregnant - DAYS_TO_CALVING, 0.0)
    return predictions(
        KnownForIntake(
            state=pen.state,
            body_weight=pen.body_weight,
            milk=pen.milk,
            fat=pen.fat,
            true_protein=pen.true_protein,
            parity=pen.parity,
            condition=pen.condition,
            days_in_milk=pen.days_in_milk,
            days_to_calving=to_calving if pen.state == "dry" else None,
            kind="cow" if pen.state == "dry" else None,
            ndf=share_of(sums, "ndf"),
            adf=share_of(sums, "adf"),
            forage_ndf=sums.forage_ndf.value,
            ndf_digestibility=share_of(forage, "ndfd48"),
            nem=share_of(sums, "nem"),
        )
    )


def share_of(sums: Totals, key: str) -> float | None:
    """A nutrient's share of what has its analysis; none where nothing has."""
    total = sums.nutrients.get(key)
    return None if total is None else total.share
