"""What only a terminal shows: questions of `new`, colours, a progress bar, an interrupt while it asks."""

from __future__ import annotations

import sys
from pathlib import Path

import herdbook
from tests.cli.conftest import Keyboard
from tests.terminal import Terminal

ROOT = str(Path(herdbook.__file__).parents[1])


def program(*words: str) -> list[str]:
    return [sys.executable, "-m", "herdbook", *words]


def test_a_new_book_is_asked_for_and_a_wrong_answer_asked_again(tmp_path: Path, keyboard: Keyboard) -> None:
    book = tmp_path / "new.book"
    with Terminal(
        program("--book", str(book), "new"), cwd=ROOT, environ={"TZ": "America/Chicago"}
    ) as terminal:
        terminal.wait("name (the farm's name):", "the first question")
        terminal.press(*"Hollow Farm", "enter")
        terminal.wait("[America/Chicago]:", "the zone with this computer's as proposal")
        terminal.press("enter")
        terminal.wait("units (us or metric)", "the units")
        terminal.press(*"both", "enter")
        terminal.wait("'both' is not one of the words", "the wrong answer told")
        terminal.press(*"metric", "enter")
        terminal.wait("decimal mark", "the decimal mark")
        terminal.press("enter")
        terminal.wait("currency", "the currency")
        terminal.press("enter")
        terminal.wait("owner", "the owner")
        terminal.press(*"Ida", "enter")
        terminal.wait("Ida owns the b", "the book started")
        assert terminal.exit_status() == 0
    shown = keyboard.bare("--book", str(book), "show", "people", "--as", "json").json
    assert [row["person"] for row in shown["tables"]["people"]] == ["Ida"]


def test_an_interrupt_while_it_asks_makes_no_book(tmp_path: Path) -> None:
    folder = tmp_path / "spot"
    folder.mkdir()
    with Terminal(program("--book", str(folder / "new.book"), "new"), cwd=ROOT) as terminal:
        terminal.wait("name (the farm's name):", "the first question")
        terminal.quiet(0.3)  # the question is drawn a moment before it is read for; nobody presses sooner
        terminal.press("ctrl+c")
        terminal.quiet(1.0)
        if terminal.process.poll() is None:
            terminal.press("ctrl+c")  # as a person would on a busy machine
        assert terminal.exit_status() == 130
        assert "Traceback" not in terminal.text
    assert list(folder.iterdir()) == []


def test_colours_come_on_a_terminal_and_stay_away_when_unwanted(keyboard: Keyboard) -> None:
    words = program("--book", str(keyboard.path), "show", "ration", "High 1")
    sent: dict[str | None, int] = {}
    for unwanted in (None, "1"):
        with Terminal(
            words, cwd=ROOT, environ={"NO_COLOR": unwanted, "TERM": "xterm-256color"}, fast=True
        ) as terminal:
            colours: list[bytes] = []

            def seen(so_far: bytes, colours: list[bytes] = colours) -> bool:
                colours[:] = [so_far]
                return b"Against the targets" in so_far

            terminal.wait_bytes(seen, "the report")
            terminal.exit_status()
            sent[unwanted] = colours[0].count(b"\x1b[1;33m") + colours[0].count(b"\x1b[33m")
    assert sent[None] > 0
    assert sent["1"] == 0


def test_a_narrow_terminal_is_kept_to(keyboard: Keyboard) -> None:
    words = program("--book", str(keyboard.path), "show", "ration", "High 1")
    with Terminal(words, cwd=ROOT, columns=60, rows=100) as terminal:
        terminal.wait("Against the targets", "the report")
        assert terminal.exit_status() == 0
        text = terminal.text
    line = next(line for line in text.splitlines() if line.startswith("CP "))
    assert "15.50" in line or "15.50" in text
    assert not [
        line for line in text.splitlines() if line.strip() in ("0", "1")
    ]  # no digit wrapped to a line of its own
