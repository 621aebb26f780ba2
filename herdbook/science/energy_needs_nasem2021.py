"""Energy that a cow needs by NASEM 2021: maintenance, walking, milk, pregnancy, reserves and growth."""

from __future__ import annotations

from herdbook.science.inputs import (
    BODY_WEIGHT,
    LACTOSE,
    MILK,
    MILK_CRUDE_PROTEIN,
    MILK_FAT,
    MILK_TRUE_PROTEIN,
)
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Energy needed, NASEM 2021"
EDITION = "NASEM 2021"
NOT_WITH_2001 = (
    "Runs higher than NRC 2001 by 0.02*body_weight**0.75; never compare with feed energies of 2001."
)
EXAMPLE_MILK = {"fat": 3.8, "true_protein": 3.1, "lactose": 4.85}


@published(
    "nel-maintenance-2021",
    title="Net energy for maintenance of a cow",
    subject=SUBJECT,
    formula="NEL = 0.10 * body_weight**0.75",
    unit="Mcal/day",
    source="ERICKSON2023",
    edition=EDITION,
    arguments={"body_weight": BODY_WEIGHT},
    check=(
        Check({"body_weight": 660}, 13.0214, 1e-4, "data behind a printed table"),
        Check({"body_weight": 500}, 10.5737, 1e-4, "data behind a printed table"),
        Check({"body_weight": 680}, 13.3162, 1e-3, "derived"),
        Check({"body_weight": 650}, 12.8732, 1e-3, "derived"),
    ),
    notes=NOT_WITH_2001,
)
def nel_maintenance_nasem2021(*, body_weight: float) -> float:
    """Net energy a cow needs to stay as she is."""
    return float(0.10 * body_weight**0.75)


@published(
    "nel-walking-2021",
    title="Net energy for walking and climbing",
    subject=SUBJECT,
    formula="NEL = body_weight * (0.00035*distance + 0.0067*climb)",
    unit="Mcal/day",
    source="NASEM2021",
    edition=EDITION,
    read=False,
    arguments={
        "body_weight": BODY_WEIGHT,
        "distance": Argument("walked in a day", "km/day", 0, 10, floor=0),
        "climb": Argument("climbed in a day", "km/day", 0, 1, floor=0),
    },
    check=Check({"body_weight": 650, "distance": 2, "climb": 0.1}, 0.8905, 1e-6, "derived"),
)
def nel_walking_nasem2021(*, body_weight: float, distance: float, climb: float) -> float:
    """Net energy for the way to pasture and parlour, uphill counted apart."""
    return body_weight * (0.00035 * distance + 0.0067 * climb)


@published(
    "nel-milk-2021",
    title="Net energy in milk from fat, true protein and lactose",
    subject=SUBJECT,
    formula="NEL = (9.29*fat + 5.85*true_protein + 3.95*lactose) / 100",
    unit="Mcal/kg",
    source="ERICKSON2023",
    edition=EDITION,
    arguments={"fat": MILK_FAT, "true_protein": MILK_TRUE_PROTEIN, "lactose": LACTOSE},
    check=(
        Check(EXAMPLE_MILK, 32.667525 / 45, 1e-6, "data behind a printed table, 45 kg"),
        Check(EXAMPLE_MILK, 27.9488825 / 38.5, 1e-6, "data behind a printed table, 38.5 kg"),
        Check(EXAMPLE_MILK, 23.23024 / 32, 1e-6, "data behind a printed table, 32 kg"),
        Check({"fat": 3.5, "true_protein": 3.0, "lactose": 4.85}, 0.692225, 1e-5, "derived"),
        Check({"fat": 3.5, "true_protein": 3.0, "lactose": 4.80}, 0.690250, 1e-5, "derived"),
    ),
    notes="True protein. The 5.85 carries the energy of milk urea too, taken as 5.5 % of milk crude protein.",
)
def nel_milk_nasem2021(*, fat: float, true_protein: float, lactose: float) -> float:
    """Energy in a kilogram of milk by three components."""
    return (9.29 * fat + 5.85 * true_protein + 3.95 * lactose) / 100


@published(
    "nel-milk-crude-protein-2021",
    title="Net energy in milk from fat, crude protein and lactose",
    subject=SUBJECT,
    formula="NEL = (9.29*fat + 5.5*crude_protein + 3.95*lactose) / 100",
    unit="Mcal/kg",
    source="NASEM2021",
    edition=EDITION,
    read=False,
    arguments={"fat": MILK_FAT, "crude_protein": MILK_CRUDE_PROTEIN, "lactose": LACTOSE},
    check=Check({"fat": 3.5, "crude_protein": 3.17460, "lactose": 4.85}, 0.691328, 1e-5, "derived"),
    notes="For a test that prints crude protein; with true protein use nel-milk-2021.",
)
def nel_milk_crude_protein_nasem2021(*, fat: float, crude_protein: float, lactose: float) -> float:
    """Energy in a kilogram of milk when the protein is crude protein."""
    return (9.29 * fat + 5.5 * crude_protein + 3.95 * lactose) / 100


