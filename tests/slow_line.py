"""A program behind a slow line: `slow_line DELAY_MS BYTES_A_SECOND COMMAND...`, run with -m on a terminal.

Both ways each byte comes so much later, and no more of them than the line carries; like a modem, not like a network
that drops: nothing is lost and nothing overtakes.
"""

from __future__ import annotations

import fcntl
import os
import select
import sys
import termios
import time
import tty
from collections import deque


class Way:
    """One direction of the line.

    Args:
        source, sink: descriptors read from and written to.
        delay_s: how long a byte is under way.
        bytes_s: how many bytes a second it carries.
    """

    def __init__(self, source: int, sink: int, delay_s: float, bytes_s: float) -> None:
        self.source, self.sink, self.delay_s, self.bytes_s = source, sink, delay_s, bytes_s
        self._under_way: deque[tuple[float, bytes]] = deque()
        self._free_s = 0.0
        self.is_shut = False

    @property
    def next_s(self) -> float | None:
        """When the next bytes arrive."""
        return self._under_way[0][0] if self._under_way else None

    def take(self) -> None:
        """Take what was sent; a packet at a time, as wide as the line."""
        try:
            data = os.read(self.source, 512)
        except OSError:
            data = b""
        if not data:
            self.is_shut = True
            return
        self._free_s = max(self._free_s, time.monotonic()) + len(data) / self.bytes_s
        self._under_way.append((self._free_s + self.delay_s, data))

    def give(self) -> None:
        """Hand over what has arrived."""
        while self._under_way and self._under_way[0][0] <= time.monotonic():
            data = self._under_way.popleft()[1]
            while data:
                data = data[os.write(self.sink, data) :]


def carry(delay_s: float, bytes_s: float, command: list[str]) -> int:
    """Run a command on a terminal of its own, with the line between it and this one; its exit status."""
    child, far = os.forkpty()
    if child == 0:
        os.execvp(command[0], command)
    fcntl.ioctl(far, termios.TIOCSWINSZ, fcntl.ioctl(0, termios.TIOCGWINSZ, bytes(8)))
    tty.setraw(0)
    there, back = Way(0, far, delay_s, bytes_s), Way(far, 1, delay_s, bytes_s)
    while not (back.is_shut and back.next_s is None):
        waits = [at_s for way in (there, back) if (at_s := way.next_s) is not None]
        timeout = max(0.0, min(waits) - time.monotonic()) if waits else 1.0
        open_ones = [way for way in (there, back) if not way.is_shut]
        ready = select.select([way.source for way in open_ones], [], [], timeout)[0]
        for way in open_ones:
            if way.source in ready:
                way.take()
        back.give()
        if not back.is_shut:
            there.give()
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


if __name__ == "__main__":
    sys.exit(carry(float(sys.argv[1]) / 1000, float(sys.argv[2]), sys.argv[3:]))
