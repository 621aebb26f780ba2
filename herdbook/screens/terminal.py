"""What the terminal is and can show, asked before anything heavy is imported."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
from collections.abc import Mapping
from typing import Literal, TextIO

Colours = Literal["256", "16", "none"]

# Signals that end a session in good order, and the exit status each gives: 128 and its number.
ENDINGS = {number: 128 + number for number in (signal.SIGTERM, signal.SIGHUP, signal.SIGINT)}

# Put back, in order: line wrap, bracketed paste, mouse, focus reports, size reports, key protocol,
# main screen, default pen, cursor.
RESTORE = (
    "\x1b[?7h\x1b[?2004l\x1b[?1000l\x1b[?1002l\x1b[?1003l\x1b[?1006l\x1b[?1015l\x1b[?1016l\x1b[?1004l"
    "\x1b[?2048l\x1b[<u\x1b[?1049l\x1b[0m\x1b[?25h"
)


def why_no_screens(
    environ: Mapping[str, str] | None = None, *, stdin: TextIO | None = None, stdout: TextIO | None = None
) -> str:
    """Say in one line why the screens cannot be shown here; empty when they can.

    Args:
        environ: where TERM is looked up; the process's own when left out.
        stdin: where keys would come from; standard input when left out.
        stdout: where the screens would be drawn; standard output when left out.
    """
    environ = os.environ if environ is None else environ
    for stream, name in ((stdin or sys.__stdin__, "input"), (stdout or sys.__stdout__, "output")):
        if not _is_terminal(stream):
            return (
                f"The screens need a terminal, and standard {name} is not one. "
                "Use a command, such as: herdbook show today"
            )
    if environ.get("TERM", "dumb") in ("dumb", "unknown", ""):
        return (
            "The screens need a terminal that can be drawn on, and TERM says it cannot. "
            "Set TERM, or use a command, such as: herdbook show today"
        )
    return ""


def colours(environ: Mapping[str, str] | None = None) -> Colours:
    """Tell how many colours to use: the 256-colour table, the terminal's own sixteen, or none.

    Every colour of ours is an entry of the 256-colour table, so a terminal with more is sent the
    table's numbers too: they look the same and are half as long on the wire.
    """
    environ = os.environ if environ is None else environ
    if environ.get("NO_COLOR") is not None:
        return "none"
    term = environ.get("TERM", "")
    if environ.get("COLORTERM") in ("truecolor", "24bit"):
        return "256"
    if "256color" in term or "direct" in term or term.partition("-")[0] in _RICH_TERMINALS:
        return "256"
    return "none" if term.startswith("vt") else "16"


_RICH_TERMINALS = {"alacritty", "foot", "ghostty", "kitty", "wezterm"}


def restore(stdout: TextIO | None = None) -> None:
    """Give the terminal back as it was, for the last resort and for a session that was killed before."""
    stream = stdout or sys.__stdout__
    if stream is None:
        return
    with contextlib.suppress(OSError, ValueError):  # the terminal is gone, which is one reason to come here
        os.write(stream.fileno(), RESTORE.encode("ascii"))


def _is_terminal(stream: TextIO | None) -> bool:
    try:
        return stream is not None and stream.isatty()
    except ValueError:  # closed
        return False
