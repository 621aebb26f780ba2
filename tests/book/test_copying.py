"""A copy exists under its name only when it is sound, and making room never takes the last or a stranger's file."""

from __future__ import annotations

import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from contextlib import closing
from pathlib import Path

import pytest

from herdbook.book import copying
from herdbook.book.copying import NAME, copies_are_old, copies_in, copy_book, newest_copy
from herdbook.errors import ChoreRefused, DamagedBook, NoBook, NotABook, Refused
from tests.book import reference_chain
from tests.test_checks import forge
from tests.yard import HOUR, TEN_O_CLOCK, Yard

ROOT = Path(__file__).parents[2]
KILLS = 14


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "copies"
    made.mkdir()
    return made


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def ends(path: Path) -> tuple[int, str]:
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
        return connection.execute("SELECT number, hash FROM entry ORDER BY number DESC LIMIT 1").fetchone()


def test_a_copy_is_a_sound_book_named_by_time_entry_and_hash(yard: Yard, folder: Path) -> None:
    number, head = ends(yard.path)
    made = copy_book(yard.path, folder, now_s=TEN_O_CLOCK)
    assert names(folder) == {f"farm-20260309T150000Z-e{number}-{head[:12]}.book"}
    assert reference_chain.faults(made.copy.path) == []
    assert ends(made.copy.path) == (number, head)
    assert Yard(made.copy.path).state() == yard.state()


def test_a_copy_may_be_read_by_those_who_may_read_the_book(yard: Yard, folder: Path) -> None:
    yard.path.chmod(0o640)
    assert copy_book(yard.path, folder, now_s=TEN_O_CLOCK).copy.path.stat().st_mode & 0o777 == 0o640


def test_a_copy_holds_what_is_still_in_the_log(yard: Yard, folder: Path) -> None:
    yard.do("temperature", reading="41F")  # the book stays open, so it is not in the file yet
    assert yard.path.with_name("farm.book-wal").stat().st_size
    made = copy_book(yard.path, folder, now_s=TEN_O_CLOCK)
    assert (made.copy.number, made.copy.head) == (yard.entries, ends(yard.path)[1][:12])


def test_copying_writes_nothing_in_the_book(yard: Yard, folder: Path) -> None:
    yard.book.close()
    before = yard.path.read_bytes()
    copy_book(yard.path, folder, now_s=TEN_O_CLOCK)
    assert yard.path.read_bytes() == before


def test_copies_made_while_someone_writes_hold_all_that_was_told_before(yard: Yard, folder: Path) -> None:
    told, done = [yard.entries], threading.Event()

    def write() -> None:
        while not done.is_set():
            told.append(yard.do("temperature", reading="41F").entry)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for turn in range(8):
            before = told[-1]
            made = copy_book(yard.path, folder, now_s=TEN_O_CLOCK + turn)
            assert before <= made.copy.number <= told[-1] + 1
            assert reference_chain.faults(made.copy.path) == []
    finally:
        done.set()
        writer.join()
    assert len({copy.number for copy in copies_in(folder)}) > 1  # someone did write meanwhile


@pytest.mark.parametrize(
    "statement",
    ["UPDATE entry SET said = 'x' WHERE number = 9", "UPDATE temperature SET tank = 99 WHERE id = 1"],
)
def test_a_book_that_is_not_sound_leaves_no_copy(yard: Yard, folder: Path, statement: str) -> None:
    forge(yard, statement)
    with pytest.raises(ChoreRefused, match="not sound"):
        copy_book(yard.path, folder, now_s=TEN_O_CLOCK, keep=1)
    assert names(folder) == set()


