"""Somatic cells: the linear score, the tank's count, what a step costs, and who is newly infected."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise
from typing import Literal

from herdbook.science.registry import Argument, Check, published
from herdbook.science.tables_as_published import rows

SUBJECT = "Somatic cells"
INFECTED_SCORE = (
    5.0  # Virginia Tech, Dairy Pipeline, May 1997; a fresh cow's first test above 4.0 is called high
)
CELLS = Argument("somatic cells", "1/mL", 10_000, 10_000_000, floor=1)
SCORE = Argument("linear cell score", "", 0, 9.6, floor=-5, ceiling=12)

Udder = Literal["clear", "new", "chronic", "cleared"]


@published(
    "cell-score",
    title="Linear cell score from the cell count",
    subject=SUBJECT,
    formula="score = log2(cells / 100000) + 3",
    unit="",
    source="CDCB-SCC16",
    arguments={"cells": CELLS},
    check=(
        Check({"cells": 50_000}, 2, 1e-9, "newsletter of May 1997: 50,000 is score 2"),
        Check({"cells": 200_000}, 4, 1e-9, "newsletter of May 1997: 200,000 is score 4"),
        Check({"cells": 800_000}, 6, 1e-9, "newsletter of May 1997: 800,000 is score 6"),
        Check({"cells": 100_000}, 3, 1e-9, "derived"),
        Check({"cells": 400_000}, 5, 1e-9, "derived"),
    ),
    notes="Each step doubles the count. A herd's mean score is not the score of its mean count.",
)
def cell_score(*, cells: float) -> float:
    """Score of one milk: a step for each doubling."""
    return math.log2(cells / 100_000) + 3


@published(
    "cells-from-score",
    title="Cell count from the linear cell score",
    subject=SUBJECT,
    formula="cells = 2^(score - 3) * 100000",
    unit="1/mL",
    source="CDCB-SCC16",
    arguments={"score": SCORE},
    check=Check({"score": 4.5}, 282_843, 0.5, "derived"),
)
def cells_from_score(*, score: float) -> float:
    """Cells in a millilitre at a score."""
    return 2 ** (score - 3) * 100_000


@published(
    "cell-score-loss",
    title="Milk a cow loses a day when her cell count rises",
    subject=SUBJECT,
    formula="loss = loss_per_step * log2(after / before)",
    unit="lb/day",
    source="VT-PIPELINE1997",
    arguments={
        "before": CELLS,
        "after": CELLS,
        "loss_per_step": Argument("milk lost a day for each step", "lb/day", 1, 1.5, floor=0, ceiling=10),
    },
    check=(
        Check({"before": 50_000, "after": 200_000}, 3.0, 1e-9, "newsletter of May 1997: 3 lb a day"),
        Check(
            {"before": 800_000, "after": 1_600_000, "loss_per_step": 1.5},
            1.5,
            1e-9,
            "newsletter of May 1997: 1.5 lb a day",
        ),
    ),
    notes="A rule of thumb: 1.5 lb a day, or about 400 lb a lactation, for each step; another says 1 to 1.5 "
    "lb.",
)
def score_loss_lb_per_day(*, before: float, after: float, loss_per_step: float = 1.5) -> float:
    """Milk lost a day by a rise in cells; negative when the count fell."""
    return loss_per_step * math.log2(after / before)


@published(
    "herd-cell-loss-value",
    title="What a herd's lost milk is worth in a year",
    subject=SUBJECT,
    formula="value = cows * loss_per_cow * price / 100",
    unit="dollar",
    source="G1656",
    arguments={
        "cows": Argument("cows in milk", "", 1, 20_000, floor=0),
        "loss_per_cow": Argument("milk lost by a cow in a year", "lb", 0, 5000, floor=0),
        "price": Argument("milk price", "dollar/cwt", 5, 60, floor=0),
    },
    check=Check(
        {"cows": 75, "loss_per_cow": 1600, "price": 11},
        13_200,
        1e-6,
        "75 cows at 800,000 cells lose 120,000 lb: 13,200 dollars at 11 (printed as 13,000)",
    ),
)
def herd_loss_value_dollar(*, cows: float, loss_per_cow: float, price: float) -> float:
    """Money a herd goes without because of its cells."""
    return cows * loss_per_cow * price / 100


@published(
    "tank-count-loss",
    title="Share of milk lost by the tank's cell count",
    subject=SUBJECT,
    formula="loss = the table's, straight between its rows; nothing up to 200,000",
    unit="%",
    source="TANK-COUNT-LOSS",
    read=False,
    arguments={"cells": Argument("cells in the tank's milk", "1/mL", 50_000, 1_500_000, "refuse", floor=1)},
    check=(
        Check({"cells": 500_000}, 6, 1e-9, "recalled table"),
        Check({"cells": 1_000_000}, 18, 1e-9, "recalled table"),
        Check({"cells": 1_500_000}, 29, 1e-9, "recalled table"),
    ),
    notes="Recalled; the published table was not found. Do not build a decision on it.",
)
def tank_count_loss_percent(*, cells: float) -> float:
    """Share of the milk that a herd at this tank count does not give."""
    table = [(float(row["cells_per_mL"]), float(row["loss_percent"])) for row in rows("tank_count_loss.csv")]
    if cells <= table[0][0]:
        return table[0][1]
    for (low, less), (high, more) in pairwise(table):
        if cells <= high:
            return less + (more - less) * (cells - low) / (high - low)
    raise ValueError("the table ends at 1,500,000")


def tank_cells(parts: Iterable[tuple[float, float]]) -> float:
    """Cell count of a tank from the milk that went into it: the milk-weighted mean of the counts.

    Args:
        parts: pairs of milk (any one unit of weight) and cells per mL of that milk.

    Returns:
        Cells per mL of the whole.

    Raises:
        ValueError: no milk at all.
    """
    known = list(parts)
    milk = sum(weight for weight, _ in known)
    if milk <= 0:
        raise ValueError("no milk went into the tank")
    return sum(weight * cells for weight, cells in known) / milk


def udder_state(*, last_month_score: float, this_month_score: float) -> Udder:
    """Whether an infection shown by the cell score is new, goes on, or is over.

    Args:
        last_month_score: linear cell score at the last test.
        this_month_score: linear cell score now; 5 and over counts as infected.

    Returns:
        "clear", "new" (under 5 before, 5 or over now), "chronic" (two months or more) or "cleared". It is a
        reading of two counts, not a diagnosis.

    References:
        .. [1] Virginia Tech, "Dairy Pipeline", May 1997.
    """
    before, now = last_month_score >= INFECTED_SCORE, this_month_score >= INFECTED_SCORE
    if now:
        return "chronic" if before else "new"
    return "cleared" if before else "clear"
