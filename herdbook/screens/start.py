"""The way into the screens: asks the terminal and cleans the environment before the heavy imports."""

from __future__ import annotations

import gc
import os
import signal
import sys
from collections.abc import Callable
from types import FrameType
from typing import TYPE_CHECKING

from herdbook.screens import environment, terminal

if TYPE_CHECKING:
    from herdbook.screens.opening import Opening

NO_TERMINAL = 2


def start(make_opening: Callable[[], Opening], *, forced: bool = False) -> int:
    """Show the screens until they are left; return the exit status.

    Args:
        make_opening: gives what the program is opened with; called once the environment is clean, so it may
            import `herdbook.screens.app`.
        forced: the person came in by a forced command and may set nothing but terminal and language.

    Returns:
        2 with one line on standard error when there is no terminal to draw on; else the status of
        `herdbook.screens.app.run`.

    Raises:
        SystemExit: told to end while the heavy parts were still being imported; the terminal was not touched.
    """
    if why := terminal.why_no_screens():
        sys.stderr.write(f"{why}\n")
        return NO_TERMINAL
    environment.scrub(os.environ, forced=forced)
    gc.disable()  # what is imported now stays: looking through it for rubbish only delays the first frame
    before = {number: signal.signal(number, _end) for number in terminal.ENDINGS}
    try:
        from herdbook.screens.app import run

        return run(make_opening())
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _end(number: int, _frame: FrameType | None) -> None:
    raise SystemExit(terminal.ENDINGS[signal.Signals(number)])
