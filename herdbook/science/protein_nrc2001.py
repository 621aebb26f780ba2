"""Metabolizable protein by NRC 2001: what the rumen makes, and what the cow needs for each purpose."""

from __future__ import annotations

from typing import NamedTuple

from herdbook.science.inputs import BIRTH_WEIGHT, BODY_WEIGHT, INTAKE, MILK, MILK_TRUE_PROTEIN
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Protein needed, NRC 2001"
EDITION = "NRC 2001"
TDN_EATEN = Argument("discounted TDN eaten", "kg/day", 3, 25, floor=0)
MICROBIAL_MP = Argument("metabolizable protein from microbes", "g/day", 400, 2200, floor=0)


@published(
    "microbial-protein-2001",
    title="Microbial crude protein made in the rumen",
    subject=SUBJECT,
    formula="MCP = 130*tdn_eaten, or 0.85*rdp_eaten when rdp_eaten < 1.18*130*tdn_eaten",
    unit="g/day",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={
        "tdn_eaten": TDN_EATEN,
        "rdp_eaten": Argument("rumen-degraded protein eaten", "g/day", 500, 4500, floor=0),
    },
    check=(
        Check({"tdn_eaten": 16.0, "rdp_eaten": 2600}, 2080, 1e-6, "derived: energy limits"),
        Check({"tdn_eaten": 16.0, "rdp_eaten": 2000}, 1700, 1e-6, "derived: degraded protein limits"),
    ),
)
def microbial_protein(*, tdn_eaten: float, rdp_eaten: float) -> float:
    """Microbial protein, held back by energy or by degraded protein, whichever runs out first."""
    by_energy = 130 * tdn_eaten
    return by_energy if rdp_eaten >= 1.18 * by_energy else 0.85 * rdp_eaten


@published(
    "mp-microbial-2001",
    title="Metabolizable protein from microbes",
    subject=SUBJECT,
    formula="MP = 0.64 * microbial_protein",
    unit="g/day",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"microbial_protein": Argument("microbial crude protein", "g/day", 500, 3500, floor=0)},
    check=Check({"microbial_protein": 2080}, 1331.2, 1e-6, "derived"),
    notes="0.80 of it true protein, 0.80 of that digested.",
)
def mp_microbial(*, microbial_protein: float) -> float:
    """The part of microbial protein that the cow absorbs as amino acids."""
    return 0.64 * microbial_protein


@published(
    "mp-urinary-2001",
    title="Metabolizable protein for endogenous urinary loss",
    subject=SUBJECT,
    formula="MP = 4.1 * body_weight**0.5",
    unit="g/day",
    source=("NRC2001", "SWANSON1977"),
    edition=EDITION,
    read=False,
    arguments={"body_weight": BODY_WEIGHT},
    check=Check({"body_weight": 680}, 106.915, 0.01, "derived"),
    notes="Goes back to 0.44 g nitrogen for each unit of body_weight**0.5: 0.44*6.25/0.67 = 4.10.",
)
def mp_urinary_nrc2001(*, body_weight: float) -> float:
    """Protein a cow loses in urine even when none is fed."""
    return float(4.1 * body_weight**0.5)


@published(
    "mp-scurf-2001",
    title="Metabolizable protein for skin and hair",
    subject=SUBJECT,
    formula="MP = 0.3 * body_weight**0.6",
    unit="g/day",
    source=("NRC2001", "SWANSON1977"),
    edition=EDITION,
    read=False,
    arguments={"body_weight": BODY_WEIGHT},
    check=Check({"body_weight": 680}, 15.0185, 0.002, "derived"),
)
def mp_scurf_nrc2001(*, body_weight: float) -> float:
    """Protein lost with hair and skin."""
    return float(0.3 * body_weight**0.6)


@published(
    "mp-fecal-2001",
    title="Metabolizable protein for metabolic fecal loss",
    subject=SUBJECT,
    formula="MP = 30*intake - 0.50*(microbial_mp/0.80 - microbial_mp)",
    unit="g/day",
    source=("NRC2001", "SWANSON1977"),
    edition=EDITION,
    read=False,
    arguments={"intake": INTAKE, "microbial_mp": MICROBIAL_MP},
    check=Check({"intake": 23.6, "microbial_mp": 1331.2}, 541.6, 1e-6, "derived"),
)
def mp_fecal_nrc2001(*, intake: float, microbial_mp: float) -> float:
    """Protein the gut itself loses, less what undigested microbes account for."""
    return 30 * intake - 0.50 * (microbial_mp / 0.80 - microbial_mp)


@published(
    "mp-endogenous-2001",
    title="Metabolizable protein for endogenous protein at the duodenum",
    subject=SUBJECT,
    formula="MP = 0.4*1.9*intake*6.25/0.67",
    unit="g/day",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"intake": INTAKE},
    check=Check({"intake": 23.6}, 167.313, 0.01, "derived"),
)
def mp_endogenous_nrc2001(*, intake: float) -> float:
    """Protein that the gut pours in ahead of the intestine."""
    return 0.4 * 1.9 * intake * 6.25 / 0.67


