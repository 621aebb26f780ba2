"""The second lock: in a process that is shut, the interpreter itself refuses programs, the network and other files."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from herdbook.cli.latch import NEVER
from tests.yard import Yard

PROLOGUE = """
import os, sys, socket, subprocess, webbrowser, sqlite3, signal, pty, shutil, tempfile, urllib.request, pathlib, ctypes
from pathlib import Path
from herdbook.cli import latch
book, secret, trap = map(Path, sys.argv[1:4])
latch.shut(book)
"""

REFUSED = [
    "os.system('touch ' + str(trap / 'x'))",
    "os.popen('true')",
    "subprocess.run(['/bin/true'])",
    "os.fork()",
    "os.forkpty()",
    "pty.spawn('/bin/sh')",
    "os.execv('/bin/sh', ['sh'])",
    "os.posix_spawn('/bin/sh', ['sh'], {})",
    "os.spawnv(os.P_WAIT, '/bin/true', ['true'])",
    "webbrowser.GenericBrowser('true').open('http://localhost/')",
    "os.kill(os.getpid(), signal.SIGSTOP)",
    "signal.pthread_kill(0, signal.SIGTSTP)",
    "socket.create_connection(('127.0.0.1', 9))",
    "socket.socket(socket.AF_UNIX).connect('/run/x')",
    "socket.socket().bind(('127.0.0.1', 0))",
    "socket.socket(type=socket.SOCK_DGRAM).sendto(b'x', ('127.0.0.1', 9))",
    "socket.getaddrinfo('localhost', 80)",
    "urllib.request.urlopen('file:///etc/passwd')",
    "breakpoint()",
    "open('/etc/passwd')",
    "open(secret)",
    "os.open(secret, os.O_RDONLY)",
    "open(os.path.join(os.path.dirname(os.__file__), *['..'] * 30, str(secret)[1:]))",
    "open(book.parent / '..' / 'secret' / 'key')",
    "open(book.parent / 'way' / 'key')",
    "os.listdir('/etc')",
    "os.scandir(secret.parent)",
    "open(trap / 'x', 'w')",
    "(trap / 'x').touch()",
    "(trap / 'x').mkdir()",
    "os.symlink(secret, trap / 'x')",
    "os.link(secret, book.parent / 'x')",
    "os.rename(book, trap / 'x')",
    "shutil.copyfile(book, trap / 'x')",
    "tempfile.NamedTemporaryFile(dir=trap)",
    "secret.unlink()",
    "secret.chmod(0o777)",
    "os.truncate(secret, 0)",
    "open(book, 'a')",
    "open(book.with_name(book.name + '-wal'), 'w')",
    "book.unlink()",
    "os.replace(book.with_name('other'), book)",
    "sqlite3.connect(trap / 'x')",
    "sqlite3.connect(f'file:{secret}?mode=ro', uri=True)",
    "ctypes.CDLL(str(secret))",
]


@pytest.fixture
def places(yard: Yard, tmp_path: Path) -> list[str]:
    """A book in a folder of its own, a file that is nobody's business, and a folder where nothing may appear."""
    yard.book.close()
    secret, trap, home = tmp_path / "secret" / "key", tmp_path / "trap", tmp_path / "farm"
    for folder in (secret.parent, trap, home):
        folder.mkdir()
    secret.write_text("secret")
    (home / "way").symlink_to(secret.parent)
    book = yard.path.rename(home / "farm.book")
    (home / "other").touch()
    return [str(book), str(secret), str(trap)]


