"""One farm day from an empty folder to the week's totals, by commands alone; every figure worked out by hand.

The farm weighs in pounds. 50 cows; a ration of two feeds:

    Corn silage  28 lb dry matter at 35 %           = 80 lb as fed
    Ground corn  22 lb as fed at 88 %               = 19.36 lb dry matter
    together     47.36 lb dry matter in 102 lb      = 46.431 %
    protein      (28 * 8 + 19.36 * 9) / 47.36       = 398.24 / 47.36  = 8.4088 %
    fibre        (28 * 40 + 19.36 * 10) / 47.36     = 1313.6 / 47.36  = 27.7365 %
    cost         80 * 50 / 2000 + 22 * 240 / 2000   = 2.00 + 2.64     = 4.64 dollars

The load is 50 times that, 4,000 lb and 1,100 lb; the corn is mis-weighed, 1,160 lb, 60 lb or 5.4545 % over:

    dry matter   4,000 * 0.35 + 1,160 * 0.88        = 2,420.8 lb in 5,160 lb
    cost         4,000 * 50 / 2000 + 1,160 * 240 / 2000 = 100 + 139.20 = 239.20, a cow 4.784 dollars

Next morning 204 lb are weighed back, at 45 % dry matter 91.8 lb:

    eaten        (2,420.8 - 91.8) / 50              = 46.58 lb a cow
    refused      204 / 5,160                        = 3.9535 %

Milk: one milking, 06:00 to 08:00, 2,000 lb by the meter; the hauler's ticket says 1,990 lb, so 39.8 lb a cow.
Cooling by the model ordinance: 45 °F by 10:00. 70, 66 and 62 °F at 08:15, 08:45 and 09:15 fall 8 °F an hour; by
10:00 that makes 56 °F, too slow. At noon the tank reads 44 °F: the limit was reached, late.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from tests.cli.conftest import Answer, Keyboard
from tests.yard import Yard

LB_KG = 0.45359237  # NIST Handbook 44, appendix C
GRAM_KG = 0.001
CENT_A_HEAD = 0.5 * 103.2 * LB_KG / 1000
"""Prices are kept in whole cents a tonne: half a cent on every tonne that a cow gets is as near as they come."""

CHICAGO = ZoneInfo("America/Chicago")


@dataclass
class Clock:
    """The clock of the day, and the book it is written in."""

    path: Path
    instant: datetime = field(default_factory=lambda: datetime(2026, 3, 8, 18, 0, tzinfo=CHICAGO))
    now_s: int = 0

    def at(self, day: int, hour: int, minute: int = 0) -> None:
        self.instant = datetime(2026, 3, day, hour, minute, tzinfo=CHICAGO)

    def now(self) -> datetime:
        return self.instant.astimezone(UTC)


@dataclass
class Farm:
    """Types commands at a time of the day and wants them to go well."""

    keyboard: Keyboard
    clock: Clock

    def __call__(self, *words: str) -> Answer:
        answer = self.keyboard(*words)
        assert answer.status == 0, (words, answer.err)
        assert answer.err == "", words
        return answer

    def table(self, *words: str, key: str) -> list[dict[str, Any]]:
        rows: list[dict[str, Any]] = self("show", *words, "--as", "json").json["tables"][key]
        return rows

    def facts(self, *words: str) -> dict[str, Any]:
        facts: dict[str, Any] = self("show", *words, "--as", "json").json["facts"]
        return facts


def set_up(farm: Farm) -> None:
    """Sunday evening: everything that a day stands on."""
    farm.clock.at(8, 18)
    farm("new", "--name", "Hollow Farm", "--zone", "America/Chicago", "--owner", "Ada")
    farm("people", "add", "Cleo", "--role", "hand")
    farm("people", "add", "Ben", "--role", "nutritionist")
    farm("write", "pen", "--name", "High", "--head", "50")
    farm("write", "feed", "--name", "Corn silage", "--kind", "forage", "--price", "50")
    farm("write", "feed", "--name", "Ground corn", "--kind", "grain", "--price", "240")
    values = ("--value", "cp=8", "--value", "ndf=40", "--value", "starch=nd")
    farm("write", "analysis", "--feed", "silage", "--dry", "35", *values)
    farm("write", "analysis", "--feed", "ground", "--dry", "88", "--value", "cp=9", "--value", "ndf=10")
    items = ("--item", "Corn silage=28 lb dm", "--item", "Ground corn=22")
    farm("write", "ration", "--name", "High", *items)
    bounds = ("--target", "cp=15 16 17", "--target", "dm_intake=46 48 50 lb", "--target", "ndf=26 28 30")
    farm("write", "targets", "--ration", "High", *bounds)
    farm("write", "pen-ration", "--pen", "High", "--ration", "High")
    farm("write", "mixer", "--name", "Wagon", "--holds", "10,000", "--step", "5")
    farm("write", "tank", "--name", "North", "--holds", "21500")


def feed(farm: Farm) -> None:
    """Monday morning: one load, one feed of it mis-weighed, dropped whole."""
    farm.clock.at(9, 5, 30)
    assert farm("write", "load", "--pen", "High").out.startswith("Load 1, High, 50 cows, 5,100 lb planned.")
    farm.clock.at(9, 5, 40)
    said = farm("write", "weigh", "--load", "1", "--feed", "silage", "--scale", "4,000").out
    assert said.startswith("Load 1, Corn silage, 4,000 lb, 0 lb.")
    farm.clock.at(9, 5, 45)
    said = farm("write", "weigh", "--load", "1", "--feed", "ground", "--scale", "5160").out
    assert said.startswith("Load 1, Ground corn, 1,160 lb, +60 lb.")
    farm.clock.at(9, 6)
    said = farm("write", "drop", "--load", "1", "--pen", "High", "--weight", "5160 lb").out
    assert said.startswith("High got 5,160 lb of load 1, 103.2 lb a head.")


def milk(farm: Farm) -> None:
    """Monday's milking, and three readings that cool too slowly."""
    farm.clock.at(9, 6)
    farm("write", "milking")
    farm.clock.at(9, 8)
    farm("write", "milked", "--cows", "50", "--milk", "2000")
    for hour, minute, reading in ((8, 15, "70"), (8, 45, "66F"), (9, 15, "62 °F")):
        farm.clock.at(9, hour, minute)
        farm("write", "temperature", "--reading", reading)


