"""What the trials of durability run and kill: chores, imports, a migration and copies, each told when it is done."""

from __future__ import annotations

import itertools
import os
import shutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from herdbook.book.copying import copy_book
from herdbook.book.migrations import NEWEST, STEPS
from herdbook.book.opening import connect, ready
from herdbook.chores.doing import find_chore
from herdbook.chores.import_analyses import is_known_heading, read_analyses
from herdbook.chores.import_ration import is_known_heading as is_ration_heading
from herdbook.chores.import_ration import read_ration
from herdbook.chores.sheets import sheet_of
from tests.yard import ADA, BEN, TEN_O_CLOCK, Yard

Tell = Callable[[str], None]

ROUND = (
    ("temperature", {"reading": "45"}),
    ("pickup", {"weight": "400", "emptied": "no"}),
    ("analysis", {"feed": "corn", "dry": "34", "value": ["cp=8", "ndf=44", "ca=0.3", "p=0.26"]}),
    ("load", {"pen": "High", "loaded": ["corn=2600", "mineral=42"]}),
)
"""Chores that are written over and over, with what is typed in each."""

# Files with hash and name, as the import command reads them; {n} makes each another file with other samples.
ANALYSES = "feed,number,sampled,dry,cp,ndf,ca\n" + "".join(
    f"Corn silage,L-{{n}}-{row},2026-03-02,3{row}.5,8.{row},45,0.3\n" for row in range(5)
)
RATION = "# {n}\nfeed,amount,unit,basis\nCorn silage,17.3,lb,dry matter\nMineral mix,0.7,lb,as fed\n"


def imported(yard: Yard, number: int) -> tuple[str, Any]:
    """The name and the draft of an import, as the command makes them of a file."""
    from herdbook.book.opening import reading

    ground = yard.ground()
    if number % 2:
        sheet = sheet_of(RATION.format(n=number).encode(), "diet.csv", is_ration_heading)
        return "ration", read_ration(sheet, ground).draft(file=sheet.file, name="High 1")
    sheet = sheet_of(ANALYSES.format(n=number).encode(), "lab.csv", is_known_heading)
    with reading(yard.path) as connection:
        return "analyses", read_analyses(sheet, connection, ground).draft(sheet.file)


def drafts(yard: Yard, kind: str) -> Iterator[tuple[str, Any]]:
    """Chore after chore with its draft, for ever."""
    if kind == "imports":
        yield from (imported(yard, number) for number in itertools.count(os.getpid() * 10_000))
    yield from itertools.cycle([(name, yard.draft(name, **texts)) for name, texts in ROUND])


def write(path: Path, kind: str, name: str, tell: Tell, most: int | None = None) -> None:
    """Write chores or imports, with requests that carry the writer's name; tell each that was said to be written."""
    yard = Yard(path)
    for number, (chore, draft) in enumerate(itertools.islice(drafts(yard, kind), most)):
        by = BEN if kind == "imports" else ADA
        written = find_chore(chore)(yard.book, draft, by=by, now=yard.now, request=f"{name}-{number}")
        tell(f"{name}-{number} {written.entry}")
    yard.book.close()


def migrate(path: Path, name: str, tell: Tell) -> None:
    """Bring fresh copies of an old book up to date, one after the other."""
    for number in itertools.count():
        book = path.with_name(f"{name}-{number}.book")
        shutil.copyfile(path, book)
        tell(f"{name}-{number} 0")
        ready(book)
        tell(f"{name}-{number} {NEWEST}")


def one_of_each(folder: Path) -> None:
    """Everything once, in a folder where a farm's book and an old one lie; for a recording."""
    handle = os.open(folder / "told", os.O_CREAT | os.O_WRONLY | os.O_APPEND)

    def tell(line: str) -> None:
        os.write(handle, f"{line}\n".encode())

    write(folder / "farm.book", "chores", "c", tell, most=len(ROUND))
    write(folder / "farm.book", "imports", "i", tell, most=2)
    (folder / "copies").mkdir(exist_ok=True)
    for turn in (0, 1):
        copy = copy_book(folder / "farm.book", folder / "copies", now_s=TEN_O_CLOCK + turn, keep=1)
        tell(f"copy {copy.copy.path.name}")
    ready(folder / "old.book")
    tell(f"old {NEWEST}")


def old_book(path: Path, version: int = 1) -> None:
    """A book of an earlier version with its first entry in it."""
    from herdbook.book.chain import START, entry_hash
    from herdbook.book.opening import APPLICATION_ID

    columns = {
        "number": 1,
        "written_ms": TEN_O_CLOCK * 1000,
        "person": 1,
        "chore": "start",
        "farm_day": "2026-03-09",
        "note": "",
        "said": "Started.",
        "asked": "{}",
        "strikes": None,
        "request": "r",
        "previous": START,
    }
    connection = connect(path, "rwc")
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    for number, step in enumerate(STEPS[:version], start=1):
        connection.execute("BEGIN IMMEDIATE")
        step(connection)
        connection.execute(f"PRAGMA user_version = {number}")
        connection.execute("COMMIT")
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("BEGIN IMMEDIATE")
    connection.execute("PRAGMA defer_foreign_keys = ON")
    connection.execute("INSERT INTO person (id, entry) VALUES (1, 1)")
    made = entry_hash(columns, {"person": [{"id": 1, "entry": 1}]})
    names = ", ".join(columns)
    marks = ", ".join("?" * len(columns))
    connection.execute(f"INSERT INTO entry ({names}, hash) VALUES ({marks}, ?)", (*columns.values(), made))
    connection.execute("COMMIT")
    connection.close()


def told_on(line: str) -> None:
    """One line to whoever listens."""
    os.write(1, f"{line}\n".encode())


def nursery() -> None:
    """Fork a writer for each line read, so that a kill costs no start; tell its number, then how it ended."""
    warm = False
    for line in sys.stdin:
        path, kind, name, out = line.rstrip("\n").split("\t")
        if (
            not warm and kind != "migrations"
        ):  # what a first chore imports and prepares is done before the fork
            scratch = Path(f"{path}.scratch")
            shutil.copyfile(path, scratch)
            write(scratch, kind, "warm", lambda _: None, most=len(ROUND))
            warm = True
        child = os.fork()
        if child == 0:
            os.dup2(os.open(out, os.O_WRONLY | os.O_CREAT), 1)
            if kind == "migrations":
                migrate(Path(path), name, told_on)
            else:
                write(Path(path), kind, name, told_on)
        print(child, flush=True)
        print(os.waitpid(child, 0)[1], flush=True)


if __name__ == "__main__":
    if len(sys.argv) > 2:
        write(Path(sys.argv[1]), "chores", sys.argv[2], told_on, most=int(sys.argv[3]))
    elif len(sys.argv) > 1:
        one_of_each(Path(sys.argv[1]))
    else:
        nursery()
