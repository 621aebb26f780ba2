"""Truly digestible fractions and TDN of a feed by NRC 2001: the first half of its energy path."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache

from herdbook.science.carbohydrate import FAT, NDICP
from herdbook.science.inputs import CRUDE_PROTEIN, NDF, of_dry_matter
from herdbook.science.registry import Argument, Check, published
from herdbook.science.tables_as_published import rows

SUBJECT = "Energy of feeds, NRC 2001"
EDITION = "NRC 2001"
RECALLED = (
    "Coefficients are recalled; they give back 13 of 15 recalled feed-table energies within 0.02 Mcal/kg."
)

ADICP = of_dry_matter("crude protein bound to ADF", 0, 8)
LIGNIN = of_dry_matter("lignin", 0, 20)
PAF = Argument("processing adjustment factor", "", 0.85, 1.06, floor=0.5, ceiling=1.2)


@cache
def processing_factors() -> Mapping[str, float]:
    """Processing adjustment factors by feed, table 2-1, recalled; any feed not listed has 1.00."""
    return {row["feed"]: float(row["factor"]) for row in rows("processing_factors_nrc2001.csv")}


@published(
    "fatty-acids-2001",
    title="Fatty acids of a feed from its ether extract",
    subject=SUBJECT,
    formula="FA = max(fat - 1, 0)",
    unit="%",
    source="UW414",
    edition=EDITION,
    arguments={"fat": FAT},
    check=(Check({"fat": 3.2}, 2.2, 1e-9, "derived"), Check({"fat": 0.6}, 0.0, 1e-9, "derived")),
)
def fatty_acids(*, fat: float) -> float:
    """One point of ether extract is not fatty acids."""
    return max(fat - 1, 0.0)


@published(
    "td-nfc-2001",
    title="Truly digestible NFC",
    subject=SUBJECT,
    formula="tdNFC = 0.98 * nfc * processing",
    unit="%",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"nfc": of_dry_matter("NFC, bound protein counted once", 0, 90), "processing": PAF},
    check=Check({"nfc": 40.0, "processing": 0.94}, 36.848, 4e-3, "derived; equation 2-4a"),
    notes=RECALLED,
)
def td_nfc(*, nfc: float, processing: float) -> float:
    """NFC that is digested, with the factor for how the grain was processed."""
    return 0.98 * nfc * processing


@published(
    "td-cp-forage-2001",
    title="Truly digestible crude protein of a forage",
    subject=SUBJECT,
    formula="tdCP = crude_protein * exp(-1.2 * adicp/crude_protein)",
    unit="%",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"crude_protein": of_dry_matter("crude protein", 2, 35, floor=0.01), "adicp": ADICP},
    check=Check({"crude_protein": 8.8, "adicp": 0.8}, 7.89051, 1e-4, "derived; equation 2-4b"),
    notes=RECALLED,
)
def td_cp_forage(*, crude_protein: float, adicp: float) -> float:
    """Crude protein of a forage that is digested; heat-bound protein lowers it."""
    return crude_protein * math.exp(-1.2 * adicp / crude_protein)


@published(
    "td-cp-concentrate-2001",
    title="Truly digestible crude protein of a concentrate",
    subject=SUBJECT,
    formula="tdCP = crude_protein * (1 - 0.4 * adicp/crude_protein)",
    unit="%",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"crude_protein": CRUDE_PROTEIN, "adicp": ADICP},
    check=Check({"crude_protein": 53.8, "adicp": 0.4}, 53.64, 1e-6, "derived; equation 2-4c"),
    notes=RECALLED,
)
def td_cp_concentrate(*, crude_protein: float, adicp: float) -> float:
    """Crude protein of a concentrate that is digested."""
    return crude_protein - 0.4 * adicp


@published(
    "td-ndf-2001",
    title="Truly digestible NDF from lignin",
    subject=SUBJECT,
    formula="tdNDF = 0.75*(NDFn - lignin)*(1 - (lignin/NDFn)**0.667), NDFn = ndf - ndicp",
    unit="%",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"ndf": NDF, "ndicp": NDICP, "lignin": LIGNIN},
    check=Check({"ndf": 45.0, "ndicp": 1.3, "lignin": 2.6}, 26.1316, 1e-3, "derived; equation 2-4e"),
    notes=RECALLED + " Lignin by sulphuric acid.",
)
def td_ndf(*, ndf: float, ndicp: float, lignin: float) -> float:
    """NDF that is digested, by the surface law of lignin on NDF free of protein."""
    free = ndf - ndicp
    if free <= 0:
        return 0.0
    if lignin > free:
        raise ValueError("there is more lignin than NDF")
    return 0.75 * (free - lignin) * (1 - math.pow(lignin / free, 0.667))


@published(
    "tdn-1x-2001",
    title="TDN at maintenance",
    subject=SUBJECT,
    formula="TDN1x = td_nfc + td_cp + 2.25*fatty_acids + td_ndf - 7",
    unit="%",
    source=("NRC2001", "UW414"),
    edition=EDITION,
    read=False,
    arguments={
        "td_nfc": of_dry_matter("truly digestible NFC", 0, 95),
        "td_cp": of_dry_matter("truly digestible crude protein", 0, 60, ceiling=300),
        "fatty_acids": of_dry_matter("fatty acids", 0, 20),
        "td_ndf": of_dry_matter("truly digestible NDF", 0, 60),
    },
    check=Check(
        {"td_nfc": 36.848, "td_cp": 7.89051, "fatty_acids": 2.2, "td_ndf": 26.1316},
        68.8201,
        1e-3,
        "derived; equation 2-5",
    ),
    notes="The sum less 7 was read in a course note on the book; the equation itself is recalled.",
)
def tdn_1x(*, td_nfc: float, td_cp: float, fatty_acids: float, td_ndf: float) -> float:
    """Sum of the truly digestible parts, fat counted 2.25 times, less 7 for what the gut itself loses."""
    return td_nfc + td_cp + 2.25 * fatty_acids + td_ndf - 7


@published(
    "de-1x-2001",
    title="Digestible energy at maintenance",
    subject=SUBJECT,
    formula="DE1x = 0.042*td_nfc + 0.042*td_ndf + 0.056*td_cp + 0.094*fatty_acids - 0.3",
    unit="Mcal/kg",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={
        "td_nfc": of_dry_matter("truly digestible NFC", 0, 95),
        "td_ndf": of_dry_matter("truly digestible NDF", 0, 60),
        "td_cp": of_dry_matter("truly digestible crude protein", 0, 60, ceiling=300),
        "fatty_acids": of_dry_matter("fatty acids", 0, 20),
    },
    check=Check(
        {"td_nfc": 36.848, "td_ndf": 26.1316, "td_cp": 7.89051, "fatty_acids": 2.2},
        2.99381,
        3e-4,
        "derived; equation 2-8a",
    ),
    notes=RECALLED,
)
def de_1x(*, td_nfc: float, td_ndf: float, td_cp: float, fatty_acids: float) -> float:
    """Heats of combustion of the digested parts, less 0.3 for what the gut itself loses."""
    return 0.042 * (td_nfc + td_ndf) + 0.056 * td_cp + 0.094 * fatty_acids - 0.3
