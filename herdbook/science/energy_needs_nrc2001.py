"""Energy that a cow needs by NRC 2001: maintenance, walking, milk, pregnancy, and their total."""

from __future__ import annotations

from herdbook.science.inputs import (
    BIRTH_WEIGHT,
    BODY_WEIGHT,
    LACTOSE,
    MILK,
    MILK_CRUDE_PROTEIN,
    MILK_FAT,
    MILK_TRUE_PROTEIN,
)
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Energy needed, NRC 2001"
EDITION = "NRC 2001"
LANDS = "Recalled; gives back printed requirements of a 680 kg cow within 0.01 Mcal/kg of dry matter."
# The printed totals give no milk composition; 3.0 % true protein and 4.8 % lactose land on them.
PRINTED_COW = {"body_weight": 680.0, "fat": 3.5, "crude_protein": 3.22581, "lactose": 4.8}


@published(
    "milk-crude-protein-2001",
    title="Crude protein of milk from its true protein",
    subject=SUBJECT,
    formula="crude protein = true_protein / 0.93",
    unit="%",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"true_protein": MILK_TRUE_PROTEIN},
    check=Check({"true_protein": 3.0}, 3.22581, 1e-5, "derived"),
    notes="NASEM 2021 takes true protein as 0.945 of crude protein.",
)
def milk_crude_protein(*, true_protein: float) -> float:
    """Crude protein that goes with the true protein a milk test prints."""
    return true_protein / 0.93


@published(
    "nel-maintenance-2001",
    title="Net energy for maintenance of a cow",
    subject=SUBJECT,
    formula="NEL = 0.080 * body_weight**0.75",
    unit="Mcal/day",
    source=("NRC2001", "MOE1972"),
    edition=EDITION,
    read=False,
    arguments={"body_weight": BODY_WEIGHT},
    check=(
        Check({"body_weight": 680}, 10.6530, 1e-3, "derived"),
        Check({"body_weight": 650}, 10.2985, 1e-3, "derived"),
        Check({"body_weight": 600}, 9.69847, 1e-3, "derived"),
    ),
    notes=LANDS + " From 0.073 measured in the chamber, and a tenth for moving about.",
)
def nel_maintenance_nrc2001(*, body_weight: float) -> float:
    """Net energy a cow needs to stay as she is, with usual activity."""
    return float(0.080 * body_weight**0.75)


@published(
    "nel-walking-2001",
    title="Net energy for walking",
    subject=SUBJECT,
    formula="NEL = 0.00045 * body_weight * distance",
    unit="Mcal/day",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"body_weight": BODY_WEIGHT, "distance": Argument("walked in a day", "km/day", 0, 10, floor=0)},
    check=Check({"body_weight": 650, "distance": 2}, 0.585, 1e-6, "derived"),
)
def nel_walking_nrc2001(*, body_weight: float, distance: float) -> float:
    """Net energy for the way to pasture and parlour."""
    return 0.00045 * body_weight * distance


@published(
    "nel-milk-2001",
    title="Net energy in milk from fat, crude protein and lactose",
    subject=SUBJECT,
    formula="NEL = 0.0929*fat + 0.0547*crude_protein + 0.0395*lactose",
    unit="Mcal/kg",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"fat": MILK_FAT, "crude_protein": MILK_CRUDE_PROTEIN, "lactose": LACTOSE},
    check=Check(
        {"fat": 3.5, "crude_protein": 3.22581, "lactose": 4.8}, 0.691202, 1e-5, "derived; equation 2-15"
    ),
    notes=LANDS + " Crude protein, not true protein: divide true protein by 0.93.",
)
def nel_milk_nrc2001(*, fat: float, crude_protein: float, lactose: float) -> float:
    """Energy in a kilogram of milk by three components."""
    return 0.0929 * fat + 0.0547 * crude_protein + 0.0395 * lactose


@published(
    "nel-milk-fat-protein-2001",
    title="Net energy in milk from fat and crude protein",
    subject=SUBJECT,
    formula="NEL = 0.0929*fat + 0.0547*crude_protein + 0.192",
    unit="Mcal/kg",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"fat": MILK_FAT, "crude_protein": MILK_CRUDE_PROTEIN},
    check=Check({"fat": 3.5, "crude_protein": 3.22581}, 0.693602, 1e-5, "derived; equation 2-16"),
)
def nel_milk_fat_protein_nrc2001(*, fat: float, crude_protein: float) -> float:
    """Energy in a kilogram of milk when lactose is not known."""
    return 0.0929 * fat + 0.0547 * crude_protein + 0.192


