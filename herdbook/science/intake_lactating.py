"""Dry matter intake of lactating cows by the published predictions, editions kept apart."""

from __future__ import annotations

import math

from herdbook.science.inputs import BODY_WEIGHT, of_dry_matter
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Intake predicted"
FCM = Argument("4 % fat-corrected milk", "kg/day", 5, 70, floor=0, ceiling=120)
RESOLUTION = (
    "Good for flags, not for fine comparison: a pound of intake goes with two to three pounds of milk."
)

# Milk of 3.5 % fat as 4 % fat-corrected milk is 0.925 of it; the days in milk are 90 unless said.
TABLE_2001 = (
    (25 * 0.925, 90 / 7, 20.3, "25 kg milk at 3.5 % fat"),
    (35 * 0.925, 90 / 7, 23.6, "35 kg milk at 3.5 % fat"),
    (45 * 0.925, 90 / 7, 26.9, "45 kg milk at 3.5 % fat, recalled"),
    (54.4 * 0.925, 90 / 7, 30.0, "54.4 kg milk at 3.5 % fat"),
    (55 * 0.925, 90 / 7, 30.2, "55 kg milk at 3.5 % fat"),
    (35 * 0.925, 11 / 7, 15.6, "35 kg milk at 3.5 % fat, 11 days in milk"),
)


@published(
    "dmi-lactating-2001",
    title="Intake of lactating cows from milk, weight and week",
    subject=SUBJECT,
    formula="DMI = (0.372*fcm + 0.0968*body_weight**0.75)*(1 - exp(-0.192*(week_of_lactation + 3.67)))",
    unit="kg/day",
    source=("NRC2001", "HANDOUT680", "BARNARD"),
    edition="NRC 2001",
    read=False,
    arguments={
        "fcm": FCM,
        "body_weight": BODY_WEIGHT,
        "week_of_lactation": Argument("week of lactation, days in milk over 7", "week", 0, 60, floor=0),
    },
    check=(
        *(
            Check(
                {"fcm": fcm, "body_weight": 680, "week_of_lactation": week},
                intake,
                0.35,
                f"requirement table, {what}",
            )
            for fcm, week, intake, what in TABLE_2001
        ),
        Check({"fcm": 40 * 0.97, "body_weight": 650, "week_of_lactation": 20}, 26.6091, 2e-3, "derived"),
        Check({"fcm": 30, "body_weight": 600, "week_of_lactation": 10}, 21.2360, 2e-3, "derived"),
    ),
    notes="Equation 1-2, recalled. Printed tables for 680 kg lie about 0.3 kg lower, as if for 659 kg; "
    "why is not known. "
    "Uses cow factors only, so it is weak where the real milk yield is not known. " + RESOLUTION,
)
def dmi_lactating_nrc2001(*, fcm: float, body_weight: float, week_of_lactation: float) -> float:
    """Intake from corrected milk and metabolic weight, held back in the first weeks."""
    lag = 1 - math.exp(-0.192 * (week_of_lactation + 3.67))
    return float((0.372 * fcm + 0.0968 * body_weight**0.75) * lag)


@published(
    "dmi-lactating-2021a",
    title="Intake of lactating Holsteins from cow factors",
    subject=SUBJECT,
    formula="DMI = (3.7 + 5.7*parity + 0.305*milk_energy + 0.022*body_weight + (-0.689 - "
    "1.87*parity)*condition)"
    "*(1 - (0.212 + 0.136*parity)*exp(-0.053*days_in_milk))",
    unit="kg/day",
    source=("ERICKSON2023", "DESOUZA2019"),
    edition="NASEM 2021",
    arguments={
        "parity": Argument("share of cows past their first lactation", "", 0, 1, floor=0, ceiling=1),
        "milk_energy": Argument("net energy in the milk", "Mcal/day", 8, 50, floor=0, ceiling=100),
        "body_weight": BODY_WEIGHT,
        "condition": Argument("body condition score", "", 2, 4.5, floor=1, ceiling=5),
        "days_in_milk": Argument("days in milk", "day", 1, 368, floor=0, ceiling=1000),
    },
    check=tuple(
        Check(
            {
                "parity": parity,
                "milk_energy": energy,
                "body_weight": 650,
                "condition": condition,
                "days_in_milk": dim,
            },
            intake,
            2e-3,
            "derived; equation 2-1, p. 12",
        )
        for parity, energy, condition, dim, intake in (
            (1, 30, 3, 150, 25.1699),
            (0, 30, 3, 150, 25.0811),
            (1, 30, 3, 10, 20.0167),
            (0.5, 25, 3.5, 100, 22.7591),
        )
    ),
    notes="Cow factors only: knows nothing of the diet. " + RESOLUTION,
)
def dmi_lactating_nasem2021a(
    *, parity: float, milk_energy: float, body_weight: float, condition: float, days_in_milk: float
) -> float:
    """Intake from milk energy, weight, condition, parity and days in milk."""
    steady = (
        3.7 + 5.7 * parity + 0.305 * milk_energy + 0.022 * body_weight + (-0.689 - 1.87 * parity) * condition
    )
    return steady * (1 - (0.212 + 0.136 * parity) * math.exp(-0.053 * days_in_milk))


