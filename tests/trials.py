"""Trials of durability, each giving counts: kills, power cuts, full disks, flipped bits, cut files, strange logs."""

from __future__ import annotations

import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from contextlib import closing
from itertools import pairwise
from pathlib import Path

from herdbook.book.checks import check_book
from herdbook.book.migrations import NEWEST, version_of
from herdbook.book.opening import connect, reading, ready
from herdbook.errors import HerdbookError
from tests import kept_worker, power_cut
from tests.book import reference_chain
from tests.failing_calls import failing_calls
from tests.yard import TEN_O_CLOCK, Yard, write_template

ROOT = Path(__file__).parents[1]
Counts = dict[str, int]


def kills(folder: Path, kind: str, times: int, *, seed: int = 20260309, longest_s: float = 0.06) -> Counts:
    """Kill a program that writes chores, imports or migrations, at a random instant after its first word.

    What it told is in the book, at most one thing more is, and the chain is whole.
    """
    path, chance, counts = folder / f"{kind}.book", random.Random(seed), Counter[str]()
    kept_worker.old_book(path) if kind == "migrations" else write_template(path)
    nursery = subprocess.Popen(
        [sys.executable, "-m", "tests.kept_worker"],
        cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert nursery.stdin
    assert nursery.stdout
    for kill in range(times):
        out = folder / "out"
        out.unlink(missing_ok=True)
        nursery.stdin.write(f"{path}\t{kind}\tk{kill}\t{out}\n")
        nursery.stdin.flush()
        child = int(nursery.stdout.readline())
        while not out.exists() or not out.stat().st_size:
            time.sleep(0.001)
        time.sleep(chance.uniform(0, longest_s))
        os.kill(child, signal.SIGKILL)
        assert int(nursery.stdout.readline()) == signal.SIGKILL
        told = out.read_text().split("\n")[:-1]
        counts["kills"] += 1
        if kind == "migrations":
            _see_migrated(folder, told, counts)
            continue
        written = _requests(path, f"k{kill}-")
        lost = [line for line in told if written.get(line.split()[0]) != int(line.split()[1])]
        assert not lost, f"told and lost: {lost}"
        assert len(written) - len(told) in (0, 1)
        counts["told"] += len(told)
        counts["written, not told yet"] += len(written) - len(told)
    nursery.communicate()
    if kind != "migrations":
        assert reference_chain.faults(path) == []
        assert len(_requests(path, "k")) == counts["told"] + counts["written, not told yet"]
    return dict(counts)


def two_writers(folder: Path, each: int) -> Counts:
    """Two programs write in one book at the same time: all of it is there, in one chain, and was told."""
    path = folder / "two.book"
    write_template(path)
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
        before = connection.execute("SELECT max(number) FROM entry").fetchone()[0]
    writers = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.kept_worker", str(path), name, str(each)],
            cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for name in ("left", "right")
    ]  # fmt: skip
    ended = [writer.communicate() for writer in writers]
    assert [(writer.returncode, said) for writer, (_, said) in zip(writers, ended, strict=True)] == [
        (0, "")
    ] * 2
    assert [len(out.splitlines()) for out, _ in ended] == [each, each]
    numbers = sorted(int(line.split()[1]) for out, _ in ended for line in out.splitlines())
    assert numbers == list(range(before + 1, before + 1 + 2 * each))
    assert reference_chain.faults(path) == []
    turns = [name.split("-")[0] for name, _ in sorted(_requests(path, "").items(), key=lambda one: one[1])]
    return {"written": len(numbers), "turns from one to the other": sum(a != b for a, b in pairwise(turns))}


def _requests(path: Path, begins: str) -> dict[str, int]:
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
        found = connection.execute("SELECT request, number FROM entry WHERE request GLOB ?", (f"{begins}*",))
        return dict(found.fetchall())


def _see_migrated(folder: Path, told: list[str], counts: Counter[str]) -> None:
    """Every book a killed migration left is of one whole version, with its entry, and goes on from there."""
    said = {name: int(version) for name, version in map(str.split, told)}
    for name, least in said.items():
        book = folder / f"{name}.book"
        with closing(connect(book)) as connection:
            version = version_of(connection)
        assert version >= least
        counts["done" if least else "cut short" if 1 < version < NEWEST else "cut before or after"] += 1
        assert reference_chain.faults(book) == []
        for copy in folder.glob(f"{name}.book.before-version-*"):
            assert reference_chain.faults(copy) == []
            counts["copies aside"] += 1
        if least < NEWEST:
            ready(book)
            with closing(connect(book)) as connection:
                assert version_of(connection) == NEWEST
            assert reference_chain.faults(book) == []
    for path in [*folder.glob("k*-*.book*"), *folder.glob(".k*-*.book*")]:
        path.unlink()


