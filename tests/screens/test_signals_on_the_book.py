"""The program people start, on a real pseudo-terminal: how it ends, and that the terminal is given back."""

from __future__ import annotations

import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.terminal import Terminal

ROOT = Path(__file__).resolve().parents[2]
MODES = re.compile(rb"\x1b\[\?([0-9]+)([hl])")
STAY_ON = {b"7", b"25"}  # line wrap and the cursor


@pytest.fixture
def herdbook(yard):
    """Open the screens on the yard's book by its own command."""
    yard.book.close()
    command = [sys.executable, "-m", "herdbook", "--book", str(yard.path), "--person", "Cleo"]
    with Terminal(command, cwd=str(ROOT)) as terminal:
        terminal.wait("ALERTS", "the first place")
        terminal.quiet(0.2)
        yield terminal


def see_restored(terminal):
    """Main screen, cursor and line settings are as before, and no mode was left on."""
    raw, on = bytes(terminal.raw), set()
    for mode, way in MODES.findall(raw):
        on.add(mode) if way == b"h" else on.discard(mode)
    assert b"\x1b[?1049h" in raw
    assert not on - STAY_ON
    assert raw.rindex(b"\x1b[?25h") > raw.rindex(b"\x1b[?25l")
    assert terminal.settings() == terminal.settings_before


@pytest.mark.parametrize(
    ("number", "status"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGINT, 130)]
)
def test_told_to_end_it_gives_the_terminal_back_and_says_so_in_its_status(herdbook, number, status):
    herdbook.signal(number)
    assert herdbook.exit_status() == status
    see_restored(herdbook)


def test_a_closed_terminal_ends_it(herdbook):
    herdbook.hang_up()
    assert herdbook.exit_status() == 129


def test_left_by_its_key_it_ends_well(herdbook):
    herdbook.press("ctrl+q")
    herdbook.wait("Leave?")
    herdbook.press("enter")
    assert herdbook.exit_status() == 0
    see_restored(herdbook)


def test_without_a_terminal_it_says_one_line_and_ends_with_2(yard):
    yard.book.close()
    command = [sys.executable, "-m", "herdbook", "--book", str(yard.path)]
    ended = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, stdin=subprocess.DEVNULL)
    assert ended.returncode == 2
    assert ended.stdout == ""
    assert len(ended.stderr.splitlines()) == 1
