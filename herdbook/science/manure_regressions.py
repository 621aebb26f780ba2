"""Manure and urinary nitrogen by regression: second opinions beside the balance.

One recalled equation of the same standard, phosphorus of lactating cows from intake, is left out on
purpose: it lies 18 to 42 % above three published ones.
"""

from __future__ import annotations

from herdbook.science.inputs import BODY_WEIGHT, INTAKE, MILK, of_dry_matter
from herdbook.science.manure_balance import DIET_PROTEIN, SUBJECT
from herdbook.science.registry import Argument, Check, published

P_INTAKE = Argument("phosphorus eaten", "g/day", 45, 133, floor=0, from_source=True)
MUN = Argument("milk urea nitrogen", "mg/dL", 4, 25, floor=0, ceiling=60)
NOT_OPENED = "Recalled; the standard was not opened, so reports do not use it."
MUN_WARNING = "More nitrogen in urine than in all the manure is a sure sign of a wrong MUN, weight or intake."


@published(
    "manure-phosphorus-intake",
    title="Phosphorus in manure from phosphorus eaten",
    subject=SUBJECT,
    formula="manure P = -2.5 + 0.64*phosphorus_intake",
    unit="g/day",
    source="WEISS2004",
    arguments={"phosphorus_intake": P_INTAKE},
    check=(
        Check({"phosphorus_intake": 82.6}, 50.364, 1e-6, "derived"),
        Check({"phosphorus_intake": 94.4}, 57.916, 1e-6, "derived"),
    ),
    notes="162 Holsteins on 39 diets of 0.34 to 0.45 % P.",
)
def manure_phosphorus_from_intake(*, phosphorus_intake: float) -> float:
    """Regression on intake alone."""
    return -2.5 + 0.64 * phosphorus_intake


@published(
    "manure-phosphorus-milk",
    title="Phosphorus in manure from phosphorus eaten and milk",
    subject=SUBJECT,
    formula="manure P = 7.5 + 0.78*phosphorus_intake - 0.702*milk",
    unit="g/day",
    source="WEISS2004",
    arguments={
        "phosphorus_intake": P_INTAKE,
        "milk": Argument("milk yield", "kg/day", 8, 59, floor=0, ceiling=120, from_source=True),
    },
    check=(
        Check({"phosphorus_intake": 82.6, "milk": 35}, 47.358, 1e-6, "derived"),
        Check({"phosphorus_intake": 94.4, "milk": 35}, 56.562, 1e-6, "derived"),
    ),
    notes="162 Holsteins on 39 diets of 0.34 to 0.45 % P. The second opinion shown beside the balance.",
)
def manure_phosphorus_from_milk(*, phosphorus_intake: float, milk: float) -> float:
    """Regression on intake and milk."""
    return 7.5 + 0.78 * phosphorus_intake - 0.702 * milk


@published(
    "urinary-nitrogen",
    title="Nitrogen in urine from weight and milk urea",
    subject=SUBJECT,
    formula="urinary N = 0.0259 * body_weight * mun",
    unit="g/day",
    source="KAUFFMAN2001",
    arguments={"body_weight": BODY_WEIGHT, "mun": MUN},
    check=tuple(
        Check({"body_weight": weight, "mun": mun}, nitrogen, 1e-6, "derived")
        for weight, mun, nitrogen in ((680, 12, 211.344), (650, 10, 168.350), (450, 14, 163.170))
    ),
    notes="Holstein and Jersey on 13 and 17 % protein. " + MUN_WARNING,
)
def urinary_nitrogen(*, body_weight: float, mun: float) -> float:
    """Nitrogen in urine, by milk urea and body weight."""
    return 0.0259 * body_weight * mun


