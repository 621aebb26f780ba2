"""Vitamins A, D and E that a cow needs, by edition."""

from __future__ import annotations

from herdbook.science.inputs import BODY_WEIGHT
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Vitamins needed"
STATE = Argument("lactating or dry", choices=("lactating", "dry"))


@published(
    "vitamin-a-2001",
    title="Vitamin A a cow needs",
    subject=SUBJECT,
    formula="A = 110 * body_weight",
    unit="IU/day",
    source=("NRC2001", "HANDOUT680"),
    edition="NRC 2001",
    read=False,
    arguments={"body_weight": BODY_WEIGHT},
    check=(
        Check({"body_weight": 680}, 75_000, 225, "requirement table, lactating"),
        Check({"body_weight": 751}, 82_600, 165, "requirement table, dry"),
    ),
    notes="Recalled; gives back the printed needs. Stored vitamin A fades by a tenth a month (Weiss 2013).",
)
def vitamin_a_nrc2001(*, body_weight: float) -> float:
    """Vitamin A by body weight, lactating and dry."""
    return 110 * body_weight


@published(
    "vitamin-d-2001",
    title="Vitamin D a cow needs",
    subject=SUBJECT,
    formula="D = 30 * body_weight",
    unit="IU/day",
    source=("NRC2001", "HANDOUT680"),
    edition="NRC 2001",
    read=False,
    arguments={"body_weight": BODY_WEIGHT},
    check=Check({"body_weight": 680}, 20_400, 1e-6, "derived"),
    notes="Recalled and not confirmed: printed needs are 21,000 for 680 kg and 21,500 for 751 kg.",
)
def vitamin_d_nrc2001(*, body_weight: float) -> float:
    """Vitamin D by body weight."""
    return 30 * body_weight


@published(
    "vitamin-e-2001",
    title="Vitamin E a cow needs",
    subject=SUBJECT,
    formula="E = 0.8*body_weight lactating, 1.6*body_weight dry",
    unit="IU/day",
    source=("NRC2001", "HANDOUT680", "WEISS2019"),
    edition="NRC 2001",
    read=False,
    arguments={"body_weight": BODY_WEIGHT, "state": STATE},
    check=(
        Check({"body_weight": 680, "state": "lactating"}, 545, 1.7, "requirement table, lactating"),
        Check({"body_weight": 751, "state": "dry"}, 1_200, 2.4, "requirement table, dry"),
    ),
    notes="Recalled; gives back the printed needs. Weiss finds them adequate, and 1,000 IU more before "
    "calving worth it.",
)
def vitamin_e_nrc2001(*, body_weight: float, state: str) -> float:
    """Vitamin E by body weight; a dry cow needs twice as much."""
    return (0.8 if state == "lactating" else 1.6) * body_weight


@published(
    "vitamin-a-2021",
    title="Vitamin A a cow needs",
    subject=SUBJECT,
    formula="A = 110*body_weight + 1000*max(milk - 35, 0)",
    unit="IU/day",
    source="NASEM2021",
    edition="NASEM 2021",
    read=False,
    arguments={
        "body_weight": BODY_WEIGHT,
        "milk": Argument("milk yield", "kg/day", 0, 70, floor=0, ceiling=120),
    },
    check=Check({"body_weight": 680, "milk": 45}, 84_800, 1e-6, "derived"),
    notes="Recalled; that high producers need more than in 2001 was read.",
)
def vitamin_a_nasem2021(*, body_weight: float, milk: float) -> float:
    """Vitamin A by body weight, and more for milk above 35 kg."""
    return 110 * body_weight + 1000 * max(milk - 35, 0)


@published(
    "vitamin-d-2021",
    title="Vitamin D a lactating cow needs",
    subject=SUBJECT,
    formula="D = 40 * body_weight",
    unit="IU/day",
    source="NASEM2021",
    edition="NASEM 2021",
    read=False,
    arguments={"body_weight": BODY_WEIGHT},
    check=Check({"body_weight": 680}, 27_200, 1e-6, "derived"),
    notes="Recalled; that lactating cows need more than in 2001 was read.",
)
def vitamin_d_nasem2021(*, body_weight: float) -> float:
    """Vitamin D by body weight, lactating."""
    return 40 * body_weight


@published(
    "vitamin-e-2021",
    title="Vitamin E a cow needs",
    subject=SUBJECT,
    formula="E = 0.8*body_weight lactating, 1.6 dry, 3.0 in the last three weeks before calving",
    unit="IU/day",
    source="NASEM2021",
    edition="NASEM 2021",
    read=False,
    arguments={
        "body_weight": BODY_WEIGHT,
        "state": Argument(
            "lactating, dry, or within three weeks of calving", choices=("lactating", "dry", "close-up")
        ),
    },
    check=(
        Check({"body_weight": 680, "state": "lactating"}, 544, 1e-6, "derived"),
        Check({"body_weight": 750, "state": "close-up"}, 2_250, 1e-6, "derived"),
    ),
)
def vitamin_e_nasem2021(*, body_weight: float, state: str) -> float:
    """Vitamin E by body weight and state."""
    return {"lactating": 0.8, "dry": 1.6, "close-up": 3.0}[state] * body_weight
