"""How old milk and samples may be."""

import pytest

from herdbook.science.emptying import default_emptying_rule, emptying_rules
from herdbook.science.sample_temperature import sample_is_accepted

HOUR = 3600


def test_72_hours_mean_three_different_things_in_three_states():
    """Emptied 06:00, first milking 16:00-18:00 on day one: three different ends."""
    moments = {"emptied_s": 6 * HOUR, "first_started_s": 16 * HOUR, "first_ended_s": 18 * HOUR}
    due = {
        key: emptying_rules()[key].due_s(**moments)
        for key in ("us-south-dakota", "us-michigan", "us-virginia")
    }
    assert due == {
        "us-south-dakota": (6 + 72) * HOUR,
        "us-michigan": (16 + 72) * HOUR,
        "us-virginia": (18 + 72) * HOUR,
    }
    assert emptying_rules()["us-new-york"].due_s(**moments) == (6 + 48) * HOUR


def test_a_tank_emptied_on_monday_at_7_is_due_on_thursday_at_7():
    monday = 7 * HOUR
    due = default_emptying_rule().due_s(emptied_s=monday, first_started_s=None, first_ended_s=None)
    assert due == monday + 3 * 24 * HOUR


def test_a_clock_that_has_not_begun_has_no_end():
    rule_ = emptying_rules()["us-virginia"]
    assert rule_.due_s(emptied_s=0, first_started_s=HOUR, first_ended_s=None) is None


@pytest.mark.parametrize(
    ("received", "collected", "hours", "taken"),
    [
        (5500, 5600, 2, True),
        (5500, 5600, 4, False),
        (5500, 5600, 3, False),
        (5500, 5400, 2, False),
        (4500, 3000, 20, True),
        (7010, 7200, 1, False),
        (7000, 7000, 1, True),
        (-100, 2000, 1, False),
    ],
)
def test_a_warm_sample_is_taken_when_young_and_not_warming(received, collected, hours, taken):
    """Alabama Admin. Code 420-3-16-.08, note to Table 1."""
    assert sample_is_accepted(received_mC=received, collected_mC=collected, age_s=hours * HOUR) is taken
