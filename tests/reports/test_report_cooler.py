"""A cooler's loss of power through real entries: mornings of a steady cooler, then mornings of a weaker one."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from tests.reports.byre import at, cell, show
from tests.yard import Yard

FIRST = date(2026, 2, 24)


def mornings(yard: Yard, count: int, *, weaker_from: int) -> None:
    """1,500 kg from 06:00 to 07:00, read at 07:10, 07:30 and 07:50, emptied at noon.

    A steady cooler takes 6 °C out in 20 minutes, the weaker one 4.5; a little off each day, in turn.
    """
    for number in range(count):
        day = (FIRST + timedelta(days=number)).isoformat()
        fall = (4.5 if number >= weaker_from else 6.0) + (0.0, 0.2, -0.1)[number % 3]
        at(yard, f"{day} 07:00").do("milking", started=f"{day} 06:00", ended=f"{day} 07:00", milk="1500")
        for step, time in enumerate(("07:10", "07:30", "07:50")):
            at(yard, f"{day} {time}").do("temperature", reading=f"{19 - step * fall:.1f}C")
        at(yard, f"{day} 12:00").do("pickup", weight="1500")


def test_a_weaker_cooler_is_said_with_its_loss_its_day_and_its_evidence_and_stands_on_today(
    byre: Yard,
) -> None:
    mornings(byre, 30, weaker_from=22)
    report = show(byre, "cooler")
    # 4.5 °C where it was 6.0: a quarter less
    assert report.facts["lost_percent"].number == pytest.approx(25, abs=6)
    since = date.fromtimestamp(report.facts["since"].number or 0)
    assert abs((since - (FIRST + timedelta(days=22))).days) <= 1
    (said,) = report.warnings
    assert said.startswith("The cooler has lost about ")
    assert "certified technician" in said
    alerts = [line["says"].value for line in show(byre, "today").table("alerts").lines]
    assert said in alerts
    day = (FIRST + timedelta(days=29)).strftime("%a %-d %b 06:00")
    assert cell(report, "milkings", day, "off_percent").number == pytest.approx(-25, abs=8)
    assert len(cell(report, "milkings", day, "heat_kW").entries()) == 4  # the milking and its three readings


def test_a_steady_cooler_has_lost_nothing(byre: Yard) -> None:
    mornings(byre, 30, weaker_from=99)
    report = show(byre, "cooler")
    assert report.facts["lost_percent"].value is None
    assert report.facts["says"].value == "nothing lost that stands out"
    assert report.warnings == ()


def test_few_milkings_say_how_many_are_needed(byre: Yard) -> None:
    mornings(byre, 5, weaker_from=99)
    said = show(byre, "cooler").facts["says"]
    assert said.value == "4 milkings show their heat, 21 are needed"
    assert said.missing == (said.value,)
