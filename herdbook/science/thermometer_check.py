"""Whether a tank's thermometer can be believed, from a reading taken beside it with a calibrated one."""

from __future__ import annotations

from herdbook.science.limits_compare import hundredths

ALLOWED_HUNDREDTHS_F = 200  # 2 °F, Washington WAC 16-125-200(5)


def thermometer_error_hundredths_F(*, shown_mC: int, reference_mC: int) -> int:
    """How much too warm a thermometer reads, in hundredths of a degree F; negative when it reads too cold.

    Args:
        shown_mC: what the tank's thermometer shows, thousandths of a degree C.
        reference_mC: what the calibrated thermometer shows in the same milk, agitated.
    """
    return hundredths(shown_mC, "degF") - hundredths(reference_mC, "degF")


def thermometer_is_off(*, shown_mC: int, reference_mC: int) -> bool:
    """Whether a thermometer is more than 2 °F away from a calibrated one.

    Of 534 farms checked about one tank thermometer in five was off by more than 3 °F, and one in twelve
    broken.

    Args:
        shown_mC: what the tank's thermometer shows, thousandths of a degree C.
        reference_mC: what the calibrated thermometer shows in the same milk, agitated.

    References:
        .. [1] Washington WAC 16-125-200(5): recorder within 2 °F.
        .. [2] J. Milk Food Technol. 29(9):276, abstract: the 534 farms.
    """
    error = thermometer_error_hundredths_F(shown_mC=shown_mC, reference_mC=reference_mC)
    return abs(error) > ALLOWED_HUNDREDTHS_F
