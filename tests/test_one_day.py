"""One farm day from an empty book: by keys through the real screens, and by commands; both books say the same."""

from __future__ import annotations

import io
import json
import shutil
from collections.abc import Callable
from contextlib import redirect_stdout
from pathlib import Path

import pytest

from herdbook.cli.main import run
from tests.seat import FarmTime, Seat

MONDAY, TUESDAY = "2026-03-09", "2026-03-10"
START = ["new", "--name", "Hollow Farm", "--zone", "America/Chicago", "--owner", "Ada", "--login", "ada"]
REPORTS = ("today", "ration High 1", "intake", "loads", "tank North", "pickups", "week")
TOO_SLOW, LATE = "! too slow", "!! LATE"


def command(book: Path, time: FarmTime, *words: str) -> str:
    """Run one command and give what it printed."""
    printed = io.StringIO()
    with redirect_stdout(printed):
        status = run(["--book", str(book), *words], now=time.now, login="ada")
    assert status == 0, f"{words} ended with {status}:\n{printed.getvalue()}"
    return printed.getvalue()


def set_up_by_keys(seat: Seat) -> None:
    """Pen, feeds, analyses, ration, targets, the pen's ration, mixer and tank, along the list of a new book."""
    seat.wait("Write a pen")
    seat.press("enter")
    seat.fill("A PEN", {"Name": "High", "Head": "52"}, written="Pen High")
    seat.go("f5", "F writes the first feed")
    seat.press("f")
    seat.fill("A FEED", {"Name": "Corn silage", "Kind": "forage", "Price": "52"}, written="Feed Corn silage")
    seat.press("f")
    mineral = {"Name": "Mineral mix", "Kind": "mineral", "Most": "1 lb", "Price": "620"}
    seat.fill("A FEED", mineral, written="Feed Mineral mix")
    seat.press("a")
    silage = {
        "Feed": "Corn",
        "Dry matter": "33.6",
        "Nutrient": [("cp", "8.8"), ("ndf", "45"), ("ca", "0.28")],
    }
    seat.fill("A FEED ANALYSIS", silage, written="Corn silage")
    seat.press("a")
    seat.fill(
        "A FEED ANALYSIS", {"Feed": "Min", "Dry matter": "97", "Nutrient": [("ca", "20")]}, written="Min"
    )
    seat.press("e")
    items = [("Corn silage", "55"), ("Mineral mix", "0.8")]
    seat.fill("A RATION VERSION", {"Name": "High 1", "Feed": items}, written="Ration High 1")
    seat.wait("version 1")
    seat.press("g")
    targets = [("cp", "8 9 10"), ("ca", "0.5 0.65 0.8")]
    seat.fill("A RATION'S TARGETS", {"Figure": targets}, written="")
    seat.wait("Outside the targets: Ca high.")
    seat.press("p")
    seat.fill("A PEN'S RATION", {"Pen": "High"}, written="High")
    seat.go("f2", "Write the mixer")
    seat.press("w", "mixer", "enter")  # the list goes to what begins with the letters
    mixer = {"Name": "Big wagon", "Holds": "8000", "Scale step": "5"}
    seat.fill("A MIXER", mixer, written="Mixer Big wagon")
    seat.press("w", "bulk", "enter")
    chart = [("10", "5000"), ("20", "11000")]
    seat.fill("A BULK TANK", {"Name": "North", "Holds": "21500", "Stick": chart}, written="Tank North")


def set_up_by_commands(write: Callable[..., str]) -> None:
    """The same in commands."""
    write("pen", "--name", "High", "--head", "52")
    write("feed", "--name", "Corn silage", "--kind", "forage", "--price", "52")
    write("feed", "--name", "Mineral mix", "--kind", "mineral", "--most", "1 lb", "--price", "620")
    values = ("--value", "cp=8.8", "--value", "ndf=45", "--value", "ca=0.28")
    write("analysis", "--feed", "Corn", "--dry", "33.6", *values)
    write("analysis", "--feed", "Min", "--dry", "97", "--value", "ca=20")
    write("ration", "--name", "High 1", "--item", "Corn silage=55", "--item", "Mineral mix=0.8")
    write("targets", "--ration", "High 1", "--target", "cp=8 9 10", "--target", "ca=0.5 0.65 0.8")
    write("pen-ration", "--pen", "High", "--ration", "High 1")
    write("mixer", "--name", "Big wagon", "--holds", "8000", "--step", "5")
    write("tank", "--name", "North", "--holds", "21500", "--mark", "10=5000", "--mark", "20=11000")


