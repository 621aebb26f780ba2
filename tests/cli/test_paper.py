"""A sheet for the wall, and the same sheet entered the next morning."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser
from typing import Any

import pytest

from tests.cli.conftest import Keyboard
from tests.reports.byre import at
from tests.yard import HOUR

TODAY = "2026-03-09"


@pytest.fixture
def wall(keyboard: Keyboard) -> Keyboard:
    """A farm whose one pen is fed twice a day, and nothing of tomorrow is mixed yet; it is five in the morning."""
    keyboard.yard.do("pen-ration", pen="High", ration="High 1", feedings="2")
    at(keyboard.yard, "2026-03-10 05:00")
    return keyboard


def test_a_sheet_is_80_columns_of_plain_letters_with_every_feed_and_blanks(wall: Keyboard) -> None:
    sheet = wall("print", "loads").out
    assert all(len(line) <= 80 for line in sheet.splitlines())
    assert sheet.isascii()
    # 17.3 lb dry at 33.6 % is 51.488 lb, x 52 / 2 = 1,338.7; 0.8 x 52 / 2 = 20.8 lb of mineral, under five steps
    assert "LOAD 1   feeding 1   Big wagon" in sheet
    corn = next(line for line in sheet.splitlines() if line.startswith(" 1  Corn silage"))
    assert corn.split()[3:] == ["1,340", "1,340", "_________", "___:___"]
    mineral = next(line for line in sheet.splitlines() if line.startswith(" 2  Mineral mix"))
    assert mineral.split()[3:] == ["+20.80", "1,360", "_________", "___:___"]
    assert "! Tenfold is poison." in sheet
    assert "REFUSALS of Mon 9 Mar" in sheet
    assert "Enter it: herdbook enter --of 2026-03-10" in sheet


def test_a_sheet_of_one_feeding_has_only_its_loads(wall: Keyboard) -> None:
    sheet = wall("print", "loads", "--feeding", "2").out
    assert "LOAD 2" in sheet
    assert "LOAD 1" not in sheet
    assert "REFUSALS" not in sheet  # they are weighed back before the first
    assert "--feeding 2" in sheet


class Cells(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.words = ""

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.tags.append(tag)

    def handle_data(self, data: str) -> None:
        self.words += f"{data}\n"


def test_the_html_is_one_file_in_which_names_are_words_and_never_tags(wall: Keyboard) -> None:
    bad = "<script>alert(1)</script> & hay"
    wall.yard.do("feed", name=bad, kind="forage", caution='"><img src=x>')
    wall.yard.do("analysis", feed=bad, dry="90")
    wall.yard.do("ration", name="High 1", item=["Corn silage=40 lb", f"{bad}=5 lb"])
    page = wall("print", "loads", "--as", "html").out
    read = Cells()
    read.feed(page)
    assert "script" not in read.tags
    assert "img" not in read.tags
    assert bad in read.words
    assert '"><img src=x>' in read.words
    assert "@media print" in page
    assert "http" not in page.replace("html", "")


def filled_in(wall: Keyboard) -> dict[str, Any]:
    """The sheet of this morning with the pencil's figures, taken to the desk a day later."""
    made = wall("print", "loads", "--as", "json").json
    first = made["loads"][0]
    first["began"] = "0505"
    first["fed"] = {"Corn silage": "1,350 @ 0512", "Mineral mix": "+20.8 @ 0515"}
    first["drop"] = {"High": "1360 @ 5:40"}
    made["refusals"] = [{"pen": "High", "weight": "84", "fed": TODAY, "weighed": "2026-03-10 04:40"}]
    wall.yard.now_s += 27 * HOUR
    return made


def test_a_filled_in_sheet_is_entered_with_the_times_that_stand_on_it(wall: Keyboard) -> None:
    sheet = filled_in(wall)
    before = wall.yard.entries
    answer = wall("enter", "--json", "-", "--yes", stdin=json.dumps(sheet))
    assert answer.status == 0, answer.err
    assert wall.yard.entries == before + 2  # the load, and the refusal; load 2 was not mixed
    weights = wall.yard.rows("SELECT weighed_at, loaded_g, scale_g FROM load_weight ORDER BY id DESC LIMIT 2")
    clock = wall.yard.ground().clock
    assert [clock.shown_time(row["weighed_at"]) for row in weights] == ["05:15", "05:12"]
    assert [round(row["loaded_g"] / 453.59237, 1) for row in weights] == [20.8, 1350.0]
    drop = wall.yard.row("SELECT * FROM feed_drop ORDER BY id DESC LIMIT 1")
    assert clock.iso(drop["dropped_at"]) == "2026-03-10T05:40:00-05:00"
    assert drop["farm_day"] == "2026-03-10"
    assert wall.yard.row("SELECT fed_on FROM refusal")["fed_on"] == TODAY
    plan = wall("show", "plan", "--of", "2026-03-10", "--as", "json").json["tables"]["loads"]
    assert [row["begun"] for row in plan] == ["load 1", None]


def test_the_same_sheet_again_writes_nothing(wall: Keyboard) -> None:
    sheet = json.dumps(filled_in(wall))
    assert wall("enter", "--json", "-", "--yes", stdin=sheet).status == 0
    before = wall.yard.state()
    again = wall("enter", "--json", "-", "--yes", stdin=sheet)
    assert again.status == 0
    assert "had been written already" in again.out
    assert wall.yard.state() == before