def in_a_shut_process(code: str, places: list[str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-I", "-c", PROLOGUE + code, *places], capture_output=True, text=True, timeout=60
    )


def test_what_is_refused_is_refused_as_the_system_would(places: list[str]) -> None:
    """All in one process: an attempt that got through would end it, hang it or leave a mark."""
    code = "\n".join(
        f"try:\n    {attempt}\n    print('THROUGH', {attempt!r})\nexcept PermissionError as error:\n"
        "    assert error.strerror == 'shut in this door', error\n"
        "except sqlite3.OperationalError as error:\n    print('OTHER', error)\n"
        for attempt in REFUSED
    )
    done = in_a_shut_process(f"{code}\nprint('reached the end')", places)
    assert done.stdout.splitlines() == ["reached the end"], done.stderr
    book, secret, trap = map(Path, places)
    assert list(trap.iterdir()) == []
    assert secret.read_text() == "secret"
    assert sorted(path.name for path in book.parent.iterdir()) == ["farm.book", "other", "way"]


def test_the_attempts_do_get_through_where_nothing_is_shut(places: list[str]) -> None:
    """The test above can fail: these are ways out, and a process that is not shut takes them."""
    harmless = [
        attempt
        for attempt in REFUSED
        if attempt.startswith(("os.popen", "subprocess", "open(", "os.listdir", "os.scandir", "(trap /"))
        and "-wal" not in attempt
        and "mkdir" not in attempt
    ]
    code = PROLOGUE.replace("latch.shut(book)", "") + "\n".join(harmless)
    done = subprocess.run(
        [sys.executable, "-I", "-c", code, *places], capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 0, done.stderr


def test_of_the_copies_only_the_names_are_read(places: list[str]) -> None:
    """Whether the newest is too old is told through the door too; what it holds is the book's to tell."""
    code = """
from herdbook.cli.latch import Latch
one = Latch(book, [], [secret.parent])
one("os.scandir", (str(secret.parent),))
for event, about in (("open", (str(secret), "r", 0)), ("os.listdir", (str(trap),)), ("os.remove", (str(secret),))):
    try:
        one(event, about)
    except PermissionError:
        continue
    print("THROUGH", event)
"""
    done = in_a_shut_process(code, places)
    assert (done.stdout, done.returncode) == ("", 0), done.stderr


def test_the_book_is_read_and_written_and_a_report_of_a_fault_is_kept(places: list[str]) -> None:
    done = in_a_shut_process(
        """
from herdbook.cli.main import run
from herdbook.book.opening import reading
assert run(["--book", str(book), "--person", "Ada", "write", "head", "--pen", "High", "--head", "50"]) == 0
assert run(["--book", str(book), "show", "today"]) == 0
assert run(["--book", str(book), "check"]) == 0
import io
sys.stdin = io.TextIOWrapper(io.BytesIO(b"Time,Milk (F)\\n2026-03-09 06:00,98.0\\n"))
assert run(["--book", str(book), "--person", "Ada", "import", "readings", "-", "--yes"]) == 0
assert not list(book.parent.glob(".farm-*"))
from herdbook.book import checks
checks.LONG_BOOK_BYTES, os.cpu_count = 0, lambda: 2  # a long book is checked by two processes where there may be two
assert run(["--book", str(book), "check"]) == 0
assert "multiprocessing" in sys.modules
with open(book.parent / "herdbook-fault.log", "a") as log:
    log.write("x")
assert socket.socketpair() and open(os.devnull, "w") and Path(os.__file__).read_text()
import textual.app, pint, highspy, zoneinfo
zoneinfo.ZoneInfo("Asia/Tokyo")
""",
        places,
    )
    assert done.returncode == 0, done.stderr


NOT_TRIED = {
    "os.startfile",  # Windows
    "cpython.run_interactivehook",
    "cpython.run_stdin",
    "sqlite3.enable_load_extension",  # not every Python has it
    "sqlite3.load_extension",
    # reached by what is tried above, or brothers of it
    "os.exec",
    "os.spawn",
    "os.killpg",
    "subprocess.Popen",
    "urllib.Request",
    "socket.gethostbyaddr",
    "socket.gethostbyname",
    "socket.sendmsg",
    "builtins.breakpoint",
}


def test_what_is_never_let_through_is_tried_above() -> None:
    tried = " ".join(REFUSED)
    assert {event for event in NEVER if event.rpartition(".")[2] not in tried} <= NOT_TRIED
