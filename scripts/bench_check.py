"""Times the whole check of a long book beside SQLite's own integrity check of the same file, in the same run.

Give it a book with --book, or it makes a made-up farm of --days first (900 days: some 52,000 entries, minutes). The
floor is `PRAGMA integrity_check` alone. Prints the best of nine and ratios, and fails when the check takes over three
times the floor. Two cores share the check: on a busy machine, or one core, the ratio is higher.
"""

from __future__ import annotations

import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from unittest.mock import patch

import click

from herdbook.book import checks
from herdbook.book.copying import copy_book
from herdbook.book.opening import connect
from herdbook.book.walking import chain_is_whole
from herdbook.clock import utc_now
from herdbook.demo.write_farm import write_farm

MOST_RATIO = 3.0


def on(book: Path, work: Callable[[sqlite3.Connection], object]) -> Callable[[], object]:
    """The work on a connection of its own, as every part of the check gets it."""

    def run() -> object:
        with closing(connect(book, "ro")) as connection:
            connection.row_factory = sqlite3.Row
            connection.execute("BEGIN")
            return work(connection)

    return run


def bare_integrity_check(book: Path) -> None:
    """As anyone would ask it; a connection that may only read would leave out the bounds of columns."""
    with closing(sqlite3.connect(book)) as connection:
        connection.execute("PRAGMA integrity_check").fetchall()


def slow_walk(connection: sqlite3.Connection) -> None:
    """The walk that names faults, taken only where there is doubt."""
    with patch.object(checks, "chain_is_whole", lambda _: False):
        list(checks.chain_faults(connection))


def best(works: dict[str, Callable[[], object]], rounds: int) -> dict[str, float]:
    """The best time of each, taken in turns, so that a busy machine slows all alike; seconds."""
    found: dict[str, float] = {}
    for _ in range(rounds):
        for name, work in works.items():
            began = time.perf_counter()
            work()
            took = time.perf_counter() - began
            found[name] = min(took, found.get(name, took))
    return found


@click.command(help=__doc__)
@click.option(
    "--book", type=click.Path(exists=True, dir_okay=False, path_type=Path), help="a book that is there"
)
@click.option(
    "--days", type=click.IntRange(1, 3650), default=900, show_default=True, help="made-up farm days"
)
@click.option("--rounds", type=click.IntRange(1), default=9, show_default=True)
def main(book: Path | None, days: int, rounds: int) -> None:
    """Measure, print, and fail when the aim is missed."""
    with tempfile.TemporaryDirectory() as folder:
        if book is None:
            book = Path(folder) / "long.book"
            write_farm(book, days=days, now=utc_now)
        now_s = int(utc_now().timestamp())
        found = checks.check_book(book, now_s)
        if any(one.part in ("file", "chain") for one in found.findings):
            sys.exit(f"The book is not sound: {found.findings[0].says}")
        times = best(
            {
                "integrity_check (floor)": lambda: bare_integrity_check(book),
                "chain, whole": on(book, chain_is_whole),
                "chain, naming faults": on(book, slow_walk),
                "rules of the book": on(book, lambda c: list(checks._rule_faults(c, now_s))),
                "herdbook check": lambda: checks.check_book(book, now_s),
                "herdbook copy": lambda: copy_book(book, Path(folder), now_s=now_s),
            },
            rounds,
        )
    floor = times["integrity_check (floor)"]
    print(f"{found.entries:,} entries, {book.name}, best of {rounds}")
    for name, took in times.items():
        each = took / found.entries * 1e6
        print(f"  {name:<26} {1000 * took:9.1f} ms  {each:6.1f} us an entry  {took / floor:5.2f} x floor")
    if times["herdbook check"] > MOST_RATIO * floor:
        sys.exit(f"The check takes over {MOST_RATIO:g} times the floor.")


if __name__ == "__main__":
    main()
