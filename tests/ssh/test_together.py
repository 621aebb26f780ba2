"""Several people in one book through the real server: every entry once, seen by others, idle screens left alone."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

SCRIPT = Path(__file__).parents[2] / "scripts/bench_together.py"

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("sshd")]


def test_nothing_is_lost_or_doubled_by_people_who_write_at_once_and_are_cut_off() -> None:
    """A small form of the script; times are printed there and judged by whoever runs it on a quiet machine."""
    sizes = {"sessions": 4, "screens": 1, "entries": 10, "looks": 1, "idle": 3}
    words = [word for name, number in sizes.items() for word in (f"--{name}", str(number))]
    done = subprocess.run([sys.executable, SCRIPT, *words], capture_output=True, text=True, timeout=300)
    faults = [line for line in done.stdout.splitlines() if line.startswith("!")]
    assert done.stderr == ""
    assert [line for line in faults if "percentile" not in line and "seen after" not in line] == []
    assert "a change seen by another" in done.stdout
