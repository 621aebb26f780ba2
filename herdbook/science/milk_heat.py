"""Heat that has to leave the milk, how long it takes, and what it costs in electricity."""

from __future__ import annotations

from herdbook.science.registry import Argument, Check, published

SUBJECT = "Heat and cooling"
BTU_KJ = 1.05505585262  # International Table Btu, NIST SP 811
LB_KG = 0.45359237  # exact by definition
SPECIFIC_HEAT = 0.93 * 4.1868  # kJ/kg.K: 0.93 Btu/lb.degF, teaching note, the same as 3.89372
TON_KW = 12_000 * BTU_KJ / 3600  # one ton of refrigeration is 12,000 Btu an hour

MILK = Argument("milk", "kg", 0, floor=0)
WARM = Argument("temperature before", "degC", 0, 40, floor=-1, ceiling=60)
COLD = Argument("temperature after", "degC", 0, 40, floor=-1, ceiling=60)
CP = Argument("specific heat of milk", "kJ/kg/delta_degC", 3.7, 4.0, floor=3, ceiling=4.3)


def _degC(degF: float) -> float:
    return (degF - 32) * 5 / 9


@published(
    "milk-heat",
    title="Heat to take out of milk",
    subject=SUBJECT,
    formula="heat = milk * specific_heat * (warm - cold)",
    unit="kJ",
    source=("PEDIGOGY", "EXTENSION-COOLING"),
    arguments={"milk": MILK, "warm": WARM, "cold": COLD, "specific_heat": CP},
    check=(
        Check(
            {"milk": LB_KG, "warm": _degC(98), "cold": _degC(38)},
            56 * BTU_KJ,
            0.5 * BTU_KJ,
            "56 Btu a pound from 98 to 38 °F, printed to the Btu",
        ),
        Check(
            {"milk": 1000 * LB_KG, "warm": 35, "cold": _degC(38), "specific_heat": SPECIFIC_HEAT},
            53_010 * BTU_KJ,
            1 * BTU_KJ,
            "derived: 1,000 lb, 95 to 38 °F, 0.93",
        ),
        Check(
            {"milk": 1030, "warm": 35, "cold": 4, "specific_heat": 3.9},
            124_527,
            0.1,
            "derived: 1,000 L, 35 to 4 °C",
        ),
    ),
    notes="Milk heat only: agitator, pump, warm air and the tank's own metal come on top.",
)
def heat_kJ(*, milk: float, warm: float, cold: float, specific_heat: float = SPECIFIC_HEAT) -> float:
    """Heat that leaves milk when it is cooled: mass times specific heat times drop."""
    return milk * specific_heat * (warm - cold)


@published(
    "cooling-duty",
    title="Mean cooling power to cool milk in a given time",
    subject=SUBJECT,
    formula="power = milk * specific_heat * (warm - cold) / (3600 * hours)",
    unit="kW",
    source="AS1187",
    arguments={
        "milk": MILK,
        "warm": WARM,
        "cold": COLD,
        "hours": Argument("time allowed", "h", 0.25, 24, floor=0.01),
        "specific_heat": CP,
    },
    check=Check(
        {"milk": 1030, "warm": 35, "cold": 4, "hours": 3.5, "specific_heat": 3.9},
        9.88310,
        1e-4,
        "derived: 1,000 L, 35 to 4 °C in the 3.5 h of AS 1187",
    ),
)
def duty_kW(
    *, milk: float, warm: float, cold: float, hours: float, specific_heat: float = SPECIFIC_HEAT
) -> float:
    """Cooling power averaged over the time allowed."""
    return heat_kJ(milk=milk, warm=warm, cold=cold, specific_heat=specific_heat) / (3600 * hours)


