"""Fibre, non-fibre carbohydrate and sums of components, each under the name of its own definition."""

from __future__ import annotations

from herdbook.science.inputs import BODY_WEIGHT, CRUDE_PROTEIN, NDF, of_dry_matter
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Fibre and carbohydrate"

FAT = of_dry_matter("crude fat (ether extract)", 0, 25)
ASH = of_dry_matter("ash", 0, 30)
NDICP = of_dry_matter("crude protein bound to NDF", 0, 12)
STARCH = of_dry_matter("starch", 0, 75)


@published(
    "nfc-by-difference",
    title="Non-fibre carbohydrate by difference",
    subject=SUBJECT,
    formula="NFC = 100 - (ndf + crude_protein + fat + ash)",
    unit="%",
    source=("MANITOBA", "PD2015"),
    arguments={"ndf": NDF, "crude_protein": CRUDE_PROTEIN, "fat": FAT, "ash": ASH},
    check=Check(
        {"ndf": 34.42, "crude_protein": 7.43, "fat": 3.05, "ash": 5.22},
        49.88,
        0.005,
        "derived from the example",
    ),
    notes="Counts protein bound to fibre twice; use nfc-ndicp where bound protein is known. Not the same as "
    "sugar and starch measured by enzymes. Say which NDF was used: ash-free NDF raises the answer.",
)
def nfc_by_difference(*, ndf: float, crude_protein: float, fat: float, ash: float) -> float:
    """What is left of dry matter after fibre, protein, fat and ash."""
    return 100 - (ndf + crude_protein + fat + ash)


@published(
    "nfc-ndicp",
    title="Non-fibre carbohydrate by difference, bound protein counted once",
    subject=SUBJECT,
    formula="NFC = 100 - ((ndf - ndicp) + crude_protein + fat + ash)",
    unit="%",
    source=("PD2015", "UW414"),
    arguments={"ndf": NDF, "ndicp": NDICP, "crude_protein": CRUDE_PROTEIN, "fat": FAT, "ash": ASH},
    check=Check(
        {"ndf": 34.42, "ndicp": 0.61, "crude_protein": 7.43, "fat": 3.05, "ash": 5.22},
        50.49,
        0.005,
        "worked example, corn silage",
    ),
    notes="The form preferred by Penn State and used by NRC 2001.",
)
def nfc_ndicp(*, ndf: float, ndicp: float, crude_protein: float, fat: float, ash: float) -> float:
    """What is left of dry matter, with the protein in the fibre taken out once and not twice."""
    return 100 - ((ndf - ndicp) + crude_protein + fat + ash)


@published(
    "nfc-components",
    title="Non-fibre carbohydrate as the sum of its measured parts",
    subject=SUBJECT,
    formula="NFC = starch + sugar + soluble_fibre",
    unit="%",
    source="VT2011",
    arguments={
        "starch": STARCH,
        "sugar": of_dry_matter("sugar", 0, 30),
        "soluble_fibre": of_dry_matter("soluble fibre", 0, 30),
    },
    check=Check({"starch": 25, "sugar": 4, "soluble_fibre": 8}, 37, 1e-6, "worked example"),
    notes="Leaves out fermentation acids, which the difference counts: expect less for silages.",
)
def nfc_components(*, starch: float, sugar: float, soluble_fibre: float) -> float:
    """Starch, sugar and soluble fibre together."""
    return starch + sugar + soluble_fibre


@published(
    "residual-organic-matter",
    title="Residual organic matter",
    subject=SUBJECT,
    formula="ROM = 100 - ash - ndf - starch - fatty_acids - crude_protein",
    unit="%",
    source="ERICKSON2023",
    arguments={
        "ash": ASH,
        "ndf": NDF,
        "starch": STARCH,
        "fatty_acids": of_dry_matter("fatty acids", 0, 20),
        "crude_protein": CRUDE_PROTEIN,
    },
    check=Check(
        {"ash": 4, "ndf": 40, "starch": 32, "fatty_acids": 2.5, "crude_protein": 8}, 13.5, 1e-6, "derived"
    ),
    notes="The remainder of NASEM 2021: sugar, soluble fibre, acids, glycerol and every error of the others.",
)
def residual_organic_matter(
    *, ash: float, ndf: float, starch: float, fatty_acids: float, crude_protein: float
) -> float:
    """Organic matter that is neither fibre, starch, fat nor protein."""
    return 100 - ash - ndf - starch - fatty_acids - crude_protein


