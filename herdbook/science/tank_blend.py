"""Warm milk onto cold: what the tank shows after a milking, and what the cooler must do meanwhile."""

from __future__ import annotations

from typing import NamedTuple

from herdbook.science.milk_heat import BTU_KJ, LB_KG, SPECIFIC_HEAT
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Blend of milkings"
HELD = Argument("milk in the tank", "kg", 0, floor=0)
ADDED = Argument("milk let in", "kg", 0, floor=0)
COLD = Argument("temperature of the milk in the tank", "degC", 0, 15, floor=-1, ceiling=45)
WARM = Argument("temperature of the milk let in", "degC", 2, 40, floor=-1, ceiling=45)
LIMIT = Argument("blend limit", "degC", 2, 15, floor=0, ceiling=45)


def _degC(degF: float) -> float:
    return (degF - 32) * 5 / 9


@published(
    "blend-temperature",
    title="Temperature of a tank just after a milking is let in",
    subject=SUBJECT,
    formula="blend = (held*held_at + added*added_at) / (held + added)",
    unit="degC",
    source="COOLING-ALGEBRA",
    arguments={"held": HELD, "held_at": COLD, "added": ADDED, "added_at": WARM},
    check=(
        Check(
            {"held": 1000 * LB_KG, "held_at": _degC(37), "added": 1000 * LB_KG, "added_at": _degC(90)},
            _degC(63.5),
            1e-6,
            "derived: equal weights at 37 and 90 °F give 63.5 °F",
        ),
        Check({"held": 1200, "held_at": 3.6, "added": 800, "added_at": 34.0}, 15.76, 1e-6, "derived"),
    ),
    notes="No cooling while it comes in: the tank will show less when the cooler runs.",
)
def blend_degC(*, held: float, held_at: float, added: float, added_at: float) -> float:
    """Mixing by mass: equal heat capacity, nothing lost."""
    return (held * held_at + added * added_at) / (held + added)


@published(
    "warm-share-at-limit",
    title="Largest share of warm milk that keeps the blend at the limit",
    subject=SUBJECT,
    formula="share = 100 * (limit - held_at) / (added_at - held_at)",
    unit="%",
    source="COOLING-ALGEBRA",
    arguments={"held_at": COLD, "added_at": WARM, "limit": LIMIT},
    check=Check(
        {"held_at": _degC(37), "added_at": _degC(90), "limit": 10}, 24.5283, 1e-4, "derived: 37, 90, 50 °F"
    ),
    notes="Without cooling during milking. On every-other-day pickup the second to fourth milkings are more.",
)
def warm_share_percent(*, held_at: float, added_at: float, limit: float) -> float:
    """How much of the tank may be warm milk before the blend limit is passed."""
    if not held_at <= limit < added_at:
        raise ValueError("the limit must lie between the milk in the tank and the milk let in")
    return 100 * (limit - held_at) / (added_at - held_at)


@published(
    "equal-milkings-blend",
    title="Blend when equal milkings follow each other into one tank",
    subject=SUBJECT,
    formula="blend = (added_at + (milking - 1) * held_at) / milking",
    unit="degC",
    source="COOLING-ALGEBRA",
    arguments={
        "milking": Argument("which milking since the tank was empty", "", 1, 12, floor=1, ceiling=100),
        "held_at": COLD,
        "added_at": WARM,
    },
    check=tuple(
        Check(
            {"milking": milking, "held_at": _degC(38), "added_at": 35},
            _degC(degF),
            1e-6,
            f"derived: {degF} °F",
        )
        for milking, degF in ((2, 66.5), (3, 57.0), (4, 52.25), (5, 49.4), (6, 47.5))
    ),
    notes="With milk at 95 °F onto 38 °F the second to fourth milkings pass 50 °F unless the cooler runs or "
    "the milk is pre-cooled; from the fifth on they cannot.",
)
def equal_milkings_blend_degC(*, milking: float, held_at: float, added_at: float) -> float:
    """Blend after the n-th of equal milkings, the milk before it all cold."""
    return (added_at + (milking - 1) * held_at) / milking


@published(
    "warmest-milk-let-in",
    title="Warmest milk that can be let in without passing the blend limit",
    subject=SUBJECT,
    formula="warmest = (limit*(held + added) - held*held_at) / added",
    unit="degC",
    source="COOLING-ALGEBRA",
    arguments={
        "held": HELD,
        "held_at": COLD,
        "added": Argument("milk to let in", "kg", 1, floor=0.001),
        "limit": LIMIT,
    },
    check=Check(
        {"held": 1000, "held_at": _degC(38), "added": 1000, "limit": 10},
        _degC(62.0),
        1e-6,
        "derived: equal weights onto 38 °F staying at 50 °F take 62 °F",
    ),
)
def warmest_let_in_degC(*, held: float, held_at: float, added: float, limit: float) -> float:
    """How warm pre-cooled milk may come for the blend to stay at the limit."""
    return (limit * (held + added) - held * held_at) / added


class BlendHeat(NamedTuple):
    """Heat to take out during a milking, and the power that takes."""

    heat_kJ: float
    duty_kW: float


@published(
    "blend-heat",
    title="Heat to take out during a milking so that the blend ends at the limit",
    subject=SUBJECT,
    formula="heat = specific_heat * (held*held_at + added*added_at - (held + added)*limit); "
    "duty = heat / (3600*hours)",
    unit={"heat_kJ": "kJ", "duty_kW": "kW"},
    source="COOLING-ALGEBRA",
    arguments={
        "held": HELD,
        "held_at": COLD,
        "added": ADDED,
        "added_at": WARM,
        "limit": LIMIT,
        "hours": Argument("length of the milking", "h", 0.25, 12, floor=0.01),
        "specific_heat": Argument(
            "specific heat of milk", "kJ/kg/delta_degC", 3.7, 4.0, floor=3, ceiling=4.3
        ),
    },
    check=(
        Check(
            {
                "held": 1000 * LB_KG,
                "held_at": _degC(37),
                "added": 1000 * LB_KG,
                "added_at": _degC(90),
                "limit": 10,
                "hours": 2,
                "specific_heat": SPECIFIC_HEAT,
            },
            {"heat_kJ": 25_110 * BTU_KJ, "duty_kW": 12_555 * BTU_KJ / 3600},
            0.05,
            "derived: 25,110 Btu, 12,555 Btu an hour",
        ),
    ),
)
def blend_heat(
    *,
    held: float,
    held_at: float,
    added: float,
    added_at: float,
    limit: float,
    hours: float,
    specific_heat: float = SPECIFIC_HEAT,
) -> BlendHeat:
    """What the cooler has to do while milk comes in; nothing when the blend stays under the limit anyway."""
    heat = specific_heat * (held * held_at + added * added_at - (held + added) * limit)
    return BlendHeat(max(heat, 0.0), max(heat, 0.0) / (3600 * hours))
