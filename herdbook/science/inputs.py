"""Inputs that many rules share, so that body weight or milk fat means and allows the same everywhere."""

from __future__ import annotations

from typing import Literal

from herdbook.science.registry import Argument

BODY_WEIGHT = Argument("body weight", "kg", 350, 900, floor=20, ceiling=1500)
MILK = Argument("milk yield", "kg/day", 5, 70, floor=0, ceiling=120)
INTAKE = Argument("dry matter intake", "kg/day", 8, 35, floor=0.1, ceiling=60)
MILK_FAT = Argument("fat in milk", "%", 2, 7, floor=0, ceiling=15)
MILK_CRUDE_PROTEIN = Argument("crude protein in milk", "%", 2.2, 5, floor=0, ceiling=10)
MILK_TRUE_PROTEIN = Argument("true protein in milk", "%", 2, 4.8, floor=0, ceiling=10)
LACTOSE = Argument("lactose in milk", "%", 4, 5.5, floor=0, ceiling=8)
DRY_MATTER = Argument("dry matter of the feed as fed", "%", 5, 100, floor=0.1, ceiling=100)
BIRTH_WEIGHT = Argument("expected weight of the calf at birth", "kg", 20, 60, floor=1, ceiling=100)


def of_dry_matter(
    what: str,
    low: float | None = None,
    high: float | None = None,
    *,
    floor: float = 0,
    ceiling: float = 100,
    from_source: bool = False,
    outside: Literal["warn", "refuse"] = "warn",
) -> Argument:
    """A share of dry matter in per cent; under 0 or over 100 is refused unless the ceiling says otherwise."""
    return Argument(
        f"{what}, of dry matter",
        "%",
        low,
        high,
        outside,
        floor=floor,
        ceiling=ceiling,
        from_source=from_source,
    )


# Urea and its like count as far more than 100 % crude protein.
CRUDE_PROTEIN = of_dry_matter("crude protein", 2, 60, ceiling=300)
NDF = of_dry_matter("neutral detergent fibre", 0, 85)
