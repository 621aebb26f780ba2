"""Milk made comparable: fat-corrected, energy-corrected and solids-corrected, each under its own name.

"Energy-corrected milk" is not one formula. The factor 7.20 goes with crude protein and 7.65 with true
protein, which US milk tests print; neither returns exactly the milk put in at its own standard composition.
"""

from __future__ import annotations

from herdbook.science.inputs import MILK, MILK_CRUDE_PROTEIN, MILK_FAT, MILK_TRUE_PROTEIN
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Corrected milk"
LB_KG = 0.45359237
# 85 lb of milk with 3.145 lb fat and 2.635 lb protein, and 100 lb at a standard composition
EXAMPLE = {"milk": 85 * LB_KG, "fat": 3.7}
STANDARD_LB = 100 * LB_KG
SOLIDS_NOT_FAT = Argument("solids not fat in milk", "%", 7.5, 10, floor=1, ceiling=15)


@published(
    "fcm-4",
    title="4 % fat-corrected milk",
    subject=SUBJECT,
    formula="FCM = 0.4*milk + 15*milk*fat/100",
    unit="kg/day",
    source="GAINES",
    arguments={"milk": MILK, "fat": MILK_FAT},
    check=(
        Check({"milk": 80 * LB_KG, "fat": 3.5}, 74 * LB_KG, 1e-6, "worked example: 80 lb at 3.5 % is 74 lb"),
        Check({"milk": 35, "fat": 3.5}, 32.375, 1e-6, "derived"),
        Check(
            {"milk": STANDARD_LB, "fat": 4.0},
            STANDARD_LB,
            1e-6,
            "derived: at its standard it is the milk itself",
        ),
    ),
    notes="The one that NRC 2001 predicts intake from.",
)
def fcm_4(*, milk: float, fat: float) -> float:
    """Milk of 4 % fat with the same energy."""
    return 0.4 * milk + 15 * milk * fat / 100


@published(
    "fcm-3-5",
    title="3.5 % fat-corrected milk",
    subject=SUBJECT,
    formula="FCM = 0.4324*milk + 16.216*milk*fat/100",
    unit="kg/day",
    source="HUTJENS-FCM",
    arguments={"milk": MILK, "fat": MILK_FAT},
    check=(
        Check({"milk": 70 * LB_KG, "fat": 3.8}, 73.4 * LB_KG, 0.02 * LB_KG, "70 lb at 3.8 % is 73.4 lb"),
        Check({"milk": 80 * LB_KG, "fat": 3.5}, 79.9968 * LB_KG, 1e-4, "derived"),
        Check(EXAMPLE, 87.7533 * LB_KG, 1e-3, "derived"),
    ),
    notes="The figure that feed efficiency is worked out on here. A rounded pair of coefficients is in "
    "print too.",
)
def fcm_3_5(*, milk: float, fat: float) -> float:
    """Milk of 3.5 % fat with the same energy."""
    return 0.4324 * milk + 16.216 * milk * fat / 100


@published(
    "fcm-3-5-rounded",
    title="3.5 % fat-corrected milk with rounded coefficients",
    subject=SUBJECT,
    formula="FCM = 0.432*milk + 16.23*milk*fat/100",
    unit="kg/day",
    source="VT2008",
    arguments={"milk": MILK, "fat": MILK_FAT},
    check=(
        Check(
            {"milk": 70 * LB_KG, "fat": 3.8},
            73.4 * LB_KG,
            0.02 * LB_KG,
            "May 2008: 70 lb at 3.8 % is 73.4 lb",
        ),
        Check({"milk": 80 * LB_KG, "fat": 3.5}, 80.004 * LB_KG, 1e-4, "derived"),
    ),
    notes="Differs from fcm-3-5 in the fifth digit.",
)
def fcm_3_5_rounded(*, milk: float, fat: float) -> float:
    """Milk of 3.5 % fat with the same energy, as some newsletters print it."""
    return 0.432 * milk + 16.23 * milk * fat / 100


@published(
    "ecm-crude-protein",
    title="Energy-corrected milk, from crude protein",
    subject=SUBJECT,
    formula="ECM = 0.327*milk + 12.95*milk*fat/100 + 7.20*milk*crude_protein/100",
    unit="kg/day",
    source="DNMC2024",
    arguments={"milk": MILK, "fat": MILK_FAT, "crude_protein": MILK_CRUDE_PROTEIN},
    check=(
        Check(
            EXAMPLE | {"crude_protein": 3.1},
            87.4947 * LB_KG,
            1e-4,
            "derived: 85 lb, 3.145 lb fat, 2.635 lb protein",
        ),
        Check(
            {"milk": STANDARD_LB, "fat": 3.5, "crude_protein": 3.2},
            101.065 * LB_KG,
            1e-3,
            "derived: its own standard",
        ),
    ),
    notes="To 3.5 % fat and 3.2 % crude protein; returns 1 % more than the milk at that standard. With "
    "true protein "
    "use ecm-true-protein.",
)
def ecm_crude_protein(*, milk: float, fat: float, crude_protein: float) -> float:
    """Milk of standard energy, when the test prints crude protein."""
    return 0.327 * milk + 12.95 * milk * fat / 100 + 7.20 * milk * crude_protein / 100