@published(
    "urinary-nitrogen-1998",
    title="Nitrogen in urine from milk urea by the method of the 1990s",
    subject=SUBJECT,
    formula="urinary N = 12.54 * mun",
    unit="g/day",
    source=("JONKER1998", "MEYER2012"),
    arguments={"mun": MUN},
    check=tuple(
        Check({"mun": mun}, nitrogen, 1e-6, "derived")
        for mun, nitrogen in ((12, 150.480), (10, 125.400), (14, 175.560))
    ),
    notes="Missed field MUN by 6.9 mg/dL on average, where the newer forms missed by 0.9 and 1.4.",
)
def urinary_nitrogen_1998(*, mun: float) -> float:
    """Nitrogen in urine of grown Holsteins, by milk urea alone, older laboratory method."""
    return 12.54 * mun


@published(
    "urinary-nitrogen-field",
    title="Nitrogen in urine from milk urea alone",
    subject=SUBJECT,
    formula="urinary N = 17.6 * mun",
    unit="g/day",
    source="MEYER2012",
    arguments={"mun": MUN},
    check=Check({"mun": 12}, 211.2, 1e-6, "derived"),
    notes="The same as urinary-nitrogen for a cow of 679.5 kg. " + MUN_WARNING,
)
def urinary_nitrogen_field(*, mun: float) -> float:
    """Nitrogen in urine, by milk urea alone."""
    return 17.6 * mun


@published(
    "manure-lactating",
    title="Manure of a lactating cow from milk",
    subject=SUBJECT,
    formula="manure = 0.647*milk + 43.212",
    unit="kg/day",
    source="NENNICH2005",
    read=False,
    arguments={"milk": MILK},
    check=tuple(
        Check({"milk": milk}, manure, 7e-4, "derived")
        for milk, manure in ((25, 59.3870), (35, 65.8570), (45, 72.3270))
    ),
    notes=NOT_OPENED + " About 68 kg was measured for lactating cows elsewhere.",
)
def manure_lactating_kg(*, milk: float) -> float:
    """Wet manure of a lactating cow."""
    return 0.647 * milk + 43.212


@published(
    "manure-dry-matter-lactating",
    title="Dry matter of a lactating cow's manure from intake",
    subject=SUBJECT,
    formula="manure dry matter = 0.356*intake + 0.80",
    unit="kg/day",
    source="NENNICH2005",
    read=False,
    arguments={"intake": INTAKE},
    check=tuple(
        Check({"intake": intake}, manure, 1e-4, "derived")
        for intake, manure in ((20.3, 8.02680), (23.6, 9.20160), (26.9, 10.3764))
    ),
    notes=NOT_OPENED,
)
def manure_dry_matter_lactating_kg(*, intake: float) -> float:
    """Dry matter in a lactating cow's manure."""
    return 0.356 * intake + 0.80


@published(
    "manure-nitrogen-lactating",
    title="Nitrogen in a lactating cow's manure by regression",
    subject=SUBJECT,
    formula="manure N = 84.1*intake*crude_protein/100 + 0.196*body_weight",
    unit="g/day",
    source="NENNICH2005",
    read=False,
    arguments={"intake": INTAKE, "crude_protein": DIET_PROTEIN, "body_weight": BODY_WEIGHT},
    check=(
        Check({"intake": 23.6, "crude_protein": 16.5, "body_weight": 680}, 460.765, 0.005, "derived"),
        Check({"intake": 27, "crude_protein": 17, "body_weight": 680}, 519.299, 0.005, "derived"),
    ),
    notes=NOT_OPENED + " Lies within 1 % of the balance by true protein.",
)
def manure_nitrogen_lactating(*, intake: float, crude_protein: float, body_weight: float) -> float:
    """Manure nitrogen from protein eaten and body weight."""
    return 84.1 * intake * crude_protein / 100 + 0.196 * body_weight