def power_cuts(folder: Path, every: int, *, seed: int = 20260309) -> Counts:
    """Record chores, imports, copies and a migration of the real program, and cut the power after every few events."""
    disk_folder, counts = folder / "disk", Counter[str]()
    disk_folder.mkdir()
    (disk_folder / "copies").mkdir()
    (disk_folder / "told").touch()
    write_template(disk_folder / "farm.book")
    kept_worker.old_book(disk_folder / "old.book")
    for name in ("farm.book", "old.book"):
        for end in ("-wal", "-shm"):
            (disk_folder / f"{name}{end}").unlink(missing_ok=True)
    disk = power_cut.Disk.of(disk_folder)
    words = [sys.executable, "-m", "tests.kept_worker", str(disk_folder)]
    power_cut.record(words, folder / "trace", ROOT)
    happened = power_cut.events(folder / "trace", disk_folder)
    counts["events recorded"] = len(happened)
    with closing(sqlite3.connect(f"file:{disk_folder / 'farm.book'}?mode=ro", uri=True)) as connection:
        before = connection.execute("SELECT count(*) FROM entry").fetchone()[0] - 6
    for left, kept, cut in power_cut.cuts(disk, happened, random.Random(seed), every):
        counts[f"cuts, {kept} of what was not synced"] += 1
        _see_after_the_cut(left, cut.told, before, counts)
    assert "old" in disk.told[-1]
    return dict(counts)


def _see_after_the_cut(left: Path, told: list[str], before: int, counts: Counter[str]) -> None:
    entries = [int(line.split()[1]) for line in told if line[0] in "ci" and not line.startswith("copy")]
    book = left / "farm.book"
    with closing(
        sqlite3.connect(book)
    ) as connection:  # whoever opens it first rolls the log back or takes it up
        found = connection.execute("SELECT max(number) FROM entry").fetchone()[0]
    least = max(entries, default=before)
    assert least <= found <= least + 1, f"told {least}, found {found}"
    assert reference_chain.faults(book) == []
    counts["told entries seen again"] += len(entries)
    for copy in (left / "copies").glob("farm-*"):
        assert reference_chain.faults(copy) == []
        counts["copies seen sound"] += 1
    copied = [line.split()[1] for line in told if line.startswith("copy")]
    if copied:
        assert list((left / "copies").glob("farm-*"))  # making room never took the last that is surely there
    old = left / "old.book"
    with closing(sqlite3.connect(old)) as connection:
        version = version_of(connection)
    assert version == NEWEST or not told or not told[-1].startswith("old")
    assert reference_chain.faults(old) == []
    counts["old books half way"] += 1 < version < NEWEST
    for copy in left.glob("old.book.before-version-*[0-9]"):
        if copy.stat().st_size:
            assert reference_chain.faults(copy) == []


FULL = """
import json, os, resource, signal, sys
from pathlib import Path
from herdbook.errors import HerdbookError
from tests.kept_worker import ROUND
from tests.yard import Yard
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
yard, step, said, done = Yard(Path(sys.argv[1])), int(sys.argv[2]), [], 0
drafts = {name: yard.draft(name, **texts) for name, texts in ROUND}
most = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
yard.do("temperature", reading="45")
log = yard.path.with_name(yard.path.name + "-wal").stat().st_size
from herdbook.chores.doing import find_chore
from tests.yard import ADA
for turn, size in enumerate(range(log, log + 4096 * 40, step)):
    name = ROUND[turn % len(ROUND)][0]
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, most))
    before = yard.entries
    try:
        find_chore(name)(yard.book, drafts[name], by=ADA, now=yard.now, request=f"full-{turn}")
        done += 1
        assert yard.entries == before + 1
    except HerdbookError as error:
        said.append(str(error))
        assert yard.entries == before, "half of it was written"
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
after = yard.do("temperature", reading="45").entry
print(json.dumps([done, said, after]))
"""


