"""A killed program loses nothing it said was written, and writers never get into each other's way."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from itertools import pairwise
from pathlib import Path

import pytest

from tests.book import reference_chain
from tests.book.crash_worker import ROUND
from tests.yard import Yard

ROOT = Path(__file__).parents[2]
KILLS = 50

# A writer starts by fork from one process that has imported everything, so that fifty take seconds.
NURSERY = """
import os, sys
from pathlib import Path
from herdbook.chores.doing import chores
from tests.book.crash_worker import run
chores()
for line in sys.stdin:
    path, name, out = line.rstrip("\\n").split("\\t")
    child = os.fork()
    if child == 0:
        os.dup2(os.open(out, os.O_WRONLY | os.O_CREAT), 1)
        run(Path(path), name, None)
    print(child, flush=True)
    print(os.waitpid(child, 0)[1], flush=True)
"""


def rows_of_entry(yard: Yard, number: int) -> dict[str, int]:
    tables = (
        "temperature",
        "pickup_ticket",
        "analysis",
        "analysis_value",
        "load_plan",
        "load_weight",
        "load_plan_line",
    )
    return {
        table: count
        for table in tables
        if (count := yard.row(f"SELECT count(*) AS n FROM {table} WHERE entry = ?", number)["n"])
    }


WHOLE = {  # what each chore of a round writes, by hand from its meaning
    "temperature": {"temperature": 1},
    "pickup": {"pickup_ticket": 1},
    "analysis": {"analysis": 1, "analysis_value": 4},
    "load": {"load_plan": 1, "load_weight": 2, "load_plan_line": 2},
}


@pytest.mark.slow
def test_fifty_kills_lose_nothing_that_was_said_to_be_written(yard: Yard, tmp_path: Path) -> None:
    chance, told_in_all = random.Random(20260309), 0
    before = yard.entries
    nursery = subprocess.Popen(
        [sys.executable, "-c", NURSERY],
        cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert nursery.stdin
    assert nursery.stdout
    for kill in range(KILLS):
        out = tmp_path / f"told-{kill}"
        nursery.stdin.write(f"{yard.path}\t{kill}\t{out}\n")
        nursery.stdin.flush()
        child = int(nursery.stdout.readline())
        while not out.exists() or not out.stat().st_size:
            time.sleep(0.001)
        time.sleep(chance.uniform(0, 0.06))
        os.kill(child, signal.SIGKILL)
        assert int(nursery.stdout.readline()) == signal.SIGKILL
        told = dict(line.split() for line in out.read_text().splitlines() if line.count(" ") == 1)
        written = {
            row["request"].split("-")[1]: row["number"]
            for row in yard.rows("SELECT request, number FROM entry WHERE request GLOB ?", f"{kill}-*")
        }
        lost = {number for number, entry in told.items() if written.get(number) != int(entry)}
        assert not lost
        assert len(written) - len(told) in (0, 1)  # the one that was written but not yet told
        told_in_all += len(told)
    nursery.communicate()
    assert reference_chain.faults(yard.path) == []
    assert yard.entries - before >= told_in_all >= KILLS
    for row in yard.rows("SELECT number, chore FROM entry WHERE number > ?", before):
        assert rows_of_entry(yard, row["number"]) == WHOLE[row["chore"]], row
    print(f"{KILLS} kills, {told_in_all} told, {yard.entries - before} in the book")


@pytest.mark.slow
def test_two_programs_write_five_hundred_each_in_one_chain(yard: Yard) -> None:
    before = yard.entries
    began = time.monotonic()
    writers = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.book.crash_worker", str(yard.path), name, "500"],
            cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for name in ("left", "right")
    ]  # fmt: skip
    ended = [writer.communicate() for writer in writers]
    print(f"two writers, 1,000 entries in {time.monotonic() - began:.1f} s")
    assert [(writer.returncode, errors) for writer, (_, errors) in zip(writers, ended, strict=True)] == [
        (0, "")
    ] * 2
    assert yard.entries == before + 1000
    assert [len(out.splitlines()) for out, _ in ended] == [500, 500]
    numbers = sorted(int(line.split()[1]) for out, _ in ended for line in out.splitlines())
    assert numbers == list(range(before + 1, before + 1001))
    assert reference_chain.faults(yard.path) == []
    turns = [
        row["request"].split("-")[0]
        for row in yard.rows("SELECT request FROM entry WHERE number > ?", before)
    ]
    assert sum(a != b for a, b in pairwise(turns)) > 2  # they did write at the same time
    assert len(ROUND) == len(WHOLE)
