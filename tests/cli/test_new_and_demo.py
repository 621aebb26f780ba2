"""Starting a book and writing the made-up farm: whole or not at all, and never over a real book."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import Any

import pytest

from herdbook.cli import new as new_module
from tests.cli.conftest import Keyboard
from tests.yard import DAY, Yard

NEW = ("new", "--name", "Hollow Farm", "--zone", "America/Chicago", "--owner", "Ida")


def left_in(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


@pytest.fixture
def spot(tmp_path: Path) -> Path:
    folder = tmp_path / "spot"
    folder.mkdir()
    return folder / "new.book"


def test_a_new_book_answers_at_once(keyboard: Keyboard, spot: Path) -> None:
    answer = keyboard.bare("--book", str(spot), *NEW)
    assert answer.status == 0
    assert answer.out.splitlines()[:2] == [
        "Farm Hollow Farm, America/Chicago, cooling by us-model-ordinance. Ida owns the book.",
        "entry 1",
    ]
    assert left_in(spot.parent) == {"new.book"}
    assert keyboard.bare("--book", str(spot), "check").status == 0
    assert (
        keyboard.bare("--book", str(spot), "write", "pen", "--name", "High").status == 0
    )  # Ida has my login


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("new",), "name: nothing was given."),
        (("new", "--name", "F", "--zone", "Nowhere", "--owner", "Ida"), "'Nowhere' is not a time zone."),
        (
            ("new", "--name", "F", "--zone", "UTC", "--owner", "Ida", "--cooling-rule", "x"),
            "there is none called 'x'",
        ),
        (("new", "--name", "F", "--zone", "UTC", "--owner", "Ida", "--system", "both"), "units"),
    ],
)
def test_a_book_that_cannot_be_started_leaves_no_file(
    keyboard: Keyboard, spot: Path, words: tuple[str, ...], says: str
) -> None:
    answer = keyboard.bare("--book", str(spot), *words)
    assert answer.status == 2
    assert says in answer.err
    assert left_in(spot.parent) == set()


def test_a_book_that_is_there_is_not_started_again(keyboard: Keyboard) -> None:
    before = keyboard.yard.state()
    answer = keyboard(*NEW)
    assert answer.status == 1
    assert "already exists; it was left untouched" in answer.err
    assert keyboard.yard.state() == before


def test_a_book_that_another_started_meanwhile_is_left_alone(
    keyboard: Keyboard, spot: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.link

    def late(half_made: Any, path: Any) -> None:
        if Path(path) == spot:
            spot.write_text("someone else's")
        real(half_made, path)

    monkeypatch.setattr(new_module.os, "link", late)
    answer = keyboard.bare("--book", str(spot), *NEW)
    assert answer.status == 1
    assert spot.read_text() == "someone else's"
    assert left_in(spot.parent) == {"new.book"}


def test_a_folder_that_may_not_be_written_is_told(keyboard: Keyboard, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    answer = keyboard.bare("--book", str(tmp_path / "file" / "farm.book"), *NEW)
    assert answer.status in (1, 2)
    assert "Traceback" not in answer.err
    assert answer.err


def test_the_zone_of_this_computer_is_only_a_proposal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", "America/Chicago")
    assert new_module.local_zone() == "America/Chicago"
    monkeypatch.setenv("TZ", "../../etc/passwd")
    assert new_module.local_zone() == ""


@pytest.fixture
def few_days(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """Writes a small invented farm in place of the real one, and remembers what it was asked for."""
    asked: list[dict[str, Any]] = []

    def write_farm(path: Path, **wishes: Any) -> None:
        asked.append({"path": path, **wishes})
        wishes["progress"](wishes["days"], wishes["days"])
        yard = Yard.started(
            path, at_s=int(wishes["now"]().timestamp()), invented="yes", login=wishes["login"]
        )
        yard.book.close()

    monkeypatch.setattr("herdbook.demo.write_farm.write_farm", write_farm)
    return asked


def test_the_made_up_farm_lies_apart_from_the_farms_own_book(
    keyboard: Keyboard, few_days: list[dict[str, Any]]
) -> None:
    from herdbook.cli.demo import default_path
    from herdbook.settings import Settings, book_path

    assert keyboard.bare("demo", "--no-open").status == 0
    assert default_path().exists()
    assert default_path() != book_path(None, Settings())
    assert (few_days[0]["days"], few_days[0]["seed"], few_days[0]["login"]) == (30, 1, "ada")
    default_path().unlink()


def test_a_fresh_made_up_farm_is_opened_as_it_is_and_a_stale_one_written_anew(
    keyboard: Keyboard, spot: Path, few_days: list[dict[str, Any]]
) -> None:
    words = ("--book", str(spot), "demo", "--no-open")
    keyboard.bare(*words)
    keyboard.bare(*words)
    assert len(few_days) == 1
    keyboard.bare(*words, "--seed", "2")
    assert [one["seed"] for one in few_days] == [1, 2]
    keyboard.yard.now_s += DAY
    keyboard.bare(*words)
    assert len(few_days) == 3
    assert left_in(spot.parent) == {"new.book"}


def test_a_made_up_farm_is_never_written_over_a_real_book(
    keyboard: Keyboard, few_days: list[dict[str, Any]]
) -> None:
    before = keyboard.yard.state()
    for words in (("demo",), ("demo", "--seed", "3"), ("demo", "--into", str(keyboard.path))):
        answer = keyboard(*words, "--no-open")
        assert answer.status == 1
        assert "is a real book (Hollow Farm); it was left untouched." in answer.err
    assert few_days == []
    assert keyboard.yard.state() == before


def test_a_made_up_farm_is_never_written_over_another_file(
    keyboard: Keyboard, spot: Path, few_days: list[dict[str, Any]]
) -> None:
    spot.write_text("cheques")
    answer = keyboard.bare("demo", "--into", str(spot), "--no-open")
    assert answer.status == 2
    assert spot.read_text() == "cheques"


def test_the_variable_for_the_real_book_does_not_say_where_the_made_up_farm_goes(
    keyboard: Keyboard, few_days: list[dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    from herdbook.cli.demo import default_path

    monkeypatch.setenv("HERDBOOK_BOOK", str(keyboard.path))
    assert keyboard.bare("demo", "--no-open").status == 0
    default_path().unlink()


def test_a_farm_that_could_not_be_written_leaves_the_older_one(
    keyboard: Keyboard, spot: Path, few_days: list[dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    keyboard.bare("--book", str(spot), "demo", "--no-open")
    older = spot.read_bytes()

    def failing(path: Path, **_: Any) -> None:
        path.write_bytes(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("herdbook.demo.write_farm.write_farm", failing)
    answer = keyboard.bare("--book", str(spot), "demo", "--seed", "9", "--no-open")
    assert answer.status == 1
    assert "No space left on device" in answer.err
    assert spot.read_bytes() == older
    assert not {name for name in left_in(spot.parent) if name.startswith(".")}


def test_the_real_made_up_farm_is_sound(keyboard: Keyboard, spot: Path) -> None:
    answer = keyboard.bare("--book", str(spot), "demo", "--days", "2", "--no-open")
    assert answer.status == 0
    assert "Everything in it is invented." in answer.out
    checked = keyboard.bare("--book", str(spot), "check", "--as", "json").json
    assert checked["clean"], checked["findings"]
    assert "(made-up farm)" in keyboard.bare("--book", str(spot), "show", "week").out
    shutil.rmtree(spot.parent)
