"""Times the import of a logger's file beside a bare `executemany` of its parsed rows into the same table, same run.

The floor has the rows ready in memory and writes them in one transaction into a book of its own, guards and keys as
they are. Prints the best of the rounds and ratios, and the memory of one import in a process of its own; fails when the
import takes over four times the floor, or over 200 MB for a file of 10 MB.
"""

from __future__ import annotations

import itertools
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import click

from herdbook.book.opening import connect, new_book, reading
from herdbook.book.writing import Book
from herdbook.chores.doing import OWNER, Who, find_chore
from herdbook.chores.drafting import understand
from herdbook.chores.ground import Ground
from herdbook.chores.logger_files import read_logger_file
from herdbook.chores.logger_layouts import Given
from herdbook.chores.readings import ReadingsDraft, Series, sift
from herdbook.clock import utc_now
from herdbook.reports.catalogue import ground_for_reading

MOST_RATIO = 4.0
MOST_MB, SMALL_MB = 200, 10
KINDS = {
    "iso, seconds": ("%Y-%m-%dT%H:%M:%S", ","),
    "iso, zulu": ("%Y-%m-%dT%H:%M:%SZ", ","),
    "day first": ("%d.%m.%Y %H:%M:%S", ";"),
    "half days": ("%m/%d/%Y %I:%M:%S %p", ","),
}


def write_file(path: Path, rows: int, kind: str) -> None:
    """A made-up logger's file: a reading every ten seconds, a tank that is filled and cools."""
    form, delimiter = KINDS[kind]
    began = datetime(2024, 1, 20, tzinfo=UTC)
    with path.open("w") as file:
        file.write(f"time{delimiter}temperature C\n")
        for n in range(rows):
            when = began + timedelta(seconds=10 * n)
            warm = f"{3 + 30 * max(0, 1 - n % 4_320 / 1_500) ** 3:.2f}"
            file.write(
                f"{when.strftime(form)}{delimiter}{warm.replace('.', ',') if delimiter == ';' else warm}\n"
            )


def a_book(path: Path) -> Book:
    """A new book with one tank."""
    new_book(path)
    book, owner = Book(path), Who(1, "Ada", frozenset({OWNER}))
    ground = Ground(now_s=int(utc_now().timestamp()))
    start = {"name": "Made up", "zone": "America/Chicago", "owner": "Ada"}
    find_chore("start")(book, understand(find_chore("start"), start, ground), by=owner, now=utc_now)
    tank = understand(find_chore("tank"), {"name": "North", "holds": "20000 lb"}, ground)
    find_chore("tank")(book, tank, by=owner, now=utc_now)
    return book


def import_file(book: Book, path: Path, said: Callable[[str, float], None]) -> Series:
    """What `herdbook import readings` does, between asking and answering."""
    began = time.perf_counter()
    with reading(book.path) as connection:
        ground = ground_for_reading(connection, int(utc_now().timestamp()))
        read = read_logger_file(path, Given(zone="UTC"), ground)
        said("  parse", time.perf_counter() - began)
        sifted = sift(connection, 1, "logger", read.found.series)
    if read.found.faults:
        sys.exit(f"The made-up file has a fault: {read.found.faults[0]}")
    draft = ReadingsDraft(tank=1, source=read.name, file=read.file).carry(sifted.new)
    find_chore("readings")(book, draft, by=Who(1, "Ada", frozenset({OWNER})), now=utc_now)
    said("import", time.perf_counter() - began)
    return sifted.new


def most_memory_kb() -> int:
    """The most memory this program had, kB; `getrusage` would count its parent's, from before it began."""
    told = Path("/proc/self/status").read_text()
    return next(int(line.split()[1]) for line in told.splitlines() if line.startswith("VmHWM"))


def bare(path: Path, series: Series) -> float:
    """The floor, seconds: parsed rows into the same table of a book like it."""
    rows = list(zip(itertools.repeat(1), series.read_at, itertools.repeat(1), series.tank_mC, strict=False))
    a_book(path).close()
    with closing(connect(path)) as connection:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute(
            "INSERT INTO reading_batch (id, entry, tank, probe, source, first_at, last_at, readings, sha256) "
            "VALUES (1, 1, 1, 'x', '', 1700000000, 1700000001, 1, 'x')"
        )
        began = time.perf_counter()
        connection.executemany(
            "INSERT INTO reading (tank, read_at, batch, tank_mC) VALUES (?, ?, ?, ?)", rows
        )
        connection.execute("COMMIT")
        return time.perf_counter() - began


@click.command(help=__doc__)
@click.option("--rows", type=click.IntRange(1_000), default=1_000_000, show_default=True)
@click.option("--rounds", type=click.IntRange(1), default=3, show_default=True)
@click.option("--kind", type=click.Choice(list(KINDS)), multiple=True, help="kinds of time; all if not given")
@click.option("--memory-of", type=click.Path(path_type=Path), hidden=True)
def main(rows: int, rounds: int, kind: tuple[str, ...], memory_of: Path | None) -> None:
    """Measure, print, and fail when an aim is missed."""
    with tempfile.TemporaryDirectory() as folder:
        if memory_of is not None:
            import_file(a_book(Path(folder) / "memory.book"), memory_of, lambda _name, _took: None)
            print(most_memory_kb())
            return
        missed = [name for name in kind or KINDS if not measured(Path(folder), rows, rounds, name)]
        small = Path(folder) / "small.csv"
        write_file(small, SMALL_MB * 1_000_000 // 25, "iso, seconds")
        asked = [sys.executable, __file__, "--memory-of", str(small)]
        used_mb = int(subprocess.run(asked, capture_output=True, text=True, check=True).stdout) / 1_000
    print(f"{small.name}: {SMALL_MB} MB read and written in {used_mb:.0f} MB of memory")
    if missed or used_mb > MOST_MB:
        sys.exit(f"Missed: {', '.join([*missed, *['memory'] * (used_mb > MOST_MB)])}.")


def measured(folder: Path, rows: int, rounds: int, kind: str) -> bool:
    """Whether one kind of file keeps to the aim; taken in turns with its floor, so that a busy machine slows both."""
    path = folder / "logger.csv"
    write_file(path, rows, kind)
    best: dict[str, float] = {}

    def keep(name: str, took: float) -> None:
        best[name] = min(took, best.get(name, took))

    for turn in range(rounds):
        book = a_book(folder / f"{turn}.book")
        series = import_file(book, path, keep)
        book.close()
        keep("bare executemany (floor)", bare(folder / f"{turn}.floor", series))
        for made in folder.glob(f"{turn}.*"):
            made.unlink()
    floor = best["bare executemany (floor)"]
    print(f"{rows:,} rows, {path.stat().st_size / 1e6:.0f} MB, {kind}, best of {rounds}")
    for name, took in best.items():
        print(f"  {name:<26} {took:7.2f} s  {took / rows * 1e6:5.2f} us a row  {took / floor:5.2f} x floor")
    return best["import"] <= MOST_RATIO * floor


if __name__ == "__main__":
    main()
