"""The command line as a whole: what it loads, how it refuses, and how it ends."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest

import herdbook
from herdbook.cli.main import COMMANDS
from tests.cli.conftest import Keyboard

HEAVY = ("rich", "sqlite3", "sqlmodel", "sqlalchemy", "pydantic", "pint", "textual", "platformdirs")
MODELS = {"sqlmodel", "sqlalchemy", "pydantic"}
FINDING = {"platformdirs"}  # the user's own folders

# what is typed -> all that it may load of the heavy parts
LOADS: list[tuple[list[str], set[str]]] = [
    (["--version"], set()),
    (["--help"], set()),
    (["shwo"], set()),
    (["show", "--help"], {"sqlite3"}),
    (["show", "entries", "--as", "json"], {"sqlite3"} | FINDING),
    (["show", "today", "--as", "json"], {"sqlite3"} | FINDING),
    (["show", "week", "--as", "csv"], {"sqlite3"} | FINDING),
    (["show", "week"], {"sqlite3", "rich"} | FINDING),
    (["explain", "week", "days", "dm"], {"sqlite3", "rich"} | FINDING),
    (["check", "--as", "json"], {"sqlite3"} | FINDING),
    (["manual", "milk"], {"rich"}),
    (["reckon", "fcm-4"], {"rich"}),
    (["reckon", "fcm-4", "milk=70 lb", "fat=3.8%"], {"rich", "pint", "platformdirs"}),
    (["write", "head", "--help"], MODELS | {"sqlite3"}),
    (["write", "head", "--pen", "High", "--head", "53"], MODELS | {"sqlite3"} | FINDING),
]


def started(words: list[str], book: Path, code: str = "") -> subprocess.CompletedProcess[str]:
    """The program in a process of its own; `code` runs after it, in the same interpreter."""
    program = f"""