def feed_by_keys(seat: Seat, time: FarmTime) -> None:
    """A load with the mineral weighed 20 lb over, and everything dropped."""
    time.set(f"{MONDAY} 06:40")
    seat.go("f3", "Enter starts load 1, High")
    seat.press("l")
    seat.fill("A LOAD", written="Load 1, High, 52 cows, 2,900 lb planned")
    seat.wait("Corn silage to 2,860 lb")
    seat.press("2865")
    seat.wait("+5 lb  ok")
    seat.press("enter")
    seat.wait("Mineral mix to 2,905 lb")
    seat.press("2925")
    seat.wait("Mineral mix 60 lb, ! +20 lb")
    seat.press("enter")
    seat.wait(
        "over 52 lb, their most a day. Write it?"
    )  # 1 lb a cow is the most on its card: only Y lets it pass
    seat.press("y")
    seat.wait(
        lambda text: "Load is in" in text and "! +20" in seat.row("Mineral mix"), "the weight that is off"
    )
    time.set(f"{MONDAY} 07:10")
    seat.press("d")
    seat.wait("2,925 lb")  # what is left in the mixer is offered
    seat.fill("A DROP", written="High got 2,925 lb of load 1")


def feed_by_commands(write: Callable[..., str], time: FarmTime) -> None:
    """The same in commands."""
    time.set(f"{MONDAY} 06:40")
    write("load", "--pen", "High")
    write("weigh", "--load", "1", "--feed", "Corn silage", "--scale", "2865")
    write("weigh", "--load", "1", "--feed", "Mineral mix", "--scale", "2925")
    time.set(f"{MONDAY} 07:10")
    write("drop", "--load", "1", "--pen", "High", "--weight", "2925")


def milk_by_keys(seat: Seat, time: FarmTime) -> None:
    """The refusal of the day before, a milking, three warm readings, the alarm, the pickup."""
    time.set(f"{TUESDAY} 06:00")
    seat.go("f3", "High")
    seat.wait("no load begun today")
    seat.press("r")
    seat.fill("A REFUSAL", {"Weight": "84"}, written="High refused 84 lb of 2026-03-09")
    time.set(f"{TUESDAY} 06:05")
    seat.go("f4", "TANK BOOK")
    seat.press("m")
    seat.fill("A MILKING", written="Milking from 06:05")
    time.set(f"{TUESDAY} 08:05")
    seat.press("m")
    seat.fill("THE END OF A MILKING", {"Cows": "52", "Milk": "4310"}, written="Milking 06:05 to 08:05")
    assert TOO_SLOW not in seat.text
    for at, reading in (("08:20", "62"), ("08:35", "61"), ("08:50", "60")):
        time.set(f"{TUESDAY} {at}")
        seat.press(reading)
        seat.wait(f"{reading}.0 °F at {at}")
        seat.press("enter")
        seat.wait(f"Written: North {reading}.0 °F at {at}")
    see_too_slow_then_late(seat, time)
    time.set(f"{TUESDAY} 10:30")
    seat.go("f4", "TANK BOOK")
    seat.press("p")
    ticket = {"Weight": "4300", "Temperature": "44", "Ticket": "A1", "Hauler": "Fen"}
    seat.fill("A MILK PICKUP", ticket, written="Pickup 4,300 lb, ticket A1")
    seat.wait(lambda _: "empty" in seat.lines[1], "the strip to know that the tank is empty")


def see_too_slow_then_late(seat: Seat, time: FarmTime) -> None:
    """The alarm stands on the strip, on Milk and on Today, first too slow, then late; the bell rang once for each."""
    seat.wait(lambda _: TOO_SLOW in seat.lines[1], "the strip to say too slow")
    seat.wait(lambda text: TOO_SLOW in text.split("\n", 3)[3], "the clock of Milk to say too slow")
    seat.go("f2", "ALERTS")
    seat.wait(lambda text: TOO_SLOW in text.split("\n", 3)[3], "Today to say too slow")
    assert "Cooling too slowly: 45 °F" in seat.text
    assert seat.raw.count(b"\a") == 1
    time.set(f"{TUESDAY} 10:10")  # five minutes after both limits; nobody types anything
    seat.wait(lambda _: LATE in seat.lines[1], "the strip to say late by itself")
    seat.wait(lambda text: LATE in text.split("\n", 3)[3], "Today to say late by itself")
    seat.wait_bytes(lambda raw: raw.count(b"\a") == 2, "the second bell")
    seat.go("f4", "TANK BOOK")
    seat.wait(lambda text: LATE in text.split("\n", 3)[3], "the clock of Milk to say late")


