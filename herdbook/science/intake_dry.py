"""Dry matter intake of dry cows and heifers by the published predictions, editions kept apart."""

from __future__ import annotations

import math

from herdbook.science.inputs import BODY_WEIGHT, of_dry_matter
from herdbook.science.intake_lactating import SUBJECT
from herdbook.science.registry import Argument, Check, published

KIND = Argument("grown cow or heifer before her first calving", choices=("cow", "heifer"))
DAYS_TO_CALVING = Argument(
    "day relative to calving, below zero before it", "day", -21, 0, "refuse", ceiling=0, from_source=True
)
HEIFER_WEIGHT = Argument("body weight", "kg", 60, 650, floor=30, ceiling=1000)
MATURE_WEIGHT = Argument("weight when grown", "kg", 400, 900, floor=200, ceiling=1500)


@published(
    "dmi-dry-2001",
    title="Intake in the last three weeks before calving",
    subject=SUBJECT,
    formula="DMI = body_weight/100*(1.97 - 0.75*exp(0.16*days_to_calving)); heifer 1.71, 0.69, 0.35",
    unit="kg/day",
    source=("NRC2001", "HANDOUT680"),
    edition="NRC 2001",
    read=False,
    arguments={"body_weight": BODY_WEIGHT, "days_to_calving": DAYS_TO_CALVING, "kind": KIND},
    check=Check(
        {"body_weight": 751, "days_to_calving": -10, "kind": "cow"},
        13.7,
        0.05,
        "requirement table, 270 days pregnant",
    ),
    notes="Recalled; gives back the one printed figure. Calving counted as day 280 of pregnancy.",
)
def dmi_dry_nrc2001(*, body_weight: float, days_to_calving: float, kind: str) -> float:
    """Intake falling towards calving, as a share of body weight."""
    most, fall, rate = (1.97, 0.75, 0.16) if kind == "cow" else (1.71, 0.69, 0.35)
    return body_weight / 100 * (most - fall * math.exp(rate * days_to_calving))


@published(
    "dmi-dry-hayirli",
    title="Intake in the last three weeks before calving, final fit of the same model",
    subject=SUBJECT,
    formula="DMI = body_weight/100*(1.979 - 0.756*exp(0.154*days_to_calving)); heifer 1.713, 0.688, 0.344",
    unit="kg/day",
    source="HAYIRLI2003",
    arguments={"body_weight": BODY_WEIGHT, "days_to_calving": DAYS_TO_CALVING, "kind": KIND},
    check=Check(
        {"body_weight": 750, "days_to_calving": -10, "kind": "cow"},
        7.50 * 1.81693,
        2e-3,
        "derived: 1.81693 %",
    ),
)
def dmi_dry_hayirli(*, body_weight: float, days_to_calving: float, kind: str) -> float:
    """Intake falling towards calving, as a share of body weight."""
    most, fall, rate = (1.979, 0.756, 0.154) if kind == "cow" else (1.713, 0.688, 0.344)
    return body_weight / 100 * (most - fall * math.exp(rate * days_to_calving))


@published(
    "dmi-dry-2021",
    title="Intake of dry cows from week before calving and fibre",
    subject=SUBJECT,
    formula="DMI = body_weight/100*(1.47 - (0.365 - 0.0028*ndf)*W - 0.035*W**2), W = "
    "max(weeks_to_calving, -3)",
    unit="kg/day",
    source="NASEM2021",
    edition="NASEM 2021",
    read=False,
    arguments={
        "body_weight": BODY_WEIGHT,
        "weeks_to_calving": Argument(
            "week relative to calving, below zero before it", "week", -9, 0, ceiling=0
        ),
        "ndf": of_dry_matter("NDF of the diet", 30, 60),
    },
    check=tuple(
        Check(
            {"body_weight": 700, "weeks_to_calving": week, "ndf": ndf},
            7 * percent,
            1e-6,
            f"derived: {percent} %",
        )
        for week, ndf, percent in (
            (-3, 40, 1.914),
            (-2, 40, 1.836),
            (-1, 40, 1.688),
            (-3, 45, 1.872),
            (-1, 50, 1.660),
        )
    ),
    notes="Recalled. Earlier than three weeks counts as three.",
)
def dmi_dry_nasem2021(*, body_weight: float, weeks_to_calving: float, ndf: float) -> float:
    """Intake falling towards calving, less so on a fibrous diet."""
    week = max(weeks_to_calving, -3)
    return body_weight / 100 * (1.47 - (0.365 - 0.0028 * ndf) * week - 0.035 * week**2)