import sys
from herdbook.cli.main import run
status = run(sys.argv[1:], login="ada")
{code}
raise SystemExit(status)
"""
    return subprocess.run(
        [sys.executable, "-c", program, "--book", str(book), *words],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(Path(herdbook.__file__).parents[1])},
    )


@pytest.mark.parametrize(("words", "may_load"), LOADS, ids=[" ".join(words) for words, _ in LOADS])
def test_a_command_loads_no_more_than_it_needs(
    keyboard: Keyboard, words: list[str], may_load: set[str]
) -> None:
    code = f"print('LOADED', *(m for m in {HEAVY!r} if m in sys.modules), file=sys.stderr)"
    done = started(words, keyboard.path, code)
    (line,) = [line for line in done.stderr.splitlines() if line.startswith("LOADED")]
    assert set(line.split()[1:]) <= may_load
    assert "Traceback" not in done.stderr


def test_what_is_loaded_is_seen() -> None:
    """The test above would pass for ever if its list named nothing that a command loads."""
    assert all(any(name in may for _, may in LOADS) for name in HEAVY if name != "textual")


def test_the_version_is_the_packages(keyboard: Keyboard) -> None:
    assert keyboard.bare("--version").out == f"herdbook {herdbook.__version__}\n"


def test_help_lists_every_command_with_its_line(keyboard: Keyboard) -> None:
    answer = keyboard.bare("--help")
    assert answer.status == 0
    for name, (_, line) in COMMANDS.items():
        assert re.search(rf"^  {name} +{re.escape(line[:30])}", answer.out, re.MULTILINE)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_can_be_asked_for_help(keyboard: Keyboard, name: str) -> None:
    answer = keyboard.bare(name, "--help")
    assert answer.status == 0
    assert "Usage: herdbook" in answer.out
    assert max(map(len, answer.out.splitlines())) <= 80


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["shwo"], "There is no command called 'shwo'. Did you mean show?"),
        (["show", "wek"], "There is no command called 'wek'. Did you mean week?"),
        (["write", "temprature"], "There is no command called 'temprature'. Did you mean temperature?"),
        (["write", "head", "--pn", "High"], "There is no option --pn. Did you mean --pen?"),
        (["show", "week", "--as", "xml"], "Invalid value for '--as'"),
        (["strike", "last"], "Invalid value for 'ENTRY': 'last' is not a valid integer."),
        (["strike"], "Missing argument 'ENTRY'."),
        (["manual", "fedding"], "Did you mean feeding?"),
    ],
)
def test_wrong_usage_is_told_with_what_is_near(keyboard: Keyboard, words: list[str], says: str) -> None:
    before = keyboard.yard.state()
    answer = keyboard(*words)
    assert answer.status == 2
    assert says in answer.err
    assert answer.out == ""
    assert keyboard.yard.state() == before


@pytest.mark.parametrize(
    ("path", "says"),
    [
        ("nowhere.book", "There is no book at"),
        (".", "is not a file"),
        ("notes.txt", "is not a herdbook; it was left untouched"),
    ],
)
def test_what_is_no_book_is_refused_and_left_alone(
    keyboard: Keyboard, tmp_path: Path, path: str, says: str
) -> None:
    (tmp_path / "notes.txt").write_text("milk the cows")
    for words in (["show", "today"], ["write", "head", "--pen", "High", "--head", "3"], ["check"]):
        answer = keyboard.bare("--book", str(tmp_path / path), *words)
        assert answer.status == 2
        assert says in answer.err
    assert (tmp_path / "notes.txt").read_text() == "milk the cows"


def test_the_book_is_found_by_its_variable(keyboard: Keyboard, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HERDBOOK_BOOK", str(keyboard.path))
    assert "Far dry" in keyboard.bare("show", "pens").out


def test_a_wrong_settings_file_is_named(keyboard: Keyboard) -> None:
    from herdbook.settings import settings_path

    settings_path().parent.mkdir(parents=True, exist_ok=True)
    settings_path().write_text('colour = "red"\n')
    try:
        answer = keyboard.bare("show", "today")
    finally:
        settings_path().unlink()
    assert answer.status == 2
    assert "'colour' is not a setting" in answer.err


HOSTILE = "\x1b]0;owned\x07\x1b[2J\x9b31m\u202eevil[@click=app.quit]x[/]"


@pytest.mark.parametrize(
    "words",
    [
        [HOSTILE],
        ["show", HOSTILE],
        ["show", "ration", HOSTILE],
        ["show", "week", "--of", HOSTILE],
        ["show", "week", "--table", HOSTILE],
        ["explain", "week", HOSTILE],
        ["write", "pen", "--name", HOSTILE, "--head", "x"],
        ["write", "head", "--pen", HOSTILE, "--head", "1"],
        ["write", "head", f"--{HOSTILE}", "1"],
        ["write", "head", "--json", HOSTILE],
        ["reckon", HOSTILE],
        ["reckon", "fcm-4", f"milk={HOSTILE}", f"{HOSTILE}=3"],
        ["reckon", "fcm-4", "milk=70 lb", "fat=3.8%", "--in", HOSTILE],
        ["manual", HOSTILE],
        ["people", "add", "Eli", "--role", HOSTILE],
    ],
)
def test_no_code_of_a_terminal_comes_back_in_a_refusal(keyboard: Keyboard, words: list[str]) -> None:
    answer = keyboard(*words)
    assert answer.status == 2
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", answer.out + answer.err)


def test_the_owner_of_nothing_has_no_say(keyboard: Keyboard) -> None:
    answer = keyboard("show", "today", person=HOSTILE)
    assert answer.status == 0  # looking needs nobody


def test_an_interrupt_ends_in_one_line(keyboard: Keyboard, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("herdbook.book.opening.reading", interrupted)
    answer = keyboard("show", "today")
    assert (answer.status, answer.out, answer.err) == (130, "", "Interrupted.\n")


def test_an_interrupt_while_loading_ends_in_one_line() -> None:
    code = (
        "import sys, builtins\nreal = builtins.__import__\n"
        "def late(name, *rest, **more):\n"
        "    if name == 'click': raise KeyboardInterrupt\n"
        "    return real(name, *rest, **more)\n"
        "import herdbook.__main__ as m\nbuiltins.__import__ = late\nm.main()"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "Interrupted.\n")


def test_a_reader_that_goes_away_is_no_error(keyboard: Keyboard) -> None:
    for words in (["show", "week"], ["show", "week", "--as", "json"], ["manual", "rules"], ["reckon"]):
        with subprocess.Popen(
            [sys.executable, "-m", "herdbook", "--book", str(keyboard.path), *words],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            cwd=Path(herdbook.__file__).parents[1],
        ) as started:
            assert started.stdout is not None
            started.stdout.close()
            _, err = started.communicate()
        assert err == b""
        assert started.returncode in (141, -signal.SIGPIPE)


def test_a_terminal_of_few_letters_is_no_reason_to_stop(keyboard: Keyboard) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "herdbook", "--book", str(keyboard.path), "manual", "units"],
        capture_output=True,
        check=False,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        cwd=Path(herdbook.__file__).parents[1],
    )
    assert done.returncode == 0
    assert b"39.2F, 39.2" in done.stdout
    assert done.stderr == b""


def test_without_a_terminal_the_screens_refuse_in_one_line(keyboard: Keyboard) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "herdbook", "--book", str(keyboard.path)],
        capture_output=True,
        text=True,
        check=False,
        stdin=subprocess.DEVNULL,
        cwd=Path(herdbook.__file__).parents[1],
    )
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 1
    assert done.stdout == ""


def test_the_screens_are_opened_for_who_sits_there(
    keyboard: Keyboard, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[tuple[Path, str, frozenset[str]]] = []

    def open_book(path: Path, *, name: str, roles: frozenset[str], **_: object) -> int:
        opened.append((path, name, roles))
        return 7

    monkeypatch.setattr("herdbook.screens.at_the_book.open_book", open_book)
    keyboard.login = "stranger"
    assert keyboard().status == 7
    assert keyboard(person="Cleo").status == 7
    keyboard.login = "ada"
    assert keyboard().status == 7
    nobody, cleo, ada = opened
    assert nobody[2] == frozenset()
    assert cleo[1:] == ("Cleo", frozenset({"hand"}))
    assert ada[1:] == ("Ada", frozenset({"owner"}))
    assert {path for path, _, _ in opened} == {keyboard.path}
