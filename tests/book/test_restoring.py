"""A restore brings back the chain of the copy, keeps what it replaced, and never replaces a book in use."""

from __future__ import annotations

import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from herdbook.book import restoring
from herdbook.book.chain import START, entry_hash
from herdbook.book.checks import check_book
from herdbook.book.copying import copy_book
from herdbook.book.migrations import NEWEST
from herdbook.book.opening import look_at, reading
from herdbook.book.restoring import Restored, Stretch, compare, restore_book, sound_copy
from herdbook.errors import ChoreRefused, DamagedBook, NoBook, NotABook, Refused
from tests.book import reference_chain
from tests.book.test_copying import ends
from tests.book.test_migrations import book_of_version
from tests.test_checks import forge
from tests.yard import ADA, CLEO, TEN_O_CLOCK, Yard

ROOT = Path(__file__).parents[2]
KILLS = 12


@pytest.fixture
def copy(yard: Yard, tmp_path: Path) -> Path:
    """A copy of the yard's book, in a folder of its own."""
    folder = tmp_path / "copies"
    folder.mkdir()
    return copy_book(yard.path, folder, now_s=TEN_O_CLOCK).copy.path


def restored(copy: Path, book: Path, turn: int = 0) -> Restored:
    return restore_book(copy, book, seen=compare(book, copy).book, now_s=TEN_O_CLOCK + turn)


def files(path: Path) -> set[str]:
    return {one.name for one in path.parent.iterdir() if one.is_file()}


