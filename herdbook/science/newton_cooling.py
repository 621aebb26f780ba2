"""Algebra of a cooling tank: Newton's law through readings, and filling while cooling."""

from __future__ import annotations

import math
from typing import NamedTuple

from herdbook.science.registry import Argument, Check, published

SUBJECT = "Cooling curves"
COOLANT = Argument("temperature the curve tends to", "degC", -5, 15, floor=-40, ceiling=40)
START = Argument("milk temperature at the start", "degC", 4, 40, floor=-1, ceiling=60)
TAU = Argument("time constant", "h", 0.1, 10, floor=1e-6)


def _degC(degF: float) -> float:
    return (degF - 32) * 5 / 9


def _reading(which: str) -> Argument:
    return Argument(f"{which} reading", "degC", -1, 40, floor=-5, ceiling=60)


class NewtonCurve(NamedTuple):
    """An exponential through three readings."""

    coolant_degC: float
    tau_h: float


@published(
    "newton-three-readings",
    title="Coolant temperature and time constant from three readings equally far apart",
    subject=SUBJECT,
    formula="coolant = (first*third - second^2) / (first + third - 2*second); "
    "tau = -spacing / ln((second - coolant)/(first - coolant))",
    unit={"coolant_degC": "degC", "tau_h": "h"},
    source=("COOLING-ALGEBRA", "FARMERS2175"),
    arguments={
        "first": _reading("first"),
        "second": _reading("second"),
        "third": _reading("third"),
        "spacing": Argument("time between two readings", "h", 0.05, 4, floor=1e-6),
    },
    check=Check(
        {"first": _degC(90), "second": 10, "third": _degC(40), "spacing": 1},
        {"coolant_degC": _degC(36.6667), "tau_h": 0.721348},
        2e-5,
        "derived: the older 3-A pace, 90, 50, 40 °F an hour apart, is an exact exponential",
    ),
    notes="Refused where the second step is not the smaller one: a compressor of constant power, milk still "
    "coming in or a still agitator do not make an exponential.",
)
def newton_three_readings(*, first: float, second: float, third: float, spacing: float) -> NewtonCurve:
    """Newton's law of cooling through three readings."""
    if not (first > second > third and first - second > second - third):
        raise ValueError(
            "the readings do not fall like a cooling curve: each step must be smaller than the last"
        )
    coolant = (first * third - second**2) / (first + third - 2 * second)
    return NewtonCurve(coolant, -spacing / math.log((second - coolant) / (first - coolant)))


@published(
    "newton-temperature",
    title="Temperature on a cooling curve after some time",
    subject=SUBJECT,
    formula="temperature = coolant + (start - coolant) * exp(-hours / tau)",
    unit="degC",
    source="COOLING-ALGEBRA",
    arguments={
        "start": START,
        "coolant": COOLANT,
        "tau": TAU,
        "hours": Argument("time since", "h", 0, 48, floor=0),
    },
    check=(
        *(
            Check(
                {"start": _degC(90), "coolant": _degC(36 + 2 / 3), "tau": 0.7213475, "hours": hours},
                _degC(degF),
                1e-4,
                f"derived: the older 3-A pace, {degF} °F",
            )
            for hours, degF in ((0.25, 74.3790), (0.5, 63.3333), (3, 37.5))
        ),
        Check(
            {"start": 35, "coolant": 1, "tau": 1.23571, "hours": 1},
            16.1365,
            1e-4,
            "derived: 35 to 4 °C in 3 h",
        ),
        Check(
            {"start": 35, "coolant": 1, "tau": 1.23571, "hours": 2},
            7.73866,
            1e-4,
            "derived: 35 to 4 °C in 3 h",
        ),
    ),
)
def newton_temperature_degC(*, start: float, coolant: float, tau: float, hours: float) -> float:
    """Temperature of a stirred tank that cools towards a constant coolant."""
    return coolant + (start - coolant) * math.exp(-hours / tau)


