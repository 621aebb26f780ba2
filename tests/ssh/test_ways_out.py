"""No way out of the door: forwarding, file transfer, a shell's tricks, the client's environment, the screens' keys."""

from __future__ import annotations

import contextlib
import os
import re
import shlex
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.ssh.door import START_UP, WRAPPER, Door, free_port
from tests.terminal import Terminal
from tests.yard import Yard

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("sshd")]


@pytest.fixture(autouse=True)
def _nothing_was_left(door: Door, farm_yard: Yard) -> Iterator[None]:
    """After every attempt: no trap sprang, no file appeared, no entry was written that was not meant."""
    beside = {path.name for path in farm_yard.path.parent.iterdir()}
    yield
    assert door.marks() == []
    known = {farm_yard.path.name + end for end in ("", "-wal", "-shm")}
    assert {path.name for path in farm_yard.path.parent.iterdir()} <= beside | known


# -- forwarding --


@pytest.fixture(scope="module")
def loose(door: Door) -> str:
    """A key whose line forbids no forwarding and runs `env`: what the server itself would let through."""
    return control_line(door, "loose", "no-user-rc,")


def control_line(door: Door, name: str, options: str) -> str:
    """A key whose line runs `env` instead of the program, with the options that are to be looked at."""
    door.let_in(f'{options}command="exec env" {door.make_key(name)}')
    return name


@pytest.mark.parametrize(("key", "comes_through"), [("ada", False), ("loose", True)])
def test_no_port_is_forwarded(door: Door, loose: str, key: str, comes_through: bool) -> None:
    with socket.create_server(("127.0.0.1", 0)) as inside:
        target = f"127.0.0.1:{inside.getsockname()[1]}"
        options = ["-o", "LogLevel=INFO", "-W", target]
        client = subprocess.Popen(
            door.client(key, options=options), stdin=subprocess.PIPE, stderr=subprocess.PIPE
        )
        try:
            if comes_through:  # the server is as open as it was meant to be
                inside.settimeout(20)
                inside.accept()[0].close()
            else:
                assert client.wait(20) == 255
                assert b"administratively prohibited" in (client.stderr.read() if client.stderr else b"")
                inside.setblocking(False)
                with pytest.raises(BlockingIOError):
                    inside.accept()
        finally:
            client.kill()
            client.communicate()


def test_no_port_is_opened_for_the_client(door: Door) -> None:
    said = door(
        "ada", "show", "pens", options=["-R", f"{free_port()}:127.0.0.1:9", "-o", "ExitOnForwardFailure=yes"]
    )
    assert said.status == 255
    assert "remote port forwarding failed" in said.err


def test_no_socket_file_is_forwarded(door: Door) -> None:
    place = door.folder / "socket"
    said = door(
        "ada", "show", "pens", options=["-R", f"{place}:127.0.0.1:9", "-o", "ExitOnForwardFailure=yes"]
    )
    assert said.status == 255
    assert not place.exists()


def test_no_agent_is_forwarded(door: Door, loose: str) -> None:
    control_line(door, "strict", "restrict,pty,")
    with agent(door) as environ:
        options = ["-A", "-o", "IdentityAgent=SSH_AUTH_SOCK"]
        lenient = door.run(door.client(loose, options=options), environ=environ)
        strict = door.run(door.client("strict", options=options), environ=environ)
    assert "SSH_AUTH_SOCK=" in lenient.out  # the server would
    assert "SSH_CONNECTION=" in strict.out
    assert "SSH_AUTH_SOCK=" not in strict.out