@published(
    "ecm-true-protein",
    title="Energy-corrected milk, from true protein",
    subject=SUBJECT,
    formula="ECM = 0.327*milk + 12.95*milk*fat/100 + 7.65*milk*true_protein/100",
    unit="kg/day",
    source="DHI2010",
    arguments={"milk": MILK, "fat": MILK_FAT, "true_protein": MILK_TRUE_PROTEIN},
    check=(
        Check(
            EXAMPLE | {"true_protein": 3.1},
            88.6805 * LB_KG,
            1e-4,
            "derived: 85 lb, 3.145 lb fat, 2.635 lb protein",
        ),
        Check(
            {"milk": STANDARD_LB, "fat": 3.5, "true_protein": 3.0},
            100.975 * LB_KG,
            1e-3,
            "derived: its own standard",
        ),
    ),
    notes="To 3.5 % fat and 3.0 % true protein; returns 1 % more than the milk at that standard. US "
    "milk tests print "
    "true protein.",
)
def ecm_true_protein(*, milk: float, fat: float, true_protein: float) -> float:
    """Milk of standard energy, when the test prints true protein."""
    return 0.327 * milk + 12.95 * milk * fat / 100 + 7.65 * milk * true_protein / 100


@published(
    "ecm-variant",
    title="Energy-corrected milk, variant that returns its own standard",
    subject=SUBJECT,
    formula="ECM = 0.3246*milk + 12.86*milk*fat/100 + 7.04*milk*crude_protein/100",
    unit="kg/day",
    source="ECM-0.3246",
    read=False,
    arguments={"milk": MILK, "fat": MILK_FAT, "crude_protein": MILK_CRUDE_PROTEIN},
    check=(
        Check(
            EXAMPLE | {"crude_protein": 3.1},
            86.5861 * LB_KG,
            1e-4,
            "derived: 85 lb, 3.145 lb fat, 2.635 lb protein",
        ),
        Check(
            {"milk": STANDARD_LB, "fat": 3.5, "crude_protein": 3.2},
            99.9980 * LB_KG,
            1e-4,
            "derived: its own standard",
        ),
    ),
)
def ecm_variant(*, milk: float, fat: float, crude_protein: float) -> float:
    """Milk of standard energy by another set of factors."""
    return 0.3246 * milk + 12.86 * milk * fat / 100 + 7.04 * milk * crude_protein / 100


@published(
    "ecm-ifcn",
    title="Energy-corrected milk of international comparisons",
    subject=SUBJECT,
    formula="ECM = milk*(0.383*fat + 0.242*crude_protein + 0.7832)/3.1138",
    unit="kg/day",
    source="IFCN",
    arguments={"milk": MILK, "fat": MILK_FAT, "crude_protein": MILK_CRUDE_PROTEIN},
    check=Check({"milk": 30, "fat": 4.2, "crude_protein": 3.4}, 30.97, 0.005, "worked example"),
    notes="To 4.0 % fat and 3.3 % crude protein. The standard was read on two secondary pages.",
)
def ecm_ifcn(*, milk: float, fat: float, crude_protein: float) -> float:
    """Milk of the standard energy that farms of different countries are compared on."""
    return milk * (0.383 * fat + 0.242 * crude_protein + 0.7832) / 3.1138


@published(
    "scm",
    title="Solids-corrected milk",
    subject=SUBJECT,
    formula="SCM = 12.3*milk*fat/100 + 6.56*milk*solids_not_fat/100 - 0.0752*milk",
    unit="kg/day",
    source="TYRRELL1965",
    arguments={"milk": MILK, "fat": MILK_FAT, "solids_not_fat": SOLIDS_NOT_FAT},
    check=Check(
        {"milk": STANDARD_LB, "fat": 4.0, "solids_not_fat": 8.9},
        100.064 * LB_KG,
        1e-4,
        "derived: 4 % fat, 8.9 % SNF",
    ),
)
def solids_corrected_milk(*, milk: float, fat: float, solids_not_fat: float) -> float:
    """Milk of 340 kcal a pound with the same energy, from fat and solids not fat."""
    return 12.3 * milk * fat / 100 + 6.56 * milk * solids_not_fat / 100 - 0.0752 * milk


@published(
    "milk-energy",
    title="Gross energy of milk from fat and solids not fat",
    subject=SUBJECT,
    formula="energy = 41.84*fat + 22.29*solids_not_fat - 25.58",
    unit="kcal/lb",
    source="TYRRELL1965",
    arguments={"fat": MILK_FAT, "solids_not_fat": SOLIDS_NOT_FAT},
    check=Check({"fat": 4.0, "solids_not_fat": 8.9}, 340.161, 1e-3, "derived; the standard is 340 kcal/lb"),
)
def milk_energy(*, fat: float, solids_not_fat: float) -> float:
    """Heat of combustion of a pound of milk."""
    return 41.84 * fat + 22.29 * solids_not_fat - 25.58
