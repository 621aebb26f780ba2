"""From a warm reading to a bell, an answer and all clear: the real watcher, the real screens, one book."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from herdbook.book.heartbeat import last_beat
from herdbook.cli.main import run
from tests.seat import FARM_ZONE, FarmTime, Seat
from tests.watch.test_watching import Watcher, wait_for
from tests.yard import Yard

BELL = b"\x07"
SIZES = [(80, 24), (60, 20)]


class Farm:
    """A book with its watcher running, and a clock for all of them."""

    def __init__(self, yard: Yard, folder: Path) -> None:
        self.yard = yard
        self.time = FarmTime(folder / "time", "2026-03-09 10:00")
        self.watcher = Watcher(yard, folder)
        self.watcher.clock = self.time.file
        self.watcher.start()
        wait_for(lambda: last_beat(yard.path) is not None, "the first look")

    def later(self, minutes: int) -> None:
        """Let time go by, in steps that a watcher can keep up with."""
        for _ in range(0, minutes, 2):
            local = datetime.fromtimestamp(int(self.time.file.read_text()) + 120, UTC).astimezone(FARM_ZONE)
            self.time.set(f"{local:%Y-%m-%d %H:%M}")
            now_s = int(self.time.now().timestamp())
            wait_for(lambda now_s=now_s: last_beat(self.yard.path) == now_s, "the watcher to look")

    def reads(self, reading: str) -> None:
        """Somebody writes a temperature by command."""
        words = [
            "--book",
            str(self.yard.path),
            "--person",
            "Ada",
            "write",
            "temperature",
            "--reading",
            reading,
        ]
        assert run(words, now=self.time.now) == 0


@pytest.fixture
def farm(yard: Yard, tmp_path: Path) -> Iterator[Farm]:
    yard.book.close()
    made = Farm(yard, tmp_path)
    yield made
    made.watcher.close()


def bells(seat: Seat) -> int:
    return bytes(seat.raw).count(BELL)


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
def test_a_warm_tank_rings_every_screen_is_answered_by_key_and_clears(
    farm: Farm, size: tuple[int, int]
) -> None:
    with (
        Seat(farm.yard.path, farm.time, "Cleo", size) as seat,
        Seat(farm.yard.path, farm.time, "Ben") as other,
    ):
        seat.wait("ALERTS")
        other.wait("Ration")
        seat.quiet(0.5)
        assert "ALARM" not in seat.text
        rung = bells(seat), bells(other)

        farm.reads("47 F")
        for one in (seat, other):
            one.wait("ALARM 10:00 North: warm again", "the banner")
        seat.quiet(0.3)
        other.quiet(0.3)
        assert bells(seat) > rung[0]
        assert bells(other) > rung[1]
        assert seat.lines[2].startswith(" !! ALARM 10:00 North")
        assert seat.lines[2].endswith("! opens")

        seat.press("!")
        seat.wait("Look after alarm 1")
        seat.wait("Lock out")
        seat.press("enter")
        seat.wait("Written: Cleo looks after alarm 1")
        for one in (seat, other):
            one.wait("Alarm since 10:00, Cleo looks after it", "the quiet banner")
        rung = bells(seat), bells(other)

        farm.reads("39 F")
        farm.later(12)
        for one in (seat, other):
            one.wait(lambda text: "Alarm since" not in text, "the banner to go")
        assert (bells(seat), bells(other)) == rung
        steps = [row["step"] for row in farm.yard.rows("SELECT step FROM alarm_step ORDER BY id")]
        assert steps == ["acknowledged", "cleared"]


def test_an_idle_screen_sends_nothing_while_the_watcher_looks(farm: Farm) -> None:
    with Seat(farm.yard.path, farm.time, "Cleo") as seat:
        seat.wait("ALERTS")
        seat.quiet(1.0)
        sent, looked = seat.bytes, last_beat(farm.yard.path)
        local = datetime.fromtimestamp(int(farm.time.file.read_text()) + 15, UTC).astimezone(FARM_ZONE)
        farm.time.set(f"{local:%Y-%m-%d %H:%M:%S}")
        wait_for(lambda: last_beat(farm.yard.path) != looked, "another look")
        seat.quiet(2.5)
        assert seat.bytes == sent


def test_a_watcher_that_stops_is_missed_by_open_screens(farm: Farm) -> None:
    with Seat(farm.yard.path, farm.time, "Cleo") as seat:
        seat.wait("ALERTS")
        seat.quiet(0.5)
        rung = bells(seat)
        farm.watcher.close()
        farm.time.set("2026-03-09 10:04")
        seat.wait("The watcher has not looked since 10:00")
        seat.quiet(0.3)
        assert bells(seat) == rung + 1
        farm.watcher.start()
        seat.wait("Nobody watched from 10:00 on")


def test_the_list_is_there_in_plain_commands_too(farm: Farm) -> None:
    farm.reads("47 F")
    wait_for(lambda: farm.yard.rows("SELECT 1 FROM alarm"), "the alarm")
    shown = subprocess.run(
        [sys.executable, "-m", "herdbook", "--book", str(farm.yard.path), "show", "alarms", "--days", "4000"],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    assert "North: warm again" in shown
