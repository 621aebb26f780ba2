"""Opening: a book is known by its header, anything else is refused in plain words and left byte for byte as it was."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from pathlib import Path

import pytest

from herdbook.book import opening
from herdbook.book.opening import (
    APPLICATION_ID,
    connect,
    copy_aside,
    look_at,
    new_book,
    open_engine,
    reading,
    ready,
)
from herdbook.errors import ChoreRefused, DamagedBook, HerdbookError, NoBook, NotABook
from tests.book import reference_chain
from tests.yard import Yard


def sqlite_file(path: Path, *, application_id: int = 0, version: int = 0) -> Path:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE note (words TEXT)")
        connection.execute("INSERT INTO note VALUES ('mine')")
        connection.execute(f"PRAGMA application_id = {application_id}")
        connection.execute(f"PRAGMA user_version = {version}")
        connection.commit()
    return path


def letters(path: Path) -> Path:
    path.write_text("Dear hauler, the lane is closed on Monday.\n" * 20)
    return path


def empty(path: Path) -> Path:
    path.write_bytes(b"")
    return path


def only_the_header(path: Path) -> Path:
    path.write_bytes(b"SQLite format 3\x00")
    return path


def other_sqlite(path: Path) -> Path:
    return sqlite_file(path)


def another_programs(path: Path) -> Path:
    return sqlite_file(path, application_id=0x4D594150)


def newer(path: Path) -> Path:
    return sqlite_file(path, application_id=APPLICATION_ID, version=999)


def folder(path: Path) -> Path:
    path.mkdir()
    return path


def pipe(path: Path) -> Path:
    os.mkfifo(path)
    return path


@pytest.mark.parametrize(
    "what", [letters, empty, only_the_header, other_sqlite, another_programs, newer, folder, pipe]
)
@pytest.mark.parametrize("way", [look_at, ready, open_engine])
def test_what_is_no_book_is_refused_and_left_as_it_was(tmp_path: Path, what: object, way: object) -> None:
    path = what(tmp_path / "thing")  # type: ignore[operator]
    before = path.read_bytes() if path.is_file() else None
    with pytest.raises(NotABook) as refused:
        way(path)  # type: ignore[operator]
    assert str(path) in refused.value.message
    assert refused.value.remedy
    assert refused.value.exit_status == 2
    assert (path.read_bytes() if path.is_file() else None) == before
    assert [found.name for found in tmp_path.iterdir()] == ["thing"]


def test_a_newer_book_is_told_apart_from_no_book(tmp_path: Path) -> None:
    with pytest.raises(NotABook, match="newer herdbook"):
        look_at(newer(tmp_path / "farm.book"))


@pytest.mark.parametrize("path", ["none.book", "no/folder/none.book", "x" * 5000, "a\x00b"])
def test_a_book_that_is_not_there_is_said_so(tmp_path: Path, path: str) -> None:
    with pytest.raises((NoBook, NotABook)):
        look_at(tmp_path / path)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("size", [16, 50, 100, 511, 1000, 4096, 4097, 10_000, 50_000])
def test_a_truncated_book_is_never_written_and_never_a_traceback(
    yard: Yard, tmp_path: Path, size: int
) -> None:
    cut = tmp_path / "cut.book"
    cut.write_bytes(yard.path.read_bytes()[:size])
    before = cut.read_bytes()
    with pytest.raises(HerdbookError) as refused, reading(cut) as connection:
        contents(connection)
    assert isinstance(refused.value, DamagedBook | NotABook)
    assert cut.read_bytes() == before


def contents(connection: sqlite3.Connection) -> None:
    for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'").fetchall():
        connection.execute(f"SELECT * FROM {name}").fetchall()


def test_a_page_of_noise_is_called_damage(yard: Yard) -> None:
    page = 4096
    content = bytearray(yard.path.read_bytes())
    content[page : 20 * page] = os.urandom(19 * page)
    yard.path.write_bytes(content)
    with pytest.raises(DamagedBook, match=r"damaged"), reading(yard.path) as connection:
        connection.execute("SELECT * FROM entry").fetchall()
    with pytest.raises(HerdbookError):
        yard.do("temperature", reading="45")


def test_the_header_says_whose_file_it_is(yard: Yard) -> None:
    assert yard.path.read_bytes()[68:72] == b"HRDB"


@pytest.mark.parametrize("mode", ["rw", "ro"])
def test_every_connection_has_the_books_settings(yard: Yard, mode: str) -> None:
    with closing(connect(yard.path, mode)) as bare:
        assert settings_of(bare) == BOOKS_SETTINGS


def test_both_ways_in_have_the_books_settings(yard: Yard) -> None:
    with reading(yard.path) as connection:
        assert settings_of(connection) == BOOKS_SETTINGS
    for engine in (yard.book.engine, open_engine(yard.path)):
        with engine.connect() as first, engine.connect() as second:  # two of the pool's
            assert settings_of(first.connection.driver_connection) == BOOKS_SETTINGS
            assert settings_of(second.connection.driver_connection) == BOOKS_SETTINGS
        engine.dispose()


BOOKS_SETTINGS = {
    "journal_mode": "wal",
    "foreign_keys": 1,
    "recursive_triggers": 1,
    "trusted_schema": 0,
    "synchronous": 2,  # FULL
}


def settings_of(connection: sqlite3.Connection) -> dict[str, object]:
    return {name: connection.execute(f"PRAGMA {name}").fetchone()[0] for name in BOOKS_SETTINGS}


def test_reading_cannot_write(yard: Yard) -> None:
    with pytest.raises(HerdbookError), reading(yard.path) as connection:
        connection.execute("INSERT INTO draft VALUES (1, 'f', 'r', '{}', 1)")


def test_a_look_stays_one_moment_while_others_write(yard: Yard) -> None:
    with reading(yard.path) as connection:
        before = connection.execute("SELECT count(*) FROM entry").fetchone()[0]
        yard.do("temperature", reading="45")
        assert connection.execute("SELECT count(*) FROM entry").fetchone()[0] == before
    assert yard.entries == before + 1


def test_a_new_book_is_whole_and_sound(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "er" / "farm.book"
    new_book(path)
    assert [found.name for found in path.parent.iterdir()] == ["farm.book"]
    assert reference_chain.faults(path) == []


@pytest.mark.parametrize("what", [letters, empty, folder])
def test_a_new_book_never_takes_the_place_of_a_file(tmp_path: Path, what: object) -> None:
    path = what(tmp_path / "farm.book")  # type: ignore[operator]
    before = path.read_bytes() if path.is_file() else None
    with pytest.raises(ChoreRefused, match="already exists"):
        new_book(path)
    assert (path.read_bytes() if path.is_file() else None) == before
    assert [found.name for found in tmp_path.iterdir()] == ["farm.book"]


def test_of_many_who_start_the_same_book_one_succeeds(tmp_path: Path) -> None:
    path, told = tmp_path / "farm.book", []

    def start(number: int) -> None:
        try:
            new_book(path)
            told.append("made")
        except ChoreRefused:
            told.append("refused")

    threads = [threading.Thread(target=start, args=(n,)) for n in range(2)]
    start(0)
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(told) == ["made", "refused", "refused"]
    assert [found.name for found in tmp_path.iterdir()] == ["farm.book"]


@pytest.mark.parametrize("name", ["x" * 300, "file/farm.book", "a\x00b"])
def test_a_place_where_no_book_can_be_is_said_so(tmp_path: Path, name: str) -> None:
    (tmp_path / "file").write_text("a file, not a folder")
    with pytest.raises(ChoreRefused, match="No book could be made"):
        new_book(tmp_path / name)
    assert [found.name for found in tmp_path.iterdir()] == ["file"]


def test_a_file_system_without_links_can_hold_a_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    new_book(tmp_path / "farm.book")
    assert look_at(tmp_path / "farm.book") > 0
    with pytest.raises(ChoreRefused, match="already exists"):
        new_book(tmp_path / "farm.book")


def test_a_copy_aside_is_the_book(yard: Yard) -> None:
    copy = copy_aside(yard.path, "before-something")
    assert copy.parent == yard.path.parent
    assert copy.name.startswith("farm.book.before-something.")
    assert Yard(copy).state() == yard.state()
    assert reference_chain.faults(copy) == []


def test_a_copy_aside_holds_what_is_still_in_the_log(yard: Yard) -> None:
    yard.do("temperature", reading="45")
    assert yard.path.with_name("farm.book-wal").stat().st_size > 0
    assert Yard(copy_aside(yard.path, "x")).entries == yard.entries


def test_a_copy_that_cannot_be_made_leaves_nothing(yard: Yard) -> None:
    shutil.copyfile(yard.path, yard.path.with_name("cut.book"))
    cut = yard.path.with_name("cut.book")
    os.truncate(cut, cut.stat().st_size // 2)
    with pytest.raises(HerdbookError):
        copy_aside(cut, "before-x")
    assert not list(cut.parent.glob("*before-x*"))


def test_a_copy_that_is_not_sound_is_not_relied_on(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> None:
    """The disk spoils the copy between writing and checking it; the book is then not brought up to date."""

    def spoiling(path: Path, mode: str = "rw", **words: int) -> sqlite3.Connection:
        if "before-x" in path.name:
            content = bytearray(path.read_bytes())
            content[4096 : 8 * 4096] = bytes(7 * 4096)
            path.write_bytes(content)
        return connect(path, mode, **words)

    monkeypatch.setattr(opening, "connect", spoiling)
    before = yard.state()
    with pytest.raises(ChoreRefused, match=r"could not be copied aside|is not sound"):
        copy_aside(yard.path, "before-x")
    assert yard.state() == before


def test_a_file_that_may_not_be_read_is_said_so(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> None:
    def forbidden(self: Path, *_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(Path, "open", forbidden)
    with pytest.raises(NotABook, match="cannot be read: Permission denied"):
        look_at(yard.path)


def test_looking_at_a_book_again_lets_go_of_no_lock_that_this_program_holds(yard: Yard) -> None:
    """Closing any handle of a file drops every lock that a process has on it (fcntl(2), POSIX).

    Without its lock another program that leaves last takes the log away under our feet, and what is written after
    that is lost.
    """
    with closing(connect(yard.path, "ro")) as mine:
        mine.execute("SELECT count(*) FROM entry").fetchone()
        yard.do("note", words="before")
        log = Path(f"{yard.path}-wal").stat().st_ino
        for _ in range(2):
            with reading(yard.path):
                look_at(yard.path)
        words = ["--book", str(yard.path), "--person", "Ada", "write", "note", "--words"]
        other = [sys.executable, "-m", "herdbook", *words]
        subprocess.run([*other, "from another program"], check=True, capture_output=True)
        assert Path(f"{yard.path}-wal").stat().st_ino == log
        yard.do("note", words="after")
        subprocess.run([*other, "from another program again"], check=True, capture_output=True)
        said = [row[0] for row in mine.execute("SELECT said FROM entry ORDER BY number DESC LIMIT 4")]
    assert said == ["from another program again", "after", "from another program", "before"]
