"""Nitrogen and phosphorus that do not leave in milk: the balance at the cow, and milk nitrogen efficiency."""

from __future__ import annotations

from herdbook.science.inputs import INTAKE, MILK, of_dry_matter
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Manure nutrients"
LB_KG = 0.45359237
DIET_PROTEIN = of_dry_matter("crude protein of the diet", 9, 22)
DIET_P = of_dry_matter("phosphorus of the diet", 0.25, 0.60)
MILK_PROTEIN = Argument(
    "protein in milk, crude unless the note says otherwise", "%", 2, 5, floor=0, ceiling=10
)
WHICH_PROTEIN = (
    "With true protein the urea nitrogen of milk is left out, and the answer is lower: one herd has "
    "28.2 % by true "
    "protein over feed protein, 30.0 % by crude protein over feed protein, 29.4 % as nitrogen. Say which."
)


@published(
    "nitrogen-intake",
    title="Nitrogen eaten",
    subject=SUBJECT,
    formula="N = intake * crude_protein * 10 / 6.25",
    unit="g/day",
    source="AGPROUD45564",
    arguments={"intake": INTAKE, "crude_protein": DIET_PROTEIN},
    check=(
        Check({"intake": 23.6, "crude_protein": 16.5}, 623.040, 0.006, "derived"),
        Check({"intake": 27, "crude_protein": 17}, 734.400, 0.007, "derived"),
    ),
    notes="Plausible for a lactating cow: 350 to 850 g a day.",
)
def nitrogen_intake(*, intake: float, crude_protein: float) -> float:
    """Nitrogen in the feed, protein being 16 % nitrogen."""
    return intake * crude_protein * 10 / 6.25


@published(
    "milk-nitrogen",
    title="Nitrogen in milk",
    subject=SUBJECT,
    formula="N = milk * protein * 10 / 6.38",
    unit="g/day",
    source=("MILK-PROTEIN-638", "ERICKSON2023"),
    read=False,
    arguments={"milk": MILK, "protein": MILK_PROTEIN},
    check=(
        Check({"milk": 35, "protein": 3.0 / 0.93}, 176.964, 0.002, "derived, crude protein"),
        Check({"milk": 35, "protein": 3.0}, 164.577, 0.002, "derived, true protein"),
        Check({"milk": 45, "protein": 3.1 / 0.93}, 235.110, 0.003, "derived, crude protein"),
        Check({"milk": 45, "protein": 3.1}, 218.652, 0.003, "derived, true protein"),
    ),
    notes="6.38 is the convention for milk; NASEM 2021 takes 6.34. " + WHICH_PROTEIN,
)
def milk_nitrogen(*, milk: float, protein: float) -> float:
    """Nitrogen that leaves in milk."""
    return milk * protein * 10 / 6.38


@published(
    "manure-nitrogen-balance",
    title="Nitrogen in manure by balance",
    subject=SUBJECT,
    formula="manure N = nitrogen_intake - milk_nitrogen - retained",
    unit="g/day",
    source="CHASE",
    arguments={
        "nitrogen_intake": Argument("nitrogen eaten", "g/day", 350, 850, floor=0),
        "milk_nitrogen": Argument("nitrogen in milk", "g/day", 90, 260, floor=0),
        "retained": Argument("nitrogen kept in growth, calf and reserves", "g/day", 0, 60),
    },
    check=(
        Check(
            {"nitrogen_intake": 623.040, "milk_nitrogen": 176.964, "retained": 0}, 446.076, 1e-3, "derived"
        ),
        Check(
            {"nitrogen_intake": 623.040, "milk_nitrogen": 164.577, "retained": 0}, 458.463, 1e-3, "derived"
        ),
        Check(
            {"nitrogen_intake": 734.400, "milk_nitrogen": 235.110, "retained": 0}, 499.290, 1e-3, "derived"
        ),
    ),
    notes="With nothing retained it overstates heifers and first-calf cows. Plausible: 250 to 600 g a day.",
)
def manure_nitrogen(*, nitrogen_intake: float, milk_nitrogen: float, retained: float) -> float:
    """What was eaten and neither milked nor kept."""
    return nitrogen_intake - milk_nitrogen - retained


