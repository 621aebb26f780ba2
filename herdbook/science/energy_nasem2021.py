"""Energy of a diet by NASEM 2021, as far as its steps are published in the open.

The digestible energy itself needs rumen-degraded protein and fecal protein, which are not to be had from an
analysis, so this edition has no feed energy here; and a feed has no fixed net energy in it. What a
laboratory or nutritionist reports stays plain data.
"""

from __future__ import annotations

import math

from herdbook.science.carbohydrate import ASH, STARCH
from herdbook.science.inputs import BODY_WEIGHT, CRUDE_PROTEIN, INTAKE, of_dry_matter
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Energy of diets, NASEM 2021"
EDITION = "NASEM 2021"
FATTY_ACIDS = of_dry_matter("fatty acids", 0, 20)
DIGESTIBILITY = Argument(
    "digestibility before the diet's effect, as a fraction", "", 0.1, 0.95, floor=0, ceiling=1
)
FIBRE = of_dry_matter("neutral detergent fibre", 3, 85, floor=0.1)
LIGNIN = of_dry_matter("lignin", 0, 20)


@published(
    "gross-energy-2021",
    title="Gross energy of a diet",
    subject=SUBJECT,
    formula="GE = 0.042*ndf + 0.0423*starch + 0.040*ROM + 0.094*fatty_acids + 0.0565*(crude_protein - "
    "npn) + 0.0089*npn",
    unit="Mcal/kg",
    source="ERICKSON2023",
    edition=EDITION,
    arguments={
        "ndf": FIBRE,
        "starch": STARCH,
        "fatty_acids": FATTY_ACIDS,
        "crude_protein": CRUDE_PROTEIN,
        "npn": of_dry_matter("crude protein from added non-protein nitrogen", 0, 5, ceiling=300),
        "ash": ASH,
    },
    check=Check(
        {"ndf": 40, "starch": 32, "fatty_acids": 2.5, "crude_protein": 8, "npn": 0, "ash": 4},
        4.26060,
        1e-5,
        "derived; equation 3-2",
    ),
    notes="ROM = 100 - ash - ndf - starch - fatty_acids - crude_protein.",
)
def gross_energy(
    *, ndf: float, starch: float, fatty_acids: float, crude_protein: float, npn: float, ash: float
) -> float:
    """Heat of combustion of a diet from its parts."""
    rest = 100 - ash - ndf - starch - fatty_acids - crude_protein
    energy = 0.042 * ndf + 0.0423 * starch + 0.040 * rest + 0.094 * fatty_acids
    return energy + 0.0565 * (crude_protein - npn) + 0.0089 * npn


@published(
    "ndf-digestibility-2021",
    title="NDF digestibility from lignin",
    subject=SUBJECT,
    formula="dNDF = 0.75*(ndf - lignin)*(1 - (lignin/ndf)**0.667)/ndf",
    unit="",
    source="ERICKSON2023",
    edition=EDITION,
    arguments={"ndf": FIBRE, "lignin": LIGNIN},
    check=Check({"ndf": 40, "lignin": 3.0}, 0.570477, 1e-5, "derived"),
)
def ndf_digestibility(*, ndf: float, lignin: float) -> float:
    """Fraction of NDF digested before the effects of starch and intake."""
    if lignin > ndf:
        raise ValueError("there is more lignin than NDF")
    return 0.75 * (ndf - lignin) * (1 - math.pow(lignin / ndf, 0.667)) / ndf


@published(
    "ndf-digestibility-48h-2021",
    title="NDF digestibility from 48 hours in vitro",
    subject=SUBJECT,
    formula="dNDF = 0.12 + 0.61*ndfd48/100",
    unit="",
    source="NASEM2021",
    edition=EDITION,
    read=False,
    arguments={"ndfd48": Argument("NDF digested in 48 h, of NDF", "%", 25, 80, floor=0, ceiling=100)},
    check=Check({"ndfd48": 60}, 0.486, 1e-6, "derived"),
)
def ndf_digestibility_48h(*, ndfd48: float) -> float:
    """Fraction of NDF digested, from the laboratory's 48 hour digestion."""
    return 0.12 + 0.61 * ndfd48 / 100