def milk_by_commands(write: Callable[..., str], time: FarmTime) -> None:
    """The same in commands."""
    time.set(f"{TUESDAY} 06:00")
    write("refusal", "--pen", "High", "--weight", "84")
    time.set(f"{TUESDAY} 06:05")
    write("milking")
    time.set(f"{TUESDAY} 08:05")
    write("milked", "--cows", "52", "--milk", "4310")
    for at, reading in (("08:20", "62"), ("08:35", "61"), ("08:50", "60")):
        time.set(f"{TUESDAY} {at}")
        write("temperature", "--reading", reading)
    time.set(f"{TUESDAY} 10:30")
    write("pickup", "--weight", "4300", "--temperature", "44", "--ticket", "A1", "--hauler", "Fen")


def see_the_week(seat: Seat) -> None:
    """The owner's totals, worked out by hand.

    Dropped dry matter: 2,865 lb x 33.6 % + 60 lb x 97 % = 1,020.84 lb of 2,925 lb, so 34.9 %. Refused 84 lb at
    that dry matter is 29.32 lb, and 84 / 2,925 = 2.9 %. Eaten: 991.52 lb / 52 cows = 19.1 lb. Feed: 2,865 lb at
    $52 a ton and 60 lb at $620 a ton of 2,000 lb = $74.49 + $18.60 = $93.09, a cow $1.79.
    """
    seat.go("f7", "Week 11")
    seat.wait("4.3k")
    cells = {
        name: seat.row(name).partition(name)[2].split()
        for name in ("DM eaten", "Refused %", "Shipped", "Feed a cow")
    }
    assert cells["DM eaten"][0] == "19.1"
    assert cells["Refused %"][0] == "2.9"
    assert cells["Shipped"][:2] == ["–", "4.3k"]
    assert "4,300" in cells["Shipped"]
    assert cells["Feed a cow"][0] == "1.79"
    assert "Mineral mix +50 %" in seat.text  # 60 lb where 40 was planned
    assert "45 °F limit, milking of 06:05: missed" in " ".join(seat.text.split())


def reports(book: Path, time: FarmTime) -> dict[str, object]:
    """Every report as JSON."""
    made = {}
    for report in REPORTS:
        name, _, which = report.partition(" ")
        made[report] = json.loads(command(book, time, "show", name, *filter(None, [which]), "--as", "json"))
    return made


@pytest.fixture(scope="module")
def two_books(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path, FarmTime]:
    """The same empty book twice: one written by keys, one by commands."""
    folder = tmp_path_factory.mktemp("day")
    time = FarmTime(folder / "clock", f"{MONDAY} 06:00")
    by_keys, by_commands = folder / "keys.book", folder / "commands.book"
    command(by_keys, time, *START)
    shutil.copyfile(by_keys, by_commands)
    with Seat(by_keys, time) as seat:
        set_up_by_keys(seat)
        feed_by_keys(seat, time)
        milk_by_keys(seat, time)
        see_the_week(seat)
        seat.press("ctrl+q")
        seat.wait("Leave?")
        seat.press("enter")
        assert seat.exit_status() == 0

    def write(*words: str) -> str:
        return command(by_commands, time, "write", *words)

    time.set(f"{MONDAY} 06:00")
    set_up_by_commands(write)
    feed_by_commands(write, time)
    milk_by_commands(write, time)
    return by_keys, by_commands, time


@pytest.mark.parametrize("report", REPORTS)
def test_a_day_by_keys_and_the_same_by_commands_report_the_same_to_the_last_digit(two_books, report):
    by_keys, by_commands, time = two_books
    keys, commands = reports(by_keys, time)[report], reports(by_commands, time)[report]
    assert keys == commands
    assert len(json.dumps(keys)) > 200, "an empty report would be the same too"


def test_figures_of_the_day_are_those_worked_out_by_hand(two_books):
    by_keys, _, time = two_books
    made = reports(by_keys, time)
    monday = next(line for line in made["week"]["tables"]["days"] if line["day"] == MONDAY)
    # 991.52 lb eaten over 52 cows, 0.45359237 kg a pound: 8.649 kg
    assert monday["dm_eaten_kg"] == pytest.approx(8.649, abs=0.0005)
    # 4,300 lb on the ticket: 1,950.447 kg
    assert made["pickups"]["tables"]["pickups"][0]["milk_kg"] == pytest.approx(1950.447, abs=0.001)
    # 62 to 61 to 60 °F in half an hour is 4 °F an hour: 45 °F 3 h 45 min after 08:50, 2 h 30 min past 10:05


def test_both_books_are_in_order(two_books):
    by_keys, by_commands, time = two_books
    for book in (by_keys, by_commands):
        command(book, time, "check")  # which ends with 0 only when there is nothing to find
