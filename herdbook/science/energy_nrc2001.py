"""From digestible to net energy of feeds by NRC 2001: discount, ME, NEL, NEM, NEG and the whole path."""

from __future__ import annotations

from typing import NamedTuple

from herdbook.science.carbohydrate import ASH, FAT, NDICP, nfc_ndicp
from herdbook.science.energy_fractions_nrc2001 import (
    ADICP,
    EDITION,
    LIGNIN,
    PAF,
    RECALLED,
    SUBJECT,
    de_1x,
    fatty_acids,
    td_cp_concentrate,
    td_cp_forage,
    td_ndf,
    td_nfc,
    tdn_1x,
)
from herdbook.science.inputs import NDF, of_dry_matter
from herdbook.science.registry import Argument, Check, published

LEVEL = Argument("intake as a multiple of maintenance", "", 1, 5, floor=1, ceiling=7)
DIET_TDN = of_dry_matter("TDN of the whole diet at maintenance", 55, 85, floor=1)


@published(
    "discount-2001",
    title="How much less a diet is digested when more is eaten",
    subject=SUBJECT,
    formula="discount = (diet_tdn - (0.18*diet_tdn - 10.3)*(level - 1)) / diet_tdn",
    unit="",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"diet_tdn": DIET_TDN, "level": LEVEL},
    check=(
        Check({"diet_tdn": 74, "level": 3}, 0.918378, 1e-6, "derived; equation 2-9"),
        Check({"diet_tdn": 58, "level": 3}, 1.0, 1e-9, "no discount at 60 % TDN or less"),
    ),
    notes=RECALLED,
)
def discount(*, diet_tdn: float, level: float) -> float:
    """Factor on digestibility; 1 for a diet of 60 % TDN or less."""
    if diet_tdn <= 60:
        return 1.0
    return (diet_tdn - (0.18 * diet_tdn - 10.3) * (level - 1)) / diet_tdn


@published(
    "me-2001",
    title="Metabolizable energy at the intake fed",
    subject=SUBJECT,
    formula="MEp = 1.01*de_p - 0.45 + 0.0046*max(fat - 3, 0)",
    unit="Mcal/kg",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"de_p": Argument("discounted digestible energy", "Mcal/kg", 1.5, 6, floor=0), "fat": FAT},
    check=Check({"de_p": 2.99381 * 0.918378, "fat": 3.2}, 2.32787, 1e-4, "derived; equations 2-11, 2-12"),
    notes=RECALLED,
)
def me_p(*, de_p: float, fat: float) -> float:
    """Digestible energy less gas and urine, with credit for fat over 3 %."""
    return 1.01 * de_p - 0.45 + 0.0046 * max(fat - 3, 0)


@published(
    "nel-2001",
    title="Net energy for lactation at the intake fed",
    subject=SUBJECT,
    formula="NELp = 0.703*me_p - 0.19 + (0.097*me_p + 0.19)/97 * max(fat - 3, 0)",
    unit="Mcal/kg",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={
        "me_p": Argument("metabolizable energy at the intake fed", "Mcal/kg", 1, 6, floor=0),
        "fat": FAT,
    },
    check=Check({"me_p": 2.32787, "fat": 3.2}, 1.44735, 1e-4, "derived; equations 2-13, 2-14"),
    notes=RECALLED,
)
def nel_p(*, me_p: float, fat: float) -> float:
    """Metabolizable energy that ends in milk, with credit for fat over 3 %."""
    return 0.703 * me_p - 0.19 + (0.097 * me_p + 0.19) / 97 * max(fat - 3, 0)


@published(
    "nel-fat-supplement-2001",
    title="Net energy for lactation of a fat supplement",
    subject=SUBJECT,
    formula="NELp = 0.80 * me_p",
    unit="Mcal/kg",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"me_p": Argument("metabolizable energy of the fat", "Mcal/kg", 4, 8.5, floor=0)},
    check=Check({"me_p": 6.0}, 4.8, 1e-9, "derived"),
)
def nel_fat_supplement(*, me_p: float) -> float:
    """Fat supplements turn four fifths of their metabolizable energy into milk."""
    return 0.80 * me_p


@published(
    "nem-2001",
    title="Net energy for maintenance",
    subject=SUBJECT,
    formula="NEM = 1.37*ME - 0.138*ME**2 + 0.0105*ME**3 - 1.12, ME = 0.82*de_1x",
    unit="Mcal/kg",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"de_1x": Argument("digestible energy at maintenance", "Mcal/kg", 1.5, 5, floor=0)},
    check=Check({"de_1x": 2.5}, 1.19901, 1e-5, "derived: ME 2.05"),
)
def nem(*, de_1x: float) -> float:
    """Net energy for maintenance of growing cattle's feeds."""
    energy = 0.82 * de_1x
    return 1.37 * energy - 0.138 * energy**2 + 0.0105 * energy**3 - 1.12