@published(
    "dmi-lactating-2021b",
    title="Intake of lactating cows from forage fibre and milk",
    subject=SUBJECT,
    formula="DMI = 12.0 - 0.107*forage_ndf + 8.17*adf_of_ndf + 0.0253*ndf_digestibility "
    "- 0.328*(adf_of_ndf - 0.602)*(ndf_digestibility - 48.3) + 0.225*milk "
    "+ 0.00390*(ndf_digestibility - 48.3)*(milk - 33.1)",
    unit="kg/day",
    source=("ALLEN2019", "ERICKSON2023"),
    edition="NASEM 2021",
    arguments={
        "forage_ndf": of_dry_matter("NDF from forage", 9.9, 39.3, from_source=True),
        "adf_of_ndf": Argument(
            "ADF over NDF of the diet", "", 0.45, 0.84, floor=0, ceiling=1, from_source=True
        ),
        "ndf_digestibility": Argument(
            "forage NDF digested in 48 h, of NDF", "%", 24.1, 72.7, floor=0, ceiling=100, from_source=True
        ),
        "milk": Argument("milk yield", "kg/day", 20.3, 51.1, floor=0, ceiling=120, from_source=True),
    },
    check=tuple(
        Check(
            {"forage_ndf": ndf, "adf_of_ndf": ratio, "ndf_digestibility": digested, "milk": milk},
            intake,
            2e-3,
            "derived; equation 2-2, p. 13",
        )
        for ndf, ratio, digested, milk, intake in (
            (24, 0.602, 48.3, 33.1, 23.0198),
            (22, 0.60, 50, 40, 24.8599),
            (20, 0.65, 55, 45, 26.8925),
            (26, 0.55, 45, 30, 21.5836),
            (30, 0.75, 50, 35, 23.9876),
        )
    ),
    notes="Made from cows 60 to 309 days in milk; not for fresh cows. Spread of its errors 1.55 kg/day. "
    + RESOLUTION,
)
def dmi_lactating_nasem2021b(
    *, forage_ndf: float, adf_of_ndf: float, ndf_digestibility: float, milk: float
) -> float:
    """Intake from how much forage fibre there is, how well it is digested, and milk."""
    digested = ndf_digestibility - 48.3
    diet = 12.0 - 0.107 * forage_ndf + 8.17 * adf_of_ndf + 0.0253 * ndf_digestibility
    return diet - 0.328 * (adf_of_ndf - 0.602) * digested + 0.225 * milk + 0.00390 * digested * (milk - 33.1)


@published(
    "dmi-lactating-lee",
    title="Intake of lactating cows from weight, milk and fibre",
    subject=SUBJECT,
    formula="DMI = 4.103 + 0.112*body_weight**0.75 + 0.284*fcm - 0.119*ndf",
    unit="kg/day",
    source="LEE2021",
    arguments={"body_weight": BODY_WEIGHT, "fcm": FCM, "ndf": of_dry_matter("NDF of the diet", 25, 50)},
    check=Check({"body_weight": 650, "fcm": 32.375, "ndf": 32}, 23.9075, 1e-3, "derived"),
    notes="An independent second opinion; spread of its errors 2.70 kg/day. " + RESOLUTION,
)
def dmi_lactating_lee(*, body_weight: float, fcm: float, ndf: float) -> float:
    """Intake from metabolic weight, corrected milk and fibre of the diet."""
    return float(4.103 + 0.112 * body_weight**0.75 + 0.284 * fcm - 0.119 * ndf)


@published(
    "ndf-intake-of-weight",
    title="NDF eaten, of body weight",
    subject=SUBJECT,
    formula="share = 100 * intake * ndf/100 / body_weight",
    unit="%",
    source=("HFG499", "MERTENS2009"),
    arguments={
        "intake": Argument("dry matter intake", "kg/day", 8, 35, floor=0, ceiling=60),
        "ndf": of_dry_matter("NDF of the diet", 20, 60),
        "body_weight": BODY_WEIGHT,
    },
    check=Check({"intake": 24, "ndf": 33, "body_weight": 650}, 1.21846, 1e-5, "derived"),
    notes="At best milk, mid to late lactation, 1.25 % with a spread of 0.10.",
)
def ndf_intake_of_weight(*, intake: float, ndf: float, body_weight: float) -> float:
    """Daily NDF as a share of body weight, against what a cow can hold."""
    return intake * ndf / body_weight
