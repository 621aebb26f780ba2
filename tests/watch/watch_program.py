"""The watcher with a clock that a test moves: `watch_program BOOK CLOCK PERSON [WORDS]`, run with -m.

The file CLOCK holds the instant, UTC seconds. Nothing else differs from `herdbook watch`, but that it looks and sends
more often, so that a test need not wait.
"""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path

from herdbook.cli.main import run
from herdbook.watch import loop, outbox

BOOK, CLOCK, PERSON, *WORDS = sys.argv[1:]


def now() -> datetime:
    """The instant the test says it is."""
    return datetime.fromtimestamp(int(Path(CLOCK).read_text()), UTC)


if __name__ == "__main__":
    loop.EVERY_S, loop.GLANCE_S, outbox.EVERY_S = 1.0, 0.1, 0.2
    sys.exit(run(["--book", BOOK, "--person", PERSON, "watch", *WORDS], now=now))
