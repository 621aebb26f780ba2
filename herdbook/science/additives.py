"""Urea, added selenium and monensin: dose arithmetic and the published ceilings beside it.

The product's label, the law of the place and the veterinarian go before anything printed here.
"""

from __future__ import annotations

from herdbook.science.inputs import INTAKE, of_dry_matter
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Additives and limits"
LB_KG = 0.45359237
SHORT_TON_KG = 907.18474

UREA_MOST_OF_CONCENTRATE = 1.0  # %, KERTZ2010
UREA_MOST_G_PER_DAY = 135.0
NPN_MOST_OF_PROTEIN = 20.0
SELENIUM_MOST_ADDED_MG_PER_KG = 0.3  # 21CFR573.920
MONENSIN_G_PER_TON = (11.0, 22.0)


@published(
    "urea-of-concentrate",
    title="Urea as a share of the concentrate",
    subject=SUBJECT,
    formula="share = 100 * urea / concentrate",
    unit="%",
    source="KERTZ2010",
    arguments={
        "urea": Argument("urea", "kg/day", 0, 0.135, floor=0, from_source=True),
        "concentrate": Argument("concentrate", "kg/day", 1, 20, floor=0.01),
    },
    check=Check({"urea": 0.1, "concentrate": 10}, 1.0, 1e-9, "derived: the ceiling"),
    notes="At most 1 % of the concentrate, about 135 g a cow and day, and added non-protein nitrogen "
    "not over 20 % of "
    "all crude protein. Most poisonings are mixing mistakes.",
)
def urea_of_concentrate(*, urea: float, concentrate: float) -> float:
    """How much of the concentrate is urea."""
    return 100 * urea / concentrate


@published(
    "npn-of-protein",
    title="Added non-protein nitrogen as a share of crude protein",
    subject=SUBJECT,
    formula="share = 100 * npn / crude_protein",
    unit="%",
    source="KERTZ2010",
    arguments={
        "npn": of_dry_matter("crude protein from added non-protein nitrogen", 0, 4),
        "crude_protein": of_dry_matter("crude protein of the ration", 8, 25, floor=0.1),
    },
    check=Check({"npn": 3.2, "crude_protein": 16}, 20.0, 1e-9, "derived: the ceiling"),
    notes="At most 20 %.",
)
def npn_of_protein(*, npn: float, crude_protein: float) -> float:
    """How much of the ration's protein is urea and its like."""
    return 100 * npn / crude_protein


@published(
    "additive-in-diet",
    title="What a premix puts into the diet",
    subject=SUBJECT,
    formula="diet = premix * share/100",
    unit="mg/kg",
    source="JASB2012",
    arguments={
        "premix": Argument("strength of the premix", "mg/kg", 0, 1_000_000, floor=0),
        "share": Argument("premix in the diet, same basis", "%", 0, 5, floor=0, ceiling=100),
    },
    check=(
        Check(
            {"premix": 600, "share": 0.03}, 0.18, 1e-9, "derived; table 1 prints 0.19 from an unrounded share"
        ),
    ),
    notes="Ten times the share is ten times the dose: look twice at the decimal point.",
)
def additive_in_diet(*, premix: float, share: float) -> float:
    """Concentration in the diet from a premix, such as selenium."""
    return premix * share / 100


@published(
    "selenium-ceiling",
    title="Most selenium that may be added a day",
    subject=SUBJECT,
    formula="most = 0.3 * intake",
    unit="mg/day",
    source="21CFR573.920",
    arguments={"intake": INTAKE},
    check=Check({"intake": 24}, 7.2, 1e-9, "derived: 0.3 ppm of the complete feed"),
    notes="US law, on added selenium only, in the complete feed. The margin to harm is narrow.",
)
def selenium_ceiling(*, intake: float) -> float:
    """Added selenium at the legal ceiling."""
    return SELENIUM_MOST_ADDED_MG_PER_KG * intake


@published(
    "monensin-per-head",
    title="Monensin a cow eats at a strength of the mix",
    subject=SUBJECT,
    formula="dose = strength * intake",
    unit="mg/day",
    source=("21CFR558.355", "MONENSIN-HUTJENS"),
    arguments={
        "strength": Argument(
            "monensin in dry matter (11 to 22 g a short ton)",
            "mg/kg",
            12.1254,
            24.2508,
            floor=0,
            from_source=True,
        ),
        "intake": INTAKE,
    },
    check=(
        Check({"strength": 12.1254, "intake": 54 * LB_KG}, 297, 0.01, "derived: 11 g/ton at 54 lb"),
        Check({"strength": 24.2508, "intake": 54 * LB_KG}, 594, 0.01, "derived: 22 g/ton at 54 lb"),
    ),
    notes="The paragraph of the law was not read again. Weigh-backs that are fed on carry monensin: "
    "count it. It kills "
    "horses; undiluted or badly mixed feed has killed cattle. The label governs.",
)
def monensin_per_head(*, strength: float, intake: float) -> float:
    """Dose of one cow from the strength of the mix."""
    return strength * intake


@published(
    "monensin-strength",
    title="Strength of the mix for a dose a head",
    subject=SUBJECT,
    formula="strength = dose / intake",
    unit="mg/kg",
    source=("21CFR558.355", "MONENSIN-HUTJENS"),
    arguments={"dose": Argument("monensin a head", "mg/day", 100, 700, floor=0), "intake": INTAKE},
    check=Check({"dose": 297, "intake": 54 * LB_KG}, 12.1254, 1e-4, "derived: 11 g/ton"),
    notes="11 to 22 g a short ton of dry matter is 12.1 to 24.3 mg/kg. The label governs.",
)
def monensin_strength(*, dose: float, intake: float) -> float:
    """Concentration in dry matter that gives a dose."""
    return dose / intake


def grams_per_ton(mg_per_kg: float) -> float:
    """Grams in a short ton (2,000 lb), the unit medicated feeds are labelled in, from mg/kg."""
    return mg_per_kg * SHORT_TON_KG / 1000


def looks_tenfold(*, typed: float, usual: float) -> bool:
    """True when an amount is about ten times, or a tenth of, what is usual: the classic slip with a premix.

    Args:
        typed: the amount entered.
        usual: what this feed is usually given at, or the ration before; in the same unit.
    """
    if typed <= 0 or usual <= 0:
        return False
    ratio = max(typed / usual, usual / typed)
    return 8 <= ratio <= 12.5