@published(
    "newton-hours",
    title="Hours on a cooling curve until a temperature is reached",
    subject=SUBJECT,
    formula="hours = tau * ln((start - coolant) / (wanted - coolant))",
    unit="h",
    source="COOLING-ALGEBRA",
    arguments={
        "start": START,
        "coolant": COOLANT,
        "tau": TAU,
        "wanted": _reading("temperature to reach, as a"),
    },
    check=(
        Check(
            {"start": _degC(90), "coolant": _degC(36 + 2 / 3), "tau": 0.7213475, "wanted": _degC(45)},
            1.33904,
            1e-4,
            "derived: the older 3-A pace to 45 °F",
        ),
        Check(
            {"start": _degC(90), "coolant": _degC(36 + 2 / 3), "tau": 0.7213475, "wanted": _degC(38)},
            2.66096,
            1e-4,
            "derived: the older 3-A pace to 38 °F",
        ),
        Check({"start": 10, "coolant": 1, "tau": 1.23571, "wanted": 4}, 1.35757, 1e-4, "derived: 10 to 4 °C"),
    ),
    notes="Refused where the curve never gets there.",
)
def newton_hours(*, start: float, coolant: float, tau: float, wanted: float) -> float:
    """Time to a temperature on a Newton curve."""
    if not coolant < wanted <= start:
        raise ValueError(
            "never at this rate: the temperature wanted must lie between the start and the coolant"
        )
    return tau * math.log((start - coolant) / (wanted - coolant))


@published(
    "newton-time-constant",
    title="Time constant from two temperatures and a known coolant",
    subject=SUBJECT,
    formula="tau = hours / ln((start - coolant) / (end - coolant))",
    unit="h",
    source="COOLING-ALGEBRA",
    arguments={
        "start": START,
        "end": _reading("later"),
        "coolant": COOLANT,
        "hours": Argument("time between", "h", 0.05, 24, floor=1e-6),
    },
    check=Check(
        {"start": 35, "end": 4, "coolant": 1, "hours": 3}, 1.23571, 1e-4, "derived: 35 to 4 °C in 3 h"
    ),
)
def newton_time_constant_h(*, start: float, end: float, coolant: float, hours: float) -> float:
    """Time constant of a tank that cooled from one temperature to another."""
    if not coolant < end < start:
        raise ValueError("the milk must have cooled, and not below the coolant")
    return hours / math.log((start - coolant) / (end - coolant))


@published(
    "filling-temperature",
    title="Tank temperature while warm milk flows in and heat is taken out steadily",
    subject=SUBJECT,
    formula="temperature = (held*held_at + flow*hours*added_at - 3600*power*hours/specific_heat) "
    "/ (held + flow*hours)",
    unit="degC",
    source="COOLING-ALGEBRA",
    arguments={
        "held": Argument("milk in the tank at the start", "kg", 0, floor=0),
        "held_at": Argument("its temperature", "degC", -1, 40, floor=-5, ceiling=60),
        "flow": Argument("milk coming in", "kg/h", 1, floor=0),
        "added_at": Argument("temperature it comes in at", "degC", 2, 40, floor=-1, ceiling=60),
        "power": Argument("heat taken out all the time", "kW", 0, 500, floor=0),
        "hours": Argument("time since milk began to flow", "h", 0.01, 24, floor=1e-6),
        "specific_heat": Argument("specific heat", "kJ/kg/delta_degC", 3.7, 4.2, floor=3, ceiling=4.3),
    },
    check=(
        Check(
            {
                "held": 0,
                "held_at": 35,
                "flow": 1030 / 1.5,
                "added_at": 35,
                "power": 12,
                "hours": 1.5,
                "specific_heat": 3.9,
            },
            18.8686,
            1e-4,
            "derived: 1,000 L in 1.5 h at 35 °C, 12 kW",
        ),
        Check(
            {
                "held": 600,
                "held_at": 3,
                "flow": 1030 / 1.5,
                "added_at": 35,
                "power": 12,
                "hours": 1.5,
                "specific_heat": 3.9,
            },
            13.0274,
            1e-4,
            "derived: the same onto 600 kg at 3 °C",
        ),
    ),
    notes="Well mixed, and heat taken out at the same pace from the first drop: a tank does not cool before "
    "the milk covers the agitator.",
)
def filling_temperature_degC(
    *,
    held: float,
    held_at: float,
    flow: float,
    added_at: float,
    power: float,
    hours: float,
    specific_heat: float = 3.9,
) -> float:
    """Temperature of a tank during milking, from the heat balance."""
    let_in = flow * hours
    return (held * held_at + let_in * added_at - 3600 * power * hours / specific_heat) / (held + let_in)
