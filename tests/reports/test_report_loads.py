"""The loads of a day: planned, loaded, dropped, left, and what is off."""

from __future__ import annotations

import pytest

from tests.reports.byre import at, cell, feed, mix, show
from tests.yard import Yard

MON, TUE = "2026-03-02", "2026-03-03"
PLAN = ["Silage=3000", "Grain=500"]


def test_a_load_is_off_by_what_went_in_beyond_its_plan(byre: Yard) -> None:
    # 3,060 of 3,000 kg is +2 %, 490 of 500 kg is -2 %; 3,550 of 3,500 kg is +1.43 % of the load
    at(byre, f"{MON} 06:00").do("load", pen="High", planned=PLAN)
    byre.do("weigh", load="1", feed="Silage", scale="3060")
    assert cell(show(byre, "loads"), "loads", "load 1", "off_percent").value is None  # not all of it is in
    byre.do("weigh", load="1", feed="Grain", scale="3550")
    byre.do("drop", load="1", pen="High", weight="3400")
    report = show(byre, "loads")
    load = report.table("loads").lines[0].cells
    assert (load["planned_kg"].value, load["loaded_kg"].value) == (3500, 3550)
    assert load["off_percent"].value == pytest.approx(100 * 50 / 3500)
    assert (load["dropped_kg"].value, load["left_kg"].value, load["off_percent"].flag) == (3400, 150, "")
    assert cell(report, "feeds", "load 1 Silage", "off_percent").value == pytest.approx(2)
    assert cell(report, "feeds", "load 1 Grain", "off_kg").value == -10
    assert report.warnings == ()


@pytest.mark.parametrize(
    ("grain", "flag", "says"),
    [("525", "", "over"), ("526", "!", "over"), ("475", "", "under"), ("474", "!", "under")],
)
def test_more_than_five_per_cent_of_a_feed_is_said(byre: Yard, grain: str, flag: str, says: str) -> None:
    at(byre, f"{MON} 06:00").do("load", pen="High", planned=PLAN, loaded=["Silage=3000", f"Grain={grain}"])
    report = show(byre, "loads")
    off = cell(report, "feeds", "load 1 Grain", "off_percent")
    assert (off.flag, off.says) == (flag, says)
    assert bool(report.warnings) is bool(flag)


@pytest.mark.parametrize(("silage", "flag"), [("3070", ""), ("3071", "!"), ("2930", ""), ("2929", "!")])
def test_more_than_two_per_cent_of_a_load_is_said(byre: Yard, silage: str, flag: str) -> None:
    # 2 % of 3,500 kg is 70 kg
    at(byre, f"{MON} 06:00").do("load", pen="High", planned=PLAN, loaded=[f"Silage={silage}", "Grain=500"])
    assert cell(show(byre, "loads"), "loads", "load 1", "off_percent").flag == flag


def test_a_struck_weight_is_as_if_never_weighed_and_a_right_one_takes_its_place(byre: Yard) -> None:
    at(byre, f"{MON} 06:00").do("load", pen="High", planned=PLAN)
    byre.do("weigh", load="1", feed="Silage", weight="3000")
    wrong = byre.do("weigh", load="1", feed="Grain", weight="600").entry
    assert cell(show(byre, "loads"), "feeds", "load 1 Grain", "off_percent").value == pytest.approx(20)
    right = byre.do("weigh", corrects=wrong, load="1", feed="Grain", weight="505").entry
    assert cell(show(byre, "loads"), "feeds", "load 1 Grain", "off_percent").value == pytest.approx(1)
    byre.do("strike", entry=str(right))
    grain = cell(show(byre, "loads"), "feeds", "load 1 Grain", "loaded_kg")
    assert grain.value is None
    assert cell(show(byre, "loads"), "loads", "load 1", "loaded_kg").value == 3000


def test_a_feed_that_was_not_in_the_plan_is_said(byre: Yard) -> None:
    at(byre, f"{MON} 06:00").do("load", pen="High", planned="Silage=3000")
    byre.do("weigh", load="1", feed="Silage", weight="3000")
    byre.do("weigh", load="1", feed="Grain", weight="50")
    report = show(byre, "loads")
    grain = cell(report, "feeds", "load 1 Grain", "off_percent")
    assert (grain.value, grain.flag, grain.says) == (None, "!", "not in the plan")
    assert cell(report, "feeds", "load 1 Grain", "off_kg").value == 50
    # silage alone is CP 8.0; with 40 kg of dry grain at 20 % it is (96 + 8) / 1,240 = 8.4
    assert report.warnings == (
        "Load 1, Grain, 50 kg, is not in the plan: CP +0.4 % of DM; no target is set.",
    )


def test_loads_are_those_of_the_day_and_a_struck_one_is_gone(byre: Yard) -> None:
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    mix(byre, f"{TUE} 06:00", "High", silage=3000, grain=500)
    entry = byre.row("SELECT max(number) AS n FROM entry WHERE chore = 'load'")["n"]
    assert [line.name for line in show(byre, "loads").table("loads").lines] == ["load 1"]
    byre.do("strike", entry=str(entry))
    report = show(byre, "loads")
    assert report.table("loads").lines == ()
    assert report.table("loads").nothing == "No load was begun on this day."
    assert cell(show(byre, "loads", of=MON), "loads", "load 1", "pens").value == "High"


def test_a_load_over_midnight_belongs_to_the_day_it_was_begun_on(byre: Yard) -> None:
    number = mix(byre, f"{MON} 23:50", "High", silage=3000, grain=500)
    at(byre, f"{TUE} 00:20").do("drop", load=f"y {number}", pen="High", weight="3500")
    assert cell(show(byre, "loads", of=MON), "loads", "load 1", "dropped_kg").value == 3500
    assert cell(show(byre, "intake", of=MON), "pens", f"{MON} High", "dropped_kg").value == 3500
