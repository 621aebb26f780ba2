"""Whether a laboratory may still take a milk sample that has warmed on the way."""

from __future__ import annotations

from decimal import Decimal

from herdbook.science.limits_compare import Limit, at_or_under, too_cold

COLD = Limit(Decimal("4.5"), "degC")  # printed 0-4.5 °C (32-40 °F)
WARM = Limit(Decimal("7.0"), "degC")
FROZEN = Limit(Decimal("0"), "degC")
STILL_GOOD_S = 3 * 3600


def sample_is_accepted(*, received_mC: int, collected_mC: int, age_s: int) -> bool:
    """Whether a sample is fit to test by its temperature.

    0 to 4.5 °C is; between 4.5 and 7.0 °C it still is when under 3 h old and no warmer than at collection.

    Args:
        received_mC: temperature at the laboratory, thousandths of a degree C.
        collected_mC: temperature when it was taken.
        age_s: seconds since it was taken.

    References:
        .. [1] Alabama Admin. Code 420-3-16-.08, note to Table 1.
    """
    if too_cold(received_mC, FROZEN, open_end=False):
        return False
    if at_or_under(received_mC, COLD):
        return True
    return at_or_under(received_mC, WARM) and age_s < STILL_GOOD_S and received_mC <= collected_mC
