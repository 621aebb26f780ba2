"""The second lock of the door: the interpreter itself refuses programs, the network and other files to this process.

The first lock is that nothing offered through the door leads out. This one holds when the first has a hole: a
framework's new feature, a library that opens a browser. It is an audit hook (PEP 578), which no code in Python can
take away again. It is no wall against hostile native code, and need not be: nobody brings code through the door.
"""

# Paths come as texts, a thousand of them while modules are imported; most need no look at the disk.
# ruff: noqa: PTH100, PTH120
from __future__ import annotations

import errno
import os
import sys
import sysconfig
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any
from urllib.parse import unquote

NEVER = frozenset(
    {
        # programs
        *("os.exec", "os.fork", "os.forkpty", "os.posix_spawn", "os.spawn", "os.startfile", "os.system"),
        *("pty.spawn", "subprocess.Popen", "webbrowser.open"),
        # stopping ourselves, which leaves whoever started us, or stopping others
        *("os.kill", "os.killpg", "signal.pthread_kill"),
        # the network; a pair of sockets within the process stays possible
        *("socket.bind", "socket.connect", "socket.getaddrinfo", "socket.gethostbyaddr"),
        *("socket.gethostbyname", "socket.sendmsg", "socket.sendto", "urllib.Request"),
        # a prompt of Python's own, and code that SQLite would load
        *("builtins.breakpoint", "cpython.run_interactivehook", "cpython.run_stdin"),
        *("sqlite3.enable_load_extension", "sqlite3.load_extension"),
    }
)
"""Events of the interpreter that are refused whatever they are about (names: Python's table of audit events)."""

_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_DEVICES = frozenset({"/dev/null", "/dev/tty", "/dev/urandom"})
_SYSTEM = ("/usr/share/zoneinfo", "/usr/lib/locale", "/usr/share/locale", "/etc/localtime")
_BESIDE = ("", "-wal", "-shm", "-journal")
"""Endings of the files that are SQLite's alone."""


class Latch:
    """What one process may still touch.

    Args:
        book: the book's file; SQLite may open it and what lies in its folder, and other writing is let through in
            that folder only, never to the book's own files.
        reading: folders that may be read beside it.
        listing: folders whose names may be read, though no file in them may.
    """

    def __init__(self, book: Path, reading: Iterable[str | Path], listing: Iterable[str | Path] = ()) -> None:
        self._listing = frozenset(map(os.path.realpath, listing))
        self._folder = os.path.realpath(book.parent)
        real = os.path.realpath(book)
        self._sqlites = frozenset(real + end for end in _BESIDE)
        self._secrets = {real + "-places", os.path.realpath(f"{os.path.abspath(book)}-places")}
        places = [os.path.abspath(place) for place in reading]
        self._reading = tuple(dict.fromkeys([*places, *map(os.path.realpath, places)]))
        self._checks: dict[str, Callable[..., None]] = {
            "open": self._opened,
            "sqlite3.connect": self._connected,
            "ctypes.dlopen": self._loaded,
            **dict.fromkeys(("os.listdir", "os.scandir"), self._listed),
            **dict.fromkeys(("os.remove", "os.rmdir", "os.mkdir", "os.truncate"), self._changed),
            **dict.fromkeys(("os.chmod", "os.chown", "os.utime", "os.setxattr"), self._changed),
            **dict.fromkeys(("os.rename", "os.link", "os.symlink"), self._changed_two),
        }

    def __call__(self, event: str, arguments: tuple[Any, ...]) -> None:
        """Refuse an event of the interpreter, or let it happen.

        Raises:
            PermissionError: refused, as the system would refuse it.
        """
        if event in NEVER:
            raise _refusal(event)
        check = self._checks.get(event)
        if check is not None:
            check(*arguments)

    def _opened(self, path: Any, _mode: Any = None, flags: Any = 0, *_: Any) -> None:
        if isinstance(path, int):
            return  # a file that is open already
        if isinstance(flags, int) and flags & _WRITES:
            self._changed(path)
        elif not self._may_read(path):
            raise _refusal(path)

    def _listed(self, path: Any = None, *_: Any) -> None:
        if isinstance(path, int):
            return
        named = "." if path is None else path
        if _real(named) not in self._listing and not self._may_read(named):
            raise _refusal(path)

    def _changed(self, path: Any, *_: Any) -> None:
        real = _real(path)
        if real in self._secrets:  # addresses with passwords, for the watcher alone
            raise _refusal(path)
        if real not in _DEVICES and (os.path.dirname(real) != self._folder or real in self._sqlites):
            raise _refusal(path)

    def _changed_two(self, path: Any, other: Any, *_: Any) -> None:
        self._changed(path)
        self._changed(other)

    def _connected(self, database: Any, *_: Any) -> None:
        name = os.fsdecode(database)
        if name in ("", ":memory:"):
            return
        if name.startswith("file:"):
            name = unquote(name.removeprefix("file:").partition("?")[0])
        if os.path.dirname(_real(name)) != self._folder:
            raise _refusal(name)

    def _loaded(self, name: Any, *_: Any) -> None:
        if name is not None and not self._may_read(name):
            raise _refusal(name)

    def _may_read(self, path: Any) -> bool:
        named = os.path.abspath(os.fsdecode(path))
        if named in _DEVICES or self._is_programs(named):  # most are, and need no look at the disk
            return True
        real = _real(path)
        if real in self._secrets:
            return False
        return os.path.dirname(real) == self._folder or self._is_programs(real)

    def _is_programs(self, path: str) -> bool:
        return any(path == folder or path.startswith(folder + os.sep) for folder in self._reading)


def shut(book: Path, copies: Path | None = None) -> None:
    """Refuse programs, the network and files other than the book's and the program's own until this process ends.

    Args:
        book: the book's file.
        copies: the folder of its copies; their names alone may be read.
    """
    sys.addaudithook(Latch(book, program_folders(), () if copies is None else (copies,)))


def program_folders() -> list[str]:
    """Where Python, its library, the installed packages and the time zones lie."""
    import herdbook

    places = [
        *sys.path,
        *sysconfig.get_paths().values(),
        sys.prefix,
        sys.base_prefix,
        sys.executable,
        *_SYSTEM,
    ]
    return [place for place in places if place not in ("", "/")] + [os.path.dirname(herdbook.__file__)]


def _real(path: Any) -> str:
    return os.path.realpath(os.fsdecode(path))


def _refusal(what: Any) -> PermissionError:
    return PermissionError(
        errno.EACCES, "shut in this door", what if isinstance(what, str | bytes) else str(what)
    )
