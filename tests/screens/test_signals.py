"""On a real pseudo-terminal: how the screens end, what they leave behind, and what they send meanwhile."""

from __future__ import annotations

import json
import re
import signal
import subprocess
import sys
import termios
import time
from pathlib import Path

import pytest

from tests.terminal import Terminal

ROOT = Path(__file__).resolve().parents[2]

# Modes that must be off again, and wrap and cursor that must be on, when the terminal is given back.
MODES_ON = re.compile(rb"\x1b\[\?([0-9]+)h")
LEFT_ON = {b"7", b"25"}


@pytest.fixture
def drafts(tmp_path):
    return tmp_path / "drafts.json"


@pytest.fixture
def open_terminal(tmp_path, drafts):
    opened = []

    def start(*options, **settings):
        command = [
            sys.executable,
            "-m",
            "tests.screens.demo_program",
            str(tmp_path / "t.db"),
            str(drafts),
            *options,
        ]
        terminal = Terminal(command, cwd=str(ROOT), **settings)
        opened.append(terminal)
        return terminal

    yield start
    for terminal in opened:
        terminal.close()


def at_work(terminal):
    terminal.wait("Bunk scores", "the first place")
    terminal.quiet()
    return terminal


def modes_left_on(raw):
    on = set()
    for mode, letter in re.findall(rb"\x1b\[\?([0-9]+)([hl])", raw):
        on.add(mode) if letter == b"h" else on.discard(mode)
    return on - LEFT_ON


def assert_restored(terminal):
    raw = bytes(terminal.raw)
    assert b"\x1b[?1049h" in raw
    assert not modes_left_on(raw)
    assert raw.rindex(b"\x1b[?25h") > raw.rindex(b"\x1b[?25l")
    assert raw.rindex(b"\x1b[<u") > raw.rindex(b"u", 0, raw.rindex(b"\x1b[<u"))
    assert terminal.settings() == terminal.settings_before


@pytest.mark.parametrize(("number", "status"), [
    (signal.SIGTERM, 143),
    (signal.SIGHUP, 129),
    (signal.SIGINT, 130),
])  # fmt: skip
def test_told_to_end_it_restores_the_terminal_and_keeps_the_draft(open_terminal, drafts, number, status):
    terminal = at_work(open_terminal())
    terminal.press("f4")
    terminal.wait("TANK BOOK")
    terminal.press("4", "7")
    terminal.wait("Temperature 47")
    terminal.signal(number)
    assert terminal.exit_status() == status
    assert_restored(terminal)
    assert json.loads(drafts.read_text()) == {"milk": {"temperature": "47"}}


def test_a_closed_terminal_ends_it_and_keeps_the_draft(open_terminal, drafts):
    terminal = at_work(open_terminal())
    terminal.press("f4")
    terminal.wait("TANK BOOK")
    terminal.press("4", "6")
    terminal.wait("Temperature 46")
    terminal.hang_up()
    assert terminal.exit_status() == 129
    assert json.loads(drafts.read_text()) == {"milk": {"temperature": "46"}}


def test_a_killed_session_has_kept_what_was_typed_before(open_terminal, drafts):
    terminal = at_work(open_terminal())
    terminal.press("f4")
    terminal.wait("TANK BOOK")
    terminal.press("4", "5")
    terminal.wait("Temperature 45")
    while not drafts.exists() or "45" not in drafts.read_text():
        terminal.quiet(0.05)
    terminal.signal(signal.SIGKILL)
    assert terminal.exit_status() == -signal.SIGKILL
    again = at_work(open_terminal())
    again.press("f4")
    again.wait("Temperature 45", "the draft to come back")


