"""Sends in a thread of its own, so that a slow line never keeps the watcher from looking."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

from herdbook.errors import HerdbookError
from herdbook.watch.places import read_places
from herdbook.watch.sending import Try, send_waiting, try_to_send

EVERY_S = 5.0


class Outbox:
    """The thread that sends.

    Args:
        path: the book's file.
        now: the clock, UTC seconds.
        say: takes a line for the log.
        send: how one notice is sent.
    """

    def __init__(
        self, path: Path, now: Callable[[], int], say: Callable[[str], None], send: Try = try_to_send
    ) -> None:
        self._path, self._now, self._say, self._send = path, now, say, send
        self._wake, self._ends = threading.Event(), False
        self._fault = ""
        self._broke: Exception | None = None
        self._thread = threading.Thread(target=self._run, name="outbox", daemon=True)

    def start(self) -> None:
        """Begin to send."""
        self._thread.start()

    def stop(self) -> None:
        """Finish the notice at hand and end."""
        self._ends = True
        self._wake.set()
        self._thread.join()

    def send_once(self) -> None:
        """Try every notice whose time has come."""
        for told in send_waiting(self._path, read_places(self._path), self._now, self._send):
            self._say(told.words)

    def see_well(self) -> None:
        """Raise the fault that ended the thread, if one has: the watcher ends with it and is started anew."""
        if self._broke is not None:
            raise self._broke

    def _run(self) -> None:
        while not self._ends:
            try:
                self.send_once()
                self._fault = ""
            except HerdbookError as error:
                if str(error) != self._fault:  # said once, not every five seconds
                    self._fault = str(error)
                    self._say(f"notices are not sent: {error}")
            except Exception as error:  # a fault of the program: told in the main thread, which ends on it
                self._broke = error
                return
            self._wake.wait(EVERY_S)
