"""What milk weighs: the trade's 8.6 pounds to the gallon, and how far real density is from it."""

from __future__ import annotations

from herdbook.science.registry import Argument, Check, published

SUBJECT = "Weight and density of milk"
LB_PER_GAL = 8.6
LB_KG = 0.45359237  # exact by definition
GAL_L = 3.785411784  # exact by definition: 231 cubic inches

DENSITY = Argument("density of the milk", "kg/L", 1.020, 1.040, floor=0.9, ceiling=1.1)
CONVENTION = Argument("pounds taken for one US gallon", "lb/gal", 8.5, 8.7, floor=7, ceiling=10)


@published(
    "milk-weight-from-gallons",
    title="Weight of milk from gallons, by the convention of farm tank charts",
    subject=SUBJECT,
    formula="weight = volume * pounds_per_gallon",
    unit="lb",
    source=("MARYLAND3402", "MINNESOTA1964"),
    arguments={"volume": Argument("milk", "gal", 0, floor=0), "pounds_per_gallon": CONVENTION},
    check=(
        Check({"volume": 1 / 3}, 2.9, 0.05, "newsletter, 150 gal tank"),
        Check({"volume": 2 / 5, "pounds_per_gallon": 8.6}, 3.4, 0.05, "newsletter, 300 gal tank"),
        Check({"volume": 6 / 5, "pounds_per_gallon": 8.6}, 10.3, 0.05, "newsletter, 1,000 gal tank"),
    ),
    notes="8.6 lb/gal is a convention, not a density: cold milk weighs up to 0.8 % more.",
)
def milk_weight_lb(*, volume: float, pounds_per_gallon: float = LB_PER_GAL) -> float:
    """Pounds of milk on a chart that was made in gallons."""
    return volume * pounds_per_gallon


@published(
    "milk-gallons-from-weight",
    title="Gallons of milk from its weight, by the convention of farm tank charts",
    subject=SUBJECT,
    formula="volume = weight / pounds_per_gallon",
    unit="gal",
    source="MARYLAND3402",
    arguments={"weight": Argument("milk", "lb", 0, floor=0), "pounds_per_gallon": CONVENTION},
    check=Check({"weight": 100, "pounds_per_gallon": 8.6}, 11.6279, 1e-4, "derived from 8.6 lb/gal"),
)
def milk_volume_gal(*, weight: float, pounds_per_gallon: float = LB_PER_GAL) -> float:
    """Gallons of milk that a weight stands for on a chart."""
    return weight / pounds_per_gallon


@published(
    "milk-pounds-per-gallon",
    title="What a gallon of milk really weighs",
    subject=SUBJECT,
    formula="pounds per gallon = density * 3.785411784 / 0.45359237",
    unit="lb/gal",
    source="DENSITY1961",
    arguments={"density": DENSITY},
    check=(
        Check({"density": 1.0312}, 8.60578, 1e-5, "derived from the lightest of 101 milks at 0.95 °C"),
        Check({"density": 1.0386}, 8.66754, 1e-5, "derived from the heaviest of 101 milks at 0.95 °C"),
    ),
)
def pounds_per_gallon(*, density: float) -> float:
    """Pounds in a US gallon of milk of a known density."""
    return density * GAL_L / LB_KG


@published(
    "milk-density-warm",
    title="Density of warm milk from its density at another temperature",
    subject=SUBJECT,
    formula="density = known_density - 0.00038 * (temperature - known_at)",
    unit="kg/L",
    source="DENSITYTREND",
    arguments={
        "known_density": DENSITY,
        "known_at": Argument(
            "temperature of the known density",
            "degC",
            18,
            44,
            "refuse",
            floor=0,
            ceiling=60,
            from_source=True,
        ),
        "temperature": Argument(
            "temperature wanted", "degC", 18, 44, "refuse", floor=0, ceiling=60, from_source=True
        ),
    },
    check=Check(
        {"known_density": 1.030, "known_at": 20, "temperature": 38}, 1.02316, 1e-6, "derived from the trend"
    ),
    notes="A straight line between 18 and 44 °C only; below that milk fat hardens and the line bends.",
)
def warm_density_kg_per_L(*, known_density: float, known_at: float, temperature: float) -> float:
    """Density of milk at another temperature between 18 and 44 °C."""
    return known_density - 0.00038 * (temperature - known_at)
