"""The watcher as it runs on a farm: a program of its own that is killed, started again, and told to end."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from shutil import which

import pytest

from herdbook.book.heartbeat import last_beat
from herdbook.watch.places import write_places
from tests.book import reference_chain
from tests.watch.test_sending import CLEO, SECRET, Receiver
from tests.yard import Yard

ROOT = Path(__file__).resolve().parents[2]


def wait_for(fact: Callable[[], object], what: str, within_s: float = 20.0) -> None:
    """Wait until something is so."""
    end = time.monotonic() + within_s
    while not fact():
        assert time.monotonic() < end, f"waited {within_s:.0f} s for {what}"
        time.sleep(0.02)


class Watcher:
    """`herdbook watch` on a yard's book."""

    words: tuple[str, ...] = ()

    def __init__(self, yard: Yard, folder: Path) -> None:
        self.yard, self.clock, self.log = yard, folder / "clock", folder / "log"
        self.tell_time()
        self.process: subprocess.Popen[bytes] | None = None

    def tell_time(self) -> None:
        """Move its clock to the yard's."""
        new = self.clock.with_suffix(".new")
        new.write_text(str(self.yard.now_s))
        new.replace(self.clock)

    def start(self, **environ: str) -> None:
        command = [
            sys.executable,
            "-m",
            "tests.watch.watch_program",
            str(self.yard.path),
            str(self.clock),
            "Cleo",
            *self.words,
        ]
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                command,
                cwd=ROOT,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                env={"LANG": "C.UTF-8", **environ},
            )

    def end(self, number: signal.Signals) -> int:
        assert self.process is not None
        self.process.send_signal(number)
        return self.process.wait(20)

    @property
    def said(self) -> str:
        return self.log.read_text()

    def close(self) -> None:
        if self.process is not None and self.process.poll() is None:
            self.process.kill()
            self.process.wait()


@pytest.fixture
def watcher(yard: Yard, tmp_path: Path) -> Iterator[Watcher]:
    yard.do("alarm-rules", first=["phone"], repeat="0", escalate="0")
    made = Watcher(yard, tmp_path)
    yield made
    made.close()


def state(yard: Yard) -> Callable[[], str]:
    return lambda: (yard.rows("SELECT state FROM notice") or [{"state": "none"}])[0]["state"]


@pytest.mark.slow
def test_killed_while_it_sends_it_goes_on_where_it_was_and_loses_and_doubles_nothing(
    yard: Yard, watcher: Watcher
) -> None:
    receiver = Receiver()
    receiver.hold.clear()
    write_places(yard.path, {"phone": receiver.url})
    watcher.start()
    wait_for(lambda: last_beat(yard.path) is not None, "the first look")
    yard.do("temperature", reading="47 F", by=CLEO)
    wait_for(lambda: receiver.asked == 1, "the notice to be on its way")
    assert watcher.end(signal.SIGKILL) == -signal.SIGKILL
    receiver.close()
    assert state(yard)() == "waiting"

    watcher.start()
    yard.now_s += 60
    watcher.tell_time()
    wait_for(lambda: "could not be sent to phone" in watcher.said, "the log to say that nobody takes it")
    back = Receiver(receiver.port)
    try:
        yard.now_s += 60
        watcher.tell_time()
        wait_for(lambda: state(yard)() == "sent", "the notice to be sent")
        assert [one["message"].splitlines()[-1] for one in back.got] == ["Alarm 1, notice 1."]
    finally:
        back.close()
    assert watcher.end(signal.SIGTERM) == 0
    assert yard.row("SELECT count(*) AS n FROM alarm_raised")["n"] == 1
    assert yard.row("SELECT count(*) AS n FROM notice")["n"] == 1
    assert reference_chain.faults(yard.path) == []
    assert SECRET not in watcher.said
    assert watcher.said.splitlines()[-1].endswith("told to end; ended")
    assert "Alarm 1, North: North: warm again" not in watcher.said


def test_the_service_manager_is_told_when_it_is_ready_and_that_it_looks(
    yard: Yard, watcher: Watcher, tmp_path: Path
) -> None:
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(str(tmp_path / "notify"))
        manager.settimeout(20)
        watcher.start(NOTIFY_SOCKET=str(tmp_path / "notify"))
        assert [manager.recv(100) for _ in range(3)] == [b"READY=1", b"WATCHDOG=1", b"WATCHDOG=1"]
        assert watcher.end(signal.SIGTERM) == 0


def test_who_may_not_raise_an_alarm_may_not_be_the_watcher(yard: Yard, watcher: Watcher) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "herdbook", "--book", str(yard.path), "--person", "Dov", "watch", "--once"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 1
    assert done.stderr.startswith("Dov may not write this (raise an alarm).")


def printed_unit(yard: Yard, folder: str) -> str:
    """The unit for the yard's book in a folder of that name, printed as anyone would."""
    place = yard.path.parent / folder
    place.mkdir()
    yard.book.close()
    book = yard.path.rename(place / "farm.book")
    words = ["--book", str(book), "--person", "Ada", "watch", "--print-unit"]
    done = subprocess.run(
        [sys.executable, "-m", "herdbook", *words], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return done.stdout


@pytest.mark.skipif(which("systemd-analyze") is None, reason="no systemd here to ask")
def test_the_unit_is_one_that_systemd_takes(yard: Yard, tmp_path: Path) -> None:
    file = tmp_path / "herdbook-watch.service"
    file.write_text(printed_unit(yard, 'book 100% of "A"'))
    done = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", str(file)], capture_output=True, text=True, check=False
    )
    assert "herdbook-watch" not in done.stderr
    assert done.returncode == 0


def test_the_printed_command_watches_the_book(yard: Yard) -> None:
    """What the service would run, run once: its words come back as they were given."""
    text = printed_unit(yard, "book")
    assert "@" not in text
    book = yard.path.parent / "book" / "farm.book"
    before = Yard(book).entries
    lines = dict(line.split("=", 1) for line in text.splitlines() if "=" in line)
    assert (lines["User"], lines["ReadWritePaths"]) == (book.owner(), str(book.parent))
    done = subprocess.run([*lines["ExecStart"].split(), "--once"], check=False, capture_output=True)
    assert (done.returncode, Yard(book).entries > before) == (0, True), done.stderr