@published(
    "nel-milk-fat-2021",
    title="Net energy in milk from fat alone",
    subject=SUBJECT,
    formula="NEL = 0.360 + 0.0969*fat",
    unit="Mcal/kg",
    source="NASEM2021",
    edition=EDITION,
    read=False,
    arguments={"fat": MILK_FAT},
    check=Check({"fat": 4.0}, 0.74760, 1e-6, "derived"),
    notes="The same as in NRC 2001.",
)
def nel_milk_fat_nasem2021(*, fat: float) -> float:
    """Energy in a kilogram of milk when only fat is known."""
    return 0.360 + 0.0969 * fat


@published(
    "milk-crude-protein-2021",
    title="Crude protein of milk from its true protein",
    subject=SUBJECT,
    formula="crude protein = true_protein / 0.945",
    unit="%",
    source="ERICKSON2023",
    edition=EDITION,
    arguments={"true_protein": MILK_TRUE_PROTEIN},
    check=Check({"true_protein": 3.0}, 3.17460, 1e-5, "derived"),
    notes="The 2001 edition divides by 0.93.",
)
def milk_crude_protein_nasem2021(*, true_protein: float) -> float:
    """Crude protein that goes with the true protein a milk test prints."""
    return true_protein / 0.945


@published(
    "nel-pregnancy-2021",
    title="Net energy for pregnancy from the growth of the uterus",
    subject=SUBJECT,
    formula="NEL = uterus_gain * 0.882 * 0.66/0.14",
    unit="Mcal/day",
    source="ERICKSON2023",
    edition=EDITION,
    arguments={"uterus_gain": Argument("gain of the pregnant uterus", "kg/day", -1, 1.5)},
    check=Check({"uterus_gain": 0.5}, 4.158 / 2, 1e-6, "derived: 4.158 for each kilogram"),
    notes="Below zero while the uterus shrinks, in the first hundred days after calving.",
)
def nel_pregnancy_nasem2021(*, uterus_gain: float) -> float:
    """Net energy that the pregnant uterus takes, or gives while it shrinks."""
    return uterus_gain * 0.882 * 0.66 / 0.14


@published(
    "nel-reserves-2021",
    title="Net energy of gaining or losing body reserves",
    subject=SUBJECT,
    formula="NEL = gain * 6.3 * 0.66/efficiency, efficiency 0.74 lactating, 0.60 dry",
    unit="Mcal/day",
    source="ERICKSON2023",
    edition=EDITION,
    arguments={
        "gain": Argument("gain of reserves, below zero when lost", "kg/day", -2.5, 1.5),
        "state": Argument("lactating or dry", choices=("lactating", "dry")),
    },
    check=(
        Check({"gain": 1, "state": "lactating"}, 5.62, 0.005, "printed for each kilogram"),
        Check({"gain": 1, "state": "dry"}, 6.93, 0.005, "printed for each kilogram"),
    ),
    notes="The source's text uses 5.6 for gain and loss alike.",
)
def nel_reserves_nasem2021(*, gain: float, state: str) -> float:
    """Net energy that goes into body reserves, or comes out of them."""
    return gain * 6.3 * 0.66 / (0.74 if state == "lactating" else 0.60)


@published(
    "nel-frame-gain-2021",
    title="Net energy of frame growth from its fat and protein",
    subject=SUBJECT,
    formula="NEL = (9.4*fat_gain + 5.55*protein_gain) / 0.61",
    unit="Mcal/day",
    source="ERICKSON2023",
    edition=EDITION,
    arguments={
        "fat_gain": Argument("fat gained in the frame", "kg/day", 0, 0.5, floor=0),
        "protein_gain": Argument("protein gained in the frame", "kg/day", 0, 0.3, floor=0),
    },
    check=Check({"fat_gain": 0.1, "protein_gain": 0.05}, 1.99590, 1e-5, "derived"),
    notes="How a gain splits into fat and protein is not given here.",
)
def nel_frame_gain_nasem2021(*, fat_gain: float, protein_gain: float) -> float:
    """Net energy that goes into growth of the frame."""
    return (9.4 * fat_gain + 5.55 * protein_gain) / 0.61


@published(
    "nel-lactating-2021",
    title="Net energy needed for maintenance and milk",
    subject=SUBJECT,
    formula="NEL = 0.10*body_weight**0.75 + milk*(9.29*fat + 5.85*true_protein + 3.95*lactose)/100",
    unit="Mcal/day",
    source="ERICKSON2023",
    edition=EDITION,
    arguments={
        "body_weight": BODY_WEIGHT,
        "milk": MILK,
        "fat": MILK_FAT,
        "true_protein": MILK_TRUE_PROTEIN,
        "lactose": LACTOSE,
    },
    check=(
        Check(
            {"body_weight": 660.0, "milk": 45.0} | EXAMPLE_MILK,
            13.0214 + 32.667525,
            1e-4,
            "data behind a printed table",
        ),
        Check(
            {"body_weight": 680, "milk": 35, "fat": 3.5, "true_protein": 3.0, "lactose": 4.8},
            37.4750,
            4e-3,
            "derived",
        ),
    ),
    notes=NOT_WITH_2001,
)
def nel_lactating_nasem2021(
    *, body_weight: float, milk: float, fat: float, true_protein: float, lactose: float
) -> float:
    """Net energy a grown lactating cow needs when her weight stays the same."""
    in_milk = milk * nel_milk_nasem2021(fat=fat, true_protein=true_protein, lactose=lactose)
    return nel_maintenance_nasem2021(body_weight=body_weight) + in_milk
