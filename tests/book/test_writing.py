"""Writing: one turn, one entry, one link of the chain; a retry writes once, a refusal writes nothing."""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
import subprocess
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from herdbook.book import writing as book_writing
from herdbook.book.opening import connect
from herdbook.book.writing import Book
from herdbook.chores.doing import find_chore
from herdbook.errors import BookBusy, ChoreRefused, HerdbookError, Refused
from tests.book import reference_chain
from tests.yard import ADA, MINUTE, Yard


def test_what_is_written_is_one_link_of_a_chain(yard: Yard) -> None:
    before = yard.row("SELECT number, hash FROM entry ORDER BY number DESC LIMIT 1")
    written = yard.do("temperature", reading="45", note="after the power cut")
    entry = yard.row("SELECT * FROM entry WHERE number = ?", written.entry)
    assert written.entry == before["number"] + 1
    assert entry["previous"] == before["hash"]
    assert entry["note"] == "after the power cut"
    assert entry["said"] == written.said
    assert entry["farm_day"] == "2026-03-09"
    assert entry["written_ms"] == yard.now_s * 1000
    assert entry["person"] == ADA.person
    assert reference_chain.faults(yard.path) == []


def test_the_first_entry_hangs_on_sixty_four_noughts(bare_yard: Yard) -> None:
    assert bare_yard.row("SELECT previous FROM entry WHERE number = 1")["previous"] == "0" * 64
    assert reference_chain.faults(bare_yard.path) == []


def facts(path: Path) -> list[tuple[str, str, int]]:
    """Every column of every row that says something: table, column, key; tests/chores/test_readings.py has readings."""
    with closing(sqlite3.connect(path)) as connection:
        found = []
        for (table,) in connection.execute(
            "SELECT name FROM sqlite_schema WHERE type = 'table' "
            "AND name NOT IN ('draft', 'notice', 'alarm_gone', 'reading') ORDER BY name"
        ).fetchall():
            key = "number" if table == "entry" else "id"
            columns = [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]
            for (row_id,) in connection.execute(f"SELECT {key} FROM {table}").fetchall():
                found += [(table, column, row_id) for column in columns if column != key]
        return found