@published(
    "mp-milk-2001",
    title="Metabolizable protein for milk",
    subject=SUBJECT,
    formula="MP = milk*true_protein*10/0.67",
    unit="g/day",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={"milk": MILK, "true_protein": MILK_TRUE_PROTEIN},
    check=Check({"milk": 35, "true_protein": 3.0}, 1567.16, 0.1, "derived"),
)
def mp_milk_nrc2001(*, milk: float, true_protein: float) -> float:
    """Protein for the true protein of milk at an efficiency of 0.67."""
    return milk * true_protein * 10 / 0.67


@published(
    "mp-pregnancy-2001",
    title="Metabolizable protein for pregnancy",
    subject=SUBJECT,
    formula="MP = (0.69*days_pregnant - 69.2)*(birth_weight/45)/0.33",
    unit="g/day",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={
        "days_pregnant": Argument(
            "days pregnant", "day", 190, 279, "refuse", floor=0, ceiling=300, from_source=True
        ),
        "birth_weight": BIRTH_WEIGHT,
    },
    check=(
        Check({"days_pregnant": 220, "birth_weight": 45}, 250.303, 0.02, "derived"),
        Check({"days_pregnant": 270, "birth_weight": 45}, 354.848, 0.03, "derived"),
    ),
)
def mp_pregnancy_nrc2001(*, days_pregnant: float, birth_weight: float) -> float:
    """Protein that the pregnant uterus takes, in the last third."""
    return (0.69 * days_pregnant - 69.2) * (birth_weight / 45) / 0.33


@published(
    "mp-growth-2001",
    title="Metabolizable protein for growth",
    subject=SUBJECT,
    formula="MP = net_protein/(0.834 - 0.00114*equivalent_weight), net_protein/0.289 above 478 kg",
    unit="g/day",
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={
        "net_protein": Argument("protein laid down", "g/day", 0, 250, floor=0),
        "equivalent_weight": Argument("equivalent shrunk body weight", "kg", 80, 700, floor=20, ceiling=1000),
    },
    check=(
        Check({"net_protein": 120, "equivalent_weight": 300}, 243.902, 1e-3, "derived"),
        Check({"net_protein": 120, "equivalent_weight": 500}, 415.225, 1e-3, "derived"),
    ),
)
def mp_growth_nrc2001(*, net_protein: float, equivalent_weight: float) -> float:
    """Protein for growth; the heavier the animal, the worse it is used."""
    efficiency = 0.834 - 0.00114 * equivalent_weight if equivalent_weight <= 478 else 0.289
    return net_protein / efficiency


class ProteinNeeded(NamedTuple):
    """Metabolizable protein a lactating cow needs, by purpose, g/day."""

    urinary: float
    scurf: float
    fecal: float
    endogenous: float
    maintenance: float
    milk: float
    total: float


@published(
    "mp-lactating-2001",
    title="Metabolizable protein needed by a lactating cow",
    subject=SUBJECT,
    formula="urinary + scurf + fecal + endogenous + milk (rules mp-urinary-2001 to mp-milk-2001)",
    unit=dict.fromkeys(ProteinNeeded._fields, "g/day"),
    source="NRC2001",
    edition=EDITION,
    read=False,
    arguments={
        "body_weight": BODY_WEIGHT,
        "milk": MILK,
        "true_protein": MILK_TRUE_PROTEIN,
        "intake": INTAKE,
        "microbial_mp": MICROBIAL_MP,
    },
    check=Check(
        {"body_weight": 680, "milk": 35, "true_protein": 3.0, "intake": 23.6, "microbial_mp": 1331.2},
        {"maintenance": 830.847, "milk": 1567.16, "total": 2398.01},
        0.05,
        "derived",
    ),
    notes="Recalled. Without growth and pregnancy.",
)
def mp_lactating_nrc2001(
    *, body_weight: float, milk: float, true_protein: float, intake: float, microbial_mp: float
) -> ProteinNeeded:
    """Metabolizable protein for maintenance and milk."""
    urinary = mp_urinary_nrc2001(body_weight=body_weight)
    scurf = mp_scurf_nrc2001(body_weight=body_weight)
    fecal = mp_fecal_nrc2001(intake=intake, microbial_mp=microbial_mp)
    endogenous = mp_endogenous_nrc2001(intake=intake)
    for_milk = mp_milk_nrc2001(milk=milk, true_protein=true_protein)
    maintenance = urinary + scurf + fecal + endogenous
    return ProteinNeeded(urinary, scurf, fecal, endogenous, maintenance, for_milk, maintenance + for_milk)
