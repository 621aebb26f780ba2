"""Older energy regressions that some laboratory reports still print, in the units they print."""

from __future__ import annotations

from herdbook.science.inputs import of_dry_matter
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Laboratory regressions"
DISAGREE = (
    "An old regression on one fibre figure. It disagrees with the NRC 2001 path: for corn silage of "
    "68.8 % TDN "
    "it gives 0.71 Mcal/lb where that path gives 0.66 at three times maintenance."
)


@published(
    "tdn-corn-silage-adf",
    title="TDN of corn silage from ADF",
    subject=SUBJECT,
    formula="TDN = 87.84 - 0.70*adf",
    unit="%",
    source="NFTA",
    arguments={"adf": of_dry_matter("acid detergent fibre", 15, 45)},
    check=Check({"adf": 28.1}, 68.17, 1e-6, "derived"),
    notes=DISAGREE,
)
def tdn_corn_silage(*, adf: float) -> float:
    """TDN of corn silage by regression."""
    return 87.84 - 0.70 * adf


@published(
    "tdn-shelled-corn-adf",
    title="TDN of shelled corn from ADF",
    subject=SUBJECT,
    formula="TDN = 92.22 - 1.535*adf",
    unit="%",
    source="NFTA",
    arguments={"adf": of_dry_matter("acid detergent fibre", 1, 8)},
    check=Check({"adf": 3.4}, 87.001, 1e-6, "derived"),
    notes=DISAGREE,
)
def tdn_shelled_corn(*, adf: float) -> float:
    """TDN of shelled corn by regression."""
    return 92.22 - 1.535 * adf


@published(
    "tdn-ear-corn-adf",
    title="TDN of ear corn from ADF",
    subject=SUBJECT,
    formula="TDN = 99.72 - 1.927*adf",
    unit="%",
    source="NFTA",
    arguments={"adf": of_dry_matter("acid detergent fibre", 4, 20)},
    check=Check({"adf": 10}, 80.45, 1e-6, "derived"),
    notes=DISAGREE,
)
def tdn_ear_corn(*, adf: float) -> float:
    """TDN of ear corn by regression."""
    return 99.72 - 1.927 * adf


@published(
    "nel-shelled-corn-adf",
    title="Net energy of shelled corn from ADF",
    subject=SUBJECT,
    formula="NEL = 0.905 - 0.0026*adf",
    unit="Mcal/lb",
    source="NFTA",
    arguments={"adf": of_dry_matter("acid detergent fibre", 1, 8)},
    check=Check({"adf": 3.4}, 0.89616, 1e-8, "derived"),
    notes=DISAGREE,
)
def nel_shelled_corn(*, adf: float) -> float:
    """Net energy for lactation of shelled corn by regression."""
    return 0.905 - 0.0026 * adf


@published(
    "nel-ear-corn-adf",
    title="Net energy of ear corn from ADF",
    subject=SUBJECT,
    formula="NEL = 1.036 - 0.0203*adf",
    unit="Mcal/lb",
    source="NFTA",
    arguments={"adf": of_dry_matter("acid detergent fibre", 4, 20)},
    check=Check({"adf": 10}, 0.833, 1e-8, "derived"),
    notes=DISAGREE,
)
def nel_ear_corn(*, adf: float) -> float:
    """Net energy for lactation of ear corn by regression."""
    return 1.036 - 0.0203 * adf


@published(
    "nel-from-tdn",
    title="Net energy of any feed from TDN",
    subject=SUBJECT,
    formula="NEL = 0.01114*tdn - 0.054",
    unit="Mcal/lb",
    source="NFTA",
    arguments={"tdn": of_dry_matter("total digestible nutrients", 40, 95, ceiling=200)},
    check=Check({"tdn": 68.8}, 0.712, 0.0005, "derived"),
    notes=DISAGREE,
)
def nel_from_tdn(*, tdn: float) -> float:
    """Net energy for lactation from TDN by regression."""
    return 0.01114 * tdn - 0.054


@published(
    "tdn-proximate",
    title="TDN from proximate analysis and digestibilities",
    subject=SUBJECT,
    formula="TDN = (crude_protein*protein_digested + 2.25*fat*fat_digested "
    "+ fibre*fibre_digested + nfe*nfe_digested)/100",
    unit="%",
    source="CALCAG2019",
    arguments={
        "crude_protein": of_dry_matter("crude protein", 0, 60),
        "protein_digested": Argument("digestibility of protein", "%", 0, 100, floor=0, ceiling=100),
        "fat": of_dry_matter("ether extract", 0, 25),
        "fat_digested": Argument("digestibility of fat", "%", 0, 100, floor=0, ceiling=100),
        "fibre": of_dry_matter("crude fibre", 0, 50),
        "fibre_digested": Argument("digestibility of crude fibre", "%", 0, 100, floor=0, ceiling=100),
        "nfe": of_dry_matter("nitrogen-free extract", 0, 90),
        "nfe_digested": Argument("digestibility of nitrogen-free extract", "%", 0, 100, floor=0, ceiling=100),
    },
    check=Check(
        {
            "crude_protein": 8.7,
            "protein_digested": 77,
            "fat": 3.9,
            "fat_digested": 90,
            "fibre": 2.0,
            "fibre_digested": 57,
            "nfe": 69.2,
            "nfe_digested": 93,
        },
        80.1,
        0.05,
        "p. 14-9, corn",
    ),
)
def tdn_proximate(
    *,
    crude_protein: float,
    protein_digested: float,
    fat: float,
    fat_digested: float,
    fibre: float,
    fibre_digested: float,
    nfe: float,
    nfe_digested: float,
) -> float:
    """Total digestible nutrients the old way; fat counts 2.25 times."""
    digested_fat = 2.25 * fat * fat_digested
    return (
        crude_protein * protein_digested + digested_fat + fibre * fibre_digested + nfe * nfe_digested
    ) / 100
