"""Pickups, entries, pens, feeds and people: what the book says, as it stands."""

from __future__ import annotations

import pytest

from herdbook.errors import Refused
from tests.reports.byre import at, cell, milk, show
from tests.yard import Yard

MON, TUE = "2026-03-02", "2026-03-03"
CHART = ["10 cm=1000", "50 cm=6000"]


def test_a_pickup_is_held_against_the_stick_chart(byre: Yard) -> None:
    # 30 cm lies half way: 3,500 kg; 3,570 on the ticket is 2 % more
    byre.do("tank", name="Small", holds="6000", mark=CHART)
    ticket = {"tank": "Small", "ticket": "A1", "hauler": "Gus", "temperature": "3.5 C"}
    at(byre, f"{MON} 10:00").do("pickup", weight="3570", stick="30 cm", **ticket)
    at(byre, f"{MON} 11:00").do("pickup", tank="Tank", weight="2000")
    report = show(byre, "pickups")
    newest, older = (line.cells for line in report.table("pickups").lines)
    assert (newest["tank"].value, newest["chart_gap_percent"].value) == ("Tank", None)
    assert older["chart_gap_percent"].value == pytest.approx(2)
    assert (older["ticket"].value, older["hauler"].value, older["tank_degC"].value) == ("A1", "Gus", 3.5)
    assert older["stick_mm"].value == 300
    assert (report.facts["shipped_kg"].value, report.facts["pickups"].value) == (5570, 2)


def test_a_chart_that_was_made_shorter_later_leaves_old_pickups_readable(byre: Yard) -> None:
    wrong = byre.do("tank", name="Small", holds="6000", mark=CHART).entry
    at(byre, f"{MON} 10:00").do("pickup", tank="Small", weight="5900", stick="49 cm")
    byre.do("tank", corrects=wrong, name="Small", holds="6000", mark=["10 cm=1000", "40 cm=6000"])
    (line,) = show(byre, "pickups").table("pickups").lines
    assert (line["stick_mm"].value, line["chart_gap_percent"].value) == (490, None)


def test_pickups_go_back_as_many_days_as_asked(byre: Yard) -> None:
    at(byre, f"{MON} 10:00").do("pickup", weight="1000")
    at(byre, f"{TUE} 10:00").do("pickup", weight="2000")
    assert show(byre, "pickups", days="1").facts["shipped_kg"].value == 2000
    assert show(byre, "pickups", of=MON, days="1").facts["shipped_kg"].value == 1000
    at(byre, "2026-04-20 10:00")
    empty = show(byre, "pickups")
    assert (empty.facts["shipped_kg"].value, empty.facts["pickups"].value) == (None, 0)


def test_entries_come_newest_first_and_a_struck_one_stays_in_view(byre: Yard) -> None:
    at(byre, f"{MON} 10:00")
    wrong = byre.do("head", pen="High", head="99").entry
    right = byre.do("head", corrects=wrong, pen="High", head="98").entry
    struck = byre.do("head", pen="Low", head="1").entry
    strike = byre.do("strike", entry=str(struck), because="typed wrong").entry
    report = show(byre, "entries", last="4")
    numbers = [line["entry"].value for line in report.table("entries").lines]
    assert numbers == [strike, struck, right, wrong]
    marks = [line["mark"].value for line in report.table("entries").lines]
    assert marks == [None, "×", "c", "×"]
    assert cell(report, "entries", str(wrong), "struck_by").value == right
    assert cell(report, "entries", str(strike), "note").value == "typed wrong"
    assert cell(report, "entries", str(right), "who").value == "Ada"


def test_entries_of_a_farm_day_are_those_that_speak_of_it(byre: Yard) -> None:
    at(byre, f"{TUE} 05:00")
    of_monday = byre.do("head", pen="High", head="99", counted="y 1800").entry
    assert [line["entry"].value for line in show(byre, "entries", of=MON).table("entries").lines] == [
        of_monday
    ]


def test_one_entry_is_shown_whole_with_its_link_in_the_chain(byre: Yard) -> None:
    number = byre.do("head", pen="High", head="99").entry
    report = show(byre, "entries", number=str(number))
    before = byre.row("SELECT hash FROM entry WHERE number = ?", number - 1)["hash"]
    assert report.facts["previous"].value == before
    head = [line for line in report.table("rows").lines if line["field"].value == "head"]
    assert [(line["table"].value, line["value"].value) for line in head] == [("head_count", 99)]
    assert report.data["head"] == 99
    with pytest.raises(Refused, match="no entry 9999"):
        show(byre, "entries", number="9999")


def test_pens_stand_in_walking_order_with_their_heads_and_rations(byre: Yard) -> None:
    byre.do("pen", name="Door", walk="1")
    byre.do("pen-ration", pen="Low", ration="Milk", call="104", feedings="2")
    report = show(byre, "pens")
    assert [line.name for line in report.table("pens").lines] == ["High", "Door", "Low", "Young"]
    low = report.table("pens").lines[2].cells
    assert (low["head"].value, low["ration"].value) == (50, "Milk")
    assert (low["call_percent"].value, low["feedings"].value) == (104, 2)
    door = report.table("pens").lines[1].cells
    assert (door["head"].value, door["ration"].value) == (None, None)


def test_feeds_show_the_newer_of_test_and_analysis(byre: Yard) -> None:
    at(byre, f"{MON} 08:00").do("dry-matter", feed="Silage", dry="39")
    silage = show(byre, "feeds").table("feeds").lines[0].cells
    assert (silage["dm_percent"].value, silage["dm_from"].value) == (39, f"tested {MON}")
    assert (silage["analysed_on"].value, silage["figures"].value) == ("2026-02-23", 2)
    assert silage["price_cents_per_t"].value == 5000
    at(byre, f"{TUE} 08:00").do("analysis", feed="Silage", dry="38", value="cp=nd")
    silage = show(byre, "feeds").table("feeds").lines[0].cells
    assert (silage["dm_percent"].value, silage["dm_from"].value) == (38, f"analysed {TUE}")
    assert silage["figures"].value == 0  # not determined is not a figure


def test_people_are_told_with_what_they_may_do(byre: Yard) -> None:
    byre.do("person", name="Ben", roles=["nutritionist", "reader"])
    lines = show(byre, "people").table("people").lines
    assert [(line["person"].value, line["roles"].value) for line in lines] == [
        ("Ada", "owner"),
        ("Ben", "nutritionist, reader"),
    ]


def test_milk_a_day_on_which_nothing_was_milked_is_not_zero(byre: Yard) -> None:
    milk(byre, f"{MON} 05:00", f"{MON} 07:00", milk="1000")
    at(byre, f"{TUE} 12:00")
    assert cell(show(byre, "week"), "days", TUE, "milk_kg").value is None