def test_stopped_and_continued_it_takes_the_terminal_again(open_terminal):
    terminal = at_work(open_terminal())
    ours = terminal.settings()
    before, seen = terminal.text, terminal.bytes
    terminal.signal(signal.SIGSTOP)
    termios.tcsetattr(terminal.master, termios.TCSANOW, terminal.settings_before)  # as a shell would
    terminal.screen.reset()
    terminal.signal(signal.SIGCONT)
    terminal.wait(before)
    again = bytes(terminal.raw)[seen:]
    assert b"\x1b[?1049h" in again
    assert b"\x1b[?25l" in again
    assert terminal.settings() == ours
    terminal.press("f4")  # one reader of keys, not two
    terminal.wait("TANK BOOK")
    terminal.press("4", "7")
    terminal.wait("Temperature 47")
    terminal.signal(signal.SIGTERM)
    assert terminal.exit_status() == 143
    assert_restored(terminal)


def test_asked_to_stop_for_a_shell_it_stays(open_terminal):
    terminal = at_work(open_terminal())
    terminal.signal(signal.SIGTSTP)
    terminal.press("f4")
    terminal.wait("TANK BOOK")


def test_hung_up_it_does_not_take_the_terminal_again(open_terminal, drafts):
    """The system sends "continue" right behind a hang-up: nothing is begun by it, whatever is being drawn."""
    terminal = at_work(open_terminal())
    terminal.press("f4")
    terminal.wait("TANK BOOK")
    terminal.press("4", "7")
    terminal.wait("Temperature 47")
    for _ in range(20):
        terminal.press("f2", "f4")
    for _ in range(200):
        terminal.signal(signal.SIGCONT)
    terminal.hang_up()
    assert terminal.exit_status() == 129
    assert json.loads(drafts.read_text()) == {"milk": {"temperature": "47"}}


def test_a_program_that_hangs_while_it_leaves_still_keeps_what_was_typed(open_terminal, drafts):
    terminal = at_work(open_terminal("--hanging"))
    terminal.press("f4")
    terminal.wait("TANK BOOK")
    terminal.press("4", "7")
    terminal.wait("Temperature 47")
    terminal.hang_up()
    assert terminal.exit_status() == 129
    assert json.loads(drafts.read_text()) == {"milk": {"temperature": "47"}}


def test_leaving_restores_the_terminal(open_terminal):
    terminal = at_work(open_terminal())
    terminal.press("ctrl+q")
    terminal.wait("Leave?")
    terminal.press("enter")
    assert terminal.exit_status() == 0
    assert_restored(terminal)


def test_ctrl_c_and_ctrl_z_neither_kill_nor_stop(open_terminal):
    terminal = at_work(open_terminal())
    terminal.press("ctrl+z", "ctrl+c")
    terminal.wait("Ctrl+Q leaves.")
    state = Path(f"/proc/{terminal.process.pid}/stat").read_text().rpartition(")")[2].split()[0]
    assert state in ("S", "R")


def test_a_fault_of_the_program_says_one_line_and_shows_no_values(open_terminal, drafts):
    terminal = open_terminal("--fault")
    assert terminal.exit_status() == 70
    after = bytes(terminal.raw).rpartition(b"\x1b[?1049l")[2]
    assert b"Something went wrong in the program." in after
    assert b"47.7 of a farm" not in after
    assert b"Traceback" not in after
    assert "KeyError" in drafts.with_suffix(".log").read_text()
    assert_restored(terminal)


@pytest.mark.parametrize("stream", ["stdin", "stdout"])
def test_without_a_terminal_it_says_so_in_one_line(tmp_path, drafts, stream):
    command = [sys.executable, "-m", "tests.screens.demo_program", str(tmp_path / "t.db"), str(drafts)]
    plain = subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, stdin=subprocess.DEVNULL, check=False
    )
    assert plain.returncode == 2
    assert plain.stdout == ""
    assert plain.stderr.count("\n") == 1
    assert "need a terminal" in plain.stderr


def test_a_terminal_that_cannot_be_drawn_on_is_refused(open_terminal):
    terminal = open_terminal(environ={"TERM": "dumb"})
    assert terminal.exit_status() == 2
    assert b"\x1b" not in bytes(terminal.raw)
    assert bytes(terminal.raw).count(b"\n") == 1