def full_disks(folder: Path, step: int) -> Counts:
    """Let no file grow beyond a limit, from the log's size on in steps: the chore is whole or not there.

    The limit stands for a full disk: the system gives the same kind of error at the same writes (EFBIG, which SQLite
    tells as an error of the disk; on a truly full disk it says that the disk is full).
    """
    path = folder / "full.book"
    write_template(path)
    done = subprocess.run(
        [sys.executable, "-c", FULL, str(path), str(step)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    wrote, said, _ = json.loads(done.stdout)
    assert set(said) <= {
        "The disk is full; nothing was written. Make room on the disk and try again.",
        "The disk gave an error; nothing was written. Check the disk before going on.",
    }, set(said)
    assert reference_chain.faults(path) == []
    return {"sizes": wrote + len(said), "written": wrote, "refused in a sentence": len(said)}


SMALL_DISK = """
import json, os, sys
from pathlib import Path
from herdbook.chores.doing import find_chore
from herdbook.errors import HerdbookError
from tests.kept_worker import ROUND
from tests.yard import ADA, Yard
yard, disk = Yard(Path(sys.argv[1])), Path(sys.argv[1]).parent
drafts = {name: yard.draft(name, **texts) for name, texts in ROUND}
said, done = [], 0
for turn in range(int(sys.argv[2])):
    name = ROUND[turn % len(ROUND)][0]
    yard.book.close()
    yard.do("temperature", reading="45")
    with open(disk / "filler", "wb") as filler:
        free = os.statvfs(disk).f_bavail * 4096
        filler.write(bytes(free - 4096 * turn))
    before = yard.entries
    try:
        find_chore(name)(yard.book, drafts[name], by=ADA, now=yard.now, request=f"full-{turn}")
        done += 1
        assert yard.entries == before + 1
    except HerdbookError as error:
        said.append(str(error))
        assert yard.entries == before, "half of it was written"
    (disk / "filler").unlink()
    yard.do("temperature", reading="45")
from tests.book import reference_chain
assert reference_chain.faults(yard.path) == []
print(json.dumps([done, said]))
"""


def small_disks(folder: Path, times: int) -> Counts:
    """A real full disk, a small one in memory: at every few kB left, a chore is whole or not there, then goes on.

    Raises:
        PermissionError: the system gives us no disk of our own.
    """
    path, disk = folder / "template.book", folder / "small"
    write_template(path)
    disk.mkdir()
    script = 'mount -t tmpfs -o size=4m none "$2" && cp "$1" "$2/farm.book" && exec "$0" -c "$3" "$2/farm.book" "$4"'
    done = subprocess.run(
        ["unshare", "-rm", "sh", "-c", script, sys.executable, str(path), str(disk), SMALL_DISK, str(times)],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    if "unshare" in done.stderr or "mount" in done.stderr:
        raise PermissionError(done.stderr)
    assert done.returncode == 0, done.stderr
    wrote, said = json.loads(done.stdout)
    assert set(said) <= {"The disk is full; nothing was written. Make room on the disk and try again."}, set(
        said
    )
    return {"disks": times, "written": wrote, "refused in a sentence": len(said)}


def flipped_bits(folder: Path, times: int, *, seed: int = 20260309) -> Counts:
    """Turn one bit of a book over, anywhere in the file: whatever changes a fact is found, and nothing crashes."""
    yard, counts = _template(folder / "bits.book", 200), Counter[str]()
    whole, before, chance = yard.path.read_bytes(), _facts(yard.path), random.Random(seed)
    for _ in range(times):
        spot, bit = chance.randrange(len(whole)), chance.randrange(8)
        turned = bytearray(whole)
        turned[spot] ^= 1 << bit
        yard.path.write_bytes(turned)
        counts["bits"] += 1
        found = _check(yard.path)
        if found:
            counts[f"found by {found}"] += 1
        else:
            assert _facts(yard.path) == before, f"bit {bit} of byte {spot} changed a fact, and nobody saw it"
            counts["nothing that is read was changed"] += 1
        assert yard.path.read_bytes() == turned, "a check wrote in the book"
        _used(yard.path, counts)
    return dict(counts)


def cut_files(folder: Path, times: int, *, seed: int = 20260309) -> Counts:
    """Cut a book off at a random length: it is found, and nothing crashes."""
    yard, counts = _template(folder / "cut.book", 60), Counter[str]()
    whole, chance = yard.path.read_bytes(), random.Random(seed)
    for _ in range(times):
        yard.path.write_bytes(whole[: chance.randrange(len(whole))])
        found = _check(yard.path)
        assert found, "a book that was cut short went unseen"
        counts["cuts"] += 1
        counts[f"found by {found}"] += 1
        _used(yard.path, counts)
    return dict(counts)


def _template(path: Path, more: int = 0) -> Yard:
    """One file with one of everything, and so many chores more, so that fewer of its pages are nearly empty."""
    write_template(path)
    if more:
        kept_worker.write(path, "chores", "more", lambda _: None, more)
        with closing(sqlite3.connect(path)) as connection:
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    for end in ("-wal", "-shm"):
        path.with_name(path.name + end).unlink(missing_ok=True)
    return Yard(path)


def _check(path: Path) -> str:
    """What part finds something first, or that it is refused; empty when all is well."""
    try:
        found = check_book(path, TEN_O_CLOCK).findings
    except HerdbookError as error:
        _see_a_sentence(error)
        return "opening it"
    return found[0].part if found else ""


def _see_a_sentence(error: HerdbookError) -> None:
    said = str(error)
    assert len(said) > 10, said
    assert said.endswith("."), said
    assert "Traceback" not in said, said


def _used(path: Path, counts: Counter[str]) -> None:
    """Reading it the way every screen and report does ends in rows or in a sentence."""
    from herdbook.reports.catalogue import ground_for_reading, make

    try:
        with reading(path) as connection:
            make("today", connection, ground_for_reading(connection, TEN_O_CLOCK), {})
        counts["a report came"] += 1
    except HerdbookError as error:
        _see_a_sentence(error)
        counts["a report was refused in a sentence"] += 1
    for end in ("-wal", "-shm", "-journal"):
        path.with_name(path.name + end).unlink(missing_ok=True)


def _facts(path: Path) -> list[tuple[object, ...]]:
    """Every row of every table: all that the book says."""
    with closing(sqlite3.connect(f"file:{path}?mode=ro&immutable=1", uri=True)) as connection:
        tables = connection.execute("SELECT name, sql FROM sqlite_schema ORDER BY name").fetchall()
        names = [name for name, sql in tables if sql and sql.startswith("CREATE TABLE")]
        return [
            *tables,
            *(row for name in names for row in connection.execute(f"SELECT * FROM {name} ORDER BY 1")),
        ]


def strange_logs(folder: Path, times: int) -> Counts:
    """A book's log is missing, cut, turned over or another book's: older entries or a finding, never a mixture."""
    counts, chance = Counter[str](), random.Random(times)
    other = Yard.started(folder / "other.book")
    yard = _template(folder / "log.book")
    before = yard.entries
    for _ in range(5):
        yard.do("temperature", reading="45")
    log = yard.path.with_name("log.book-wal").read_bytes()
    bare, foreign = yard.path.read_bytes(), other.path.with_name("other.book-wal").read_bytes()
    lone = folder / "lone.book"
    for turn in range(times):
        kind = ("missing", "another book's", "cut", "one bit turned", "of another program")[turn % 5]
        turned = bytearray(log)
        turned[chance.randrange(len(log))] ^= 1 << chance.randrange(8)
        put = {
            "missing": b"",
            "another book's": foreign,
            "cut": log[: chance.randrange(len(log))],
            "one bit turned": bytes(turned),
            "of another program": chance.randbytes(9_000),
        }[kind]
        for end in ("-wal", "-shm"):
            lone.with_name(f"lone.book{end}").unlink(missing_ok=True)
        lone.write_bytes(bare)
        lone.with_name("lone.book-wal").write_bytes(put)
        found = _check(lone)
        if not found:
            with closing(sqlite3.connect(f"file:{lone}?mode=ro", uri=True)) as connection:
                entries = connection.execute("SELECT count(*) FROM entry").fetchone()[0]
            assert before <= entries <= before + 5
            assert reference_chain.faults(lone) == []
        counts[f"log {kind}: {'found by ' + found if found else 'a whole book up to an earlier entry'}"] += 1
        _used(lone, counts)
    yard.book.close()
    other.book.close()
    return dict(counts)


TRIALS = {
    "kill chores": lambda folder, share: kills(folder, "chores", max(1, int(1_200 * share))),
    "kill imports": lambda folder, share: kills(folder, "imports", max(1, int(500 * share))),
    "kill migrations": lambda folder, share: kills(
        folder, "migrations", max(1, int(300 * share)), longest_s=0.2
    ),
    "two writers": lambda folder, share: two_writers(folder, max(1, int(500 * share))),
    "power cut": lambda folder, share: power_cuts(folder, max(1, int(1 / share))),
    "failing calls": lambda folder, share: failing_calls(folder, max(1, round(1 / share))),
    "disk full": lambda folder, share: full_disks(folder, 512 if share == 1 else 4096),
    "small disk": lambda folder, share: small_disks(folder, 40 if share == 1 else 16),
    "flipped bits": lambda folder, share: flipped_bits(folder, max(1, int(1_000 * share))),
    "cut files": lambda folder, share: cut_files(folder, max(1, int(100 * share))),
    "strange logs": lambda folder, share: strange_logs(folder, max(5, int(100 * share))),
}
"""By name: a trial in a folder of its own, at a share of its full length."""