@contextlib.contextmanager
def agent(door: Door) -> Iterator[dict[str, str]]:
    """An agent of our own, ended afterwards."""
    process = subprocess.Popen(
        ["ssh-agent", "-D", "-a", door.folder / "agent"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    try:
        while not (door.folder / "agent").exists():
            assert process.poll() is None
        yield {"SSH_AUTH_SOCK": str(door.folder / "agent")}
    finally:
        process.terminate()
        process.wait()


def test_a_keys_line_restricts_and_runs_python_isolated(door: Door) -> None:
    lines = [line for line in (door.folder / "keys").read_text().splitlines() if " ssh --person " in line]
    assert len(lines) == 6
    for line in lines:
        assert re.match(r'restrict,pty,command="exec \S+ -I -m herdbook --book \S+ ssh --person ', line)


# -- files --


@pytest.mark.parametrize("way", ["sftp", "scp", "scp as it was", "rsync"])
def test_no_file_is_taken_or_brought(door: Door, farm_yard: Yard, way: str) -> None:
    mine = door.folder / "mine"
    mine.write_text("mine")
    there, here = door.trap / "brought", door.trap / "taken"
    book = farm_yard.path
    before = book.stat().st_size
    if way == "sftp":
        said = door.run(
            door.client("ada", program="sftp", options=["-b", "-"]),
            stdin=f"put {mine} {there}\nget {book} {here}\n",
        )
    elif way == "rsync":
        said = door("ada", "rsync", "--server", "-e.LsfxC", ".", str(there))
    else:
        old = ["-O"] if "was" in way else []
        command = ["scp", "-F", str(door.folder / "ssh_config"), *old]
        assert door.run([*command, f"ada:{book}", str(here)]).status != 0
        said = door.run([*command, str(mine), f"ada:{there}"])
    assert said.status != 0
    assert book.stat().st_size == before


@pytest.mark.parametrize(
    "words",
    [
        ["write", "note", "--json", "/etc/passwd"],
        ["write", "note", "--json=/etc/passwd"],
        ["write", "note", "--json", "{book}"],
        ["import", "analyses", "/etc/passwd", "--yes"],
        ["import", "ration", "../../etc/passwd", "--name", "x", "--yes"],
        ["enter", "--json", "/dev/stdin"],
        ["people", "key", "Ada", "--public-key", "/etc/passwd"],
        ["demo", "--into", "{trap}/farm"],
        ["--book", "{trap}/farm", "new", "--name", "F", "--zone", "UTC", "--owner", "A"],
    ],
    ids=lambda words: " ".join(words)[:40],
)
def test_a_command_names_no_file(door: Door, farm_yard: Yard, words: list[str]) -> None:
    said = door("ada", *(word.format(book=farm_yard.path, trap=door.trap) for word in words), stdin="{}")
    assert said.status == 2
    assert said.out == ""
    assert "root:" not in said.err


# -- a shell's tricks, to a program that knows no shell --


@pytest.mark.parametrize(
    "trick",
    [
        "show pens; touch a",
        "show pens && touch a | tee a > a &",
        "show pens\ntouch a",
        "show $(touch a) `touch a`",
        "; exec touch a",
        "sh -c 'touch a'",
        "/bin/sh",
        "herdbook --person Dov --book /etc/passwd show pens",
        "--person Dov show pens",
        "show pens --person Dov",
        "ssh --person Dov",
        "show pens 'touch a",
        "\x1b]0;title\x07",
    ],
    ids=repr,
)
def test_a_shells_trick_is_only_words_that_mean_nothing(door: Door, farm_yard: Yard, trick: str) -> None:
    before = farm_yard.entries
    said = door("cleo", trick)
    assert said.status == 2, said
    assert said.out == ""
    assert said.err
    assert "\x1b" not in said.err
    assert "Traceback" not in said.err
    assert farm_yard.entries == before


def test_tricks_in_a_field_are_kept_as_the_text_they_are(door: Door, farm_yard: Yard) -> None:
    text = "a; touch a | $(touch b) `touch c` && \"touch d\" > e * ~ \\ 'x'"
    said = door("cleo", f"write note --words {shlex.quote(text)} --request tricks")
    assert said.status == 0, said.err
    kept = farm_yard.row("SELECT said, person FROM entry WHERE request = 'tricks'")
    assert text in kept["said"]


def test_bytes_that_are_no_text_and_a_command_without_end_are_refused(door: Door) -> None:
    raw = subprocess.run(
        [os.fsencode(word) for word in door.client("cleo")] + [b"show \xff\xfe"],
        capture_output=True,
        env={"PATH": os.environ["PATH"], "HOME": str(door.folder)},
    )
    assert (raw.returncode, raw.stdout) == (2, b"")
    assert b"not UTF-8" in raw.stderr
    said = door("cleo", "show " + "x" * 40_000)
    assert said.status == 2
    assert said.err.startswith("The command is too long.")


# -- the client's environment --


def hostile(door: Door, other: Path) -> dict[str, str]:
    """Every variable that could change where code, data or output come from, as far as this server takes them."""
    evil = door.folder / "evil"
    evil.mkdir(exist_ok=True)
    for name in ("herdbook", "sitecustomize", "usercustomize", "textual", "click"):
        (evil / f"{name}.py").write_text(f"open({str(door.trap / name)!r}, 'w')\n")
    (evil / "settings.toml").write_text("book = 1\n")
    mark = str(door.trap / "variable")
    return {
        "PYTHONINSPECT": "1",
        "PYTHONPATH": str(evil),
        "PYTHONHOME": str(evil),
        "PYTHONSTARTUP": str(evil / "herdbook.py"),
        "PYTHONUSERBASE": str(evil),
        "PYTHONBREAKPOINT": "os.system",
        "PYTHONDUMPREFS": mark,
        "HERDBOOK_BOOK": str(other),
        "HERDBOOK_PERSON": "Ada",
        "XDG_CONFIG_HOME": str(evil),
        "XDG_DATA_HOME": str(evil),
        "TEXTUAL_DRIVER": "herdbook:Evil",
        "TEXTUAL_LOG": mark,
        "TEXTUAL_DEBUG": "1",
        "TEXTUAL_SCREENSHOT": "1",
        "TEXTUAL_SCREENSHOT_LOCATION": str(door.trap),
        "TEXTUAL_PRESS": "ctrl+q,enter",
        "TEXTUAL_ALLOW_SIGNALS": "1",
        "TEXTUAL": "devtools,debug",
        "BROWSER": f"touch {mark} %s",
        "EDITOR": f"touch {mark}",
        "VISUAL": f"touch {mark}",
        "PAGER": f"touch {mark}",
        "LESSOPEN": f"|touch {mark}",
        "SQLITE_TMPDIR": str(door.trap),
        "ENV": str(door.home / ".shrc"),
        "BASH_ENV": str(door.home / ".shrc"),
        "COLUMNS": "300",
        "LC_ALL": "../../evil",
        "TZ": "Asia/Tokyo",
    }


def test_the_clients_environment_changes_nothing(door: Door, tmp_path: Path) -> None:
    environ = hostile(door, tmp_path / "other.book")
    plain, told = door("dov", "show", "pens"), door("dov", "show", "pens", environ=environ)
    assert (told.status, told.out, told.err) == (plain.status, plain.out, plain.err)


def test_the_clients_environment_does_arrive_and_would_be_heard(
    door: Door, loose: str, tmp_path: Path
) -> None:
    """The test above can fail: the server hands the variables on to whatever the line runs."""
    environ = hostile(door, tmp_path / "other.book")
    arrived = door(loose, environ=environ).out
    assert {name for name in environ if f"\n{name}=" in f"\n{arrived}"} == set(environ)


def test_screens_under_a_hostile_environment_open_on_the_farms_book_and_end_for_good(
    door: Door, tmp_path: Path
) -> None:
    environ = hostile(door, tmp_path / "other.book")
    sent = [f"-oSendEnv={name}" for name in environ]
    with Terminal(door.client("cleo", options=sent), environ=environ) as terminal:
        terminal.wait("Hollow Farm, Cleo", "the farm's own book and the key's own person")
        terminal.quiet(0.5)
        assert terminal.process.poll() is None  # no key was typed for her
        terminal.press("ctrl+z", "ctrl+p", "ctrl+\\", "ctrl+c")
        terminal.quiet(0.3)
        assert "Hollow Farm, Cleo" in terminal.text
        terminal.press("ctrl+q")
        terminal.wait("Leave?")
        terminal.press("enter")
        assert terminal.exit_status() == 0
        assert b">>>" not in terminal.raw


@pytest.mark.skipif(not WRAPPER, reason="needs Debian's libnss-wrapper: the real home is nobody's to change")
def test_no_start_up_file_of_a_shell_runs(door: Door) -> None:
    for words in ((), ("show", "pens")):
        door("ada", *words)
    assert door.marks() == []


def test_traps_in_start_up_files_would_spring(door: Door) -> None:
    """The test above can fail: each file leaves its mark when it is run, and the server runs the one it knows."""
    for name in START_UP:
        subprocess.run(["/bin/sh", door.home / name], check=True)
    assert len(door.marks()) == len(START_UP)
    clear(door)
    if WRAPPER:
        door(control_line(door, "with-rc", "no-port-forwarding,"))
        assert door.marks() == [".ssh-rc"]
        clear(door)


def clear(door: Door) -> None:
    """Take the marks away."""
    for mark in door.trap.iterdir():
        mark.unlink()