def test_the_check_for_a_terminal_brings_in_nothing_heavy():
    code = (
        "import herdbook.screens.start, herdbook.screens.terminal, herdbook.screens.environment, sys;"
        "print(*(m for m in ('textual', 'rich', 'sqlmodel', 'sqlite3', 'asyncio') if m in sys.modules))"
    )
    seen = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert seen.stdout.split() == []


@pytest.mark.slow
def test_nothing_is_sent_while_nothing_happens(open_terminal):
    terminal = at_work(open_terminal())
    assert terminal.quiet(5.0) == 0


def test_a_digit_is_a_dozen_bytes_and_a_reading_a_few_hundred(open_terminal):
    terminal = at_work(open_terminal())
    terminal.press("f4")
    terminal.wait("TANK BOOK")
    terminal.quiet()
    before = terminal.bytes
    terminal.press("4")
    terminal.wait("Temperature 4")
    terminal.quiet()
    assert 0 < terminal.bytes - before <= 60


STEPS = [
    "f4",
    "4",
    "1",
    "2",
    "enter",
    "backspace",
    "enter",
    "h",
    "esc",
    "f1",
    "pgdn",
    "esc",
    "f2",
    "j",
    "esc",
    "=",
    "esc",
]


@pytest.mark.slow
@pytest.mark.parametrize("environ", [
    {"TERM": "xterm-256color"},
    {"TERM": "xterm"},
    {"TERM": "xterm-256color", "NO_COLOR": "1"},
], ids=["256 colours", "16 colours", "no colour"])  # fmt: skip
def test_the_thrifty_wire_shows_the_same_picture(tmp_path, environ):
    terminals = []
    for option in ("--thrifty", "--stock"):
        files = [str(tmp_path / f"{option}.db"), str(tmp_path / f"{option}.json")]
        command = [sys.executable, "-m", "tests.screens.demo_program", *files, option]
        terminals.append(Terminal(command, cwd=str(ROOT), environ=environ))
    thrifty, stock = terminals
    with thrifty, stock:
        for terminal in terminals:
            at_work(terminal)
        assert _picture(thrifty) == _picture(stock)
        for key in STEPS:
            for terminal in terminals:
                terminal.press(key)
            for terminal in terminals:
                terminal.quiet(0.4 if key == "esc" else 0.12)  # a lone Esc is known by what does not follow
            _see_the_same(thrifty, stock, key)
        assert thrifty.bytes < stock.bytes / 3


def _see_the_same(thrifty, stock, key):
    """Read both, whichever is slower, until they show the same."""
    until = time.monotonic() + 20
    while _picture(thrifty) != _picture(stock):
        assert time.monotonic() < until, f"after {key}:\n{thrifty.text}\n{stock.text}"
        thrifty.quiet(0.05)
        stock.quiet(0.05)


def _picture(terminal):
    """Every cell as a person sees it: on a blank neither ink nor weight shows."""
    screen = terminal.screen
    cells = []
    for y in range(screen.lines):
        for x in range(screen.columns):
            cell = screen.buffer[y][x]
            drawn = cell.reverse or cell.underscore or cell.strikethrough
            cells.append((y, x, cell.data, cell.bg) if cell.data == " " and not drawn else (y, x, *cell))
    return cells


def test_a_resized_window_is_drawn_whole_again(open_terminal):
    terminal = at_work(open_terminal())
    terminal.resize(60, 20)
    terminal.wait(lambda _: terminal.lines[19].endswith("F1 all keys"), "the smaller frame")
    terminal.resize(80, 24)
    terminal.wait(lambda _: terminal.lines[23].endswith("F1 all keys"), "the frame as before")
    assert "68 min      5 due" in terminal.lines[1]


def test_a_garbled_screen_is_drawn_anew_on_request(open_terminal):
    terminal = at_work(open_terminal())
    good = _picture(terminal)
    terminal._stream.feed(b"\x1b[5;10H\x1b[41mBroadcast message from somebody\x1b[m")
    assert _picture(terminal) != good
    terminal.press("ctrl+l")
    terminal.wait(lambda _text: _picture(terminal) == good, "the picture to be whole")