@published(
    "manure-nitrogen-milk",
    title="Nitrogen in a lactating cow's manure when the diet is not known",
    subject=SUBJECT,
    formula="manure N = 4.204*milk + 283.3",
    unit="g/day",
    source="NENNICH2005",
    read=False,
    arguments={"milk": MILK},
    check=Check({"milk": 35}, 430.44, 1e-6, "derived"),
    notes=NOT_OPENED,
)
def manure_nitrogen_from_milk(*, milk: float) -> float:
    """Manure nitrogen from milk alone."""
    return 4.204 * milk + 283.3


@published(
    "manure-potassium-milk",
    title="Potassium in a lactating cow's manure when the diet is not known",
    subject=SUBJECT,
    formula="manure K = 1.800*milk + 31.154",
    unit="g/day",
    source="NENNICH2005",
    read=False,
    arguments={"milk": MILK},
    check=Check({"milk": 35}, 94.154, 1e-6, "derived"),
    notes=NOT_OPENED + " Recalled with little certainty.",
)
def manure_potassium_from_milk(*, milk: float) -> float:
    """Manure potassium from milk alone."""
    return 1.800 * milk + 31.154


@published(
    "manure-dry-cow",
    title="Manure of a dry cow from weight",
    subject=SUBJECT,
    formula="manure = 0.022*body_weight + 21.844",
    unit="kg/day",
    source="NENNICH2005",
    read=False,
    arguments={"body_weight": BODY_WEIGHT},
    check=Check({"body_weight": 750}, 38.3440, 4e-4, "derived"),
    notes=NOT_OPENED + " 38 kg was printed for dry cows elsewhere.",
)
def manure_dry_cow_kg(*, body_weight: float) -> float:
    """Wet manure of a dry cow."""
    return 0.022 * body_weight + 21.844


@published(
    "manure-heifer",
    title="Manure of a heifer from weight",
    subject=SUBJECT,
    formula="manure = 0.018*body_weight + 17.817",
    unit="kg/day",
    source="NENNICH2005",
    read=False,
    arguments={
        "body_weight": Argument("body weight", "kg", 274, 613, floor=30, ceiling=1000, from_source=True)
    },
    check=Check({"body_weight": 440}, 25.7370, 3e-4, "derived"),
    notes=NOT_OPENED,
)
def manure_heifer_kg(*, body_weight: float) -> float:
    """Wet manure of a heifer."""
    return 0.018 * body_weight + 17.817


@published(
    "manure-nitrogen-dry-cow",
    title="Nitrogen in a dry cow's manure",
    subject=SUBJECT,
    formula="manure N = 12.747*intake + 16.0629*crude_protein - 117.7",
    unit="g/day",
    source="NENNICH2005",
    read=False,
    arguments={"intake": INTAKE, "crude_protein": DIET_PROTEIN},
    check=Check({"intake": 12, "crude_protein": 12}, 228.019, 3e-3, "derived; nitrogen eaten is 230.4"),
    notes=NOT_OPENED,
)
def manure_nitrogen_dry_cow(*, intake: float, crude_protein: float) -> float:
    """Manure nitrogen of a dry cow."""
    return 12.747 * intake + 16.0629 * crude_protein - 117.7


@published(
    "manure-nitrogen-heifer",
    title="Nitrogen in a heifer's manure",
    subject=SUBJECT,
    formula="manure N = 78.39*intake*crude_protein/100 + 51.35",
    unit="g/day",
    source="NENNICH2005",
    read=False,
    arguments={
        "intake": Argument("dry matter intake", "kg/day", 4, 14, floor=0.1, ceiling=30),
        "crude_protein": of_dry_matter("crude protein of the diet", 9, 20),
    },
    check=Check({"intake": 8.5, "crude_protein": 13}, 137.971, 2e-3, "derived; nitrogen eaten is 176.8"),
    notes=NOT_OPENED,
)
def manure_nitrogen_heifer(*, intake: float, crude_protein: float) -> float:
    """Manure nitrogen of a heifer."""
    return 78.39 * intake * crude_protein / 100 + 51.35
