"""The solver says nothing on standard output, comes late, and leaves standard output as it found it."""

from __future__ import annotations

import os
import pty
import select
import subprocess
import sys

SOLVE = """
import os, sys
from herdbook.solving.least_cost import least_cost
from herdbook.solving.programme import Feed, Limit, Programme
hay = Feed("hay", "forage", 0.88, {"cp": 12}, 18)
answers = [
    least_cost(Programme((hay,), (Limit("dm_intake", 20, 24),))),
    least_cost(Programme((hay,), (Limit("dm_intake", 20, 24), Limit("cp", low=13)))),
]
sys.stderr.write(f"{answers[0].cost_cents:.2f} {answers[1]}")
"""
LOUD = "import highspy; highspy.Highs()"


def test_not_a_byte_reaches_a_pipe() -> None:
    done = subprocess.run([sys.executable, "-c", SOLVE], capture_output=True, text=True, check=True)
    assert done.stderr.startswith("409.09 These cannot all hold")  # 20 kg of dry matter, 88 % dry, 18 ct
    assert done.stdout == ""


def test_not_a_byte_reaches_a_terminal() -> None:
    assert on_a_terminal(SOLVE) == b""


def test_the_checks_see_the_solver_when_it_is_not_silenced() -> None:
    assert b"HiGHS" in on_a_terminal(LOUD)
    assert "HiGHS" in subprocess.run([sys.executable, "-c", LOUD], capture_output=True, text=True).stdout


def on_a_terminal(code: str) -> bytes:
    """What a program writes to its standard output when that is a terminal."""
    ours, theirs = pty.openpty()
    try:
        subprocess.run([sys.executable, "-c", code], stdout=theirs, stderr=subprocess.PIPE, check=True)
        seen = b""
        while select.select([ours], [], [], 0)[0]:
            seen += os.read(ours, 4096)
        return seen
    finally:
        os.close(ours)
        os.close(theirs)


def test_what_is_printed_before_and_after_arrives() -> None:
    code = "print('before')\n" + SOLVE + "print('after')"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "before\nafter\n"


def test_a_closed_standard_output_stays_closed() -> None:
    code = (
        "import os\nos.close(1)\n"
        + SOLVE
        + "\ntry:\n    os.fstat(1)\nexcept OSError:\n    sys.stderr.write(' closed')"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.stderr.endswith(" closed")


def test_stating_a_problem_loads_neither_solver_nor_arrays() -> None:
    code = (
        "import sys\n"
        "import herdbook.solving.least_cost, herdbook.solving.smallest_change, herdbook.solving.nearest\n"
        "print(*(name for name in ('highspy', 'numpy', 'scipy', 'sqlite3', 'textual') if name in sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == []
