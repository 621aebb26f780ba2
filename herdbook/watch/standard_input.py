"""A logger's lines from standard input, for whatever program fetches them."""

from __future__ import annotations

import os
import select
from collections.abc import Callable

from herdbook.watch.logger_lines import LoggerLines

CHUNK_BYTES = 65_536
LONGEST_BYTES = 4_000_000
"""A line without end must not fill the memory."""


class StandardInput:
    """Lines of a stream as they come.

    Args:
        descriptor: the stream's file descriptor.
        lines: where its lines go.
        ended: called once when it ends.
    """

    def __init__(self, descriptor: int, lines: LoggerLines, ended: Callable[[], None]) -> None:
        self._descriptor = descriptor
        self._lines = lines
        self._ended = ended
        self._half = b""
        self._is_open = True

    def start(self, wake: Callable[[], None]) -> None:
        """Nothing need be begun."""

    def stop(self) -> None:
        """Nothing need be let go of."""

    def poll(self) -> bool:
        """Read what has come; whether there may be more at once."""
        if not self._is_open or not select.select([self._descriptor], [], [], 0)[0]:
            return False
        raw = os.read(self._descriptor, CHUNK_BYTES)
        if not raw:
            self._is_open = False
            if self._half.strip():
                self._lines.leave("its last line has no end")
            self._ended()
            return False
        *whole, self._half = (self._half + raw).split(b"\n")
        if len(self._half) > LONGEST_BYTES:
            self._half = b""
            self._lines.leave("a line of more than 4 MB")
        self._lines.take([line.decode("utf-8", "replace").rstrip("\r") for line in whole])
        return True
