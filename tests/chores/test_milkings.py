"""Milkings typed on the farm's clock: over the changed hours, ahead, the wrong way round, and one over another."""

from __future__ import annotations

import pytest

from herdbook.errors import HerdbookError
from tests.reports.byre import at, show
from tests.yard import HOUR, Yard


@pytest.fixture
def tank(bare_yard: Yard) -> Yard:
    bare_yard.do("tank", name="North", holds="20,000 lb")
    return bare_yard


@pytest.mark.parametrize(("started", "ended", "hours"), [
    ("0030", "0230", 3),  # over the doubled hour
    ("0030", "0130", 1),  # the first 01:30
    ("0030", "0130b", 2),  # the second
    ("0130b", "0230", 1),
])  # fmt: skip
def test_a_milking_over_the_doubled_hour_is_as_long_as_it_was(
    tank: Yard, started: str, ended: str, hours: int
) -> None:
    at(tank, "2026-11-01 12:00")
    tank.do("milking", started=started, ended=ended)
    (milking,) = show(tank, "tank").data.milkings
    assert (milking.ended_at - milking.started_at) / HOUR == hours


def test_a_milking_over_the_hour_that_spring_skips_is_an_hour_shorter(tank: Yard) -> None:
    at(tank, "2027-03-14 12:00")
    tank.do("milking", started="0130", ended="0330")
    (milking,) = show(tank, "tank").data.milkings
    assert (milking.ended_at - milking.started_at) / HOUR == 1


@pytest.mark.parametrize(("texts", "says"), [
    ({"started": "0230", "ended": "0330"}, "2027-03-14 02:30 does not exist: the clocks went forward"),
    ({"started": "0700", "ended": "0500"}, "Sun 14 Mar 05:00 is not after the start at Sun 14 Mar 07:00"),
    ({"started": "0700", "ended": "0700"}, "is not after the start"),
    ({"started": "0500", "ended": "1300"}, "ended: Sun 14 Mar 13:00 is 60 min ahead"),
    ({"started": "2027-03-15 05:00"}, "started: Mon 15 Mar 05:00 is 17 h ahead"),
    ({"started": "0430", "ended": "0530"}, "The milking that began Sun 14 Mar 04:00 lasted to Sun 14 Mar 05:00"),
    ({"started": "0400", "ended": "0500"}, "The milking that began Sun 14 Mar 04:00 lasted to Sun 14 Mar 05:00"),
    ({"started": "25:00"}, "started"),
])  # fmt: skip
def test_what_cannot_be_is_told_in_a_sentence_and_not_written(
    tank: Yard, texts: dict[str, str], says: str
) -> None:
    at(tank, "2027-03-14 12:00")
    tank.do("milking", started="0400", ended="0500")
    state = tank.state()
    with pytest.raises(HerdbookError, match=r".") as told:
        tank.do("milking", **texts)
    assert says in str(told.value)
    assert tank.state() == state
