"""The thread that brings readings in: looks at its source, writes what is due, woken early by the file system."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path
from typing import Protocol

from herdbook.errors import HerdbookError
from herdbook.watch.reading_feed import Feed

POLL_S = 2.0
"""How often a source is looked at when nothing wakes us: a network's folder sends no events."""


class Source(Protocol):
    """Something that readings come from."""

    def start(self, wake: Callable[[], None]) -> None:
        """Begin; `wake` makes the rounds look at once."""

    def poll(self) -> bool:
        """Take what is new; whether there may be more at once."""

    def stop(self) -> None:
        """Let go of it."""


class ReadingRounds:
    """Brings readings in from one source until it is told to stop.

    Args:
        source: where they come from.
        feed: where they go.
        say: takes a line for the log.
        woken_by: the file or folder whose changes wake it early, if it is one.
        poll_s: seconds between looks.
    """

    def __init__(
        self,
        source: Source,
        feed: Feed,
        say: Callable[[str], None],
        *,
        woken_by: Path | None = None,
        poll_s: float = POLL_S,
    ) -> None:
        self._source, self._feed, self._say = source, feed, say
        self._woken_by, self._poll_s = woken_by, poll_s
        self._stop, self._wake = threading.Event(), threading.Event()
        self._broke: Exception | None = None
        self._thread = threading.Thread(target=self._run, name="readings", daemon=True)

    def start(self) -> None:
        """Begin, in a thread of its own."""
        self._source.start(self._wake.set)
        self._thread.start()
        if self._woken_by is not None:
            threading.Thread(target=self._wake_early, name="readings wake", daemon=True).start()

    def stop(self) -> None:
        """End: what waits is written first."""
        self._stop.set()
        self._wake.set()
        self._thread.join(timeout=30)
        self._source.stop()

    def once(self) -> None:
        """Take what is there now and write it."""
        self._source.start(self._wake.set)
        while self._round(last=True):
            pass
        self._source.stop()

    def see_well(self) -> None:
        """Raise the fault that ended the thread, if one has: the watcher ends with it and is started anew."""
        if self._broke is not None:
            raise self._broke

    def _run(self) -> None:
        try:
            while not self._stop.is_set():
                more = self._round()
                if not more:
                    self._wake.wait(self._poll_s)
                    self._wake.clear()
            while self._round(last=True):
                pass
        except Exception as error:  # a fault of the program: told in the main thread, which ends on it
            self._broke = error

    def _round(self, *, last: bool = False) -> bool:
        """One look; whether there is more to take at once."""
        try:
            more = self._source.poll()
            if last or more:
                self._feed.write()
            else:
                self._feed.write_due()
        except HerdbookError as error:
            self._say(f"not done, tried again soon: {error}")
            return False
        return more

    def _wake_early(self) -> None:
        """Wake the looks when the file system says that something changed; without its events they go on by time."""
        from watchfiles import watch

        assert self._woken_by is not None
        folder = self._woken_by if self._woken_by.is_dir() else self._woken_by.parent
        try:
            for _ in watch(
                folder, stop_event=self._stop, recursive=False, debounce=200, raise_interrupt=False
            ):
                self._wake.set()
        except OSError as error:
            self._say(
                f"no events from {folder.name}: {error.strerror}; it is looked at every {self._poll_s:.0f} s"
            )
