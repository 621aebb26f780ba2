"""What a disk may hold after the power went: a recorded run of the real program, cut anywhere, unsynced writes dropped.

strace records every write, sync, truncation and change of name. What was synced stands; of what was not, any part may
have reached the disk, in any order, cut at sectors. Names are kept in order up to some point after the folder's last
sync. The shared-memory file is left out: SQLite makes it anew.
"""

from __future__ import annotations

import random
import re
import shutil
import subprocess
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

CALLS = "openat,pwrite64,write,fdatasync,fsync,ftruncate,unlink,rename,link"
SECTOR = 512
TOLD = "told"
"""The file, in the watched folder, in which the program says what it was told is written."""

_LINE = re.compile(rb"^\d+ +(?P<call>[a-z0-9]+)\((?P<rest>.*)\) += (?P<gave>-?\d+)")
_HELD = re.compile(rb"^\d+<(?P<path>[^>]*)>")
_TEXT = re.compile(rb'"((?:\\x[0-9a-f]{2})*)"')


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that reached the system: what, in which file, and with what."""

    what: str
    path: str
    data: bytes = b""
    at: int = 0
    other: str = ""


def record(words: Sequence[str], trace: Path, cwd: Path) -> None:
    """Run a program under strace; it must end well."""
    command = [
        "strace",
        "-f",
        "-qq",
        "-xx",
        "-y",
        "-s",
        "1000000",
        "-e",
        f"trace={CALLS}",
        "-o",
        str(trace),
        *words,
    ]
    done = subprocess.run(command, cwd=cwd, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def events(trace: Path, folder: Path) -> list[Event]:
    """What a trace tells of files under a folder, in order."""
    with trace.open("rb") as file:
        return [
            one for line in file if (one := _event(line)) is not None and one.path.startswith(str(folder))
        ]


def _event(line: bytes) -> Event | None:
    found = _LINE.match(line)
    if found is None or int(found["gave"]) < 0:
        return None
    call, rest = found["call"].decode(), found["rest"]
    texts = [_bytes(text) for text in _TEXT.findall(rest)]
    held = _HELD.match(rest)
    path = _bytes(held["path"]).decode(errors="replace") if held else ""
    if path.endswith("-shm") or (texts and texts[0].endswith(b"-shm")):
        return None
    match call:
        case "openat" if b"O_CREAT" in rest or b"O_TRUNC" in rest:
            return Event("create", texts[0].decode(), at=0 if b"O_TRUNC" in rest else -1)
        case "pwrite64":
            return Event("write", path, texts[0], int(rest.rpartition(b", ")[2]))
        case "write":
            return Event("append", path, texts[0])
        case "ftruncate":
            return Event("truncate", path, at=int(rest.rpartition(b", ")[2]))
        case "fsync" | "fdatasync":
            return Event("sync", path)
        case "unlink":
            return Event("unlink", texts[0].decode())
        case "rename" | "link":
            return Event(call, texts[0].decode(), other=texts[1].decode())
    return None


def _bytes(shown: bytes) -> bytes:
    return bytes.fromhex(shown.replace(b"\\x", b"").decode()) if shown.startswith(b"\\x") else shown


@dataclass(slots=True)
class _File:
    synced: bytearray
    waiting: list[Event] = field(default_factory=list)


@dataclass
class Disk:
    """Files as the system knows them, and what of it is surely on the disk."""

    folder: Path
    names: dict[str, _File] = field(default_factory=dict)
    changes: list[tuple[str, str, _File | None]] = field(default_factory=list)
    sure: dict[str, _File] = field(default_factory=dict)
    told: list[str] = field(default_factory=list)

    @classmethod
    def of(cls, folder: Path) -> Disk:
        """The disk as it lies before the program starts."""
        disk = cls(folder)
        for path in folder.rglob("*"):
            if path.is_file():
                disk.names[str(path)] = disk.sure[str(path)] = _File(bytearray(path.read_bytes()))
        return disk

    def goes_on(self, event: Event) -> None:
        """One more thing happened."""
        path = event.path
        if event.what == "sync":
            if path in self.names:
                file = self.names[path]
                for one in file.waiting:
                    _apply(file.synced, one)
                file.waiting.clear()
            else:  # a folder: its names are sure now
                mine = [one for one in self.changes if str(Path(one[0]).parent) == path]
                for name, _, file_or_none in mine:
                    self._set(self.sure, name, file_or_none)
                self.changes = [one for one in self.changes if one not in mine]
        elif event.what == "create":
            if path not in self.names:
                self._change(path, _File(bytearray()))
            elif event.at == 0:
                self.names[path].waiting.append(Event("truncate", path))
        elif event.what == "unlink":
            self._change(path, None)
        elif event.what in ("rename", "link"):
            self._change(event.other, self.names[path])
            if event.what == "rename":
                self._change(path, None)
        elif Path(path).name == TOLD:
            self.told += event.data.decode().split("\n")[:-1]
        elif path in self.names:
            self.names[path].waiting.append(event)

    def _change(self, name: str, file: _File | None) -> None:
        self._set(self.names, name, file)
        self.changes.append((name, "", file))

    @staticmethod
    def _set(names: dict[str, _File], name: str, file: _File | None) -> None:
        if file is None:
            names.pop(name, None)
        else:
            names[name] = file

    def after_a_cut(self, into: Path, chance: random.Random, kept: str) -> None:
        """Make the files that may be found after the power went now.

        Args:
            into: an empty folder.
            chance: what decides.
            kept: of what was not synced: "none", "all" or "some".
        """
        reached = {"none": 0, "all": len(self.changes)}.get(kept, chance.randint(0, len(self.changes)))
        names = dict(self.sure)
        for name, _, file in self.changes[:reached]:
            self._set(names, name, file)
        for name, file in names.items():
            whole = bytearray(file.synced)
            for one in file.waiting:
                if kept == "all" or (kept == "some" and chance.random() < 0.5):
                    _apply(whole, one if kept == "all" else _torn(one, chance))
            target = into / Path(name).relative_to(self.folder)
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(whole)


def _torn(event: Event, chance: random.Random) -> Event:
    """A write of which only the first sectors reached the disk, one time in four."""
    if event.what != "write" or chance.random() < 0.75:
        return event
    sectors = chance.randint(0, len(event.data) // SECTOR)
    return Event("write", event.path, event.data[: sectors * SECTOR], event.at)


def _apply(whole: bytearray, event: Event) -> None:
    if event.what == "truncate":
        del whole[event.at :]
        whole.extend(bytes(event.at - len(whole)))
    else:
        at = len(whole) if event.what == "append" else event.at
        if event.data and at > len(whole):
            whole.extend(bytes(at - len(whole)))
        whole[at : at + len(event.data)] = event.data


def cuts(
    disk: Disk, happened: Sequence[Event], chance: random.Random, every: int
) -> Iterator[tuple[Path, str, Disk]]:
    """Cut the power after about every so many events, three times each; gives the folder, which kind, and the disk."""
    for number, event in enumerate(happened):
        disk.goes_on(event)
        if every > 1 and chance.randrange(every):
            continue
        for kept in ("none", "some", "all"):
            into = disk.folder.with_name(f"cut-{number}-{kept}")
            into.mkdir()
            disk.after_a_cut(into, chance, kept)
            yield into, kept, disk
            shutil.rmtree(into)
