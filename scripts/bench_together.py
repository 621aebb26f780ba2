#!/usr/bin/env python3
"""Many people in one book through a private SSH server on loopback, and what became of every entry they were told of.

    .venv/bin/python scripts/bench_together.py [--sessions N] [--screens N] [--entries N] [--looks N] [--idle SECONDS]

Some sessions press keys on the screens, the others send one command with a list of entries; each of those is cut off
half way and sent again under the same request key. Another person only looks. Afterwards the book must hold every
entry once, with its chain unbroken; exit 1 if not, or if an entry's 99th percentile is a second or more.
"""

from __future__ import annotations

import argparse
import json
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from herdbook.chores.doing import HAND, READER  # noqa: E402 - the folder above is not installed
from tests.book import reference_chain  # noqa: E402
from tests.ssh.door import Door, program, why_not  # noqa: E402
from tests.terminal import Terminal  # noqa: E402
from tests.yard import DAY, Yard  # noqa: E402

LONGEST_P99_S = 1.0
SEEN_WITHIN_S = 5.0
SHOWN_WITHIN_S = 60.0
"""How long a session waits for what must come; long, since nothing may hang, and a slow machine is no fault."""


@dataclass
class Session:
    """What one session was told: the words confirmed, how long each took, and what went wrong.

    Attributes:
        waits: how often it was told that somebody else was writing.
    """

    name: str
    confirmed: list[str] = field(default_factory=list)
    took_s: list[float] = field(default_factory=list)
    waits: int = 0
    faults: list[str] = field(default_factory=list)


def main() -> int:
    """Let them in, let them write, and count."""
    options = _options()
    if reason := why_not():
        print(reason)
        return 2
    names = [f"h{number:02}" for number in range(1, options.sessions + 1)]
    with _farm(names) as (door, yard):
        began = time.monotonic()
        sessions = _all_write(door, names, options)
        took_s = time.monotonic() - began
        looks, idle_bytes, change_bytes = _look_on(door, options.looks, options.idle)
        faults = [f"{one.name}: {fault}" for one in sessions for fault in one.faults]
        faults += _faults_of(yard, door, sessions, options.entries)
    _tell(sessions, options, took_s)
    p99_s = max(
        (_percentile(_took(sessions, kind), 99) for kind in "cs" if _took(sessions, kind)), default=0.0
    )
    if p99_s >= LONGEST_P99_S:
        faults.append(f"the 99th percentile of an entry is {p99_s:.2f} s")
    if looks:
        print(
            f"a change seen by another      {statistics.median(looks):6.2f} s median, {max(looks):.2f} s at most"
        )
        print(f"bytes for a change shown      {max(change_bytes):6}")
        if max(looks) >= SEEN_WITHIN_S:
            faults.append(f"a change was seen after {max(looks):.1f} s")
    if options.idle:
        print(f"bytes while nobody writes     {idle_bytes:6} in {options.idle:g} s")
        faults += [f"{idle_bytes} bytes were sent to an idle screen"] if idle_bytes else []
    for fault in faults:
        print(f"! {fault}")
    return 1 if faults else 0


@contextmanager
def _farm(names: list[str]) -> Iterator[tuple[Door, Yard]]:
    """A farm of today with a key for everyone who writes, and one for who looks."""
    with tempfile.TemporaryDirectory(prefix="together") as folder:
        place = Path(folder) / "farm"
        place.mkdir()
        yard = Yard.started(place / "farm.book", at_s=int(time.time()) - DAY)
        yard.do("tank", name="North", holds="21500")
        door = Door(Path(folder) / "door")
        door.folder.mkdir()
        door.prepare()
        for name in [*names, "looker"]:
            yard.do("person", name=name, roles=READER if name == "looker" else HAND)
        yard.book.close()
        for name in [*names, "looker"]:
            given = ["people", "key", name, "--public-key", door.make_key(name)]
            made = subprocess.run(
                program("--book", str(yard.path), *given),
                capture_output=True,
                text=True,
                check=True,
                env={"PATH": "/usr/bin:/bin", "LANG": "C.UTF-8"},
            )
            door.let_in(made.stdout)
        door.start()
        try:
            yield door, yard
        finally:
            door.stop()