@contextmanager
def held_open(path: Path, *statements: str) -> Iterator[None]:
    """Another program has the book open and did something in it; it is killed in the end."""
    code = (
        "import sqlite3, sys\n"
        "book = sqlite3.connect(sys.argv[1], isolation_level=None)\n"
        "for statement in sys.argv[2:]: book.execute(statement).fetchall()\n"
        "print('open', flush=True)\n"
        "sys.stdin.read()\n"
    )
    program = subprocess.Popen(
        [sys.executable, "-c", code, str(path), *statements],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        assert program.stdout
        assert program.stdout.readline() == "open\n"
        yield
    finally:
        program.kill()
        program.communicate()


def _flip(whole: bytes) -> bytes:
    turned, chance = bytearray(whole), random.Random(3)
    for _ in range(400):
        turned[chance.randrange(len(turned))] ^= 1 << chance.randrange(8)
    return bytes(turned)


DAMAGE = {
    "flipped bits": _flip,
    "a flipped header": lambda whole: bytes(byte ^ 255 for byte in whole[:100]) + whole[100:],
    "half of it gone": lambda whole: whole[: len(whole) // 2],
    "all of it gone": lambda whole: b"",
    "another file": lambda whole: b"Dear vet, " * 500,
    "noughts": lambda whole: whole[:4096] + bytes(len(whole) - 4096),
}


@pytest.mark.parametrize("damage", DAMAGE)
def test_a_damaged_book_is_restored_to_the_chain_of_its_copy(yard: Yard, copy: Path, damage: str) -> None:
    yard.book.close()
    before = yard.state(), ends(yard.path)
    damaged = DAMAGE[damage](yard.path.read_bytes())
    yard.path.write_bytes(damaged)
    done = restored(copy, yard.path)
    assert (yard.state(), ends(yard.path)) == before
    assert (done.number, done.head) == before[1]
    assert reference_chain.faults(yard.path) == []
    assert check_book(yard.path, yard.now_s).findings == ()
    assert done.kept == yard.path.with_name("farm-replaced-20260309T150000Z.book")
    assert done.kept.read_bytes() == damaged
    assert yard.do("temperature", reading="41F").entry == done.number + 1


def test_a_lost_log_is_restored_from_a_copy_that_has_what_it_held(yard: Yard, tmp_path: Path) -> None:
    yard.do("temperature", reading="41F")
    folder = tmp_path / "copies"
    folder.mkdir()
    copy = copy_book(yard.path, folder, now_s=TEN_O_CLOCK).copy.path
    before = yard.state()
    lone = tmp_path / "lone.book"
    shutil.copyfile(yard.path, lone)  # the file of a book in use, without its log
    assert ends(lone)[0] == yard.entries - 1
    between = compare(lone, copy)
    assert between.lost is None
    assert between.gained is not None
    assert between.gained.count == 1
    restored(copy, lone)
    assert Yard(lone).state() == before


def test_a_log_of_another_book_is_put_aside_with_the_file_it_lay_beside(
    yard: Yard, copy: Path, tmp_path: Path
) -> None:
    other = Yard.started(tmp_path / "other.book")
    log = other.path.with_name("other.book-wal").read_bytes()
    assert log
    yard.book.close()
    before = yard.state()
    yard.path.with_name("farm.book-wal").write_bytes(log)
    done = restored(copy, yard.path)
    assert done.kept is not None
    assert done.kept.with_name(f"{done.kept.name}-wal").read_bytes() == log
    assert not yard.path.with_name("farm.book-wal").exists()
    assert yard.state() == before
    assert reference_chain.faults(yard.path) == []


def test_what_a_killed_program_left_in_the_log_is_kept_whole(yard: Yard, copy: Path) -> None:
    yard.book.close()
    say = "INSERT INTO draft (person, form, request, texts, saved_ms) VALUES (1, 'pen', 'r', '{}', 1)"
    with held_open(yard.path, say):
        pass
    assert yard.path.with_name("farm.book-wal").stat().st_size
    done = restored(copy, yard.path)
    assert Yard(yard.path).rows("SELECT * FROM draft") == []
    assert done.kept is not None
    assert len(Yard(done.kept).rows("SELECT * FROM draft")) == 1
    assert reference_chain.faults(done.kept) == []


def test_a_missing_book_is_restored_where_it_lay(yard: Yard, copy: Path) -> None:
    before = yard.state()
    yard.book.close()
    for path in list(yard.path.parent.glob("farm.book*")):
        path.unlink()
    assert compare(yard.path, copy).found == "missing"
    done = restored(copy, yard.path)
    assert done.kept is None
    assert files(yard.path) == {"farm.book"}
    assert yard.state() == before


def test_a_restored_book_is_a_book_in_every_way(yard: Yard, copy: Path) -> None:
    yard.book.close()
    yard.path.chmod(0o660)
    restored(copy, yard.path)
    assert yard.path.stat().st_mode & 0o777 == 0o660
    with closing(sqlite3.connect(yard.path)) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
    assert {name for name in files(yard.path) if name.startswith(".")} == set()


def test_a_book_that_is_a_link_stays_one(yard: Yard, copy: Path, tmp_path: Path) -> None:
    yard.book.close()
    link = tmp_path / "link.book"
    link.symlink_to(yard.path)
    yard.path.write_bytes(b"damaged")
    restored(copy, link)
    assert link.is_symlink()
    assert ends(yard.path) == ends(copy)


def test_what_lies_between_is_told_by_number_day_and_writer(yard: Yard, copy: Path) -> None:
    last = yard.entries
    assert compare(yard.path, copy).lost is None
    for by in (CLEO, ADA, CLEO):
        yard.do("temperature", by=by, reading="41F")
    day = "2026-03-09"
    assert compare(yard.path, copy).lost == Stretch(
        3, last + 1, last + 3, day, day, (("Cleo", 2), ("Ada", 1))
    )
    assert compare(yard.path, copy).gained is None
    assert compare(yard.path, copy).found == "same chain"


def test_two_ways_gone_from_one_book_are_both_told(yard: Yard, copy: Path, tmp_path: Path) -> None:
    last = yard.entries
    other = tmp_path / "other.book"
    shutil.copyfile(copy, other)
    went = Yard(other)
    for typed in ("40F", "41F"):
        went.do("temperature", reading=typed)
    yard.do("temperature", reading="42F")
    between = compare(yard.path, other)
    assert between.lost is not None
    assert between.gained is not None
    assert (between.lost.first, between.lost.count) == (last + 1, 1)
    assert (between.gained.first, between.gained.count) == (last + 1, 2)


def test_another_farms_book_is_told_apart(yard: Yard, tmp_path: Path) -> None:
    other = Yard.started(tmp_path / "other.book")
    assert compare(yard.path, other.path).found == "another"


@pytest.mark.parametrize(
    "state", [(), ("BEGIN IMMEDIATE",), ("SELECT count(*) FROM entry",)], ids=["idle", "writing", "read"]
)
def test_a_book_that_someone_has_open_is_not_replaced(yard: Yard, copy: Path, state: tuple[str, ...]) -> None:
    yard.book.close()
    before, there = yard.path.read_bytes(), files(yard.path)
    with held_open(yard.path, *state):
        with pytest.raises(ChoreRefused, match="Another program has"):
            restored(copy, yard.path)
        assert yard.path.read_bytes() == before
    assert {name for name in files(yard.path) if "replaced" in name or name.startswith(".")} == set()
    assert there <= files(yard.path)
    restored(copy, yard.path)  # and once they left it is


TURN_TAKEN = """
import fcntl, sys
from herdbook.book.restoring import LOCK_AT, LOCK_LENGTH
with open(sys.argv[1], "rb") as book:
    fcntl.lockf(book, fcntl.LOCK_SH | fcntl.LOCK_NB, LOCK_LENGTH, LOCK_AT)
"""
"""Another program takes the lock that SQLite would take to read; it fails where it is kept out."""


def test_everyone_is_kept_out_while_a_book_is_copied_where_the_disk_knows_no_links(
    yard: Yard, copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Closing any handle of a file drops the locks on it; the copy that is kept must not be read by another one."""
    yard.do("temperature", reading="45")
    yard.book.close()
    before, kept_out = yard.path.read_bytes(), []

    def no_links(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    def tried(folder: Path) -> None:
        if folder == yard.path.parent and not kept_out:  # the old file is kept, the new one not yet there
            program = [sys.executable, "-c", TURN_TAKEN, str(yard.path)]
            kept_out.append(subprocess.run(program, cwd=ROOT, check=False, capture_output=True).returncode)

    monkeypatch.setattr(restoring.os, "link", no_links)
    monkeypatch.setattr(restoring, "to_disk", tried)
    done = restored(copy, yard.path)
    assert kept_out == [1]
    assert done.kept is not None
    assert done.kept.read_bytes() == before
    program = [sys.executable, "-c", TURN_TAKEN, str(yard.path)]
    assert subprocess.run(program, cwd=ROOT, check=False).returncode == 0


def test_who_writes_between_the_question_and_the_yes_is_not_lost(yard: Yard, copy: Path) -> None:
    seen = compare(yard.path, copy).book
    yard.do("temperature", reading="41F")
    yard.book.close()
    with pytest.raises(ChoreRefused, match="meanwhile"):
        restore_book(copy, yard.path, seen=seen, now_s=TEN_O_CLOCK)
    assert yard.entries == ends(copy)[0] + 1


def test_a_copy_that_is_not_sound_replaces_nothing(yard: Yard, copy: Path, tmp_path: Path) -> None:
    yard.book.close()
    before, there = yard.path.read_bytes(), files(yard.path)
    whole = copy.read_bytes()
    forge(Yard(copy), "UPDATE temperature SET tank_mC = 3000 WHERE id = 1")
    forged = copy.read_bytes()
    shut = {
        "forged": forged,
        "half": whole[: len(whole) // 2],
        "flipped": _flip(whole),
        "letter": b"Dear vet",
        "nothing": b"",
        "newer": whole[:60] + (99).to_bytes(4, "big") + whole[64:],
    }
    for name, content in shut.items():
        bad = tmp_path / f"{name}.book"
        bad.write_bytes(content)
        with pytest.raises((ChoreRefused, NotABook, DamagedBook)) as refused:
            sound_copy(bad)
        assert refused.value.remedy == "Try an older copy."
        with pytest.raises((ChoreRefused, NotABook, DamagedBook)):
            restored(bad, yard.path)
        bad.unlink()
    with pytest.raises(NoBook):
        restored(tmp_path / "none.book", yard.path)
    assert yard.path.read_bytes() == before
    assert files(yard.path) == there


def test_a_copy_with_a_guard_changed_replaces_nothing(yard: Yard, copy: Path) -> None:
    with closing(sqlite3.connect(copy)) as connection:
        connection.execute("DROP TRIGGER entry_no_delete")
        connection.execute(
            "CREATE TRIGGER entry_no_delete AFTER INSERT ON entry BEGIN DELETE FROM draft; END"
        )
    with pytest.raises(ChoreRefused, match="trigger entry_no_delete was changed"):
        sound_copy(copy)


def test_a_copy_of_an_older_version_is_restored_and_brought_up_to_date_when_opened(tmp_path: Path) -> None:
    old = book_of_version(tmp_path / "old.book", 1)
    entry = {
        "number": 1,
        "written_ms": 1_773_068_400_000,
        "person": 1,
        "chore": "start",
        "farm_day": "2026-03-09",
    }
    entry |= {"note": "", "said": "", "asked": "{}", "strikes": None, "request": "r", "previous": START}
    entry["hash"] = entry_hash(entry, {"person": [{"id": 1, "entry": 1}]})
    with closing(sqlite3.connect(old)) as connection, connection:
        connection.execute("INSERT INTO person (id, entry) VALUES (1, 1)")
        connection.execute(
            f"INSERT INTO entry ({', '.join(entry)}) VALUES ({', '.join('?' * len(entry))})",
            (*entry.values(),),
        )
    place = tmp_path / "place" / "farm.book"
    place.parent.mkdir()
    restored(old, place)
    assert look_at(place) == 1
    with reading(place):
        pass
    assert look_at(place) == NEWEST


def test_a_copy_does_not_replace_itself_nor_a_folder(yard: Yard, copy: Path, tmp_path: Path) -> None:
    with pytest.raises(Refused, match="the book itself"):
        restored(copy, copy)
    with pytest.raises(Refused, match="cannot be"):
        restore_book(copy, tmp_path, seen=(), now_s=TEN_O_CLOCK)
    with pytest.raises(Refused, match="cannot be"):
        restore_book(copy, tmp_path / "none" / "farm.book", seen=(), now_s=TEN_O_CLOCK)


def test_two_restores_keep_what_each_replaced(yard: Yard, copy: Path) -> None:
    yard.book.close()
    first, second = restored(copy, yard.path), restored(copy, yard.path, 1)
    assert first.kept != second.kept
    with pytest.raises(ChoreRefused, match="is there already"):
        restored(copy, yard.path, 1)
    assert reference_chain.faults(yard.path) == []


@pytest.mark.slow
@pytest.mark.parametrize("log", [False, True], ids=["no log", "a log beside it"])
def test_a_kill_at_any_moment_leaves_the_old_book_or_the_new(yard: Yard, copy: Path, log: bool) -> None:
    yard.book.close()
    old, chance = ends(yard.path), random.Random(5 + log)
    swapped, gone, took_s = 0, 0, 0.0
    for turn in range(KILLS):
        if log:
            say = "INSERT INTO draft (person, form, request, texts, saved_ms) VALUES (1, 'pen', 'r', '{}', 1)"
            with held_open(yard.path, "DELETE FROM draft", say):
                pass
            assert yard.path.with_name("farm.book-wal").exists()
        program = subprocess.Popen(
            [sys.executable, "-m", "tests.book.copying_worker", "restore", str(yard.path), str(copy)],
            cwd=ROOT, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert program.stdout
        assert program.stdout.readline() == "begins\n"
        began = time.monotonic()
        if turn % 2 == 0:  # in its first restore, or in one after it, whatever a restore takes here
            assert program.stdout.readline() == "done\n"
            took_s = took_s or time.monotonic() - began
        time.sleep(chance.uniform(0.0, took_s))
        program.send_signal(signal.SIGKILL)
        program.communicate()
        assert program.returncode == -signal.SIGKILL
        if not yard.path.exists():  # stopped between taking away and giving the name: both lie beside it
            gone += 1
            restored(copy, yard.path)
        assert ends(yard.path) == old
        assert reference_chain.faults(yard.path) == []
        for path in yard.path.parent.glob("*-replaced-*.book"):
            swapped += 1
            assert reference_chain.faults(path) == []
            assert ends(path) == old
        for path in [*yard.path.parent.glob("*-replaced-*"), *yard.path.parent.glob(".farm-*")]:
            path.unlink()
    assert swapped
    print(f"{KILLS} kills, {swapped} replaced books all sound, {gone} caught without a book in its place")
