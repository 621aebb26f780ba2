"""How far a thermometer is off, in words: the same when it is written and wherever it is shown."""

from __future__ import annotations

from herdbook.chores.ground import Ground
from herdbook.science.thermometer_check import thermometer_error_hundredths_F


def error_words(shown_mC: int, reference_mC: int, ground: Ground) -> str:  # noqa: N803
    """`reads 1.2 °F too warm`, in the farm's unit; `reads true` where that is less than a twentieth of a degree.

    Args:
        shown_mC: what it shows, thousandths of a degree C.
        reference_mC: what the calibrated one shows beside it.
        ground: the farm's units.
    """
    off = thermometer_error_hundredths_F(shown_mC=shown_mC, reference_mC=reference_mC)
    warmth = ground.units.warmth
    degrees = round(abs(off) / (100 if warmth == "°F" else 180), 1)
    return f"reads {degrees:.1f} {warmth} too {'warm' if off > 0 else 'cold'}" if degrees else "reads true"