@published(
    "nel-milk-fat-true-protein-2001",
    title="Net energy in milk from fat and true protein",
    subject=SUBJECT,
    formula="NEL = 0.0929*fat + 0.0588*true_protein + 0.192",
    unit="Mcal/kg",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"fat": MILK_FAT, "true_protein": MILK_TRUE_PROTEIN},
    check=Check({"fat": 3.5, "true_protein": 3.0}, 0.69355, 1e-6, "derived; equation 2-16"),
)
def nel_milk_fat_true_protein_nrc2001(*, fat: float, true_protein: float) -> float:
    """Energy in a kilogram of milk when lactose is not known and the test prints true protein."""
    return 0.0929 * fat + 0.0588 * true_protein + 0.192


@published(
    "nel-milk-fat-2001",
    title="Net energy in milk from fat alone",
    subject=SUBJECT,
    formula="NEL = 0.360 + 0.0969*fat",
    unit="Mcal/kg",
    source=("NRC2001", "MOE1972"),
    edition=EDITION,
    read=False,
    arguments={"fat": MILK_FAT},
    check=(
        Check({"fat": 3.5}, 0.69915, 1e-6, "derived; equation 2-17"),
        Check({"fat": 4.0}, 0.74, 0.01, "energy of 4 % milk, 1972"),
    ),
)
def nel_milk_fat_nrc2001(*, fat: float) -> float:
    """Energy in a kilogram of milk when only fat is known."""
    return 0.360 + 0.0969 * fat


@published(
    "nel-pregnancy-2001",
    title="Net energy for pregnancy",
    subject=SUBJECT,
    formula="NEL = (0.00318*days_pregnant - 0.0352) * (birth_weight/45) / 0.218",
    unit="Mcal/day",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={
        "days_pregnant": Argument(
            "days pregnant", "day", 190, 279, "refuse", floor=0, ceiling=300, from_source=True
        ),
        "birth_weight": BIRTH_WEIGHT,
    },
    check=(
        Check({"days_pregnant": 190, "birth_weight": 45}, 2.61009, 2e-4, "derived"),
        Check({"days_pregnant": 220, "birth_weight": 45}, 3.04771, 2e-4, "derived"),
        Check({"days_pregnant": 270, "birth_weight": 45}, 3.77706, 2e-4, "derived"),
    ),
    notes="Before day 190 the book counts nothing.",
)
def nel_pregnancy_nrc2001(*, days_pregnant: float, birth_weight: float) -> float:
    """Net energy that the pregnant uterus takes, in the last third."""
    return (0.00318 * days_pregnant - 0.0352) * (birth_weight / 45) / 0.218


@published(
    "nel-lactating-2001",
    title="Net energy needed for maintenance and milk",
    subject=SUBJECT,
    formula="NEL = 0.080*body_weight**0.75 + milk*(0.0929*fat + 0.0547*crude_protein + 0.0395*lactose)",
    unit="Mcal/day",
    source=("NRC2001", "HANDOUT680"),
    edition=EDITION,
    read=False,
    arguments={
        "body_weight": BODY_WEIGHT,
        "milk": MILK,
        "fat": MILK_FAT,
        "crude_protein": MILK_CRUDE_PROTEIN,
        "lactose": LACTOSE,
    },
    check=(
        *(
            Check(
                PRINTED_COW | {"milk": milk},
                dmi * density,
                dmi * 0.01,
                f"{density} Mcal/kg printed at {dmi} kg",
            )
            for milk, dmi, density in (
                (25.0, 20.3, 1.37),
                (35.0, 23.6, 1.47),
                (54.4, 30.0, 1.61),
                (35.0, 15.6, 2.23),
                (35.0, 18.8, 1.85),
            )
        ),
        Check(PRINTED_COW | {"milk": 45.0}, 41.7571, 4e-3, "derived"),
    ),
    notes=LANDS
    + " Without growth, pregnancy, walking or change of body reserves. Compare only with energies of "
    "feeds by the same edition.",
)
def nel_lactating_nrc2001(
    *, body_weight: float, milk: float, fat: float, crude_protein: float, lactose: float
) -> float:
    """Net energy a grown lactating cow needs when her weight stays the same."""
    in_milk = milk * nel_milk_nrc2001(fat=fat, crude_protein=crude_protein, lactose=lactose)
    return nel_maintenance_nrc2001(body_weight=body_weight) + in_milk
