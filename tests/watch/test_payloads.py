"""What a topic's messages say, and what they cannot: a message nobody can read must never end the watcher."""

from __future__ import annotations

import pytest

from herdbook.watch.mqtt_source import Heard, understand_payload


@pytest.mark.parametrize(
    ("payload", "heard"),
    [
        ("3.9", Heard(3_900, None)),
        ("39.2 F", Heard(4_000, None)),
        (
            '{"temperature": 39.2, "unit": "F", "time": "2026-03-09T05:00:00-05:00"}',
            Heard(4_000, 1_773_050_400),
        ),
        ('{"temperature_c": 4, "time": 1773050400123}', Heard(4_000, 1_773_050_400)),
    ],
)
def test_a_message_is_a_number_or_an_object_of_the_manual(payload: str, heard: Heard) -> None:
    assert understand_payload(payload.encode(), "C") == heard


@pytest.mark.parametrize(
    ("time", "at_s"),
    [("0001-01-01T00:00:00+14:00", -62_135_647_200), ("9999-12-31T23:59:59-14:00", 253_402_351_199)],
)
def test_a_time_at_the_ends_of_the_calendar_is_left_to_the_look_at_what_can_be(time: str, at_s: int) -> None:
    payload = f'{{"temperature_c": 4, "time": "{time}"}}'
    assert understand_payload(payload.encode(), "") == Heard(4_000, at_s)


@pytest.mark.parametrize("time", ["noon", "24:00", "²²²²²²²²²²", "2026-03-09T05:00:00"])
def test_a_time_that_is_none_is_said(time: str) -> None:
    with pytest.raises(ValueError, match="has a `time`"):
        understand_payload(f'{{"temperature_c": 4, "time": "{time}"}}'.encode(), "")
