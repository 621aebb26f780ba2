"""Bringing an older book up to date: step by step, behind a checked copy, all of a step or nothing of it."""

from __future__ import annotations

import gzip
import os
import shutil
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from herdbook.book import migrations, opening, writing
from herdbook.book.checks import check_book
from herdbook.book.migrations import NEWEST, STEPS, bring_up_to_date, version_of
from herdbook.book.opening import APPLICATION_ID, connect, look_at, reading, ready
from herdbook.errors import HerdbookError
from tests.book import reference_chain
from tests.yard import Yard

Step = Callable[[sqlite3.Connection], None]
FIXTURES = Path(__file__).parents[2] / "fixtures"


def book_of_version(path: Path, version: int) -> Path:
    """A book as an earlier program left it."""
    with closing(connect(path, "rwc")) as connection:
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        bring_up_to_date(connection, to=version)
        connection.execute("PRAGMA journal_mode = WAL")
    return path


def schema(path: Path) -> list[tuple[str, str]]:
    with closing(connect(path, "ro")) as connection:
        return list(
            connection.execute("SELECT name, sql FROM sqlite_schema WHERE sql IS NOT NULL ORDER BY name")
        )


def version(path: Path) -> int:
    with closing(connect(path, "ro")) as connection:
        return version_of(connection)


def written(path: Path) -> list[tuple[int, str, str]]:
    with closing(connect(path, "ro")) as connection:
        return list(connection.execute("SELECT number, said, hash FROM entry ORDER BY number"))


def copies(path: Path) -> list[Path]:
    return sorted(path.parent.glob(f"{path.name}.before-version-*"))


@pytest.mark.parametrize("begin", range(NEWEST + 1))
def test_every_earlier_version_ends_as_a_new_book(tmp_path: Path, begin: int) -> None:
    fresh = book_of_version(tmp_path / "fresh.book", NEWEST)
    path = book_of_version(tmp_path / "farm.book", begin)
    ready(path)
    assert version(path) == NEWEST
    assert schema(path) == schema(fresh)
    assert reference_chain.faults(path) == []
    assert len(copies(path)) == (begin < NEWEST)


def test_a_book_that_people_wrote_in_at_version_3_goes_on(tmp_path: Path) -> None:
    """The file was written by the program as it was then: the chores of the tests' yard, twenty entries."""
    path = tmp_path / "farm.book"
    path.write_bytes(gzip.decompress((FIXTURES / "book_of_version_3.gz").read_bytes()))
    before = written(path)
    assert (version(path), len(before)) == (3, 20)
    ready(path)
    yard = Yard(path)
    assert (version(path), written(path)) == (NEWEST, before)
    assert check_book(path, yard.now_s).findings == ()
    for name, texts in (
        ("temperature", {"reading": "38.9F"}),
        ("load", {"pen": "High", "feeding": "1"}),
        ("alarm", {"words": "the fan stands"}),
        ("readings", {"reading": ["-20=39F"]}),
        ("delivery", {"feed": "corn", "weight": "20 ton"}),
    ):
        yard.do(name, **texts)
    assert check_book(path, yard.now_s).findings == ()
    assert reference_chain.faults(path) == []
    (copy,) = copies(path)
    assert (version(copy), written(copy)) == (3, before)


@pytest.fixture
def next_step(monkeypatch: pytest.MonkeyPatch) -> Callable[[Step], int]:
    """Make the program one version newer, by a step made up for the test."""

    def add(step: Step) -> int:
        monkeypatch.setattr(migrations, "STEPS", (*STEPS, step))
        monkeypatch.setattr(migrations, "NEWEST", NEWEST + 1)
        monkeypatch.setattr(opening, "NEWEST", NEWEST + 1)
        monkeypatch.setattr(writing, "NEWEST", NEWEST + 1)
        return NEWEST + 1

    return add


def add_a_column(connection: sqlite3.Connection) -> None:
    connection.execute("ALTER TABLE pen_card ADD COLUMN stalls INTEGER")
    connection.execute("CREATE TABLE stall (id INTEGER PRIMARY KEY, entry INTEGER NOT NULL) STRICT")


