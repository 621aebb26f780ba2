"""Who comes in by the door: the person of the key, with that person's rights, to the screens or to one command."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import time

import pytest

from tests.ssh.conftest import ODD, PEOPLE
from tests.ssh.door import Door, program
from tests.terminal import Terminal
from tests.yard import Yard

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("sshd")]

HEAD = ("write", "head", "--pen", "High", "--head")


def author(yard: Yard) -> str:
    """Who wrote the newest entry."""
    return str(
        yard.row(
            "SELECT card.name FROM entry JOIN person_card AS card USING (person) "
            "ORDER BY entry.number DESC, card.id DESC LIMIT 1"
        )["name"]
    )


@pytest.mark.parametrize(
    ("key", "name"),
    [("ada", "Ada"), ("ben", "Ben"), ("cleo", "Cleo"), ("odd", ODD)],
    ids=["ada", "ben", "cleo", "odd"],
)
def test_a_key_writes_under_its_person(door: Door, farm_yard: Yard, key: str, name: str) -> None:
    said = door(key, *HEAD, "51")
    assert (said.status, said.err) == (0, "")
    assert said.out.startswith("High: 51 cows")
    assert author(farm_yard) == name
    assert door.marks() == []


def test_a_reader_looks_and_writes_nothing(door: Door, farm_yard: Yard) -> None:
    before = farm_yard.entries
    refused = door("dov", *HEAD, "51")
    assert refused.status == 1
    assert "Dov may not write this (a head count)." in refused.err
    assert door("dov", "show", "pens").status == 0
    assert farm_yard.entries == before


def test_a_hand_changes_no_prices_and_a_nutritionist_does(door: Door) -> None:
    price = ("write", "price", "--feed", "corn", "--price", "54.50")
    assert door("cleo", *price).status == 1
    assert door("ben", *price).status == 0


def test_a_key_that_is_not_on_the_list_is_refused(door: Door) -> None:
    said = door("stranger", "show", "pens")
    assert said.status == 255
    assert "Permission denied (publickey)" in said.err


def test_someone_who_may_no_longer_come_in_does_not_even_look(door: Door, farm_yard: Yard) -> None:
    number = farm_yard.row("SELECT number FROM entry WHERE said LIKE 'Eve%'")["number"]
    farm_yard.do("person", corrects=number, name="Eve", roles=PEOPLE["eve"][1], active="no")
    for words in (("show", "pens"), ("manual",), ()):
        said = door("eve", *words)
        assert said.status == 2
        assert said.out == ""
        assert said.err == "Eve may not come in by this door. Ask the owner of the book.\n"


def test_a_report_comes_as_csv_and_json(door: Door) -> None:
    table = door("dov", "farm", "show", "pens", "--as", "csv")
    assert table.out.splitlines()[0].startswith("name,pen,kind,head")
    made = json.loads(door("dov", "herdbook", "show", "pens", "--as", "json").out)
    assert [row["pen"] for row in made["tables"]["pens"]] == ["High", "Far dry"]


def test_fields_and_files_come_on_standard_input(door: Door) -> None:
    said = door("cleo", "write", "note", "--json", "-", stdin='{"words": "Gate \\u001b[2J sticks"}')
    assert said.status == 0, said.err
    assert "Gate sticks" in said.out
    sheet = "feed,number,sampled,dry matter,cp\nCorn silage,A-1,2026-01-05,33.6,8.8\n"
    said = door("ben", "import", "analyses", "-", "--yes", stdin=sheet)
    assert said.status == 0, said.err
    again = door("ben", "import", "analyses", "-", "--yes", stdin=sheet)
    assert "standard input was read already" in again.out


def test_the_book_can_be_checked_and_sealed_from_afar(door: Door) -> None:
    assert "nothing found" in door("dov", "check").out
    assert door("dov", "seal").status == 0


def test_neither_terminal_nor_command_is_told_in_one_line(door: Door) -> None:
    said = door("ada", options=["-T"])
    assert said.status == 2
    assert said.err.count("\n") == 1
    assert said.err.startswith("There is no terminal on this line, and no command was sent.")
    assert said.out == ""


@pytest.mark.parametrize(("key", "first"), [("cleo", "Cleo"), ("dov", "PENS mean of complete days")])
def test_with_a_terminal_the_screens_open_at_the_persons_place(door: Door, key: str, first: str) -> None:
    with Terminal(door.client(key)) as terminal:
        terminal.wait(first, f"the first place of {key}")
        leave(terminal)


def leave(terminal: Terminal) -> None:
    """Leave the screens by their key and see the session end well."""
    terminal.quiet(0.2)
    terminal.press("ctrl+q")
    terminal.wait("Leave?")
    terminal.press("enter")
    assert terminal.exit_status() == 0


def test_what_a_hand_writes_on_the_screens_is_theirs(door: Door, farm_yard: Yard) -> None:
    with Terminal(door.client("cleo")) as terminal:
        terminal.wait("Cleo", "the first place")
        terminal.quiet(0.2)
        terminal.press("n")
        terminal.wait("what is worth remembering")
        terminal.press("Gate is shut.", "ctrl+s")
        terminal.wait(lambda _: last_said(farm_yard) == "Gate is shut.", "the note in the book")
        leave(terminal)
    assert author(farm_yard) == "Cleo"


def last_said(yard: Yard) -> str:
    return str(yard.row("SELECT said FROM entry ORDER BY number DESC LIMIT 1")["said"])


def test_a_cut_line_ends_the_session_on_the_farms_side(door: Door, farm_yard: Yard) -> None:
    with Terminal(door.client("cleo")) as terminal:
        terminal.wait("Cleo", "the first place")
        assert sessions(farm_yard, "Cleo")
        terminal.signal(signal.SIGKILL)
        terminal.process.wait()
    until = time.monotonic() + 20
    while sessions(farm_yard, "Cleo"):
        assert time.monotonic() < until, "the session outlived its line"
        time.sleep(0.05)


def sessions(yard: Yard, name: str) -> list[str]:
    """Processes on this machine that the key's line of that person started."""
    found = []
    for entry in os.scandir("/proc"):
        if entry.name.isdigit():
            try:
                with open(f"/proc/{entry.name}/cmdline", "rb") as file:  # noqa: PTH123
                    words = file.read().decode(errors="replace").split("\0")
            except OSError:
                continue
            if words[-4:-1] == ["ssh", "--person", name] and str(yard.path) in words:
                found.append(entry.name)
    return found


def test_no_person_or_not_isolated_opens_nothing(farm_yard: Yard) -> None:
    for words, why in (
        (program("--book", str(farm_yard.path), "ssh", "--person", " "), "that is not a name"),
        (program("--book", str(farm_yard.path), "ssh"), "Missing option '--person'"),
        (program("--book", str(farm_yard.path), "--person", "Ada", "ssh"), "Missing option '--person'"),
        (
            [
                word
                for word in program("--book", str(farm_yard.path), "ssh", "--person", "Ada")
                if word != "-I"
            ],
            "only to Python in isolated mode",
        ),
    ):
        done = subprocess.run(
            words,
            capture_output=True,
            text=True,
            env={"SSH_ORIGINAL_COMMAND": "show pens", "LANG": "C.UTF-8"},
        )
        assert done.returncode == 2
        assert done.stdout == ""
        assert why in done.stderr


def test_the_terminal_is_given_back_over_the_line(door: Door) -> None:
    with Terminal(door.client("dov")) as terminal:
        terminal.wait("PENS", "the first place")
        leave(terminal)
        assert b"\x1b[?1049l" in terminal.raw
        assert terminal.settings() == terminal.settings_before
