"""Temperature-humidity index of cows, in three forms that are in print, and words for how bad it is."""

from __future__ import annotations

from herdbook.science.registry import Argument, Check, published
from herdbook.science.tables_as_published import rows

SUBJECT = "Heat"
AIR = Argument("air temperature", "degC", 5, 45, floor=-40, ceiling=60)
HUMIDITY = Argument("relative humidity", "%", 0, 100, floor=0, ceiling=100)
EFFECTS = (
    "Milk falls above 68; the worst drop comes 36 to 48 h later. Dry-bulb temperature alone foretells body "
    "temperature nearly as well."
)


def _degC(degF: float) -> float:
    return (degF - 32) / 1.8


@published(
    "thi-nrc",
    title="Temperature-humidity index",
    subject=SUBJECT,
    formula="THI = (1.8*air + 32) - (0.55 - 0.0055*humidity)*(1.8*air - 26)",
    unit="",
    source=("NRC1971", "UKY-THI", "UFL-THI", "DA-THI", "DIKMEN2009"),
    read=False,
    arguments={"air": AIR, "humidity": HUMIDITY},
    check=(
        Check({"air": _degC(72), "humidity": 45}, 68, 0.5, "University of Kentucky, 72 degF and 45 %"),
        Check({"air": _degC(80), "humidity": 0}, 68, 0.5, "University of Kentucky, 80 degF and 0 %"),
        Check({"air": _degC(72), "humidity": 100}, 72, 0.5, "University of Florida, 72 degF and 100 %"),
        Check({"air": _degC(77), "humidity": 50}, 72, 0.5, "University of Florida, 77 degF and 50 %"),
        Check({"air": _degC(82), "humidity": 20}, 72, 0.6, "University of Florida, 82 degF and 20 %"),
        Check({"air": 31, "humidity": 40}, 78, 0.5, "Dairy Australia chart"),
        Check({"air": 27, "humidity": 80}, 78, 0.5, "Dairy Australia chart"),
        Check({"air": 22, "humidity": 50}, 67.86, 1e-6, "derived"),
        Check({"air": 30, "humidity": 50}, 78.30, 1e-6, "derived"),
        Check({"air": 35, "humidity": 60}, 86.86, 1e-6, "derived"),
    ),
    notes="The form used in the reports; recalled, and confirmed by seven published pairs. " + EFFECTS,
)
def thi_nrc(*, air: float, humidity: float) -> float:
    """Index from air temperature and relative humidity, after NRC 1971."""
    return (1.8 * air + 32) - (0.55 - 0.0055 * humidity) * (1.8 * air - 26)


@published(
    "thi-humidity",
    title="Temperature-humidity index, second form",
    subject=SUBJECT,
    formula="THI = 0.8*air + humidity/100*(air - 14.4) + 46.4",
    unit="",
    source=("VETBOOK-THI", "EAGLE-THI"),
    arguments={"air": AIR, "humidity": HUMIDITY},
    check=Check({"air": 32, "humidity": 22}, 75.9, 0.05, "worked example"),
    notes="Within 0.29 of the first form from 10 to 42 °C. " + EFFECTS,
)
def thi_humidity(*, air: float, humidity: float) -> float:
    """Index from air temperature and relative humidity, the shorter form."""
    return 0.8 * air + humidity / 100 * (air - 14.4) + 46.4


@published(
    "thi-dew-point",
    title="Temperature-humidity index from the dew point",
    subject=SUBJECT,
    formula="THI = air + 0.36*dew_point + 41.2",
    unit="",
    source="DEWPOINT-THI",
    arguments={"air": AIR, "dew_point": Argument("dew point", "degC", -10, 32, floor=-60, ceiling=60)},
    check=Check({"air": 30, "dew_point": 18.4}, 77.824, 1e-6, "derived"),
    notes=EFFECTS,
)
def thi_dew_point(*, air: float, dew_point: float) -> float:
    """Index from air temperature and dew point."""
    return air + 0.36 * dew_point + 41.2


def heat_word(thi: float) -> str:
    """The word for an index: "none", "mild" from 68, "moderate" from 72, "severe" from 80.

    References:
        .. [1] Eagle Direct, Temperature-humidity index bands; University of Kentucky for the onset at 68.
    """
    word = "none"
    for row in rows("heat_bands.csv"):
        if thi >= float(row["from"]):
            word = row["word"]
    return word