def finish(farm: Farm) -> None:
    """Monday noon to Tuesday morning: the tank is cold at last, the refusal is weighed, the milk goes."""
    farm.clock.at(9, 12)
    farm("write", "temperature", "--reading", "44")
    farm.clock.at(10, 5)
    said = farm("write", "refusal", "--pen", "High", "--weight", "204", "--dry", "45").out
    assert said.startswith("High refused 204 lb of 2026-03-09, thrown.")
    farm.clock.at(10, 7)
    farm("write", "pickup", "--weight", "1990", "--temperature", "38", "--ticket", "4711")


@pytest.fixture
def farm(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Farm:
    clock = Clock(tmp_path / "day.book")
    yard: Any = clock  # a keyboard needs no more of a yard than its path and clock
    return Farm(Keyboard(yard, capsys, monkeypatch, login="ada"), clock)


def test_the_ration_is_checked_against_its_targets(farm: Farm) -> None:
    set_up(farm)
    facts = farm.facts("ration", "High")
    assert facts["as_fed_kg"] == pytest.approx(102 * LB_KG, abs=GRAM_KG)
    assert facts["dm_kg"] == pytest.approx(47.36 * LB_KG, abs=GRAM_KG)
    assert facts["dm_percent"] == pytest.approx(46.431, abs=5e-4)
    assert facts["cost_cents"] == pytest.approx(464, abs=CENT_A_HEAD)
    figures = {row["name"]: row for row in farm.table("ration", "High", key="figures")}
    assert figures["cp"]["value"] == pytest.approx(8.4088, abs=5e-5)
    assert figures["cp"]["verdict"] == "low"
    assert figures["cp"]["off_by"] == pytest.approx(8.4088 - 15, abs=5e-4)
    assert figures["ndf"]["value"] == pytest.approx(27.7365, abs=5e-5)
    assert figures["ndf"]["verdict"] == "ok"
    assert figures["dm_intake"]["verdict"] == "ok"


def test_the_mis_weighed_feed_stands_out(farm: Farm) -> None:
    set_up(farm)
    feed(farm)
    (load,) = farm.table("loads", key="loads")
    # planned weights are whole steps of the scale, and a step of 5 lb is kept as 2,268 g: 1,020 steps, 40 g in all
    assert load["planned_kg"] == pytest.approx(5100 * LB_KG, abs=0.05)
    assert load["loaded_kg"] == pytest.approx(5160 * LB_KG, abs=2 * GRAM_KG)
    silage, corn = farm.table("loads", key="feeds")
    assert silage["off_percent"] == pytest.approx(0, abs=5e-3)
    assert corn["off_percent"] == pytest.approx(5.4545, abs=5e-3)
    assert "flags" in corn
    assert "flags" not in silage


def test_the_alarm_is_raised_while_it_can_still_be_mended(farm: Farm) -> None:
    set_up(farm)
    feed(farm)
    milk(farm)
    farm.clock.at(9, 9, 20)
    deadlines = {row["clause"]: row for row in farm.table("tank", key="deadlines")}
    forty_five = next(row for clause, row in deadlines.items() if "45" in clause)
    assert forty_five["deadline"] == "2026-03-09T10:00:00-05:00"
    assert forty_five["state"] == "open"
    assert datetime.fromisoformat(forty_five["expected_at"]) > datetime.fromisoformat(forty_five["deadline"])
    assert "too slow" in farm("show", "tank").out
    assert "too slow" in farm("show", "today").out
    assert farm.facts("tank")["held_kg"] == pytest.approx(2000 * LB_KG, abs=GRAM_KG)


def test_the_week_adds_up(farm: Farm) -> None:
    set_up(farm)
    feed(farm)
    milk(farm)
    finish(farm)
    days = {row["day"]: row for row in farm.table("week", key="days")}
    monday, tuesday = days["2026-03-09"], days["2026-03-10"]
    assert monday["head"] == 50
    assert monday["dm_eaten_kg"] == pytest.approx(46.58 * LB_KG, abs=GRAM_KG)
    assert monday["refused_percent"] == pytest.approx(3.9535, abs=5e-4)
    assert monday["milk_kg"] == pytest.approx(39.8 * LB_KG, abs=GRAM_KG)
    assert monday["feed_cost_cents"] == pytest.approx(478.4, abs=CENT_A_HEAD)
    assert monday["shipped_kg"] is None
    # 44 °F are 6.6667 °C
    assert monday["warmest_degC"] == pytest.approx(6.6667, abs=5e-4)
    assert tuesday["shipped_kg"] == pytest.approx(1990 * LB_KG, abs=GRAM_KG)
    facts = farm.facts("week")
    assert facts["complete_days"] == 1
    assert facts["dm_eaten_kg"] == monday["dm_eaten_kg"]
    about = {(row["day"], row["about"]) for row in farm.table("week", key="exceptions")}
    assert ("2026-03-09", "Load 1") in about
    assert ("2026-03-09", "North") in about
    late = {row["state"] for row in farm.table("tank", key="deadlines")}
    assert late <= {"missed", "met", "open", "no milk", "late", "undecided"}


def test_the_day_in_pounds_reads_as_it_was_worked_out(farm: Farm) -> None:
    set_up(farm)
    feed(farm)
    milk(farm)
    finish(farm)
    week = farm("show", "week").out
    line = next(line for line in week.splitlines() if line.startswith("Mon 9 Mar"))
    for figure in ("50.0", "46.6", "4.0", "39.8", "4.78", "44.0"):
        assert figure in line.split()
    assert farm("explain", "week", "2026-03-09", "dm_eaten").out.startswith("2026-03-09, DM eaten: 46.6 lb")


def test_a_slip_of_the_pen_is_put_right_and_both_stay(farm: Farm) -> None:
    """The silage was really 3,900 lb: 3,900 * 0.35 + 1,160 * 0.88 = 2,385.8 lb dry matter in 5,060 lb."""
    set_up(farm)
    feed(farm)
    milk(farm)
    finish(farm)
    entries = farm.table("entries", "--last", "1000", key="entries")
    number = next(row["entry"] for row in entries if "Corn silage, 4,000 lb" in row["said"])
    answer = farm(
        "write", "weigh", "--corrects", str(number), "--scale", "", "--weight", "3900", "--as", "json"
    )
    again = {row["entry"]: row for row in farm.table("entries", "--last", "1000", key="entries")}
    assert again[number]["struck_by"] == answer.json["entry"]
    (load,) = farm.table("loads", "--of", "2026-03-09", key="loads")
    assert load["loaded_kg"] == pytest.approx(5060 * LB_KG, abs=2 * GRAM_KG)
    # more was dropped than went in: nobody is stopped, the check says it
    checked = farm.keyboard("check", "--as", "json")
    assert checked.status == 1
    (finding,) = checked.json["findings"]
    assert (finding["about"], finding["says"]) == ("load 1", "5,160 lb was dropped, 5,060 lb was loaded.")


def test_the_book_of_the_day_is_whole(farm: Farm) -> None:
    set_up(farm)
    feed(farm)
    milk(farm)
    finish(farm)
    checked = farm("check", "--as", "json").json
    assert checked["clean"]
    # 13 to set up, 4 at the mixer and bunk, 2 of the milking, 4 readings, refusal, pickup
    assert checked["entries"] == 13 + 4 + 2 + 4 + 2
    assert isinstance(Yard(farm.clock.path).entries, int)