def test_a_book_behind_is_copied_then_brought_up_to_date(
    yard: Yard, next_step: Callable[[Step], int]
) -> None:
    before, entries = yard.state(), yard.entries
    newer = next_step(add_a_column)
    with reading(yard.path) as connection:
        assert connection.execute("SELECT count(stalls) FROM pen_card").fetchone()[0] == 0
    assert version(yard.path) == newer
    (copy,) = copies(yard.path)
    assert Yard(copy).state() == before
    assert version(copy) == newer - 1
    assert reference_chain.faults(copy) == []
    assert yard.entries == entries


def test_a_new_column_leaves_the_chain_as_it_was(yard: Yard, next_step: Callable[[Step], int]) -> None:
    next_step(add_a_column)
    yard.do("pen", name="Maternity")
    assert reference_chain.faults(yard.path) == []


def test_a_step_that_fails_leaves_nothing_half_there(yard: Yard, next_step: Callable[[Step], int]) -> None:
    def fails(connection: sqlite3.Connection) -> None:
        add_a_column(connection)
        connection.execute("INSERT INTO nowhere VALUES (1)")

    before, was = yard.state(), schema(yard.path)
    next_step(fails)
    with pytest.raises(HerdbookError):
        ready(yard.path)
    assert (yard.state(), schema(yard.path), version(yard.path)) == (before, was, NEWEST)
    assert len(copies(yard.path)) == 1


def test_a_crash_in_the_middle_of_a_step_leaves_nothing_half_there(yard: Yard) -> None:
    before, was = yard.state(), schema(yard.path)
    code = f"""
import os
from pathlib import Path
from herdbook.book import migrations, opening, writing
from herdbook.book.checks import check_book
def dies(connection):
    connection.execute("ALTER TABLE pen_card ADD COLUMN stalls INTEGER")
    connection.execute("CREATE TABLE stall (id INTEGER PRIMARY KEY) STRICT")
    os.kill(os.getpid(), 9)
migrations.STEPS = (*migrations.STEPS, dies)
migrations.NEWEST = opening.NEWEST = len(migrations.STEPS)
opening.ready(Path({str(yard.path)!r}))
"""
    done = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True)
    assert done.returncode == -9, done.stderr
    assert (yard.state(), schema(yard.path), version(yard.path)) == (before, was, NEWEST)
    assert reference_chain.faults(yard.path) == []
    yard.do("temperature", reading="45")


def test_a_book_that_cannot_be_copied_is_not_touched(
    yard: Yard, next_step: Callable[[Step], int], monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> Path:
        raise opening.ChoreRefused("The book could not be copied aside: disk is full.")

    next_step(add_a_column)
    monkeypatch.setattr(opening, "copy_aside", full)
    before = yard.state()
    with pytest.raises(HerdbookError, match="copied aside"):
        ready(yard.path)
    assert (yard.state(), version(yard.path)) == (before, NEWEST)


def test_two_programs_that_open_an_old_book_at_once_both_get_it(
    yard: Yard, next_step: Callable[[Step], int]
) -> None:
    newer, errors = next_step(add_a_column), []

    def open_it() -> None:
        try:
            with connect(yard.path) as connection:
                bring_up_to_date(connection)
            connection.close()
        except Exception as error:
            errors.append(error)

    threads = [threading.Thread(target=open_it) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert errors == []
    assert version(yard.path) == newer


def test_running_twice_is_safe(tmp_path: Path) -> None:
    path = book_of_version(tmp_path / "farm.book", 0)
    with closing(connect(path)) as connection:
        assert bring_up_to_date(connection) == list(range(1, NEWEST + 1))
        assert bring_up_to_date(connection) == []


def test_a_book_from_the_future_is_not_taken_back(yard: Yard, next_step: Callable[[Step], int]) -> None:
    next_step(add_a_column)
    ready(yard.path)
    shutil.copyfile(yard.path, yard.path.with_name("kept"))
    before = yard.path.read_bytes()
    code = f"from pathlib import Path\nfrom herdbook.book.opening import look_at\nlook_at(Path({str(yard.path)!r}))"
    done = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True, text=True)
    assert "newer herdbook" in done.stderr
    assert yard.path.read_bytes() == before
    assert look_at(yard.path) == NEWEST + 1


def test_the_number_of_the_step_is_recorded_with_it(tmp_path: Path) -> None:
    path = tmp_path / "farm.book"
    book_of_version(path, NEWEST)
    assert int.from_bytes(path.read_bytes()[60:64], "big") == NEWEST == len(STEPS)
    assert os.listdir(tmp_path) == ["farm.book"]  # noqa: PTH208 (names are what is looked at)
