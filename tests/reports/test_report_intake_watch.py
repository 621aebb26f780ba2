"""Likely falls of a pen are told on Today and in the week with their evidence, and nothing else is."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.reports.byre import at, cell, feed, show, started
from tests.yard import Yard

FIRST = date(2026, 2, 24)
TURN = (0, 30, -20, 10, -30, 20, 0, -10, 30, -20, 10, 0)  # kg of leavings about 105 kg


@pytest.fixture
def herd(tmp_path: Path) -> Iterator[Yard]:
    """A farm whose High pen, 100 cows, ate about 15.5 kg on each of twelve days, and Low as much."""
    yard = started(tmp_path / "watch.book")
    for place, off in enumerate(TURN):
        a_day(yard, FIRST + timedelta(days=place), high=105 + off, low=52)
    yield yard
    yard.book.close()


def a_day(yard: Yard, day: date, *, high: float | None, low: float | None) -> None:
    """Feed both pens and weigh back next morning; none where nobody did."""
    feed(yard, f"{day} 06:00", "High", silage=3000, grain=500)
    feed(yard, f"{day} 06:30", "Low", silage=1500, grain=250)
    at(yard, f"{day + timedelta(days=1)} 05:00")
    for pen, kg in (("High", high), ("Low", low)):
        if kg is not None:
            yard.do("refusal", pen=pen, weight=f"{kg:g}", fed=day.isoformat())


def alerts(yard: Yard) -> dict[str, str]:
    return {
        str(line["about"].value): str(line["says"].value)
        for line in show(yard, "today").table("alerts").lines
    }


def day(place: int) -> date:
    return FIRST + timedelta(days=place)


def test_days_as_usual_raise_nothing(herd: Yard) -> None:
    assert alerts(herd) == {}
    report = show(herd, "intake-watch")
    assert report.warnings == ()
    line = f"{day(11)} High"
    # 3,500 kg at 1,600 kg of dry matter, 105 kg left: 1,552 kg over 100 cows, as the middle of the days before
    assert cell(report, "pens", line, "dm_usual_kg").value == pytest.approx(15.52, abs=0.05)
    assert cell(report, "pens", line, "dm_set_kg").value == pytest.approx(16)


def test_two_low_days_are_told_with_the_evidence(herd: Yard) -> None:
    # 350 kg left: 1,440 kg of dry matter eaten, 14.4 kg a head, 7.2 % below 15.52
    a_day(herd, day(12), high=350, low=52)
    a_day(herd, day(13), high=350, low=52)
    says = alerts(herd)["High"]
    assert says.startswith(
        "ate 14.4 kg a head, -7 %, -7 % over two days against the middle of its last 12 days, 15.5 kg"
    )
    assert "Low" not in alerts(herd)
    report = show(herd, "intake-watch")
    figure = cell(report, "pens", f"{day(13)} High", "off_percent")
    assert (figure.value, figure.flag) == (pytest.approx(-7.2, abs=0.3), "!")
    assert cell(report, "pens", f"{day(13)} High", "says").value == "likely fall"


def test_a_refusal_nobody_wrote_neither_raises_nor_hides(herd: Yard) -> None:
    a_day(herd, day(12), high=None, low=52)
    assert alerts(herd) == {}
    a_day(herd, day(13), high=400, low=52)
    assert "High" in alerts(herd)


def test_pens_that_fall_together_point_at_dry_matter_and_scale(herd: Yard) -> None:
    a_day(herd, day(12), high=400, low=200)
    a_day(herd, day(13), high=400, low=200)
    assert (
        "1 of 1 other pens ate less too: look at dry matter, scale and weather first." in alerts(herd)["High"]
    )


def test_heat_and_a_changed_call_stand_beside_a_fall(herd: Yard) -> None:
    herd.do("weather", air="31C", humidity="40", of=day(12).isoformat())  # index 78: moderate
    herd.do("pen-ration", pen="High", ration="Milk", call="103%", since=day(13).isoformat())
    a_day(herd, day(12), high=400, low=52)
    a_day(herd, day(13), high=400, low=52)
    says = alerts(herd)["High"]
    assert "Heat: index 78 on Sun 8 Mar, moderate heat stress." in says
    assert "Its ration or call was changed for Mon 9 Mar." in says


def test_less_fed_is_told_as_a_matter_of_the_call(herd: Yard) -> None:
    for place in (12, 13):
        feed(herd, f"{day(place)} 06:00", "High", silage=2700, grain=450)
        at(herd, f"{day(place + 1)} 05:00").do("refusal", pen="High", weight="0", fed=day(place).isoformat())
    assert "10 % less was fed, 0.0 % of it left: look at the call." in alerts(herd)["High"]


def test_the_running_day_is_not_judged_before_its_refusal(herd: Yard) -> None:
    feed(herd, f"{day(12)} 06:00", "High", silage=1500, grain=250)
    assert alerts(herd) == {}


def test_what_equations_foretell_stands_beside_what_was_eaten(herd: Yard) -> None:
    herd.do(
        "pen-cows",
        pen="High",
        weight="680",
        days_in_milk="150",
        milk="38",
        fat="3.8",
        since=FIRST.isoformat(),
    )
    report = show(herd, "intake-watch", pen="High")
    found = cell(report, "predicted", "High dmi-lactating-2001", "dm_kg")
    # (0.372 * (0.4 * 38 + 15 * 38 * 0.038) + 0.0968 * 680 ** 0.75) * (1 - exp(-0.192 * (150 / 7 + 3.67)))
    assert found.value == pytest.approx(26.40, abs=0.05)
    assert cell(report, "predicted", "High dmi-lactating-2001", "off_kg").value == pytest.approx(
        15.52 - 26.40, abs=0.1
    )
