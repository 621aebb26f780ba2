"""The watcher's loop: does its rounds every so often, sooner when somebody wrote, and ends when told to."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path
from types import FrameType

from herdbook.book.opening import connect, plain_words
from herdbook.errors import HerdbookError
from herdbook.watch.service import tell_manager

EVERY_S = 15.0
GLANCE_S = 1.0
"""How often it is looked whether somebody wrote; a question that SQLite answers from memory."""

Round = Callable[[], None]
Say = Callable[[str], None]


class Changes:
    """Tells whether anybody wrote in the book since it was last asked."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._connection = connect(path, "ro")
        self._seen = -1

    def __call__(self) -> bool:
        with plain_words(self._path):
            now = int(self._connection.execute("PRAGMA data_version").fetchone()[0])
        changed, self._seen = now != self._seen, now
        return changed

    def close(self) -> None:
        """Let go of the file."""
        self._connection.close()


def keep_watch(path: Path, rounds: Sequence[Round], *, say: Say, stop: threading.Event) -> None:
    """Do the rounds until told to stop. What cannot be done now is said and tried again the next time.

    Args:
        path: the book's file.
        rounds: what is done every so often, in order.
        say: takes a line for the log.
        stop: set when it is to end.
    """
    with closing(Changes(path)) as changed:
        tell_manager("READY=1")
        while not stop.is_set():
            for one in rounds:
                try:
                    one()
                except HerdbookError as error:
                    say(f"not done, tried again in {EVERY_S:.0f} s: {error}")
            tell_manager("WATCHDOG=1")
            _rest(changed, stop)
    tell_manager("STOPPING=1")


def _rest(changed: Changes, stop: threading.Event) -> None:
    rested_s = 0.0
    while rested_s < EVERY_S and not stop.wait(GLANCE_S):
        rested_s += GLANCE_S
        try:
            if changed():
                return
        except HerdbookError:
            return  # the next round says what it is


def stop_when_told() -> threading.Event:
    """An event that is set when the program is told to end; what is under way is finished first."""
    stop = threading.Event()

    def end(_number: int, _frame: FrameType | None) -> None:
        stop.set()

    for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
        signal.signal(number, end)
    return stop