@published(
    "component-sum",
    title="Sum of components, to see whether an analysis can be right",
    subject=SUBJECT,
    formula="sum = crude_protein + (ndf - ndicp) + fat + ash",
    unit="%",
    source="PD2015",
    arguments={"crude_protein": CRUDE_PROTEIN, "ndf": NDF, "ndicp": NDICP, "fat": FAT, "ash": ASH},
    check=Check(
        {"crude_protein": 7.43, "ndf": 34.42, "ndicp": 0.61, "fat": 3.05, "ash": 5.22},
        49.51,
        0.005,
        "derived from the example: what is left is its NFC, 50.49",
    ),
    notes="Over 100 the analysis does not add up, unless the feed is a non-protein nitrogen source.",
)
def component_sum(*, crude_protein: float, ndf: float, ndicp: float, fat: float, ash: float) -> float:
    """Protein, fibre, fat and ash of an analysis together."""
    return crude_protein + (ndf - ndicp) + fat + ash


@published(
    "effective-ndf",
    title="Physically effective NDF",
    subject=SUBJECT,
    formula="peNDF = ndf * kept/100",
    unit="%",
    source="BARNARD",
    arguments={
        "ndf": NDF,
        "kept": Argument("share kept on a 1.18 mm screen", "%", 0, 100, floor=0, ceiling=100),
    },
    check=Check({"ndf": 33, "kept": 60}, 19.8, 1e-6, "derived"),
    notes="NASEM 2021 looks at NDF and particle size as separate terms instead.",
)
def effective_ndf(*, ndf: float, kept: float) -> float:
    """NDF in particles long enough to be chewed."""
    return ndf * kept / 100


@published(
    "forage-ndf",
    title="NDF of a diet that comes from two forages",
    subject=SUBJECT,
    formula="forage NDF = (first_share*first_ndf + second_share*second_ndf) / 100",
    unit="%",
    source="ERICKSON2023",
    arguments={
        "first_share": of_dry_matter("first forage's share of the diet", 0, 100),
        "first_ndf": NDF,
        "second_share": of_dry_matter("second forage's share of the diet", 0, 100),
        "second_ndf": NDF,
    },
    check=Check(
        {"first_share": 40, "first_ndf": 45, "second_share": 20, "second_ndf": 42},
        26.4,
        1e-6,
        "worked example, corn silage 0.40 and alfalfa silage 0.20 of the diet",
    ),
)
def forage_ndf(*, first_share: float, first_ndf: float, second_share: float, second_ndf: float) -> float:
    """NDF from forage, of all dry matter."""
    return (first_share * first_ndf + second_share * second_ndf) / 100


@published(
    "ndf-capacity",
    title="Most dry matter of a forage that fills the cow",
    subject=SUBJECT,
    formula="dry matter = body_weight * ndf_of_body_weight/100 / (ndf/100)",
    unit="kg/day",
    source="HFG499",
    arguments={
        "body_weight": BODY_WEIGHT,
        "ndf_of_body_weight": Argument("NDF a cow can hold, of body weight a day", "%", 0.8, 1.4, floor=0.1),
        "ndf": of_dry_matter("NDF of the forage", 25, 85, floor=1),
    },
    check=Check(
        {"body_weight": 1500 * 0.45359237, "ndf_of_body_weight": 1.2, "ndf": 60},
        30 * 0.45359237,
        1e-6,
        "1,500 lb cow, 1.2 %, hay of 60 % NDF: 18 lb NDF in 30 lb hay",
    ),
    notes="The source's ceiling is 1.1 to 1.2 % of body weight; 0.9 is a common figure to feed at.",
)
def ndf_capacity(*, body_weight: float, ndf_of_body_weight: float, ndf: float) -> float:
    """Forage dry matter at which its NDF reaches what a cow can hold."""
    return body_weight * ndf_of_body_weight / 100 / (ndf / 100)
