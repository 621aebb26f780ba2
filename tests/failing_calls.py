"""The n-th call of the system to a book's files fails: what was told is there, the rest as if never begun, in words.

strace makes the call fail, with the error a broken disk, a full one, or one that went read-only would give.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections import Counter
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

from herdbook.book.checks import check_book
from herdbook.book.opening import connect
from tests.yard import TEN_O_CLOCK, write_template

CALLS = ("pwrite64", "fdatasync", "fsync", "openat", "pread64", "ftruncate")
ERRORS = ("EIO", "ENOSPC", "EROFS", "EACCES")
MOST = 200
"""A chore makes fewer calls of a kind to its files."""


def failing_calls(
    folder: Path, every: int, calls: Sequence[str] = CALLS, errors: Sequence[str] = ERRORS
) -> dict[str, int]:
    """Write a reading again and again, each time with another call failing.

    Args:
        folder: a folder of its own.
        every: let each so-many-th call fail only; 1 for all.
        calls, errors: which calls, and with which errors.

    Returns:
        How many calls failed, how many readings were told as written, how many were refused in a sentence.
    """
    book = folder / "farm.book"
    write_template(book)
    counts: Counter[str] = Counter()
    kinds = [(call, error) for call in calls for error in errors if call != "pread64" or error == "EIO"]
    for at, (call, error) in enumerate(kinds):
        for number in range(1 + at % every, MOST, every):
            if not _one(book, call, error, number, counts):
                break  # it makes no more such calls
    with closing(connect(book, "ro")) as connection:
        counts["entries at the end"] = connection.execute("SELECT count(*) FROM entry").fetchone()[0]
    assert check_book(book, TEN_O_CLOCK * 2).findings == ()
    return dict(counts)


def _one(book: Path, call: str, error: str, number: int, counts: Counter[str]) -> bool:
    before = _entries(book)
    trace = book.with_name("trace")
    done = subprocess.run(
        [
            "strace", "-f", "-qq", "-o", str(trace), "-P", str(book), "-P", f"{book}-wal",
            "-e", f"trace={call}", "-e", f"inject={call}:error={error}:when={number}",
            sys.executable, "-m", "herdbook", "--book", str(book), "--person", "Ada",
            "write", "temperature", "--reading", "39F", "--request", f"{call}-{error}-{number}",
        ],
        cwd=Path(__file__).parents[1], env=os.environ | {"PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    failed = "(INJECTED)" in trace.read_text(errors="replace")
    after = _entries(book)
    assert after - before in (0, 1), (call, error, number)
    assert "Traceback" not in done.stderr, (call, error, number, done.stderr)
    if done.returncode == 0:
        counts["told as written"] += 1
        assert after == before + 1, (call, error, number)
    else:
        counts["refused in a sentence"] += 1
        assert done.returncode != 70, done.stderr
        assert done.stderr.strip().endswith((".", "?")), (call, error, number, done.stderr)
    counts["calls that failed"] += failed
    return failed


def _entries(book: Path) -> int:
    with closing(connect(book, "ro")) as connection:
        return int(connection.execute("SELECT count(*) FROM entry").fetchone()[0])
