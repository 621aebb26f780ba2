"""Feeding over a line of 300 ms each way and 10,000 bytes a second: typed ahead, nothing lost, soon enough."""

from __future__ import annotations

import sqlite3
import sys
import time
from contextlib import closing

import pytest

from tests.seat import ROOT, FarmTime
from tests.terminal import Terminal
from tests.yard import DAY

pytestmark = pytest.mark.slow
DELAY_MS, BYTES_S = 300, 10_000


@pytest.fixture
def far_away(yard, tmp_path):
    """Cleo at a terminal of 60x20 behind the line, on the morning after; nothing is begun."""
    yard.now_s += DAY - 3 * 3_600
    yard.book.close()
    clock = FarmTime(tmp_path / "clock", "2026-03-10 07:30")
    line = [sys.executable, "-m", "tests.slow_line", str(DELAY_MS), str(BYTES_S)]
    program = [sys.executable, "-m", "tests.day_program", str(yard.path), str(clock.file), "Cleo"]
    with Terminal([*line, *program], columns=60, rows=20, cwd=str(ROOT)) as terminal:
        terminal.wait("Yesterday  milk")
        yield terminal


def test_a_load_is_fed_by_keys_typed_ahead_of_what_is_seen(yard, far_away):
    far_away.press("f3")
    far_away.wait("Enter starts load 1, High")
    far_away.quiet(1.0)
    far_away.press("enter")
    far_away.wait(" Scale reads ")
    far_away.quiet(1.0)
    before, began = far_away.bytes, time.monotonic()
    far_away.press("2", "6", "9", "0", "enter")  # at once, as fast hands do; the line shows nothing yet
    far_away.wait("Mineral mix")
    far_away.wait("✓ Corn silage")
    far_away.quiet(1.0)
    assert far_away.bytes - before < 6_000
    assert time.monotonic() - began < 20
    with closing(sqlite3.connect(yard.path)) as connection:
        rows = connection.execute("SELECT scale_g FROM load_weight ORDER BY id DESC LIMIT 1").fetchall()
    assert rows == [(round(2_690 * 453.59237),)]
