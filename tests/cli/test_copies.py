"""Copying, restoring and sealing from the keyboard: what is said, asked and refused."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

import herdbook
from herdbook.settings import Settings, copies_path
from tests.book import reference_chain
from tests.cli.conftest import Keyboard
from tests.terminal import Terminal
from tests.test_checks import forge
from tests.yard import CLEO, DAY

NAME = r"farm-20260309T150000Z-e\d+-[0-9a-f]{12}\.book"


def copied(keyboard: Keyboard) -> Path:
    """A copy in the folder beside the book."""
    answer = keyboard("copy")
    assert answer.status == 0, answer.err
    keyboard.yard.book.close()
    return Path(answer.out.splitlines()[0])


@contextmanager
def a_restore_on_a_terminal(keyboard: Keyboard, copy: Path) -> Iterator[Terminal]:
    """The command asks a person; its clock is the computer's."""
    words = [sys.executable, "-m", "herdbook", "--book", str(keyboard.path), "--person", "Ada"]
    words += ["restore", str(copy)]
    with Terminal(words, cwd=str(Path(herdbook.__file__).parents[1])) as terminal:
        terminal.wait("Replace the book; what is there is kept? [y/N]:", "the question")
        yield terminal


def test_a_copy_goes_beside_the_book_when_nothing_else_is_said(keyboard: Keyboard) -> None:
    answer = keyboard("copy")
    path, checked, hint = answer.out.splitlines()
    assert re.fullmatch(re.escape(str(keyboard.path.parent / "copies")) + f"/{NAME}", path)
    head = keyboard.yard.row("SELECT number, hash FROM entry ORDER BY number DESC LIMIT 1")
    assert checked == f"Checked: {head['number']} entries, sealed {head['hash'][:12]}."
    assert "same disk" in hint
    assert (answer.status, answer.err) == (0, "")
    assert reference_chain.faults(Path(path)) == []


