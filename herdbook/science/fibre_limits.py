"""How much fibre a diet needs for the forage in it: the table of NRC 2001."""

from __future__ import annotations

from typing import NamedTuple

from herdbook.science.carbohydrate import SUBJECT
from herdbook.science.inputs import of_dry_matter
from herdbook.science.registry import Check, published


class FibreLimits(NamedTuple):
    """Least NDF and ADF and most NFC of a diet, % of dry matter."""

    ndf_min: float
    nfc_max: float
    adf_min: float


@published(
    "fibre-limits-2001",
    title="Least NDF and most NFC for the NDF that comes from forage",
    subject=SUBJECT,
    formula="ndf_min = 25 + 2*(19 - forage_ndf); "
    "nfc_max = 44 - 2*(19 - forage_ndf); adf_min = 17 + (19 - forage_ndf)",
    unit={"ndf_min": "%", "nfc_max": "%", "adf_min": "%"},
    source="NRC2001",
    edition="NRC 2001",
    read=False,
    arguments={"forage_ndf": of_dry_matter("NDF from forage", 15, 19, from_source=True)},
    check=(
        Check(
            {"forage_ndf": 19}, {"ndf_min": 25, "nfc_max": 44, "adf_min": 17}, 1e-6, "table 4-3, first row"
        ),
        Check({"forage_ndf": 15}, {"ndf_min": 33, "nfc_max": 36, "adf_min": 21}, 1e-6, "table 4-3, last row"),
    ),
    notes="For total mixed rations with forage of adequate length and ground dry corn as the main starch. "
    "Above 19 % forage NDF the first row holds and the answer does not go lower.",
)
def fibre_limits_nrc2001(*, forage_ndf: float) -> FibreLimits:
    """Each point of forage NDF below 19 asks for two more of NDF and two less of NFC.

    Valid for forage NDF of 15 to 19 % of dry matter.
    """
    missing = max(19 - forage_ndf, 0)
    return FibreLimits(25 + 2 * missing, 44 - 2 * missing, 17 + missing)