@published(
    "dmi-heifer-2001",
    title="Intake of growing heifers from weight and energy of the diet",
    subject=SUBJECT,
    formula="DMI = body_weight**0.75*(0.2435*nem - 0.0466*nem**2 - 0.1128)/nem",
    unit="kg/day",
    source="NRC2001",
    edition="NRC 2001",
    read=False,
    arguments={
        "body_weight": HEIFER_WEIGHT,
        "nem": Argument("net energy for maintenance of the diet", "Mcal/kg", 0.9, 2.2, floor=0.1),
    },
    check=Check({"body_weight": 300, "nem": 1.4}, 7.04182, 7e-4, "derived"),
)
def dmi_heifer_nrc2001(*, body_weight: float, nem: float) -> float:
    """Intake of a heifer by the energy in a kilogram of her diet."""
    return float(body_weight**0.75 * (0.2435 * nem - 0.0466 * nem**2 - 0.1128) / nem)


@published(
    "dmi-heifer-2021a",
    title="Intake of heifers from weight alone",
    subject=SUBJECT,
    formula="DMI = 0.022*mature_weight*(1 - exp(-1.54*body_weight/mature_weight))",
    unit="kg/day",
    source="NASEM2021",
    edition="NASEM 2021",
    read=False,
    arguments={"body_weight": HEIFER_WEIGHT, "mature_weight": MATURE_WEIGHT},
    check=(
        Check({"body_weight": 300, "mature_weight": 700}, 7.44049, 7e-4, "derived; equation 2-3"),
        Check({"body_weight": 400, "mature_weight": 700}, 9.01234, 9e-4, "derived; equation 2-3"),
    ),
)
def dmi_heifer_nasem2021a(*, body_weight: float, mature_weight: float) -> float:
    """Intake of a heifer by how far she has grown."""
    return 0.022 * mature_weight * (1 - math.exp(-1.54 * body_weight / mature_weight))


@published(
    "dmi-heifer-2021b",
    title="Intake of heifers from weight and fibre of the diet",
    subject=SUBJECT,
    formula="DMI = 0.0226*mature_weight*(1 - exp(-1.47*x)) - 0.082*(ndf - (23.1 + 56*x - 30.6*x**2)), "
    "x = body_weight/mature_weight",
    unit="kg/day",
    source="NASEM2021",
    edition="NASEM 2021",
    read=False,
    arguments={
        "body_weight": HEIFER_WEIGHT,
        "mature_weight": MATURE_WEIGHT,
        "ndf": of_dry_matter("NDF of the diet", 25, 65),
    },
    check=Check(
        {"body_weight": 300, "mature_weight": 700, "ndf": 45}, 7.10572, 1e-3, "derived; equation 2-4"
    ),
    notes="Recalled with less certainty than the form without fibre.",
)
def dmi_heifer_nasem2021b(*, body_weight: float, mature_weight: float, ndf: float) -> float:
    """Intake of a heifer by how far she has grown, less for fibre above what her size expects."""
    grown = body_weight / mature_weight
    expected_ndf = 23.1 + 56 * grown - 30.6 * grown**2
    return 0.0226 * mature_weight * (1 - math.exp(-1.47 * grown)) - 0.082 * (ndf - expected_ndf)