@published(
    "ndf-digestibility-fed-2021",
    title="NDF digestibility in the diet as fed",
    subject=SUBJECT,
    formula="dNDF fed = digestibility - 0.0059*(starch - 26) - 1.1*(intake/body_weight - 0.035)",
    unit="",
    source="ERICKSON2023",
    edition=EDITION,
    arguments={
        "digestibility": DIGESTIBILITY,
        "starch": of_dry_matter("starch of the diet", 5, 40),
        "intake": INTAKE,
        "body_weight": BODY_WEIGHT,
    },
    check=Check(
        {"digestibility": 0.570477, "starch": 29, "intake": 0.038 * 650, "body_weight": 650},
        0.549477,
        1e-5,
        "derived; equation 3-5a",
    ),
)
def ndf_digestibility_fed(*, digestibility: float, starch: float, intake: float, body_weight: float) -> float:
    """Fraction of NDF digested, less for starch above 26 % and intake above 3.5 % of body weight."""
    return digestibility - 0.0059 * (starch - 26) - 1.1 * (intake / body_weight - 0.035)


@published(
    "starch-digestibility-fed-2021",
    title="Starch digestibility at the intake fed",
    subject=SUBJECT,
    formula="dStarch fed = digestibility - 1.0*(intake/body_weight - 0.035)",
    unit="",
    source="ERICKSON2023",
    edition=EDITION,
    arguments={"digestibility": DIGESTIBILITY, "intake": INTAKE, "body_weight": BODY_WEIGHT},
    check=Check({"digestibility": 0.92, "intake": 26, "body_weight": 650}, 0.915, 1e-9, "derived"),
)
def starch_digestibility_fed(*, digestibility: float, intake: float, body_weight: float) -> float:
    """Fraction of starch digested, less for intake above 3.5 % of body weight."""
    return digestibility - 1.0 * (intake / body_weight - 0.035)


@published(
    "methane-2021",
    title="Energy lost as methane",
    subject=SUBJECT,
    formula="methane = 0.294*intake - 0.347*fatty_acids + 0.0409*digested_ndf",
    unit="Mcal/day",
    source="NASEM2021",
    edition=EDITION,
    read=False,
    arguments={
        "intake": INTAKE,
        "fatty_acids": FATTY_ACIDS,
        "digested_ndf": of_dry_matter("digested NDF", 5, 40),
    },
    check=Check({"intake": 24, "fatty_acids": 3, "digested_ndf": 16}, 6.6694, 1e-6, "derived"),
    notes="Signs of methane equations in the printed book were corrected later.",
)
def methane(*, intake: float, fatty_acids: float, digested_ndf: float) -> float:
    """Energy a cow belches."""
    return 0.294 * intake - 0.347 * fatty_acids + 0.0409 * digested_ndf


@published(
    "urine-energy-2021",
    title="Energy lost in urine",
    subject=SUBJECT,
    formula="urine energy = 0.0143 * urinary_n",
    unit="Mcal/day",
    source="NASEM2021",
    edition=EDITION,
    read=False,
    arguments={"urinary_n": Argument("nitrogen in urine", "g/day", 60, 400, floor=0)},
    check=Check({"urinary_n": 200}, 2.86, 1e-9, "derived"),
    notes="The printed book and its corrected form differ here.",
)
def urine_energy(*, urinary_n: float) -> float:
    """Energy that leaves with urinary nitrogen."""
    return 0.0143 * urinary_n


@published(
    "me-2021",
    title="Metabolizable energy of a diet",
    subject=SUBJECT,
    formula="ME = digestible_energy - methane - urine_energy",
    unit="Mcal/day",
    source="ERICKSON2023",
    edition=EDITION,
    arguments={
        "digestible_energy": Argument("digestible energy of the diet", "Mcal/day", 20, 120, floor=0),
        "methane": Argument("energy lost as methane", "Mcal/day", 1, 12, floor=0),
        "urine_energy": Argument("energy lost in urine", "Mcal/day", 0.5, 6, floor=0),
    },
    check=Check(
        {"digestible_energy": 75, "methane": 6, "urine_energy": 2.5}, 66.5, 1e-9, "derived; equation 3-10b"
    ),
)
def metabolizable_energy(*, digestible_energy: float, methane: float, urine_energy: float) -> float:
    """Digestible energy less gas and urine."""
    return digestible_energy - methane - urine_energy


@published(
    "nel-from-me-2021",
    title="Net energy from metabolizable energy",
    subject=SUBJECT,
    formula="NEL = 0.66 * me",
    unit="Mcal/day",
    source="NASEM2021-CH3",
    edition=EDITION,
    arguments={"me": Argument("metabolizable energy of the diet", "Mcal/day", 15, 100, floor=0)},
    check=Check({"me": 66.5}, 43.89, 1e-6, "derived"),
    notes="For milk; one cow on one diet. The book itself warns against using it to formulate.",
)
def nel_from_me(*, me: float) -> float:
    """Net energy for milk in a diet's metabolizable energy."""
    return 0.66 * me
