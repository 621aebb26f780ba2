"""The trials of durability, a small share of each; scripts/trials_kept.py does them at full length."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests import power_cut, trials
from tests.failing_calls import failing_calls
from tests.needed import program
from tests.trials import TRIALS
from tests.yard import Yard

WHOLE = {  # what each chore of a round writes, by hand from its meaning
    "temperature": {"temperature": 1},
    "pickup": {"pickup_ticket": 1},
    "analysis": {"analysis": 1, "analysis_value": 4},
    "load": {"load_plan": 1, "load_weight": 2, "load_plan_line": 2},
}


def rows_of_entry(yard: Yard, number: int) -> dict[str, int]:
    tables = dict.fromkeys(table for rows in WHOLE.values() for table in rows)
    return {
        table: count
        for table in tables
        if (count := yard.row(f"SELECT count(*) AS n FROM {table} WHERE entry = ?", number)["n"])
    }


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "times"), [("chores", 50), ("imports", 25)])
def test_a_kill_loses_nothing_that_was_told(tmp_path: Path, kind: str, times: int) -> None:
    counts = trials.kills(tmp_path, kind, times)
    assert counts["kills"] == times
    assert counts["told"] >= times
    if kind == "chores":  # what a kill left is whole, too
        yard = Yard(tmp_path / "chores.book")
        written = yard.rows("SELECT number, chore FROM entry WHERE request GLOB 'k*'")
        assert len(written) >= counts["told"]
        for row in written:
            assert rows_of_entry(yard, row["number"]) == WHOLE[row["chore"]], row
        assert {row["chore"] for row in written} == set(WHOLE)


@pytest.mark.slow
def test_two_programs_write_in_one_chain(tmp_path: Path) -> None:
    counts = trials.two_writers(tmp_path, 500)
    assert counts["written"] == 1_000
    assert counts["turns from one to the other"] > 2  # they did write at the same time


@pytest.mark.slow
def test_a_call_that_fails_leaves_the_reading_written_and_told_or_refused_in_a_sentence(
    tmp_path: Path,
) -> None:
    program("strace", "strace")
    counts = failing_calls(tmp_path, 5, ("pwrite64", "fdatasync"), ("EIO",))
    assert counts["calls that failed"] > 2
    assert counts["refused in a sentence"] > 0


@pytest.mark.slow
def test_a_kill_in_a_migration_leaves_a_book_of_one_whole_version(tmp_path: Path) -> None:
    counts = trials.kills(tmp_path, "migrations", 12, longest_s=0.2)
    assert sum(counts.get(ended, 0) for ended in ("cut short", "cut before or after", "done")) >= 12


@pytest.mark.slow
def test_a_power_cut_loses_nothing_that_was_told(tmp_path: Path) -> None:
    """A recorded run, cut at some fifty places; of what was not synced nothing, some or all reached the disk."""
    program("strace", "strace")
    counts = trials.power_cuts(tmp_path, 60)
    assert counts["cuts, none of what was not synced"] >= 10
    assert counts["told entries seen again"] >= 10
    assert counts["copies seen sound"] >= 1


def test_a_disk_that_only_pretends_to_sync_is_found_out(tmp_path: Path) -> None:
    """The layer itself can fail: what was written and not synced is gone, what was synced stays."""
    disk = power_cut.Disk.of(tmp_path)
    name = str(tmp_path / "a")
    for event in (
        power_cut.Event("create", name),
        power_cut.Event("write", name, b"one", 0),
        power_cut.Event("sync", name),
        power_cut.Event("sync", str(tmp_path)),
        power_cut.Event("write", name, b"two", 3),
    ):
        disk.goes_on(event)
    for kept, wanted in (("none", b"one"), ("all", b"onetwo")):
        into = tmp_path / kept
        into.mkdir()
        disk.after_a_cut(into, random.Random(1), kept)
        assert (into / "a").read_bytes() == wanted


def test_a_chore_that_meets_a_full_file_is_whole_or_not_there(tmp_path: Path) -> None:
    counts = TRIALS["disk full"](tmp_path, 0.1)
    assert counts["written"] > 0
    assert counts["refused in a sentence"] > 10


@pytest.mark.slow
def test_a_chore_that_meets_a_full_disk_is_whole_or_not_there(tmp_path: Path) -> None:
    try:
        counts = TRIALS["small disk"](tmp_path, 0.1)
    except PermissionError as error:
        pytest.skip(f"no small disk to be had here: {error}")
    assert counts["written"] > 0
    assert counts["refused in a sentence"] > 4


@pytest.mark.slow
def test_a_flipped_bit_is_found_or_changes_nothing_and_crashes_nobody(tmp_path: Path) -> None:
    counts = trials.flipped_bits(tmp_path, 30)
    assert counts["bits"] == 30
    assert sum(count for what, count in counts.items() if what.startswith("found")) > 2


def test_a_file_cut_short_is_found_and_crashes_nobody(tmp_path: Path) -> None:
    assert trials.cut_files(tmp_path, 10)["cuts"] == 10


def test_a_strange_log_gives_a_whole_book_or_a_finding(tmp_path: Path) -> None:
    assert len(trials.strange_logs(tmp_path, 10)) >= 5
