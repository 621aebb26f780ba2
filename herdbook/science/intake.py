"""Which published intake predictions apply to what is known of a pen, and what each of them says."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Literal, NamedTuple

from herdbook.errors import Refused
from herdbook.science import intake_dry, intake_lactating  # noqa: F401  # they register the rules
from herdbook.science.energy_needs_nasem2021 import nel_milk_fat_nasem2021, nel_milk_nasem2021
from herdbook.science.milk_corrections import fcm_4
from herdbook.science.registry import rule

State = Literal["lactating", "dry", "heifer"]

PREDICTIONS: dict[State, tuple[str, ...]] = {
    "lactating": ("dmi-lactating-2001", "dmi-lactating-2021a", "dmi-lactating-2021b", "dmi-lactating-lee"),
    "dry": ("dmi-dry-2001", "dmi-dry-hayirli", "dmi-dry-2021"),
    "heifer": ("dmi-heifer-2001", "dmi-heifer-2021a", "dmi-heifer-2021b"),
}
FIRST_DAY_2021B, LAST_DAY_2021B = 60, 309


@dataclass(slots=True, frozen=True, kw_only=True)
class KnownForIntake:
    """What is known of the animals and their diet; leave out what is not.

    Attributes:
        state: lactating, dry (within her last weeks or not), or heifer.
        body_weight, mature_weight: kg.
        milk: kg/day.
        fat, true_protein, lactose: of milk, %.
        parity: share of cows past their first lactation, 0 to 1.
        condition: body condition score, 1 to 5.
        days_in_milk: days since calving.
        days_to_calving: day relative to calving, below zero before it.
        kind: "cow" or "heifer", for dry animals.
        ndf, adf, forage_ndf: of the diet's dry matter, %.
        ndf_digestibility: forage NDF digested in 48 h, % of NDF.
        nem: net energy for maintenance of the diet, Mcal/kg.
    """

    state: State
    body_weight: float | None = None
    mature_weight: float | None = None
    milk: float | None = None
    fat: float | None = None
    true_protein: float | None = None
    lactose: float | None = None
    parity: float | None = None
    condition: float | None = None
    days_in_milk: float | None = None
    days_to_calving: float | None = None
    kind: str | None = None
    ndf: float | None = None
    adf: float | None = None
    forage_ndf: float | None = None
    ndf_digestibility: float | None = None
    nem: float | None = None


class IntakePrediction(NamedTuple):
    """What one published prediction makes of what is known.

    Attributes:
        rule: its key in the registry.
        title, edition: of the rule.
        value: dry matter intake, kg a head and day; None when it does not apply.
        missing: what it would need besides, in words.
        cautions: why the value is doubtful, or why it does not apply.
        from_memory: the formula was not read in its source.
    """

    rule: str
    title: str
    edition: str
    value: float | None
    missing: tuple[str, ...]
    cautions: tuple[str, ...]
    from_memory: bool


def predictions(known: KnownForIntake) -> tuple[IntakePrediction, ...]:
    """Every published prediction for animals in that state: its value, or what keeps it from having one.

    Args:
        known: what is known of the animals and their diet.
    """
    inputs, borrowed = _inputs(known)
    return tuple(_predict(key, inputs, borrowed, known) for key in PREDICTIONS[known.state])


def _predict(
    key: str, inputs: dict[str, float | str | None], borrowed: tuple[str, ...], known: KnownForIntake
) -> IntakePrediction:
    one = rule(key)
    missing = tuple(argument.meaning for name, argument in one.arguments.items() if inputs.get(name) is None)
    value: float | None = None
    cautions: tuple[str, ...] = ()
    if not missing:
        try:
            computed = one.compute(**{name: inputs[name] for name in one.arguments})
            value, cautions = float(computed.value), computed.warnings
        except Refused as refused:
            cautions = (refused.message,)
    if value is not None and "milk_energy" in one.arguments:
        cautions += borrowed
    if value is not None and key == "dmi-lactating-2021b" and not _seen_by_2021b(known.days_in_milk):
        days = "unknown" if known.days_in_milk is None else f"{known.days_in_milk:g}"
        cautions += (
            f"days in milk {days}; made from cows {FIRST_DAY_2021B} to {LAST_DAY_2021B} days in milk",
        )
    return IntakePrediction(key, one.title, one.edition, value, missing, cautions, one.from_memory)


def _seen_by_2021b(days_in_milk: float | None) -> bool:
    return days_in_milk is not None and FIRST_DAY_2021B <= days_in_milk <= LAST_DAY_2021B


def _inputs(known: KnownForIntake) -> tuple[dict[str, float | str | None], tuple[str, ...]]:
    """Arguments of all the rules from what is known, and remarks on how the milk energy was had."""
    inputs: dict[str, float | str | None] = {item.name: getattr(known, item.name) for item in fields(known)}
    if known.days_in_milk is not None:
        inputs["week_of_lactation"] = known.days_in_milk / 7
    if known.days_to_calving is not None:
        inputs["weeks_to_calving"] = known.days_to_calving / 7
    if known.ndf and known.adf is not None:
        inputs["adf_of_ndf"] = known.adf / known.ndf
    if known.milk is None or known.fat is None:
        return inputs, ()
    inputs["fcm"] = fcm_4(milk=known.milk, fat=known.fat)
    if known.true_protein is None or known.lactose is None:
        inputs["milk_energy"] = known.milk * nel_milk_fat_nasem2021(fat=known.fat)
        return inputs, ("milk energy from fat alone, by a formula not read again",)
    per_kg = nel_milk_nasem2021(fat=known.fat, true_protein=known.true_protein, lactose=known.lactose)
    inputs["milk_energy"] = known.milk * per_kg
    return inputs, ()
