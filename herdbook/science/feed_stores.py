"""Feed in store: volumes by shape, what they hold, how much comes off the face, and how long it lasts.

Cautions: a silage face falls without warning; stay three times its height away, never alone, never under it.
Silo gas kills: after filling stay out for four to six weeks, and run the blower before going in.
"""

from __future__ import annotations

import math

from herdbook.science.registry import Argument, Check, published

SUBJECT = "Feed in store"
LB_KG = 0.45359237
FT_M = 0.3048
LB_FT3 = LB_KG / FT_M**3  # kg/m³ in one lb/ft³
SHORT_TON_KG = 907.18474

FEET = Argument("depth of settled silage", "ft", 10, 90, floor=0, ceiling=150)
# 30 lb of dry matter in a cubic foot is more than any silage; a source prints tons where it means pounds.
DENSITY = Argument("dry matter in a cubic metre", "kg/m**3", 100, 320, floor=1, ceiling=30 * LB_FT3)


def _length(what: str, high: float) -> Argument:
    return Argument(what, "m", 0.3, high, floor=0.01)


@published(
    "round-silo-volume",
    title="Volume of an upright silo, bag or round bin",
    subject=SUBJECT,
    formula="volume = pi/4 * diameter**2 * length",
    unit="m**3",
    source="ARITHMETIC",
    arguments={
        "diameter": _length("inside diameter", 12),
        "length": _length("depth of feed, or length of the bag", 150),
    },
    check=Check({"diameter": 2.7, "length": 60}, 343.533, 1e-3, "derived"),
    notes="Printed rules leave the area out (diameter times depth); they are wrong by the diameter.",
)
def round_silo_volume(*, diameter: float, length: float) -> float:
    """Cylinder of feed."""
    return math.pi / 4 * diameter**2 * length


@published(
    "bunker-volume",
    title="Volume in a bunker with sloping walls",
    subject=SUBJECT,
    formula="volume = (bottom_width + top_width)/2 * height * length",
    unit="m**3",
    source="ARITHMETIC",
    arguments={
        "bottom_width": _length("width at the floor", 40),
        "top_width": _length("width at the top of the feed", 45),
        "height": _length("mean height of the feed", 8),
        "length": _length("length of the feed", 120),
    },
    check=Check({"bottom_width": 9, "top_width": 10, "height": 3, "length": 30}, 855, 1e-6, "derived"),
    notes="Straight walls: the two widths are the same.",
)
def bunker_volume(*, bottom_width: float, top_width: float, height: float, length: float) -> float:
    """Trapezoid of feed between two walls."""
    return (bottom_width + top_width) / 2 * height * length


@published(
    "pile-volume",
    title="Volume of a drive-over pile",
    subject=SUBJECT,
    formula="volume = (bottom_width + top_width)/2*height * (bottom_length + top_length)/2 "
    "+ (bottom_width - top_width)*(bottom_length - top_length)*height/12",
    unit="m**3",
    source="ARITHMETIC",
    arguments={
        "bottom_width": _length("width on the ground", 60),
        "top_width": Argument("width of the top", "m", 0, 50, floor=0),
        "bottom_length": _length("length on the ground", 150),
        "top_length": Argument("length of the top", "m", 0, 150, floor=0),
        "height": _length("height", 8),
    },
    check=(
        Check(
            {"bottom_width": 20, "top_width": 8, "bottom_length": 50, "top_length": 30, "height": 4},
            2320,
            1e-6,
            "derived: 2,240 of mean widths and 80 of the corners",
        ),
    ),
    notes="Frustum with sloping sides and ends; measure the flat top and the foot.",
)
def pile_volume(
    *, bottom_width: float, top_width: float, bottom_length: float, top_length: float, height: float
) -> float:
    """Block with sloping sides and ends, exact for straight slopes."""
    means = (bottom_width + top_width) / 2 * (bottom_length + top_length) / 2
    corners = (bottom_width - top_width) * (bottom_length - top_length) / 12
    return height * (means + corners)


@published(
    "stored-dry-matter",
    title="Dry matter in a volume of silage",
    subject=SUBJECT,
    formula="dry matter = volume * density",
    unit="kg",
    source="HOLMES",
    arguments={"volume": Argument("volume of feed", "m**3", 0, 20_000, floor=0), "density": DENSITY},
    check=Check(
        {"volume": 100, "density": 14 * LB_FT3}, 100 * 14 * LB_FT3, 1e-6, "derived: 14 lb/ft³, usual"
    ),
    notes="12 lb of dry matter a cubic foot is poor, 14 usual, 16 well packed (192, 224, 256 kg/m³).",
)
def stored_dry_matter_kg(*, volume: float, density: float) -> float:
    """Weight of dry matter in store."""
    return volume * density