@published(
    "cooling-hours",
    title="Hours to cool milk at a constant cooling power",
    subject=SUBJECT,
    formula="hours = milk * specific_heat * (warm - cold) / (3600 * power)",
    unit="h",
    source="COOLING-ALGEBRA",
    arguments={
        "milk": MILK,
        "warm": WARM,
        "cold": COLD,
        "power": Argument("heat taken out all the time", "kW", 0.5, 500, floor=1e-6),
        "specific_heat": CP,
    },
    check=Check(
        {
            "milk": 6000 * LB_KG,
            "warm": 35,
            "cold": _degC(38),
            "power": 60_000 * BTU_KJ / 3600,
            "specific_heat": SPECIFIC_HEAT,
        },
        5.30100,
        1e-4,
        "derived: 6,000 lb, 95 to 38 °F, 60,000 Btu an hour",
    ),
)
def hours_at_power(
    *, milk: float, warm: float, cold: float, power: float, specific_heat: float = SPECIFIC_HEAT
) -> float:
    """Time to cool milk when the cooler takes out the same heat all the time."""
    return heat_kJ(milk=milk, warm=warm, cold=cold, specific_heat=specific_heat) / (3600 * power)


@published(
    "constant-power-temperature",
    title="Temperature after some time at a constant cooling power",
    subject=SUBJECT,
    formula="temperature = warm - 3600 * power * hours / (milk * specific_heat)",
    unit="degC",
    source="COOLING-ALGEBRA",
    arguments={
        "milk": Argument("milk", "kg", 1, floor=0.001),
        "warm": WARM,
        "power": Argument("heat taken out all the time", "kW", 0, 500, floor=0),
        "hours": Argument("time since", "h", 0, 24, floor=0),
        "specific_heat": CP,
    },
    check=Check(
        {"milk": 1030, "warm": 18.8686, "power": 12, "hours": 1.38257, "specific_heat": 3.9},
        4.0,
        1e-3,
        "derived: 12 kW on 1,000 L, from the end of filling at 1.5 h to 2.88257 h",
    ),
    notes="A straight line: it goes on below freezing where the cooler would have stopped.",
)
def temperature_at_power_degC(
    *, milk: float, warm: float, power: float, hours: float, specific_heat: float = SPECIFIC_HEAT
) -> float:
    """Milk temperature after a time of steady heat removal."""
    return warm - 3600 * power * hours / (milk * specific_heat)


@published(
    "cooler-cop",
    title="Heat taken out for each unit of electricity (coefficient of performance)",
    subject=SUBJECT,
    formula="cop = milk * specific_heat * (warm - cold) / (3600 * electricity)",
    unit="",
    source=("COOLING-KWH", "EXTENSION-COOLING"),
    arguments={
        "milk": MILK,
        "warm": WARM,
        "cold": COLD,
        "electricity": Argument("electricity used for it", "kWh", 0.01, floor=1e-6),
        "specific_heat": CP,
    },
    check=Check(
        {
            "milk": 100 * LB_KG,
            "warm": _degC(98),
            "cold": _degC(38),
            "electricity": 0.65,
            "specific_heat": SPECIFIC_HEAT,
        },
        2.51590,
        1e-5,
        "derived: 1 cwt from 98 to 38 °F with 0.65 kWh",
    ),
    notes="Measured on one direct-expansion tank: 2.20 in the morning and 1.93 in the afternoon.",
)
def cop(
    *, milk: float, warm: float, cold: float, electricity: float, specific_heat: float = SPECIFIC_HEAT
) -> float:
    """How many units of heat one unit of electricity moved."""
    return heat_kJ(milk=milk, warm=warm, cold=cold, specific_heat=specific_heat) / (3600 * electricity)


@published(
    "refrigeration-tons",
    title="Cooling power in tons of refrigeration",
    subject=SUBJECT,
    formula="tons = power / 3.51685",
    unit="",
    source="NYSAFP2019",
    arguments={"power": Argument("cooling power", "kW", 0.5, 500, floor=0)},
    check=(
        Check({"power": 12_000 * BTU_KJ / 3600}, 1.0, 1e-9, "a ton is 12,000 Btu an hour"),
        Check({"power": 159_960 * BTU_KJ / 3600}, 13.33, 1e-9, "derived: 159,960 Btu in an hour"),
    ),
    notes="How many a compressor gives falls in hot weather: use its nameplate, and leave the refrigerant to "
    "a certified technician.",
)
def refrigeration_tons(*, power: float) -> float:
    """Cooling power counted in tons of 12,000 Btu an hour."""
    return power / TON_KW