def test_every_changed_fact_is_seen(yard: Yard) -> None:
    """A hand that drops the triggers and changes one value, anywhere: one column of each table, all in turn."""
    yard.do("strike", entry=str(yard.do("head", pen="High", head="60").entry))
    yard.book.close()
    chosen = {(table, column): (table, column, key) for table, column, key in facts(yard.path)}
    with closing(sqlite3.connect(yard.path)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        for (trigger,) in connection.execute(
            "SELECT name FROM sqlite_schema WHERE type = 'trigger'"
        ).fetchall():
            connection.execute(f"DROP TRIGGER {trigger}")
        connection.commit()
        connection.isolation_level = None
        connection.execute("PRAGMA ignore_check_constraints = ON")
        for table, column, key in chosen.values():
            connection.execute("BEGIN")
            name = "number" if table == "entry" else "id"
            old = connection.execute(f"SELECT {column} FROM {table} WHERE {name} = ?", (key,)).fetchone()[0]
            new = f"{old}x" if isinstance(old, str) else (old or 0) + 1
            connection.execute(f"UPDATE {table} SET {column} = ? WHERE {name} = ?", (new, key))
            assert reference_chain.faults_seen_by(connection), (
                f"{table}.{column} of {key}: {old!r} became {new!r}"
            )
            connection.execute("ROLLBACK")
        assert reference_chain.faults_seen_by(connection) == []


def test_a_changed_byte_is_seen_or_changes_nothing(yard: Yard, tmp_path: Path) -> None:
    """A hundred and fifty flipped bits: each is seen, or every row reads as before (it lay in unused room)."""
    yard.book.close()
    with closing(sqlite3.connect(yard.path)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    whole, chance = yard.path.read_bytes(), random.Random(7)
    state = contents(yard.path)
    for _ in range(150):
        place = chance.randrange(len(whole))
        copy = tmp_path / "copy.book"
        copy.write_bytes(
            whole[:place] + bytes([whole[place] ^ (1 << chance.randrange(8))]) + whole[place + 1 :]
        )
        for leftover in ("-wal", "-shm"):
            copy.with_name(f"{copy.name}{leftover}").unlink(missing_ok=True)
        assert reference_chain.faults(copy) or contents(copy) == state, place


def contents(path: Path) -> list[list[tuple[object, ...]]]:
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
        names = connection.execute(
            "SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name"
        ).fetchall()
        return [connection.execute(f"SELECT * FROM {name} ORDER BY 1").fetchall() for (name,) in names]


@pytest.mark.parametrize("removed", ["first", "middle", "last two"])
def test_a_missing_entry_is_seen_inside_the_chain(yard: Yard, removed: str) -> None:
    number = {"first": 1, "middle": 7, "last two": yard.entries - 1}[removed]
    with closing(sqlite3.connect(yard.path)) as connection:
        connection.execute("DROP TRIGGER entry_no_delete")
        connection.execute("DELETE FROM entry WHERE number = ?", (number,))
        connection.commit()
    assert reference_chain.faults(yard.path)


def test_the_same_request_twice_writes_once(yard: Yard) -> None:
    first = yard.do("temperature", reading="45", request="form-1")
    state = yard.state()
    again = yard.do("temperature", reading="45", request="form-1")
    assert (again.entry, again.again, first.again) == (first.entry, True, False)
    assert yard.state() == state
    assert yard.do("temperature", reading="45", request="form-2").entry == first.entry + 1


def test_the_same_request_from_many_threads_writes_once(yard: Yard) -> None:
    draft, chore = yard.draft("temperature", reading="45"), find_chore("temperature")
    before, told = yard.entries, []

    def send() -> None:
        told.append(chore(yard.book, draft, by=ADA, now=yard.now, request="form-1"))

    threads = [threading.Thread(target=send) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert yard.entries == before + 1
    assert sorted(written.again for written in told) == [False] + [True] * 7
    assert {written.entry for written in told} == {before + 1}


def test_threads_that_share_a_book_each_write_their_own(yard: Yard) -> None:
    draft, chore = yard.draft("temperature", reading="45"), find_chore("temperature")
    before, errors = yard.entries, []

    def send() -> None:
        try:
            for _ in range(10):
                chore(yard.book, draft, by=ADA, now=yard.now)
        except Exception as error:
            errors.append(error)

    threads = [threading.Thread(target=send) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert errors == []
    assert yard.entries == before + 60
    assert reference_chain.faults(yard.path) == []


def test_a_clock_set_back_breaks_nothing(yard: Yard) -> None:
    yard.do("temperature", reading="45")
    yard.now_s -= 3_600
    later = yard.do("temperature", reading="44")
    assert yard.row("SELECT max(number) AS n FROM entry")["n"] == later.entry
    assert reference_chain.faults(yard.path) == []


def test_a_chore_refused_in_its_middle_leaves_nothing(yard: Yard) -> None:
    state = yard.state()
    with pytest.raises(ChoreRefused, match="has no ration"):
        yard.do("load", pen=["High", "Far dry"])
    with pytest.raises(Refused, match="given twice"):
        yard.do("analysis", feed="corn", dry="34", value=["cp=8", "ndf=44", "cp=9"])
    assert yard.state() == state


def test_an_error_in_a_chore_leaves_nothing_and_the_book_free(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks(*_: object) -> str:
        raise RuntimeError("power cut")

    state = yard.state()
    monkeypatch.setattr(book_writing, "entry_hash", breaks)
    with pytest.raises(RuntimeError):
        yard.do("temperature", reading="45")
    monkeypatch.undo()
    assert yard.state() == state
    assert yard.do("temperature", reading="45").entry == yard.entries


@pytest.fixture
def someone_writing(yard: Yard) -> Iterator[sqlite3.Connection]:
    with closing(connect(yard.path)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield other


def test_a_turn_that_does_not_come_is_said_and_nothing_is_written(
    yard: Yard, someone_writing: sqlite3.Connection, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(book_writing, "WAIT_S", 0.05)
    state = yard.state()
    with pytest.raises(BookBusy, match="Someone else is writing") as busy:
        yard.do("temperature", reading="45")
    assert "nothing you typed is lost" in busy.value.remedy
    someone_writing.execute("ROLLBACK")
    assert yard.state() == state
    yard.do("temperature", reading="45")


def test_who_waits_long_is_told_once_and_then_gets_the_turn(
    yard: Yard, someone_writing: sqlite3.Connection
) -> None:
    told: list[int] = []

    def waiting() -> None:
        told.append(1)
        someone_writing.execute("ROLLBACK")

    patient = Book(yard.path, waiting=waiting)
    find_chore("temperature")(patient, yard.draft("temperature", reading="45"), by=ADA, now=yard.now)
    patient.close()
    assert told == [1]


def test_a_person_who_is_not_in_the_book_cannot_write(yard: Yard) -> None:
    from dataclasses import replace

    state = yard.state()
    with pytest.raises(HerdbookError):
        yard.do("temperature", reading="45", by=replace(ADA, person=99))
    assert yard.state() == state


def test_hostile_notes_and_requests_are_harmless_or_refused(yard: Yard) -> None:
    written = yard.do("temperature", reading="45", note="\x1b]52;c;AAAA\x07 late\u202e " + "x" * 5000)
    note = yard.row("SELECT note FROM entry WHERE number = ?", written.entry)["note"]
    assert note.startswith("late x")
    assert len(note) <= 2000
    state = yard.state()
    for request in ("a\x1bb", "x" * 500):
        with pytest.raises(HerdbookError):
            yard.do("temperature", reading="45", request=request)
    assert yard.state() == state


def sealed(path: Path, *, on: bool) -> bool:
    """Make a path unchangeable even for the super-user; whether that could be done."""
    done = subprocess.run(["chattr", f"{'+' if on else '-'}i", str(path)], check=False, capture_output=True)
    return done.returncode == 0


@pytest.mark.skipif(shutil.which("chattr") is None, reason="no chattr here")
@pytest.mark.parametrize("what", ["file", "folder"])
def test_a_book_that_may_not_be_written_is_said_so_and_left_alone(yard: Yard, what: str) -> None:
    draft, chore = yard.draft("temperature", reading="45"), find_chore("temperature")
    yard.book.close()
    before, path = yard.path.read_bytes(), yard.path if what == "file" else yard.path.parent
    for leftover in ("-wal", "-shm"):
        yard.path.with_name(f"farm.book{leftover}").unlink(missing_ok=True)
    if not sealed(path, on=True):
        pytest.skip("files cannot be sealed here")
    try:
        book = Book(yard.path)
        with pytest.raises(HerdbookError) as refused:
            chore(book, draft, by=ADA, now=yard.now)
        book.close()
    finally:
        sealed(path, on=False)
    assert refused.value.remedy
    assert yard.path.read_bytes() == before
    yard.do("temperature", reading="45")


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of three megabytes."""
    place = tmp_path / "small"
    place.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=3m", "tmpfs", str(place)], check=False, capture_output=True
    )
    if mounted.returncode:
        pytest.skip(f"no disk can be mounted here: {mounted.stderr.decode().strip()}")
    yield place
    subprocess.run(["umount", str(place)], check=False)


def test_a_full_disk_loses_nothing_that_was_said_to_be_written(template_book: Path, small_disk: Path) -> None:
    yard = Yard(small_disk / "farm.book")
    shutil.copyfile(template_book, yard.path)
    draft, chore = yard.draft("temperature", reading="45"), find_chore("temperature")
    for _ in range(3):
        chore(yard.book, draft, by=ADA, now=yard.now)
    free = os.statvfs(small_disk).f_bavail * os.statvfs(small_disk).f_frsize
    (small_disk / "ballast").write_bytes(b"\0" * max(0, free - 40_000))
    told, refused = [], None
    for _ in range(200):
        try:
            told.append(chore(yard.book, draft, by=ADA, now=yard.now).entry)
        except HerdbookError as error:
            refused = error
            break
    assert isinstance(refused, ChoreRefused)
    assert "disk" in str(refused).lower()
    assert reference_chain.faults(yard.path) == []
    assert yard.entries == (told[-1] if told else yard.entries)
    (small_disk / "ballast").unlink()
    yard.now_s += MINUTE
    assert chore(yard.book, draft, by=ADA, now=yard.now).entry == yard.entries
    assert reference_chain.faults(yard.path) == []
    yard.book.close()