@published(
    "neg-2001",
    title="Net energy for gain",
    subject=SUBJECT,
    formula="NEG = 1.42*ME - 0.174*ME**2 + 0.0122*ME**3 - 1.65, ME = 0.82*de_1x",
    unit="Mcal/kg",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"de_1x": Argument("digestible energy at maintenance", "Mcal/kg", 1.5, 5, floor=0)},
    check=Check({"de_1x": 2.5}, 0.634868, 1e-5, "derived: ME 2.05"),
)
def neg(*, de_1x: float) -> float:
    """Net energy for gain of growing cattle's feeds."""
    energy = 0.82 * de_1x
    return 1.42 * energy - 0.174 * energy**2 + 0.0122 * energy**3 - 1.65


class FeedEnergy(NamedTuple):
    """Energy of one feed in one diet: TDN and DE at maintenance, the rest at the intake fed."""

    tdn_1x: float
    de_1x: float
    de_p: float
    me_p: float
    nel_p: float


PATH_CHECKS = (
    Check(
        {
            "kind": "forage",
            "ndf": 45.0,
            "ndicp": 1.3,
            "crude_protein": 8.8,
            "adicp": 0.8,
            "fat": 3.2,
            "ash": 4.3,
            "lignin": 2.6,
            "processing": 0.94,
            "diet_tdn": 74,
            "level": 3,
        },
        {"nel_p": 1.45},
        0.01,
        "table 15-1, corn silage at 3x, recalled",
    ),
    Check(
        {
            "kind": "forage",
            "ndf": 45.0,
            "ndicp": 1.3,
            "crude_protein": 8.8,
            "adicp": 0.8,
            "fat": 3.2,
            "ash": 4.3,
            "lignin": 2.6,
            "processing": 0.94,
            "diet_tdn": 74,
            "level": 4,
        },
        {"nel_p": 1.36},
        0.01,
        "table 15-1, corn silage at 4x, recalled",
    ),
    Check(
        {
            "kind": "concentrate",
            "ndf": 9.5,
            "ndicp": 0.7,
            "crude_protein": 9.4,
            "adicp": 0.3,
            "fat": 4.2,
            "ash": 1.5,
            "lignin": 0.9,
            "processing": 1.0,
            "diet_tdn": 74,
            "level": 3,
        },
        {"nel_p": 2.01},
        0.01,
        "table 15-1, ground corn, recalled",
    ),
    Check(
        {
            "kind": "concentrate",
            "ndf": 50.3,
            "ndicp": 2.4,
            "crude_protein": 23.5,
            "adicp": 1.9,
            "fat": 19.3,
            "ash": 4.2,
            "lignin": 12.9,
            "processing": 1.0,
            "diet_tdn": 74,
            "level": 3,
        },
        {"nel_p": 0.88 / 0.45359237},
        0.01,
        "Virginia Tech 2001, whole cottonseed 0.88 Mcal/lb",
    ),
)


@published(
    "feed-energy-2001",
    title="Energy of a feed by the whole path of NRC 2001",
    subject=SUBJECT,
    formula="fractions, TDN1x, DE1x, discount, ME, NEL in turn (rules td-nfc-2001 to nel-2001)",
    unit={"tdn_1x": "%", "de_1x": "Mcal/kg", "de_p": "Mcal/kg", "me_p": "Mcal/kg", "nel_p": "Mcal/kg"},
    source=("NRC2001", "UW414", "VT2001"),
    edition=EDITION,
    read=False,
    arguments={
        "kind": Argument("which protein equation", choices=("forage", "concentrate")),
        "ndf": NDF,
        "ndicp": NDICP,
        "crude_protein": of_dry_matter("crude protein", 2, 60, floor=0.01),
        "adicp": ADICP,
        "fat": FAT,
        "ash": ASH,
        "lignin": LIGNIN,
        "processing": PAF,
        "diet_tdn": DIET_TDN,
        "level": LEVEL,
    },
    check=PATH_CHECKS,
    notes=RECALLED
    + " Book values assume a diet of 74 % TDN at three times maintenance. Later work says the path "
    "credits fat too much and exaggerates the effect of intake. Not for fat supplements, urea or minerals.",
)
def feed_energy(
    *,
    kind: str,
    ndf: float,
    ndicp: float,
    crude_protein: float,
    adicp: float,
    fat: float,
    ash: float,
    lignin: float,
    processing: float,
    diet_tdn: float,
    level: float,
) -> FeedEnergy:
    """Net energy of a feed from its analysis, for a diet of known TDN eaten at a multiple of maintenance."""
    nfc = nfc_ndicp(ndf=ndf, ndicp=ndicp, crude_protein=crude_protein, fat=fat, ash=ash)
    carbohydrate = td_nfc(nfc=nfc, processing=processing)
    protein_rule = td_cp_forage if kind == "forage" else td_cp_concentrate
    protein = protein_rule(crude_protein=crude_protein, adicp=adicp)
    fibre = td_ndf(ndf=ndf, ndicp=ndicp, lignin=lignin)
    fat_acids = fatty_acids(fat=fat)
    tdn = tdn_1x(td_nfc=carbohydrate, td_cp=protein, fatty_acids=fat_acids, td_ndf=fibre)
    de = de_1x(td_nfc=carbohydrate, td_ndf=fibre, td_cp=protein, fatty_acids=fat_acids)
    de_fed = de * discount(diet_tdn=diet_tdn, level=level)
    me = me_p(de_p=de_fed, fat=fat)
    return FeedEnergy(tdn, de, de_fed, me, nel_p(me_p=me, fat=fat))
