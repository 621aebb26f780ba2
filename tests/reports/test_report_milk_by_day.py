"""Milk of each farm day: pickups spread back over the milkings they took, by hand in the comments."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from herdbook.book.opening import reading
from herdbook.clock import FarmClock
from herdbook.reports.catalogue import ground_for_reading
from herdbook.reports.figures import Figure
from herdbook.reports.milked import milk_by_day
from tests.reports.byre import CLOCK, at, milk, started
from tests.yard import Yard

MON, TUE, WED, THU = "2026-03-02", "2026-03-03", "2026-03-04", "2026-03-05"


def milk_of(yard: Yard, day: str) -> Figure:
    """The milk of a farm day, as a report reads it."""
    with reading(yard.path) as connection:
        ground = ground_for_reading(connection, yard.now_s)
        return milk_by_day(connection, ground, date.fromisoformat(day), date.fromisoformat(day))[
            date.fromisoformat(day)
        ]


def three_milkings(yard: Yard, *texts: dict[str, str]) -> None:
    for (start, end), its in zip(
        (
            (f"{MON} 05:00", f"{MON} 07:00"),
            (f"{MON} 17:00", f"{MON} 19:00"),
            (f"{TUE} 05:00", f"{TUE} 07:00"),
        ),
        texts,
        strict=True,
    ):
        milk(yard, start, end, **its)


def test_a_pickup_is_shared_by_metered_milk(byre: Yard) -> None:
    # meters say 1,000, 1,500 and 1,500 kg, the ticket 4,040: each milking is 1 % more than its meter
    three_milkings(byre, {"milk": "1000"}, {"milk": "1500"}, {"milk": "1500"})
    at(byre, f"{TUE} 10:00").do("pickup", weight="4040")
    at(byre, f"{WED} 05:00")
    monday = milk_of(byre, MON)
    assert monday.value == pytest.approx(1010 + 1515)
    assert milk_of(byre, TUE).value == pytest.approx(1515)
    assert "metered" in monday.rule
    assert monday.missing == ()


def test_where_one_was_not_metered_cows_share_the_pickup(byre: Yard) -> None:
    # 100, 100 and 50 cows: two fifths, two fifths, one fifth of 4,000 kg
    three_milkings(byre, {"milk": "1000", "cows": "100"}, {"cows": "100"}, {"cows": "50"})
    at(byre, f"{TUE} 10:00").do("pickup", weight="4000")
    at(byre, f"{WED} 05:00")
    assert milk_of(byre, MON).value == pytest.approx(3200)
    assert milk_of(byre, TUE).value == pytest.approx(800)


def test_where_nothing_was_counted_the_pickup_is_shared_evenly(byre: Yard) -> None:
    three_milkings(byre, {"cows": "100"}, {}, {})
    at(byre, f"{TUE} 10:00").do("pickup", weight="3900")
    at(byre, f"{WED} 05:00")
    assert milk_of(byre, MON).value == pytest.approx(2600)
    assert "evenly" in milk_of(byre, TUE).rule


def test_a_partial_pickup_counts_with_the_one_that_empties(byre: Yard) -> None:
    # 1,000 kg taken in part on Monday evening and 3,000 on Tuesday: 4,000 over 1,000 + 1,500 + 1,500 metered
    milk(byre, f"{MON} 05:00", f"{MON} 07:00", milk="1000")
    milk(byre, f"{MON} 17:00", f"{MON} 19:00", milk="1500")
    at(byre, f"{MON} 20:00").do("pickup", weight="1000", emptied="no")
    milk(byre, f"{TUE} 05:00", f"{TUE} 07:00", milk="1500")
    assert milk_of(at(byre, f"{TUE} 08:00"), MON).value == pytest.approx(2500)  # not emptied yet: as metered
    at(byre, f"{TUE} 10:00").do("pickup", weight="3100")
    at(byre, f"{WED} 05:00")
    assert milk_of(byre, MON).value == pytest.approx(4100 * 2500 / 4000)
    assert milk_of(byre, TUE).value == pytest.approx(4100 * 1500 / 4000)


def test_milk_not_yet_picked_up_counts_as_metered_and_without_a_meter_is_not_known(byre: Yard) -> None:
    milk(byre, f"{MON} 05:00", f"{MON} 07:00", milk="1000")
    at(byre, f"{TUE} 04:00")
    assert milk_of(byre, MON).value == pytest.approx(1000)
    milk(byre, f"{TUE} 05:00", f"{TUE} 07:00", milk="1000")
    milk(byre, f"{TUE} 17:00", f"{TUE} 19:00")
    at(byre, f"{WED} 04:00")
    tuesday = milk_of(byre, TUE)
    assert tuesday.value is None
    assert tuesday.missing == ("1 of 2 milkings not picked up yet and not metered",)


def test_the_day_that_runs_says_that_it_is_not_over(byre: Yard) -> None:
    milk(byre, f"{MON} 05:00", f"{MON} 07:00", milk="1000")
    assert milk_of(byre, MON).missing == ("the day is not over",)


def test_milk_of_several_tanks_is_added_up_each_with_its_own_pickups(byre: Yard) -> None:
    byre.do("tank", name="Small", holds="5000")
    milk(byre, f"{MON} 05:00", f"{MON} 07:00", milk="1000", tank="Tank")
    milk(byre, f"{MON} 05:00", f"{MON} 07:30", milk="500", tank="Small")
    at(byre, f"{MON} 10:00").do("pickup", weight="1100", tank="Tank")
    at(byre, f"{TUE} 05:00")
    assert milk_of(byre, MON).value == pytest.approx(1100 + 500)


def test_a_milking_that_runs_while_the_tank_is_emptied_is_parted_by_time(byre: Yard) -> None:
    # Monday 3,000 kg; Tuesday's 2,000 kg flow 05:00 to 07:00 and the tank is emptied at 06:00, so half of them
    # were in it: 4,000 of 4,000 kg taken, and 1,000 kg of Tuesday's milking stay as metered
    milk(byre, f"{MON} 17:00", f"{MON} 19:00", milk="3000")
    milk(byre, f"{TUE} 05:00", f"{TUE} 07:00", milk="2000")
    at(byre, f"{TUE} 08:00").do("pickup", weight="4400", picked="600")
    at(byre, f"{WED} 04:00")
    assert milk_of(byre, MON).value == pytest.approx(4400 * 3 / 4)
    assert milk_of(byre, TUE).value == pytest.approx(4400 / 4 + 1000)
    milk(byre, f"{WED} 05:00", f"{WED} 07:00", milk="3000")
    at(byre, f"{WED} 10:00").do("pickup", weight="4000")
    at(byre, f"{THU} 04:00")
    # the other half of Tuesday's milking is 1,000 of the 4,000 kg metered in the second pickup
    assert milk_of(byre, TUE).value == pytest.approx(4400 / 4 + 4000 / 4)
    assert milk_of(byre, WED).value == pytest.approx(3000)


@pytest.mark.parametrize(("picked", "monday_kg", "tuesday_kg"), [("655", 2500, 2500), ("505", 5000, 2000)])
def test_clocks_that_differ_by_minutes_do_not_part_a_milking(
    byre: Yard, picked: str, monday_kg: float, tuesday_kg: float
) -> None:
    # emptied five minutes before the end, the milking is all in the pickup (5,000 kg by equal meters);
    # five minutes after its start, all of it stays as metered
    milk(byre, f"{MON} 17:00", f"{MON} 19:00", milk="2000")
    milk(byre, f"{TUE} 05:00", f"{TUE} 07:00", milk="2000")
    at(byre, f"{TUE} 08:00").do("pickup", weight="5000", picked=picked)
    at(byre, f"{WED} 04:00")
    assert milk_of(byre, MON).value == pytest.approx(monday_kg)
    assert milk_of(byre, TUE).value == pytest.approx(tuesday_kg)


def test_a_struck_pickup_gives_its_milk_back_to_the_meters(byre: Yard) -> None:
    milk(byre, f"{MON} 05:00", f"{MON} 07:00", milk="1000")
    wrong = at(byre, f"{MON} 10:00").do("pickup", weight="1900").entry
    at(byre, f"{TUE} 04:00")
    assert milk_of(byre, MON).value == pytest.approx(1900)
    byre.do("strike", entry=str(wrong))
    assert milk_of(byre, MON).value == pytest.approx(1000)


def test_a_milking_belongs_to_the_farm_day_it_began_on_whatever_the_clocks_do(byre: Yard) -> None:
    # 8 March 2026 has 23 hours, 1 November 25: 01:30 comes twice and both are that day's
    at(byre, "2026-03-09 05:00")
    milk(byre, "2026-03-08 01:30", "2026-03-08 03:30", milk="1000")
    milk(byre, "2026-03-08 23:30", "2026-03-09 01:30", milk="500")
    assert milk_of(at(byre, "2026-03-10 05:00"), "2026-03-08").value == pytest.approx(1500)
    milk(byre, "2026-11-01 00:30", "2026-11-01 01:20", milk="700")
    milk(byre, "2026-11-01 0130b", "2026-11-01 03:30", milk="800")
    assert milk_of(at(byre, "2026-11-02 05:00"), "2026-11-01").value == pytest.approx(1500)


def test_before_the_farms_day_begins_a_milking_belongs_to_the_day_before(tmp_path: Path) -> None:
    yard = started(tmp_path / "late.book", day_start="240")
    clock = FarmClock(CLOCK.zone_name, 240)
    milk(yard, f"{MON} 17:00", f"{MON} 19:00", milk="1000")
    milk(yard, f"{TUE} 03:00", f"{TUE} 03:50", milk="200")
    milk(yard, f"{TUE} 04:00", f"{TUE} 05:00", milk="30")
    at(yard, f"{WED} 05:00", clock)
    assert milk_of(yard, MON).value == pytest.approx(1200)
    assert milk_of(yard, TUE).value == pytest.approx(30)
    yard.book.close()