def test_the_setting_says_where_copies_go(
    keyboard: Keyboard, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "elsewhere"
    monkeypatch.setattr("herdbook.settings.read_settings", lambda path=None: Settings(copies=str(folder)))
    answer = keyboard("copy")
    assert answer.status == 2  # a folder that was named must be there: the disk may not be plugged in
    assert "no folder" in answer.err
    assert not folder.exists()
    folder.mkdir()
    assert keyboard("copy").status == 0
    assert [path.parent for path in tmp_path.rglob("farm-*.book")] == [folder]
    assert copies_path(Settings(copies=str(folder)), Path("/srv/farm.book")) == folder
    assert copies_path(Settings(), Path("/srv/farm.book")) == Path("/srv/copies")


def test_to_goes_before_the_setting_and_keep_makes_room(keyboard: Keyboard, tmp_path: Path) -> None:
    folder = tmp_path / "stick"
    folder.mkdir()
    first = Path(keyboard("copy", "--to", str(folder)).out.splitlines()[0])
    keyboard.yard.do("temperature", reading="41F")
    answer = keyboard("copy", "--to", str(folder), "--keep", "1")
    assert f"Removed to make room: {first.name}." in answer.out
    assert len(list(folder.iterdir())) == 1


@pytest.mark.parametrize(
    "words", [("--keep", "0"), ("--keep", "x"), ("--to", "farm.book"), ("--to", "/not/there")]
)
def test_what_cannot_be_is_refused_with_nothing_written(keyboard: Keyboard, words: tuple[str, ...]) -> None:
    words = tuple(str(keyboard.path) if word == "farm.book" else word for word in words)
    answer = keyboard("copy", *words)
    assert (answer.status, answer.out) == (2, "")
    assert not list(keyboard.path.parent.rglob("farm-*"))


def test_without_a_book_there_is_no_copy_and_no_folder(keyboard: Keyboard, tmp_path: Path) -> None:
    answer = keyboard.bare("--book", str(tmp_path / "none" / "farm.book"), "copy")
    assert answer.status == 2
    assert "no book" in answer.err
    assert not (tmp_path / "none").exists()


def test_a_restore_says_what_lies_between_asks_and_keeps(keyboard: Keyboard) -> None:
    copy = copied(keyboard)
    last = keyboard.yard.entries
    for _ in range(2):
        keyboard.yard.do("temperature", by=CLEO, reading="41F")
    keyboard.yard.book.close()
    with a_restore_on_a_terminal(keyboard, copy) as terminal:
        terminal.press("enter")
        assert terminal.exit_status() == 1
        said = " ".join(terminal.text.split())
    assert f"2 entries, {last + 1} of 2026-03-09 to {last + 2} of 2026-03-09; 2 by Cleo." in said
    assert "Nothing was done" in said
    assert keyboard.yard.entries == last + 2
    with a_restore_on_a_terminal(keyboard, copy) as terminal:
        terminal.press("y", "enter")
        assert terminal.exit_status() == 0
    assert keyboard.yard.entries == last
    (kept,) = keyboard.path.parent.glob("farm-replaced-*.book")
    listed = keyboard.bare("--book", str(kept), "show", "entries", "--as", "json")
    assert listed.status == 0
    assert keyboard("check").status == 0


def test_a_restore_asks_nobody_in_a_script(keyboard: Keyboard) -> None:
    copy = copied(keyboard)
    keyboard.path.write_bytes(b"damaged")
    answer = keyboard("restore", str(copy), stdin="y\n")
    assert answer.status == 1
    assert "Add --yes" in answer.err
    assert keyboard.path.read_bytes() == b"damaged"
    answer = keyboard("restore", str(copy), "--yes", stdin="")
    assert answer.status == 0, answer.err
    assert "damaged or no book" in answer.out
    assert keyboard("check").status == 0


def test_a_restore_onto_another_name_leaves_the_book_alone(keyboard: Keyboard, tmp_path: Path) -> None:
    copy, before = copied(keyboard), keyboard.path.read_bytes()
    trial = tmp_path / "trial.book"
    answer = keyboard("restore", str(copy), "--onto", str(trial), "--yes")
    assert answer.status == 0, answer.err
    assert "nothing is replaced" in answer.out
    assert keyboard.path.read_bytes() == before
    assert keyboard.bare("--book", str(trial), "check").status == 0


def test_another_farms_copy_is_refused_even_with_yes(
    keyboard: Keyboard, tmp_path_factory: pytest.TempPathFactory
) -> None:
    place = tmp_path_factory.mktemp("other") / "farm.book"
    words = ["--name", "Stony Farm", "--zone", "America/Chicago", "--owner", "Eve", "--login", "eve"]
    assert keyboard.bare("--book", str(place), "new", *words).status == 0
    answer = keyboard("restore", str(place), "--yes")
    assert answer.status == 1
    assert "two different books" in answer.err


@pytest.mark.parametrize("what", ["itself", "none", "letter"])
def test_what_is_no_copy_is_refused(keyboard: Keyboard, tmp_path: Path, what: str) -> None:
    (tmp_path / "letter").write_text("Dear vet")
    copy = keyboard.path if what == "itself" else tmp_path / what
    before = keyboard.path.read_bytes()
    answer = keyboard("restore", str(copy), "--yes")
    assert answer.status == 2
    assert answer.err
    assert keyboard.path.read_bytes() == before


def test_a_seal_is_printed_and_checked_against(keyboard: Keyboard) -> None:
    sealed = keyboard("seal")
    assert sealed.status == 0
    seal, about, _ = sealed.out.splitlines()
    assert re.fullmatch(r"2026-03-09 \d+( [0-9A-Z]{4}){6} [0-9A-Z]", seal)
    assert about == f"Hollow Farm: {keyboard.yard.entries} entries, sealed on 2026-03-09."
    number = keyboard.yard.entries
    keyboard.yard.do("temperature", reading="41F")
    held = keyboard("check", "--against", seal.lower())
    assert held.status == 0
    said = " ".join(held.out.split())
    assert f"The seal of 2026-03-09 at entry {number} holds: nothing up to entry {number} was changed" in said
    made = keyboard("check", "--against", seal, "--as", "json").json
    assert made["seals"] == [{"seal": seal, "holds": True}]
    forge(keyboard.yard, "UPDATE entry SET said = 'x' WHERE number = 9")
    broken = keyboard("check", "--against", seal)
    assert broken.status == 1
    said = " ".join(broken.out.split())
    assert f"the chain no longer reaches entry {number}: entry 9 or something" in said
    assert "holds" not in said


def test_of_two_seals_the_one_before_the_cut_holds(keyboard: Keyboard) -> None:
    first = keyboard("seal", "--as", "json").json
    keyboard.yard.do("temperature", reading="41F")
    second = keyboard("seal", "--as", "json").json
    last = second["entries"]
    assert second["head"] == keyboard.yard.row(f"SELECT hash FROM entry WHERE number = {last}")["hash"]
    forge(
        keyboard.yard,
        f"DELETE FROM temperature WHERE entry = {last}",
        f"DELETE FROM entry WHERE number = {last}",
    )
    made = keyboard("check", "--against", first["seal"], "--against", second["seal"], "--as", "json").json
    assert [one["holds"] for one in made["seals"]] == [True, False]
    assert made["clean"] is False


def test_a_misread_seal_is_refused_and_not_taken_for_a_broken_one(keyboard: Keyboard) -> None:
    seal = keyboard("seal").out.splitlines()[0]
    at = seal.index(" ", 11) + 1
    wrong = seal[:at] + ("2" if seal[at] != "2" else "3") + seal[at + 1 :]
    answer = keyboard("check", "--against", wrong)
    assert (answer.status, answer.out) == (2, "")
    assert "check letter" in answer.err


def test_a_seal_and_a_check_work_while_someone_holds_the_turn_to_write(keyboard: Keyboard) -> None:
    code = (
        "import sqlite3, sys; b = sqlite3.connect(sys.argv[1], isolation_level=None)\n"
        "b.execute('BEGIN IMMEDIATE'); print('open', flush=True); sys.stdin.read()"
    )
    writer = subprocess.Popen(
        [sys.executable, "-c", code, str(keyboard.path)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        assert writer.stdout
        assert writer.stdout.readline() == "open\n"
        seal = keyboard("seal")
        assert seal.status == 0
        assert keyboard("check", "--against", seal.out.splitlines()[0]).status == 0
        assert keyboard("copy").status == 0
    finally:
        writer.kill()
        writer.communicate()


def test_the_day_tells_of_copies_that_are_too_old_until_one_is_made(keyboard: Keyboard) -> None:
    keyboard.yard.now_s += 3 * DAY
    assert "Copies" in keyboard("show", "today").out
    assert keyboard("copy").status == 0
    assert "Copies" not in keyboard("show", "today").out


@pytest.mark.parametrize("name", ["Ben", "Cleo", "Dov"])
def test_nobody_but_an_owner_replaces_the_book(keyboard: Keyboard, name: str) -> None:
    copy = copied(keyboard)
    state = keyboard.yard.state()
    for damaged in (False, True):
        if damaged:  # then the copy tells who its people are
            keyboard.path.write_bytes(b"SQLite format 3\0" + bytes(5_000))
        before = keyboard.path.read_bytes()
        answer = keyboard("restore", str(copy), "--yes", person=name)
        assert answer.status == 1
        assert f"{name} may not replace the book. It takes the role owner." in answer.err
        assert keyboard.path.read_bytes() == before
    keyboard.login = "stranger"
    assert keyboard("restore", str(copy), "--yes").status == 1
    assert keyboard("restore", str(copy), "--yes", person="Ada").status == 0
    assert keyboard.yard.state() == state


def test_anyone_may_try_a_copy_onto_a_new_name(keyboard: Keyboard, tmp_path: Path) -> None:
    copy = copied(keyboard)
    assert (
        keyboard("restore", str(copy), "--yes", "--onto", str(tmp_path / "trial.book"), person="Cleo").status
        == 0
    )