def test_a_sheet_is_only_looked_over_when_that_is_asked(wall: Keyboard) -> None:
    sheet = json.dumps(filled_in(wall))
    before = wall.yard.state()
    answer = wall("enter", "--json", "-", "--dry-run", stdin=sheet)
    assert answer.status == 0
    assert "load 1 of the sheet: From paper: High, 52 cows" in answer.out
    assert "Nothing was written." in answer.out
    assert wall.yard.state() == before
    assert wall("enter", "--json", "-", stdin=sheet).status == 2  # nobody is there to be asked
    assert wall.yard.state() == before


@pytest.mark.parametrize(
    ("field", "value", "word"),
    [
        ("began", "0905x", "not a time of day"),
        ("fed", {"Corn silage": "1350", "Mineral mix": "20.8"}, "below the 1,350 lb already in"),
        ("fed", {"Corn silage": "1350", "Mineral mix": "+400"}, "19 times the planned"),
        ("fed", {"Straw": "1350"}, "no feed called"),
        ("drop", {"High": "9999"}, "were dropped"),
        ("drop", {"High": "1300 @ 0430"}, "before the load was begun"),
        ("planned_load", 9, "has no load 9"),
        ("day", "2026-03-12", "lies ahead"),
        ("nonsense", "1", "nonsense"),
    ],
)
def test_one_wrong_figure_stops_the_whole_sheet_and_is_named(
    wall: Keyboard, field: str, value: Any, word: str
) -> None:
    sheet = filled_in(wall)
    sheet["loads"][0][field] = value
    before = wall.yard.state()
    answer = wall("enter", "--json", "-", "--yes", stdin=json.dumps(sheet))
    assert answer.status in (1, 2)
    assert re.search(r"load [19] of the sheet", answer.err)
    assert word in answer.err
    assert wall.yard.state() == before


def test_a_sheet_is_asked_line_by_line_and_enter_takes_what_was_planned(wall: Keyboard) -> None:
    wall.yard.now_s += 27 * HOUR
    before = wall.yard.entries
    # began, corn as planned, mineral by hand as planned, the pen's drop; load 2 was not mixed; the refusal
    typed = "\n".join(["0505", "", "", "x", "1350 @ 0545", "", "84 @ 0440"]) + "\n"
    answer = wall("enter", "--of", "y", "--yes", stdin=typed)
    assert answer.status == 0, answer.err
    assert "'x' is not a weight" in answer.err  # and asked again
    assert wall.yard.entries == before + 2
    load = wall.yard.row("SELECT load, started_at FROM load_plan ORDER BY id DESC LIMIT 1")
    clock = wall.yard.ground().clock
    assert clock.iso(load["started_at"]) == "2026-03-10T05:05:00-05:00"
    weights = wall.yard.rows("SELECT loaded_g FROM load_weight WHERE load = ? ORDER BY id", load["load"])
    assert [round(row["loaded_g"] / 453.59237, 1) for row in weights] == [1340.0, 20.8]
    refusal = wall.yard.row("SELECT * FROM refusal")
    assert clock.iso(refusal["weighed_at"]) == "2026-03-10T04:40:00-05:00"
    assert refusal["fed_on"] == TODAY


def test_refused_feed_that_went_to_another_pen_is_entered_so(wall: Keyboard) -> None:
    wall.yard.now_s += 3 * HOUR
    answer = wall("enter", "--yes", stdin="\n\n40 @ 0440 > dry\n")  # neither load was mixed yet
    assert answer.status == 0, answer.err
    refusal = wall.yard.row("SELECT * FROM refusal")
    assert (refusal["went"], refusal["fed_to"]) == ("re-fed", wall.yard.ground().names["pen"]["Far dry"])


def test_a_sheet_with_nothing_on_it_writes_nothing(wall: Keyboard) -> None:
    before = wall.yard.state()
    assert "Nothing was entered." in wall("enter", "--yes", stdin="\n\n\n").out
    assert wall.yard.state() == before


def test_an_entered_sheet_is_corrected_by_another(wall: Keyboard) -> None:
    wall("enter", "--json", "-", "--yes", stdin=json.dumps(filled_in(wall)))
    entry = wall.yard.row("SELECT max(number) AS n FROM entry WHERE chore = 'load-sheet'")["n"]
    answer = wall("write", "load-sheet", "--corrects", str(entry), "--began", "0500")
    assert answer.status == 0, answer.err
    assert "It is load 1 of 2026-03-10." in answer.out
    shown = wall("show", "loads", "--of", "2026-03-10", "--as", "json").json["tables"]["loads"]
    assert [row["started_at"] for row in shown] == ["2026-03-10T05:00:00-05:00"]


def test_a_sheet_over_midnight_keeps_its_order() -> None:
    from datetime import date

    from herdbook.chores.paper_times import after, began_at
    from herdbook.clock import FarmClock

    clock = FarmClock("America/Chicago")
    began = began_at(clock, date(2026, 3, 9), 23 * 60 + 50)
    assert clock.iso(after(clock, began, 20, "drop")) == "2026-03-10T00:20:00-05:00"
    early = FarmClock(
        "America/Chicago", 4 * 60
    )  # the farm's day starts at four: 02:00 is of the morning after
    assert early.iso(began_at(early, date(2026, 3, 9), 120)) == "2026-03-10T02:00:00-05:00"
    fall = began_at(clock, date(2026, 11, 1), 60 + 50)  # the clocks go back at two
    assert after(clock, fall, 60 + 10, "drop") == fall + 20 * 60