def _all_write(door: Door, names: list[str], options: argparse.Namespace) -> list[Session]:
    """All sessions at once; those on screens in processes of their own, so that reading one holds up no other."""
    on_screens, by_command = names[: options.screens], names[options.screens :]
    with (
        ProcessPoolExecutor(max(1, len(on_screens))) as processes,
        ThreadPoolExecutor(max(1, len(by_command))) as threads,
    ):
        running = [processes.submit(press_keys, door.client(one), one, options.entries) for one in on_screens]
        running += [threads.submit(_send, door, one, options.entries) for one in by_command]
        return [one.result() for one in running]


def words_of(name: str, number: int) -> str:
    """What an entry of a session says."""
    return f"{name} wrote {number:04}"


# -- on the screens --


def press_keys(client: list[str], name: str, entries: int) -> Session:
    """One person's notes on the screens: the key, the words, ctrl+s, and what is then said."""
    session = Session(f"s-{name}")
    try:
        with Terminal(client) as terminal:
            terminal.wait(name, "the first place", within_s=SHOWN_WITHIN_S)
            terminal.quiet(0.3)
            for number in range(entries):
                words = words_of(name, number)
                terminal.press("n")
                terminal.wait("what is worth remembering", within_s=SHOWN_WITHIN_S)
                terminal.press(words)
                terminal.wait(words, within_s=SHOWN_WITHIN_S)
                began = time.monotonic()
                terminal.press("ctrl+s")
                terminal.wait(
                    lambda text, words=words: _said(text, words, session), words, within_s=SHOWN_WITHIN_S
                )
                session.took_s.append(time.monotonic() - began)
                session.confirmed.append(words)
            terminal.press("ctrl+q")
            terminal.wait("Leave?", within_s=SHOWN_WITHIN_S)
            terminal.press("enter")
            if status := terminal.exit_status(within_s=SHOWN_WITHIN_S):
                session.faults.append(f"ended with {status}")
    except AssertionError as error:
        session.faults.append(str(error))
    return session


def _said(text: str, words: str, session: Session) -> bool:
    session.waits += "waiting for a turn" in text
    return f"Written: {words}" in text


# -- by command --