@published(
    "milk-nitrogen-efficiency",
    title="Share of eaten nitrogen that leaves in milk",
    subject=SUBJECT,
    formula="efficiency = 100 * milk_nitrogen / nitrogen_intake",
    unit="%",
    source="CHASE",
    arguments={
        "milk_nitrogen": Argument("nitrogen in milk", "g/day", 90, 260, floor=0),
        "nitrogen_intake": Argument("nitrogen eaten", "g/day", 350, 850, floor=0.1),
    },
    check=(
        Check(
            {"milk_nitrogen": 176.964, "nitrogen_intake": 623.040}, 28.4034, 3e-4, "derived, crude protein"
        ),
        Check({"milk_nitrogen": 164.577, "nitrogen_intake": 623.040}, 26.4151, 3e-4, "derived, true protein"),
        Check(
            {"milk_nitrogen": 235.110, "nitrogen_intake": 734.400}, 32.0139, 3e-4, "derived, crude protein"
        ),
    ),
    notes="20 to 40 % in practice; 30 to 35 is good. Look at milk urea beside it. " + WHICH_PROTEIN,
)
def milk_nitrogen_efficiency(*, milk_nitrogen: float, nitrogen_intake: float) -> float:
    """How well feed nitrogen turns into milk."""
    return 100 * milk_nitrogen / nitrogen_intake


@published(
    "milk-protein-efficiency",
    title="Milk protein over feed protein, the quick form",
    subject=SUBJECT,
    formula="efficiency = 100 * milk*protein / (intake*crude_protein)",
    unit="%",
    source=("HUTJENS-30844", "PD-NEFF"),
    arguments={"milk": MILK, "protein": MILK_PROTEIN, "intake": INTAKE, "crude_protein": DIET_PROTEIN},
    check=(
        Check(
            {"milk": 75 * LB_KG, "protein": 3.1, "intake": 50 * LB_KG, "crude_protein": 16.5},
            28.2,
            0.05,
            "75 lb at 3.1 % true protein on 50 lb at 16.5 %",
        ),
        Check(
            {"milk": 75 * LB_KG, "protein": 3.3, "intake": 50 * LB_KG, "crude_protein": 16.5},
            30,
            0.05,
            "the same at 3.3 % crude protein",
        ),
        Check(
            {"milk": 85 * LB_KG, "protein": 3.0, "intake": 60 * LB_KG, "crude_protein": 17.7},
            24.0113,
            2e-3,
            "85 lb at 3.0 % on 60 lb at 17.7 %; inputs published, result derived",
        ),
    ),
    notes="Differs from milk-nitrogen-efficiency by 6.38/6.25. " + WHICH_PROTEIN,
)
def milk_protein_efficiency(*, milk: float, protein: float, intake: float, crude_protein: float) -> float:
    """Protein out over protein in."""
    return 100 * milk * protein / (intake * crude_protein)


@published(
    "phosphorus-intake",
    title="Phosphorus eaten",
    subject=SUBJECT,
    formula="P = intake * phosphorus * 10",
    unit="g/day",
    source="ARITHMETIC",
    arguments={"intake": INTAKE, "phosphorus": DIET_P},
    check=(
        Check({"intake": 23.6, "phosphorus": 0.35}, 82.6, 1e-6, "derived"),
        Check({"intake": 23.6, "phosphorus": 0.40}, 94.4, 1e-6, "derived"),
    ),
    notes="Plausible: 45 to 133 g a day.",
)
def phosphorus_intake(*, intake: float, phosphorus: float) -> float:
    """Phosphorus in the feed."""
    return intake * phosphorus * 10


@published(
    "milk-phosphorus",
    title="Phosphorus in milk",
    subject=SUBJECT,
    formula="P = 0.41/0.45359237 * milk",
    unit="g/day",
    source="BUCKEYE2003",
    arguments={"milk": MILK},
    check=Check({"milk": 75 * LB_KG}, 30.75, 1e-6, "derived: 0.41 g in a pound"),
    notes="Mean of Holstein trials.",
)
def milk_phosphorus(*, milk: float) -> float:
    """Phosphorus that leaves in milk."""
    return 0.41 / LB_KG * milk


@published(
    "manure-phosphorus-balance",
    title="Phosphorus in manure by balance",
    subject=SUBJECT,
    formula="manure P = phosphorus_intake - milk_phosphorus - 3.9",
    unit="g/day",
    source="BUCKEYE2003",
    arguments={
        "phosphorus_intake": Argument("phosphorus eaten", "g/day", 45, 133, floor=0),
        "milk_phosphorus": Argument("phosphorus in milk", "g/day", 5, 60, floor=0),
    },
    check=Check(
        {"phosphorus_intake": 89.8182, "milk_phosphorus": 30.75},
        55.1682,
        6e-4,
        "derived: 52 lb dry matter at 0.38 % and 75 lb milk",
    ),
    notes="From 130 cows on 30 diets of 0.32 to 0.46 % P. Within 10 % for a cow, 2 to 3 % for a group.",
)
def manure_phosphorus(*, phosphorus_intake: float, milk_phosphorus: float) -> float:
    """What was eaten and neither milked nor kept."""
    return phosphorus_intake - milk_phosphorus - 3.9
