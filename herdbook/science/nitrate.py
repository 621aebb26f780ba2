"""Nitrate in feed: the three forms laboratories report, and what two published tables say of a level."""

from __future__ import annotations

from typing import NamedTuple

from herdbook.errors import Refused
from herdbook.science.registry import Argument, Check, published
from herdbook.science.tables_as_published import rows

SUBJECT = "Nitrate"
NITRATE_PER_N = 4.42672
POTASSIUM_NITRATE_PER_N = 7.21812
ASK = (
    "Laboratories differ in form and basis: ask which. Nitrite made from it binds the blood's haemoglobin; "
    "pregnant animals are hurt first. Let a veterinarian judge."
)


class NitrateForms(NamedTuple):
    """One level in the other two forms, mg/kg."""

    nitrate: float
    potassium_nitrate: float


@published(
    "nitrate-forms",
    title="Nitrate nitrogen as nitrate and as potassium nitrate",
    subject=SUBJECT,
    formula="NO3 = 4.42672*nitrate_n; KNO3 = 7.21812*nitrate_n",
    unit={"nitrate": "mg/kg", "potassium_nitrate": "mg/kg"},
    source="ARITHMETIC",
    arguments={"nitrate_n": Argument("nitrate nitrogen (NO3-N), of dry matter", "mg/kg", 0, 10_000, floor=0)},
    check=Check({"nitrate_n": 1000}, {"nitrate": 4426.72, "potassium_nitrate": 7218.12}, 0.01, "derived"),
    notes=ASK,
)
def nitrate_forms(*, nitrate_n: float) -> NitrateForms:
    """The same nitrate by the weights of the whole ion and of its potassium salt."""
    return NitrateForms(NITRATE_PER_N * nitrate_n, POTASSIUM_NITRATE_PER_N * nitrate_n)


@published(
    "nitrate-n",
    title="Nitrate nitrogen from whichever form the laboratory reports",
    subject=SUBJECT,
    formula="NO3-N = level, level/4.42672 for NO3, level/7.21812 for KNO3",
    unit="mg/kg",
    source=("ARITHMETIC", "PURDUE"),
    arguments={
        "level": Argument("level reported, of dry matter", "mg/kg", 0, 70_000, floor=0),
        "form": Argument("what the laboratory reports", choices=("NO3-N", "NO3", "KNO3")),
    },
    check=(
        Check({"level": 4426.72, "form": "NO3"}, 1000, 1e-3, "derived"),
        Check({"level": 7218.12, "form": "KNO3"}, 1000, 1e-3, "derived"),
    ),
    notes=ASK,
)
def nitrate_n(*, level: float, form: str) -> float:
    """Level as nitrate nitrogen, the form the bands are in."""
    return level / {"NO3-N": 1.0, "NO3": NITRATE_PER_N, "KNO3": POTASSIUM_NITRATE_PER_N}[form]


class NitrateBand(NamedTuple):
    """What one source says of a level.

    Attributes:
        source: key of the source.
        open_cows, pregnant_cows: what it allows, in words.
        most_of_ration: highest share of the ration's dry matter it allows for cows that are not pregnant, %.
    """

    source: str
    open_cows: str
    pregnant_cows: str
    most_of_ration: float


def nitrate_bands(nitrate_n_mg_per_kg: float) -> tuple[NitrateBand, ...]:
    """What each published table says of a level, the stricter first; at an edge the milder band holds.

    Args:
        nitrate_n_mg_per_kg: nitrate nitrogen in the feed's dry matter.

    Raises:
        Refused: the level is below zero or not a number.

    References:
        .. [1] Clemson University Extension, Nitrate in forage.
        .. [2] Dairyland Laboratories, Nitrate sheet.
    """
    if not nitrate_n_mg_per_kg >= 0:
        raise Refused(f"Nitrate of {nitrate_n_mg_per_kg:g} mg/kg cannot be.", field="nitrate_n")
    found = []
    for row in rows("nitrate_bands.csv"):
        over, up_to = float(row["over"]), float(row["up_to"] or "inf")
        if over < nitrate_n_mg_per_kg <= up_to or (nitrate_n_mg_per_kg == 0 == over):
            words = row["for_open_cows"], row["for_pregnant_cows"]
            found.append(NitrateBand(row["source"], *words, float(row["share_high"])))
    return tuple(sorted(found, key=lambda band: band.most_of_ration))
