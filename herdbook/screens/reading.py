"""One thread that reads the book for the screens, and notices when others wrote in it."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from typing import Any

from herdbook.errors import HerdbookError

Deliver = Callable[..., Any]


class Reading:
    """Reads one after the other in a thread of its own, so that a slow read never holds up a key.

    The book is opened in that thread on the first read and stays with it. A newer request under the same name
    takes the place of one that still waits. When nothing is asked for, the thread looks every few seconds
    whether the book has changed; only a change makes it speak.

    Args:
        open_data: opens whatever the places read from; called once, in the thread.
        version: gives a number that changes when another connection has written; None when nobody can.
        deliver: hands a function and its arguments to the program's own thread.
        changed: called in the program's own thread when somebody wrote.
        every_s: seconds between two looks.
    """

    def __init__(
        self,
        *,
        open_data: Callable[[], Any],
        version: Callable[[Any], int] | None,
        deliver: Deliver,
        changed: Callable[[], None],
        every_s: float = 2.0,
    ) -> None:
        self._open_data = open_data
        self._version = version
        self._deliver = deliver
        self._changed = changed
        self._every_s = every_s
        self._asked: queue.Queue[str | None] = queue.Queue()
        self._jobs: dict[
            str, tuple[Callable[[Any], Any], Callable[[Any], None], Callable[[Exception], None]]
        ] = {}
        self._lock = threading.Lock()
        self._data: Any = None
        self._is_open = False
        self._seen: int | None = None
        self._thread = threading.Thread(target=self._run, name="reading", daemon=True)

    @property
    def started(self) -> bool:
        """Whether the thread was started."""
        return self._thread.ident is not None

    def start(self) -> None:
        """Start the thread; the book is opened with the first thing asked for."""
        self._thread.start()

    def ask(
        self,
        name: str,
        job: Callable[[Any], Any],
        *,
        done: Callable[[Any], None],
        failed: Callable[[Exception], None],
    ) -> None:
        """Read something; `done` or `failed` is called in the program's own thread."""
        with self._lock:
            waiting = name in self._jobs
            self._jobs[name] = (job, done, failed)
        if not waiting:
            self._asked.put(name)

    def stop(self) -> None:
        """Stop after the read at hand, without waiting for it; what was opened is closed if it can be."""
        self._asked.put(None)

    def _run(self) -> None:
        while True:
            try:
                name = self._asked.get(timeout=self._every_s if self._is_open else None)
            except queue.Empty:
                self._look()
                continue
            if name is None:
                break
            with self._lock:
                job, done, failed = self._jobs.pop(name)
            self._read(job, done, failed)
        close = getattr(self._data, "close", None)
        if close is not None:
            close()

    def _read(
        self, job: Callable[[Any], Any], done: Callable[[Any], None], failed: Callable[[Exception], None]
    ) -> None:
        try:
            if not self._is_open:
                self._data = self._open_data()
                self._seen = self._version(self._data) if self._version else None
                self._is_open = True
            answer = job(self._data)
        except Exception as error:  # whatever it is, the program's own thread decides about it
            self._deliver(failed, error)
        else:
            self._deliver(done, answer)

    def _look(self) -> None:
        if self._version is None:
            return
        try:
            now = self._version(self._data)
        except (HerdbookError, OSError):
            return  # busy or away for a moment: the next look will tell
        if now != self._seen:
            self._seen = now
            self._deliver(self._changed)
