"""Files that were read into the book, known again by the hash of their bytes."""

from __future__ import annotations

import sqlite3

from herdbook.book.reading.rows import first, stands


def file_read_before(connection: sqlite3.Connection, kind: str, sha256: str) -> sqlite3.Row | None:
    """The standing entry that read a file of that kind and hash (`entry`, `name`, `lines`, `farm_day`), if one did."""
    return first(
        connection,
        f"SELECT read_file.*, entry.farm_day FROM read_file {stands('read_file')} WHERE kind = ? AND sha256 = ? "
        "ORDER BY read_file.id DESC LIMIT 1",
        kind,
        sha256,
    )