@published(
    "daily-volume",
    title="Volume of silage a day's feeding takes",
    subject=SUBJECT,
    formula="volume = dry_matter_fed / density",
    unit="m**3/day",
    source="HOLMES",
    arguments={
        "dry_matter_fed": Argument("dry matter fed", "kg/day", 10, 20_000, floor=0),
        "density": DENSITY,
    },
    check=Check(
        {"dry_matter_fed": 3000 * LB_KG, "density": 14 * LB_FT3},
        214.3 * FT_M**3,
        0.05 * FT_M**3,
        "3,000 lb a day at 14 lb/ft³: 214.3 ft³",
    ),
)
def daily_volume(*, dry_matter_fed: float, density: float) -> float:
    """Cubic metres that go every day."""
    return dry_matter_fed / density


@published(
    "face-removal",
    title="How far the face goes back a day",
    subject=SUBJECT,
    formula="removal = 100 * daily_volume / (width*height)",
    unit="cm/day",
    source="HOLMES",
    arguments={
        "daily_volume": Argument("volume fed", "m**3/day", 0.1, 200, floor=0),
        "width": _length("width of the face", 40),
        "height": _length("height of the face", 8),
    },
    check=Check({"daily_volume": 6.0678, "width": 9.5, "height": 3}, 21.2905, 1e-3, "derived"),
    notes="At least 10 cm (4 in), better 30 cm (12 in) a day; 30 cm in bags. Less, and the face heats.",
)
def face_removal(*, daily_volume: float, width: float, height: float) -> float:
    """Depth taken off the face each day."""
    return 100 * daily_volume / (width * height)


@published(
    "days-left",
    title="Days a store lasts at what is fed and lost",
    subject=SUBJECT,
    formula="days = stored*(1 - loss/100) / fed",
    unit="day",
    source="HUBBARD2021",
    arguments={
        "stored": Argument("weight in store", "kg", 0, 10_000_000, floor=0),
        "loss": Argument("share still to be lost", "%", 0, 40, floor=0, ceiling=99.9),
        "fed": Argument("weight fed, same basis", "kg/day", 1, 50_000, floor=0.001),
    },
    check=Check({"stored": 500_000, "loss": 10, "fed": 2500}, 180, 1e-6, "derived"),
    notes="Shrink of corn silage is 5 to 16 % in piles and pits, 6 to 14 % in bags; uncovered piles "
    "lose 30 to 40 %.",
)
def days_left(*, stored: float, loss: float, fed: float) -> float:
    """How long what is there will feed the herd."""
    return stored * (1 - loss / 100) / fed


@published(
    "upright-density-corn-silage",
    title="Dry matter in a cubic foot of settled corn silage, upright silo",
    subject=SUBJECT,
    formula="density = 8.0 + 0.15*depth",
    unit="lb/ft**3",
    source="ISU-C6-82",
    arguments={"depth": FEET},
    check=Check({"depth": 50}, 15.5, 1e-9, "derived"),
    notes="Pounds of dry matter, though the source's text says tons. Mean over the whole depth.",
)
def upright_density_corn_silage(*, depth: float) -> float:
    """Mean density of corn silage by how deep it lies."""
    return 8.0 + 0.15 * depth


@published(
    "upright-density-haylage",
    title="Dry matter in a cubic foot of settled haylage, upright silo",
    subject=SUBJECT,
    formula="density = 5.90 + 0.10*depth",
    unit="lb/ft**3",
    source="ISU-C6-82",
    arguments={"depth": FEET},
    check=Check({"depth": 50}, 10.9, 1e-9, "derived"),
    notes="Pounds of dry matter, though the source's text says tons. Mean over the whole depth.",
)
def upright_density_haylage(*, depth: float) -> float:
    """Mean density of haylage by how deep it lies."""
    return 5.90 + 0.10 * depth


UPRIGHT_TONS = (
    ("corn silage", 20, 50, 121.737),
    ("corn silage", 24, 60, 230.719),
    ("haylage", 20, 50, 85.6084),
    ("haylage", 24, 60, 161.503),
)