def _send(door: Door, name: str, entries: int) -> Session:
    """One person's notes as a list in one command; cut off half way, then sent again under the same key."""
    session = Session(f"c-{name}")
    items = json.dumps([{"words": words_of(name, number)} for number in range(entries)])
    _one_command(door, name, items, session, until=entries // 2)
    status = _one_command(door, name, items, session, until=None)
    if status != 0:
        session.faults.append(f"ended with {status}")
    return session


def _one_command(door: Door, name: str, items: str, session: Session, *, until: int | None) -> int:
    words = ("write", "note", "--json", "-", "--request", name)
    with (
        tempfile.TemporaryFile("w+") as given,
        tempfile.TemporaryFile("w+") as complaints,
        subprocess.Popen(
            door.client(name, *words),
            stdin=given,
            stdout=subprocess.PIPE,
            stderr=complaints,
            text=True,
            bufsize=1,
        ) as client,
    ):
        given.write(items)
        given.seek(0)
        assert client.stdout is not None
        before, told = None, 0
        for line in client.stdout:
            now = time.monotonic()
            if line.startswith("entry "):
                before = now
                told += 1
            elif line.startswith(f"{name} wrote "):
                session.confirmed.append(line.strip())
                if before is not None:  # the first waited for the login and the program's start
                    session.took_s.append(now - before)
            if until is not None and told >= until:
                client.kill()
                break
        status = client.wait()
        complaints.seek(0)
        for line in complaints.read().splitlines():
            if "waiting ..." in line:
                session.waits += 1
            else:
                session.faults.append(line)
    return status


# -- looking on --


def _look_on(door: Door, looks: int, idle_s: float) -> tuple[list[float], int, list[int]]:
    """Seconds until another sees each change, bytes sent to an idle screen, and bytes sent for each change."""
    if not looks and not idle_s:
        return [], 0, []
    seen_s, sent = [], []
    with Terminal(door.client("looker")) as terminal:
        terminal.wait("WORTH A LOOK", "the first place", within_s=SHOWN_WITHIN_S)
        terminal.press("f4")
        terminal.wait("North", within_s=SHOWN_WITHIN_S)
        for number in range(looks):
            terminal.quiet(1.0)
            before = terminal.bytes
            reading = f"{38 + number / 10:.1f}"
            said = door("h01", "write", "temperature", "--reading", f"{reading}F")
            began = time.monotonic()
            assert said.status == 0, said.err
            terminal.wait(reading, f"{reading} °F on the other screen", within_s=SHOWN_WITHIN_S)
            seen_s.append(time.monotonic() - began)
            terminal.quiet(0.5)
            sent.append(terminal.bytes - before)
        idle = 0
        if idle_s:
            terminal.quiet(2.5)
            before, until = terminal.bytes, time.monotonic() + idle_s
            while (left_s := until - time.monotonic()) > 0:
                terminal.quiet(left_s)
            idle = terminal.bytes - before
    return seen_s, idle, sent


# -- counting --


def _faults_of(yard: Yard, door: Door, sessions: list[Session], entries: int) -> Iterator[str]:
    found = Counter(row["said"] for row in yard.rows("SELECT said FROM entry WHERE chore = 'note'"))
    wanted = {words_of(one.name[2:], number) for one in sessions for number in range(entries)}
    said = {text.rstrip("."): count for text, count in found.items()}
    if lost := sorted(wanted - said.keys()):
        yield f"{len(lost)} entries are not in the book, such as {lost[0]}"
    if doubled := sorted(text for text, count in said.items() if count > 1):
        yield f"{len(doubled)} entries are in the book twice, such as {doubled[0]}"
    if strange := sorted(said.keys() - wanted):
        yield f"{len(strange)} entries nobody wrote, such as {strange[0]}"
    for one in sessions:
        if missing := {text.rstrip(".") for text in one.confirmed} - said.keys():
            yield f"{one.name} was told of {len(missing)} entries that are not there"
    yield from reference_chain.faults(yard.path)
    checked = door("looker", "check")
    if checked.status != 0:
        yield f"check: {checked.out.strip()} {checked.err.strip()}"


def _took(sessions: list[Session], kind: str) -> list[float]:
    return [took for one in sessions if one.name.startswith(kind) for took in one.took_s]


def _percentile(values: list[float], percent: int) -> float:
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, len(ordered) * percent // 100)]


def _tell(sessions: list[Session], options: argparse.Namespace, took_s: float) -> None:
    print(
        f"{options.sessions} sessions, {options.screens} of them on screens, {options.entries} entries each"
    )
    print(f"all of it                     {took_s:6.1f} s")
    for kind, what in (("c", "an entry by command"), ("s", "an entry on screens")):
        if took := _took(sessions, kind):
            p50, p99 = (_percentile(took, percent) for percent in (50, 99))
            print(
                f"{what:28}  {p50 * 1000:6.0f} ms median, {p99 * 1000:.0f} ms p99, {max(took) * 1000:.0f} ms at most"
            )
    print(f"told that another was writing {sum(one.waits for one in sessions):6}")


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--sessions", type=int, default=16)
    parser.add_argument("--screens", type=int, default=4)
    parser.add_argument("--entries", type=int, default=200)
    parser.add_argument("--looks", type=int, default=10)
    parser.add_argument("--idle", type=float, default=60.0)
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
