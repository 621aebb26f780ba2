"""How much faster bacteria grow in warmer milk: comparisons between counts, never a count.

Two good studies of milk held at 2 degrees C disagree because the milk they began with differed. Every rule
here carries that warning.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from herdbook.science.registry import Argument, Check, published

SUBJECT = "Growth in milk, as a comparison"
COMPARISON_ONLY = (
    "A comparison, not a count: how milk keeps depends on what is in it at the start. Clean tanks showed no "
    "rise to 96 h at 4 °C in one study and a sixtyfold one at 2 °C in another."
)

BEFORE = Argument("count at the start", "1/mL", 1, 1e9, floor=1e-9)
AFTER = Argument("count later", "1/mL", 1, 1e9, floor=1e-9)
BETWEEN = Argument("time between the counts", "h", 0.5, 240, floor=1e-6)


class Growth(NamedTuple):
    """How fast one count became another."""

    rate_per_h: float
    doubling_h: float
    log10_steps: float


@published(
    "growth-rate",
    title="Rate and doubling time between two counts",
    subject=SUBJECT,
    formula="rate = ln(after/before) / hours; doubling = ln 2 / rate; steps = log10(after/before)",
    unit={"rate_per_h": "1/h", "doubling_h": "h", "log10_steps": ""},
    source=("PENNSTATE-GROWTH", "PALUDETTI2018"),
    arguments={"before": BEFORE, "after": AFTER, "hours": BETWEEN},
    check=(
        Check(
            {"before": 4300, "after": 14_000, "hours": 24},
            {"rate_per_h": 0.0491851, "doubling_h": 14.0926},
            1e-4,
            "derived from 50 °F, first day",
        ),
        Check(
            {"before": 14_000, "after": 1_600_000, "hours": 24},
            {"rate_per_h": 0.197446, "doubling_h": 3.51057},
            1e-4,
            "derived from 50 °F, second day",
        ),
        Check(
            {"before": 10**4.37, "after": 10**6.15, "hours": 96},
            {"log10_steps": 1.78, "doubling_h": 16.2353},
            1e-3,
            "one milking held at 2 °C: 4.37 to 6.15 log in 96 h; the doubling derived",
        ),
    ),
    notes=COMPARISON_ONLY,
)
def growth(*, before: float, after: float, hours: float) -> Growth:
    """Rate, doubling time and tenfold steps between two counts of the same milk."""
    if after <= before:
        raise ValueError("the count did not rise")
    rate = math.log(after / before) / hours
    return Growth(rate, math.log(2) / rate, math.log10(after / before))


@published(
    "growth-relative",
    title="How many times faster bacteria grow at one temperature than at another",
    subject=SUBJECT,
    formula="ratio = ((temperature - lowest) / (reference - lowest))^2",
    unit="",
    source="RATKOWSKY1982",
    read=False,
    arguments={
        "temperature": Argument("milk temperature", "degC", 0, 20, "refuse", floor=-1, ceiling=30),
        "reference": Argument("temperature to compare with", "degC", 0, 20, "refuse", floor=-1, ceiling=30),
        "lowest": Argument("temperature at which growth ends", "degC", -12, -3, floor=-20, ceiling=-1.001),
    },
    check=tuple(
        Check(
            {"temperature": at, "reference": 4, "lowest": -8},
            ratio,
            1e-5,
            "derived; lowest -8 °C is recalled",
        )
        for at, ratio in ((2, 0.694444), (7, 1.5625), (10, 2.25), (15, 3.67361))
    ),
    notes=f"{COMPARISON_ONLY} The square-root law is published; a lowest temperature of -8 to -10 °C for "
    "Pseudomonas in milk is recalled, not read.",
)
def relative_rate(*, temperature: float, reference: float, lowest: float) -> float:
    """Ratio of growth rates by the square-root law."""
    return ((temperature - lowest) / (reference - lowest)) ** 2


@published(
    "growth-lowest-temperature",
    title="Temperature at which growth ends, from generation times at two temperatures",
    subject=SUBJECT,
    formula="lowest = (sqrt(ratio)*colder - warmer) / (sqrt(ratio) - 1)",
    unit="degC",
    source=("RATKOWSKY1982", "FLUORESCENS1982"),
    arguments={
        "ratio": Argument("generation time at the colder over that at the warmer", "", 1.1, 30, floor=1.0001),
        "colder": Argument("colder temperature", "degC", 0, 20, floor=-2, ceiling=30),
        "warmer": Argument("warmer temperature", "degC", 1, 25, floor=-1, ceiling=35),
    },
    check=Check(
        {"ratio": 3.8, "colder": 3, "warmer": 9},
        -3.32005,
        1e-4,
        "derived: generation time of P. fluorescens rises by 280 % from 9 to 3 °C",
    ),
    notes=COMPARISON_ONLY,
)
def lowest_temperature_degC(*, ratio: float, colder: float, warmer: float) -> float:
    """The square-root law solved for its lowest temperature."""
    if warmer <= colder:
        raise ValueError("the warmer temperature must be above the colder one")
    root = math.sqrt(ratio)
    return (root * colder - warmer) / (root - 1)
