"""When the watcher last looked: a small file beside the book, so that looking does not disturb who reads the book.

It is no part of the record. Open screens look at the book every few seconds and would read it again whenever a
row of it changed; a file's time costs them nothing.
"""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import Any

SILENT_S = 3 * 60
"""A watcher that looks every quarter of a minute and has not for so long is not well: common practice, no source."""


def heartbeat_path(book: Path) -> Path:
    """Where the watcher of a book writes when it looked."""
    return book.with_name(f"{book.name}-watched")


def beat(book: Path, now_s: int) -> None:
    """Write that the watcher has looked just now; a disk that is full does not stop the watcher."""
    path = heartbeat_path(book)
    made = path.with_name(f".{path.name}.{os.getpid()}.new")  # two watchers must not write one half file
    with suppress(OSError):
        made.write_text(f"{now_s}\n", encoding="ascii")
        made.replace(path)


def last_beat(book: Path) -> int | None:
    """When the watcher last looked, UTC seconds; none where none ever has."""
    try:
        return int(heartbeat_path(book).read_text(encoding="ascii")[:20])
    except (OSError, ValueError):
        return None


def is_silent(looked_s: int | None, now_s: int) -> bool:
    """Whether a watcher that once looked has stopped."""
    return looked_s is not None and now_s - looked_s > SILENT_S


def book_of(connection: Any) -> Path:
    """The file that a connection has open."""
    return Path(connection.execute("PRAGMA database_list").fetchone()[2])
