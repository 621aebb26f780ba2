"""How fast a tank full of cold milk warms while nothing cools it."""

from __future__ import annotations

from herdbook.science.registry import Argument, Check, published

SUBJECT = "Heat and cooling"
ALLOWED_RISE_DEGC = 1.0  # in 4 h, full tank at 4 °C, 35 °C around it; AS 1187:1996
TEST_HOURS = 4.0


@published(
    "tank-warming",
    title="Rise of a tank's milk in 4 h without cooling",
    subject=SUBJECT,
    formula="rise = (end - start) * 4 / hours",
    unit="delta_degC",
    source="AS1187",
    arguments={
        "start": Argument("milk temperature at the start", "degC", 2, 6, floor=-1, ceiling=40),
        "end": Argument("milk temperature at the end", "degC", 2, 12, floor=-1, ceiling=40),
        "hours": Argument("time between", "h", 1, 12, floor=0.05),
    },
    check=Check(
        {"start": 4.0, "end": 4.9, "hours": 4}, 0.9, 1e-9, "derived: 0.9 °C in 4 h passes the clause"
    ),
    notes="AS 1187 allows 1 °C in 4 h for a full tank at 4 °C in a room at 35 °C. A half-full tank warms "
    "faster.",
)
def rise_in_4_h_degC(*, start: float, end: float, hours: float) -> float:
    """Warming of the milk brought to the standard's four hours."""
    return (end - start) * TEST_HOURS / hours


def insulation_passes(*, rise: float) -> bool:
    """Whether a rise in 4 h, in degrees C, is within what AS 1187:1996 allows.

    Args:
        rise: from `rise_in_4_h_degC`.
    """
    return round(rise, 6) <= ALLOWED_RISE_DEGC
