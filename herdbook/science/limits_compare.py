"""Comparing a temperature reading with a limit, in the limit's own unit and never through another."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

Unit = Literal["degC", "degF"]
UNITS: tuple[Unit, ...] = ("degC", "degF")


@dataclass(frozen=True, slots=True)
class Limit:
    """A temperature limit as the text prints it: 45 °F stays 45 °F, it is not 7 °C.

    Attributes:
        value: the printed number.
        unit: "degC" or "degF", as printed.
    """

    value: Decimal
    unit: Unit

    @classmethod
    def of_hundredths(cls, value: int, unit: Unit) -> Limit:
        """A limit given in hundredths of a degree of its unit."""
        return cls(Decimal(value) / 100, unit)

    @property
    def hundredths(self) -> int:
        """The limit in hundredths of a degree of its own unit."""
        return int(self.value * 100)

    @property
    def mC(self) -> int:
        """The limit in thousandths of a degree C, rounded: to draw and to forecast with, not for verdicts."""
        if self.unit == "degC":
            return int(self.value * 1000)
        return round((self.value - 32) * 5000 / 9)

    def __str__(self) -> str:
        return f"{self.value.normalize():f} {'°F' if self.unit == 'degF' else '°C'}"


def hundredths(reading_mC: int, unit: Unit) -> int:
    """A stored reading in hundredths of a degree of a unit, halves rounded up (towards warmer).

    Args:
        reading_mC: thousandths of a degree C, as stored.
        unit: "degC" or "degF".

    Returns:
        Hundredths of a degree; a reading typed to a tenth or a hundredth in that unit comes back exactly.
    """
    if unit == "degC":
        return (reading_mC + 5) // 10
    return (9 * reading_mC + 25) // 50 + 3200


def at_or_under(reading_mC: int, limit: Limit) -> bool:
    """Whether a stored reading passes a limit that says "or less".

    Args:
        reading_mC: thousandths of a degree C, as stored.
        limit: the limit in its own unit.

    Returns:
        True when the reading, in the limit's unit and rounded to a hundredth, is not above it: 45 °F typed
        and stored as 7222 passes 45 °F; 44.8 °F passes 45 °F and fails 7 °C.
    """
    return hundredths(reading_mC, limit.unit) <= limit.hundredths


def above_mC(reading_mC: int, limit: Limit) -> int:
    """How far a reading is above a limit, in thousandths of a degree C; 0 when it passes, else at least 1."""
    return 0 if at_or_under(reading_mC, limit) else max(1, reading_mC - limit.mC)


def too_cold(reading_mC: int, low: Limit, *, open_end: bool) -> bool:
    """Whether a reading is below what the text allows.

    Args:
        reading_mC: thousandths of a degree C, as stored.
        low: the lower limit in its own unit.
        open_end: True where the text says "above" the limit, so that the limit itself is too cold.
    """
    reading = hundredths(reading_mC, low.unit)
    return reading < low.hundredths or (open_end and reading == low.hundredths)
