"""The end of a session, asked for by whoever learns of it first: a signal, the terminal's reader, its writer."""

from __future__ import annotations

import threading
from collections.abc import Callable
from queue import SimpleQueue

_LAST_RESORT_S = 15.0  # the most a session may take to end once it was told to; a busy disk needs seconds
_LAST_WORDS_S = 5.0  # the most that keeping what was typed may take after that


class Ending:
    """Ends the session once, in good order if it can, hard if it hangs.

    A thread of its own waits for the word. A signal arrives in the middle of anything, also where the main thread
    holds a lock that starting a thread or waking the loop needs; so whoever asks only puts a number in a queue,
    which Python allows anywhere.

    Args:
        leave: asks the program to end with an exit status; returns at once.
        keep: keeps what is unfinished, when the program did not get to it.
        end_hard: ends the process with an exit status, here and now.
        last_resort_s: how long the program has, seconds; `_LAST_RESORT_S` unless given.
    """

    def __init__(
        self,
        leave: Callable[[int], object],
        keep: Callable[[], object],
        end_hard: Callable[[int], object],
        last_resort_s: float | None = None,
    ) -> None:
        self._leave, self._keep, self._end_hard = leave, keep, end_hard
        self._last_resort_s = _LAST_RESORT_S if last_resort_s is None else last_resort_s
        self._asked: SimpleQueue[int | None] = SimpleQueue()
        self._is_over = threading.Event()
        self._waiting = threading.Thread(target=self._wait, name="ending", daemon=True)

    def start(self) -> None:
        """Begin to wait for the word."""
        self._waiting.start()

    def ask(self, status: int) -> None:
        """Ask for the end with an exit status: from any thread, from a signal, as often as one likes."""
        self._asked.put(status)

    def is_over(self) -> None:
        """Say that the session has ended in good order."""
        self._is_over.set()
        self._asked.put(None)

    def _wait(self) -> None:
        status = self._asked.get()
        if status is None:
            return
        self._leave(status)
        if self._is_over.wait(self._last_resort_s):
            return
        keeping = threading.Thread(target=self._keep, name="last words", daemon=True)
        keeping.start()
        keeping.join(_LAST_WORDS_S)
        self._end_hard(status)