def test_a_book_that_cannot_be_read_leaves_no_copy_and_takes_none_away(yard: Yard, folder: Path) -> None:
    copy_book(yard.path, folder, now_s=TEN_O_CLOCK)
    before = names(folder)
    yard.book.close()
    whole = yard.path.read_bytes()
    for damaged in (whole[:4096], whole[: len(whole) // 2], whole[:100] + bytes(8000) + whole[8100:]):
        yard.path.write_bytes(damaged)
        with pytest.raises((ChoreRefused, DamagedBook)):
            copy_book(yard.path, folder, now_s=TEN_O_CLOCK + 1, keep=1)
        assert names(folder) == before


def test_a_copy_that_lost_a_row_on_its_way_is_thrown_away(
    yard: Yard, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The book is whole; what was poured is not what it holds."""
    real = copying.contents

    def short(connection: sqlite3.Connection, up_to: int | None = None) -> copying.Contents:
        held = real(connection, up_to)
        if up_to is not None:
            held.rows["temperature"] += 1
        return held

    monkeypatch.setattr(copying, "contents", short)
    with pytest.raises(ChoreRefused, match="does not hold what the book holds"):
        copy_book(yard.path, folder, now_s=TEN_O_CLOCK)
    assert names(folder) == set()


def test_a_guard_that_is_gone_is_told_and_the_copy_is_kept(yard: Yard, folder: Path) -> None:
    yard.book.close()
    with closing(sqlite3.connect(yard.path)) as connection:
        connection.execute("DROP TRIGGER entry_no_delete")
    made = copy_book(yard.path, folder, now_s=TEN_O_CLOCK)
    assert [doubt.about for doubt in made.doubts] == ["trigger entry_no_delete"]
    assert made.copy.path.exists()


def test_only_a_book_is_copied_and_only_into_a_folder(yard: Yard, folder: Path, tmp_path: Path) -> None:
    with pytest.raises(NoBook):
        copy_book(tmp_path / "none.book", folder, now_s=TEN_O_CLOCK)
    (tmp_path / "letter.txt").write_text("Dear vet")
    with pytest.raises(NotABook):
        copy_book(tmp_path / "letter.txt", folder, now_s=TEN_O_CLOCK)
    for place in (tmp_path / "not there", yard.path, tmp_path / "letter.txt"):
        with pytest.raises(Refused, match="no folder"):
            copy_book(yard.path, place, now_s=TEN_O_CLOCK)
    with pytest.raises(Refused, match="At least one"):
        copy_book(yard.path, folder, now_s=TEN_O_CLOCK, keep=0)
    assert names(folder) == set()


def test_a_copy_never_lies_where_the_book_lies(yard: Yard, folder: Path) -> None:
    """Someone works in a copy as their book: the same second, the same name, the same folder."""
    first = copy_book(yard.path, folder, now_s=TEN_O_CLOCK).copy
    before = first.path.read_bytes()
    with pytest.raises(ChoreRefused, match="where the book lies"):
        copy_book(first.path, folder, now_s=TEN_O_CLOCK)
    assert first.path.read_bytes() == before
    for turn in (1, 2, 3):
        copy_book(first.path, folder, now_s=TEN_O_CLOCK + turn, keep=1)
    assert first.path.read_bytes() == before
    assert len(names(folder)) == 2


def test_room_is_made_from_the_oldest_and_the_new_copy_stays(yard: Yard, folder: Path) -> None:
    made = []
    for turn in range(5):
        yard.do("temperature", reading="41F")
        made.append(copy_book(yard.path, folder, now_s=TEN_O_CLOCK + turn * HOUR, keep=3))
    assert copies_in(folder) == [one.copy for one in made[2:]]
    assert made[4].removed == (made[1].copy.path,)
    assert made[0].removed == ()


def test_a_clock_set_back_does_not_make_the_new_copy_the_oldest(yard: Yard, folder: Path) -> None:
    for turn in (3, 2, 1, 0):
        yard.do("temperature", reading="41F")
        last = copy_book(yard.path, folder, now_s=TEN_O_CLOCK + turn * HOUR, keep=2)
    assert [copy.number for copy in copies_in(folder)] == [yard.entries, yard.entries - 1]
    assert last.copy in copies_in(folder)


def test_room_is_never_made_from_what_is_not_a_copy_of_this_book(
    yard: Yard, folder: Path, tmp_path: Path
) -> None:
    other = Yard.started(tmp_path / "other.book")
    strangers = copy_book(other.path, folder, now_s=TEN_O_CLOCK).copy.path
    other.book.close()
    old = copy_book(yard.path, folder, now_s=TEN_O_CLOCK).copy
    (folder / "notes.txt").write_text("mine")
    (folder / "farm.book").write_bytes(old.path.read_bytes())
    (folder / "farm-20200101T000000Z-e1-0123456789ab.book.txt").write_text("mine")
    (folder / "farm-20200101T000000Z-e1-0123456789ab.book").write_text("named as a copy, and none")
    (folder / "farm-20200101T000000Z-e2-0123456789ab.book").symlink_to(yard.path)
    shutil.copy(old.path, folder / "farm-20200101T000000Z-e3-0123456789ab.book")  # not what its name says
    before = names(folder)
    yard.do("temperature", reading="41F")
    made = copy_book(yard.path, folder, now_s=TEN_O_CLOCK + HOUR, keep=1)
    assert made.removed == (old.path,)
    assert names(folder) == before - {old.path.name} | {made.copy.path.name}
    assert {path.name: why for path, why in made.left} == {
        strangers.name: "is a copy of another book",
        "farm-20200101T000000Z-e1-0123456789ab.book": "cannot be read",
        "farm-20200101T000000Z-e3-0123456789ab.book": "does not hold what its name says",
    }


def test_a_copy_that_holds_more_than_the_book_is_never_taken_away(
    yard: Yard, folder: Path, template_book: Path
) -> None:
    """The book was put back to an older state, or cut short: that copy is all there is of those entries."""
    yard.do("temperature", reading="41F")
    more = copy_book(yard.path, folder, now_s=TEN_O_CLOCK).copy
    yard.book.close()
    for end in ("-wal", "-shm"):
        yard.path.with_name(yard.path.name + end).unlink(missing_ok=True)
    shutil.copyfile(template_book, yard.path)
    yard.do("temperature", reading="42F")
    for turn in (1, 2, 3):
        made = copy_book(yard.path, folder, now_s=TEN_O_CLOCK + turn * HOUR, keep=1)
    assert copies_in(folder) == [more, made.copy]
    assert made.left == ((more.path, "holds entries that the book does not"),)


def test_what_a_stopped_program_left_is_swept_after_a_day(yard: Yard, folder: Path) -> None:
    for name, age_s in ((".farm-1-aa.part", 90_000), (".farm-2-bb.part", 60), ("own.part", 90_000)):
        (folder / name).write_text("half")
        os.utime(folder / name, (time.time() - age_s,) * 2)
    made = copy_book(yard.path, folder, now_s=TEN_O_CLOCK)
    assert names(folder) == {".farm-2-bb.part", "own.part", made.copy.path.name}


def test_the_newest_copy_tells_by_its_name_how_old_copies_are(folder: Path, tmp_path: Path) -> None:
    def told(now_s: int) -> bool:
        return copies_are_old(folder, now_s=now_s, limit_s=36 * HOUR)

    assert newest_copy(tmp_path / "not there") is None
    assert told(TEN_O_CLOCK)
    (folder / "farm-20260309T150000Z-e20-0123456789ab.book").touch()
    (folder / "farm-20260309T140000Z-e30-0123456789ab.book").touch()
    (folder / "farm-20260231T150000Z-e40-0123456789ab.book").touch()  # no such day
    (folder / "farm-20270309T150000Z-e40-0123456789ab.book").mkdir()
    newest = newest_copy(folder)
    assert newest is not None
    assert (newest.made_s, newest.number, newest.head) == (TEN_O_CLOCK, 20, "0123456789ab")
    assert not told(TEN_O_CLOCK + 36 * HOUR)
    assert told(TEN_O_CLOCK + 36 * HOUR + 1)


def test_a_copy_of_a_wrong_clock_neither_hides_old_copies_nor_cries_over_new_ones(folder: Path) -> None:
    (folder / "farm-20360309T150000Z-e20-0123456789ab.book").touch()
    assert copies_are_old(folder, now_s=TEN_O_CLOCK, limit_s=36 * HOUR)
    (folder / "farm-20260309T150000Z-e20-0123456789ab.book").touch()
    assert not copies_are_old(folder, now_s=TEN_O_CLOCK, limit_s=36 * HOUR)
    assert copies_are_old(folder, now_s=TEN_O_CLOCK + 40 * HOUR, limit_s=36 * HOUR)


@pytest.mark.slow
def test_a_kill_at_any_moment_leaves_no_named_copy_that_is_not_sound(yard: Yard, folder: Path) -> None:
    yard.book.close()
    chance, halves, named, took_s = random.Random(20260309), 0, 0, 0.0
    for turn in range(KILLS):
        program = subprocess.Popen(
            [sys.executable, "-m", "tests.book.copying_worker", "copy", str(yard.path), str(folder)],
            cwd=ROOT, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        assert program.stdout
        assert program.stdout.readline() == "begins\n"
        began = time.monotonic()
        if turn % 2 == 0:  # in its first copy, or in one after it, whatever a copy takes here
            assert program.stdout.readline() == "done\n"
            took_s = took_s or time.monotonic() - began
        time.sleep(chance.uniform(0, took_s))
        program.send_signal(signal.SIGKILL)
        program.communicate()
        assert program.returncode == -signal.SIGKILL
        for path in folder.iterdir():
            if NAME.fullmatch(path.name):
                assert reference_chain.faults(path) == []
                assert ends(path) == ends(yard.path)
                named += 1
            else:
                assert path.name.startswith(".farm-")
                halves += 1
                path.unlink()
    assert reference_chain.faults(yard.path) == []
    assert halves  # some were caught at it
    assert named
    print(f"{KILLS} kills, {halves} half-made files, {named} times a named copy, always sound")


FILLED = """
import os, resource, signal, sys
from pathlib import Path
from herdbook.book.copying import copy_book
from herdbook.errors import ChoreRefused
book, folder = Path(sys.argv[1]), Path(sys.argv[2])
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
# a reader of the book makes a file of 32 kB beside it, which is not what this is about
most = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
refused = 0
for size in range(40_960, book.stat().st_size * 2, 4096 * int(sys.argv[3])):
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, most))
    try:
        copy_book(book, folder, now_s=1773068400, keep=1)
        break
    except ChoreRefused as error:
        refused += 1
        assert "No copy was made" in str(error), error
        assert not os.listdir(folder), os.listdir(folder)
print(refused, *os.listdir(folder))
"""


def test_a_write_that_fails_at_any_size_leaves_nothing(yard: Yard, folder: Path) -> None:
    yard.book.close()
    done = subprocess.run(
        [sys.executable, "-c", FILLED, str(yard.path), str(folder), "3"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    refused, copy = done.stdout.split()
    assert int(refused) > 5
    assert reference_chain.faults(folder / copy) == []


FULL = """
import os, sys
from pathlib import Path
from herdbook.book.copying import copy_book
from herdbook.errors import ChoreRefused
try:
    copy_book(Path(sys.argv[1]), Path(sys.argv[2]), now_s=1773068400, keep=1)
except ChoreRefused as error:
    print(error)
print(os.listdir(sys.argv[2]))
"""


def test_a_full_disk_leaves_nothing_and_takes_nothing_away(yard: Yard, folder: Path) -> None:
    """A real one: a small disk in memory, in a name space of its own where the system lets us have one."""
    yard.book.close()
    mount = 'mount -t tmpfs -o size=64k none "$2" && touch "$2/mine" && exec "$0" -c "$3" "$1" "$2"'
    done = subprocess.run(
        ["unshare", "-rm", "sh", "-c", mount, sys.executable, str(yard.path), str(folder), FULL],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if "unshare" in done.stderr or "mount" in done.stderr:
        pytest.skip(f"no small disk to be had here: {done.stderr.strip()}")
    said, left = done.stdout.splitlines()
    assert said == f"No copy was made: the disk under {folder} is full. Make room and try again."
    assert left == "['mine']"
