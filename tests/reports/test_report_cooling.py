"""How milkings cooled over days, and their league, through real entries of mornings whose times are known."""

from __future__ import annotations

import pytest

from herdbook.reports.figures import Report
from tests.reports.byre import at, cell, show
from tests.yard import Yard

# Minutes after the end of each morning's milking at which 45 °F was read first; none where it never was.
COLD_AFTER = {"2026-02-24": 75, "2026-02-25": 45, "2026-02-26": 135, "2026-02-27": None, "2026-02-28": 60}


@pytest.fixture
def mornings(byre: Yard) -> Yard:
    """1,500 kg each morning from 06:00 to 07:00, read every quarter of an hour, emptied at 18:00."""
    for day, minutes in COLD_AFTER.items():
        at(byre, f"{day} 07:00").do("milking", started=f"{day} 06:00", ended=f"{day} 07:00", milk="1500")
        for quarter in range(1, 10):
            degrees = 44.0 if minutes is not None and 15 * quarter >= minutes else 66 - 2 * quarter
            at(byre, f"{day} {7 + quarter // 4:02}:{15 * (quarter % 4):02}").do(
                "temperature", reading=f"{degrees}F"
            )
        at(byre, f"{day} 18:00").do("pickup", weight="1500")
    return byre


def league(report: Report) -> list[tuple[object, object, object]]:
    return [
        (line["place"].value, line["cooled_min"].value, line["state"].value)
        for line in report.table("league").lines
    ]


def test_the_league_ranks_milkings_by_minutes_to_the_limit_and_those_never_cold_stand_last(
    mornings: Yard,
) -> None:
    assert league(show(mornings, "cooling")) == [
        (1, 45, "met"),
        (2, 60, "met"),
        (3, 75, "met"),
        (4, 135, "missed"),
        (None, None, "missed"),
    ]


def test_a_span_counts_its_own_verdicts_and_the_league_ends_with_it(mornings: Yard) -> None:
    report = show(mornings, "cooling", of="2026-02-25..2026-02-26")
    # 45 °F within 2 h of the end: met on the 25th and missed on the 26th; 50 °F by 10:00 and the blend were met
    assert (report.facts["milkings"].value, report.facts["missed"].value) == (2, 1)
    assert len(league(report)) == 3
    assert [line["milking"].value for line in report.table("verdicts").lines] == sorted(
        [line["milking"].value for line in report.table("verdicts").lines], reverse=True
    )


def test_milk_of_the_league_is_metered_and_heat_is_said_where_the_milk_before_is_known(
    mornings: Yard,
) -> None:
    report = show(mornings, "cooling")
    first, slow = "Tue 24 Feb 06:00", "Thu 26 Feb 06:00"
    assert cell(report, "league", slow, "milk_kg").value == 1500
    # 2 °F each quarter of an hour: 1,500 kg * 3.894 kJ/kg.K * 8 / 1.8 °C in an hour are 7.2 kW, at 15 °C
    assert cell(report, "league", slow, "heat_kW").number == pytest.approx(7.2, rel=0.25)
    # what stood in the tank before the book's first milking nobody knows
    assert cell(report, "league", first, "heat_kW").value is None
    assert cell(report, "league", first, "heat_kW").missing == ("milk not known, or too few readings",)


def test_the_newest_milking_is_foreseen_in_it_as_in_the_tank(mornings: Yard) -> None:
    at(mornings, "2026-03-01 07:00").do(
        "milking", started="2026-03-01 06:00", ended="2026-03-01 07:00", milk="1500"
    )
    at(mornings, "2026-03-01 07:20").do("temperature", reading="60F")
    row = "Sun 1 Mar 06:00 each-45"
    cooling, tank = show(mornings, "cooling", tank="Tank"), show(mornings, "tank")
    for key in ("expected_at", "expected_from_at", "expected_until_at", "late_percent"):
        assert cell(cooling, "verdicts", row, key).value == cell(tank, "deadlines", row, key).value
    assert cell(cooling, "verdicts", row, "late_percent").value is not None
    assert cooling.facts["heat_kW"].value == tank.facts["heat_kW"].value


def test_days_without_a_milking_say_so(byre: Yard) -> None:
    report = show(byre, "cooling", of="-3..-2")
    assert report.facts["milkings"].value == 0
    assert report.table("verdicts").lines == ()