@published(
    "upright-silo-dry-matter",
    title="Dry matter in an upright silo",
    subject=SUBJECT,
    formula="dry matter = pi/4 * diameter**2 * depth * density(depth) / 2000",
    unit="ton",
    source="ISU-C6-82",
    arguments={
        "feed": Argument("what is in it", choices=("corn silage", "haylage")),
        "diameter": Argument("inside diameter", "ft", 8, 40, floor=1, ceiling=100),
        "depth": FEET,
    },
    check=tuple(
        Check({"feed": feed, "diameter": diameter, "depth": depth}, tons, 1e-4 * tons, "derived")
        for feed, diameter, depth, tons in UPRIGHT_TONS
    ),
    notes="Short tons. Wet tons are this over (1 - moisture).",
)
def upright_silo_dry_matter_tons(*, feed: str, diameter: float, depth: float) -> float:
    """Short tons of dry matter in settled silage."""
    density = upright_density_corn_silage if feed == "corn silage" else upright_density_haylage
    return math.pi / 4 * diameter**2 * depth * density(depth=depth) / 2000


@published(
    "bin-shelled-corn",
    title="Bushels in a round bin of shelled corn",
    subject=SUBJECT,
    formula="bushels = 0.628 * diameter**2 * depth",
    unit="",
    source="ISU-C6-82",
    arguments={
        "diameter": Argument("inside diameter", "ft", 6, 60, floor=1, ceiling=150),
        "depth": Argument("depth of grain", "ft", 1, 60, floor=0, ceiling=120),
    },
    check=Check({"diameter": 18, "depth": 16}, 3255.55, 0.01, "derived"),
    notes="0.8 bushel a cubic foot. Ear corn is half of it.",
)
def bin_shelled_corn_bushels(*, diameter: float, depth: float) -> float:
    """Bushels of shelled corn in a round bin, levelled."""
    return 0.628 * diameter**2 * depth


@published(
    "bin-ear-corn",
    title="Bushels in a round crib of ear corn",
    subject=SUBJECT,
    formula="bushels = 0.314 * diameter**2 * depth",
    unit="",
    source="ISU-C6-82",
    arguments={
        "diameter": Argument("inside diameter", "ft", 6, 60, floor=1, ceiling=150),
        "depth": Argument("depth of ears", "ft", 1, 60, floor=0, ceiling=120),
    },
    check=Check({"diameter": 18, "depth": 16}, 1627.776, 1e-3, "derived"),
)
def bin_ear_corn_bushels(*, diameter: float, depth: float) -> float:
    """Bushels of ear corn in a round crib, levelled."""
    return 0.314 * diameter**2 * depth


@published(
    "packing-weight",
    title="Tractor weight to pack silage as fast as it comes in",
    subject=SUBJECT,
    formula="weight = 800/2000 * delivered",
    unit="kg",
    source="HOLMES-MUCK2002",
    arguments={"delivered": Argument("silage delivered each hour", "kg/h", 5_000, 300_000, floor=0)},
    check=Check({"delivered": 50_000}, 20_000, 1e-6, "derived: 800 lb for each ton an hour"),
    notes="Layers under 15 cm (6 in), slopes no steeper than one in three; never near the edge of a wall.",
)
def packing_weight_kg(*, delivered: float) -> float:
    """Weight of the packing tractors together."""
    return 800 / 2000 * delivered


@published(
    "bales-dry-matter",
    title="Dry matter in a stack of bales",
    subject=SUBJECT,
    formula="dry matter = bales * bale_weight * (1 - moisture/100)",
    unit="kg",
    source="CORNELL2022",
    arguments={
        "bales": Argument("number of bales", "", 1, 5000, floor=0),
        "bale_weight": Argument("weight of one", "kg", 10, 900, floor=0.1),
        "moisture": Argument("moisture of the hay", "%", 8, 25, floor=0, ceiling=99),
    },
    check=Check(
        {"bales": 500, "bale_weight": 40 * LB_KG, "moisture": 12},
        17_600 * LB_KG,
        1e-6,
        "500 bales of 40 lb: 20,000 lb, 17,600 lb dry at 12 % moisture",
    ),
    notes="Moisture, not dry matter: the source prints 10 to 15 % dry matter where it means moisture.",
)
def bales_dry_matter_kg(*, bales: float, bale_weight: float, moisture: float) -> float:
    """Dry matter of hay counted by the bale."""
    return bales * bale_weight * (1 - moisture / 100)
