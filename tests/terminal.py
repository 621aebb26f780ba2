"""A program on a pseudo-terminal: start it, type keys, read its screen, count its bytes, wait for facts."""

from __future__ import annotations

import fcntl
import os
import select
import signal
import struct
import subprocess
import termios
import time
from collections.abc import Callable, Mapping, Sequence

import pyte

KEYS = {
    "enter": "\r",
    "esc": "\x1b",
    "tab": "\t",
    "backspace": "\x7f",
    "up": "\x1b[A",
    "down": "\x1b[B",
    "right": "\x1b[C",
    "left": "\x1b[D",
    "pgup": "\x1b[5~",
    "pgdn": "\x1b[6~",
    "f1": "\x1bOP",
    "f2": "\x1bOQ",
    "f3": "\x1bOR",
    "f4": "\x1bOS",
    "f5": "\x1b[15~",
    "f6": "\x1b[17~",
    "f7": "\x1b[18~",
    "f8": "\x1b[19~",
    "f9": "\x1b[20~",
} | {f"ctrl+{letter}": chr(ord(letter) - 96) for letter in "abcdefghijklmnopqrstuvwxyz"}


class NotSeenError(AssertionError):
    """What was waited for did not come; the message carries the screen."""


class Terminal:
    """One program on one terminal.

    Args:
        command: program and arguments.
        columns, rows: size of the terminal.
        environ: variables laid over a small clean environment; a value of None drops one.
        cwd: folder to start in.
        fast: read bytes without drawing them (for benchmarks); `text` is then empty.
    """

    def __init__(
        self,
        command: Sequence[str],
        *,
        columns: int = 80,
        rows: int = 24,
        environ: Mapping[str, str | None] | None = None,
        cwd: str | None = None,
        fast: bool = False,
    ) -> None:
        self.screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self.screen)
        self.raw = bytearray()
        self._fast = fast
        self.master, slave = os.openpty()
        self._open = True
        _set_size(slave, columns, rows)
        self.settings_before = termios.tcgetattr(slave)
        self.started = time.perf_counter()
        self.process = subprocess.Popen(
            list(command),
            stdin=slave,
            stdout=slave,
            stderr=slave,
            cwd=cwd,
            env=_environ(environ or {}),
            start_new_session=True,
            preexec_fn=_take_terminal,  # the child needs a controlling terminal
            close_fds=True,
        )
        os.close(slave)

    def __enter__(self) -> Terminal:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def bytes(self) -> int:
        """How many bytes the program has sent so far."""
        return len(self.raw)

    @property
    def lines(self) -> list[str]:
        """The screen's rows as text, blanks at the end cut."""
        return [line.rstrip() for line in self.screen.display]

    @property
    def text(self) -> str:
        """The whole screen as text."""
        return "\n".join(self.lines)

    def press(self, *keys: str) -> None:
        """Type keys: a name of `KEYS` ("enter", "f3", "ctrl+s") or text typed as it is."""
        for key in keys:
            os.write(self.master, KEYS.get(key, key).encode())

    def wait(self, seen: Callable[[str], bool] | str, what: str = "", *, within_s: float = 20.0) -> float:
        """Read until the screen shows what is waited for; return seconds since the program was started.

        Args:
            seen: text that has to be on the screen, or a function of the screen's text.
            what: what is waited for, in words, for the message when it does not come.
            within_s: how long to wait before it counts as not coming.

        Raises:
            NotSeenError: it did not come, or the program ended before.
        """
        looks = (lambda text: seen in text) if isinstance(seen, str) else seen
        until = time.monotonic() + within_s
        while not looks(self.text):
            if time.monotonic() > until or not self._read(min(0.5, until - time.monotonic())):
                if looks(self.text):
                    break
                if time.monotonic() > until or self.process.poll() is not None:
                    raise NotSeenError(
                        f"waited for {what or seen!r}, saw (exit {self.process.poll()}):\n{self.text}"
                    )
        return time.perf_counter() - self.started

    def wait_bytes(self, sent: Callable[[bytes], bool], what: str, *, within_s: float = 20.0) -> float:
        """Read until the bytes sent so far answer `sent`; return seconds since the program was started."""
        until = time.monotonic() + within_s
        while not sent(bytes(self.raw)):
            self._read(0.2)
            if time.monotonic() > until:
                raise NotSeenError(
                    f"waited for {what}, got {len(self.raw)} bytes ending in {bytes(self.raw[-80:])!r}"
                )
        return time.perf_counter() - self.started

    def quiet(self, for_s: float = 0.3, *, within_s: float = 20.0) -> int:
        """Read until nothing has come for `for_s`; return how many bytes came meanwhile."""
        before, until = self.bytes, time.monotonic() + within_s
        while self._read(for_s) and time.monotonic() < until:
            pass
        return self.bytes - before

    def resize(self, columns: int, rows: int) -> None:
        """Give the terminal another size, as a person pulling at the window does."""
        self.screen.resize(rows, columns)
        _set_size(self.master, columns, rows)

    def signal(self, number: signal.Signals) -> None:
        """Send a signal to the program started here."""
        os.kill(self.process.pid, number)

    def hang_up(self) -> None:
        """Close our end, as a terminal window that is shut or a line that is cut does."""
        if self._open:
            self._open = False
            os.close(self.master)

    def exit_status(self, *, within_s: float = 20.0) -> int:
        """Wait for the end of the program, reading what it still sends; a signal gives a negative number."""
        until = time.monotonic() + within_s
        while self.process.poll() is None and time.monotonic() < until:
            self._read(0.05) if self._open else time.sleep(0.01)
        while self._open and self._read(0.05):
            pass
        if self.process.returncode is None:
            raise NotSeenError(f"the program did not end within {within_s} s:\n{self.text}")
        return self.process.returncode

    def settings(self) -> list[object]:
        """The terminal's line settings as they are now, to be compared with `settings_before`."""
        return termios.tcgetattr(self.master)

    def close(self) -> None:
        """End the program started here, if it still runs, and close the terminal."""
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        self.hang_up()

    def _read(self, for_s: float) -> bool:
        """Take in what comes within `for_s`; False when nothing came."""
        if not self._open or not select.select([self.master], [], [], max(0.0, for_s))[0]:
            return False
        try:
            data = os.read(self.master, 65_536)
        except OSError:  # the other end is gone
            return False
        self.raw += data
        if not self._fast and data:
            self._stream.feed(data)
        return bool(data)


def _environ(changes: Mapping[str, str | None]) -> dict[str, str]:
    """A small clean environment: nothing of the developer's own settings reaches a test."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "TMPDIR") if name in os.environ}
    environ = kept | {"TERM": "xterm-256color", "LANG": "C.UTF-8"}
    for name, value in changes.items():
        environ.pop(name, None) if value is None else environ.update({name: value})
    return environ


def _set_size(terminal: int, columns: int, rows: int) -> None:
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))


def _take_terminal() -> None:
    signal.signal(
        signal.SIGINT, signal.SIG_DFL
    )  # tests started in the background have it ignored, and pass that on
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
