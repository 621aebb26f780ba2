"""Following a logger's files as they grow: size, inode and time are the truth, whole lines are read, half ones wait."""

from __future__ import annotations

import codecs
import os
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

from herdbook.chores.logger_files import encoding_of
from herdbook.chores.logger_layouts import Given
from herdbook.errors import HerdbookError
from herdbook.plain import plain
from herdbook.watch.logger_lines import LoggerLines
from herdbook.watch.reading_feed import Feed

CHUNK_BYTES = 4_000_000
REMEMBERED_BYTES = 256
LEFT_ALONE = (".tmp", ".part", ".partial", ".crdownload", ".swp", ".new", "~")
"""Ends of names that programs give to files they have not finished."""

Say = Callable[[str], None]


class FollowedFile:
    """One file; begun anew when it was replaced, cut short or written over.

    Args:
        path: where it lies.
        given: what is told of it.
        feed: where its readings go.
        say: takes a line for the log.
    """

    def __init__(self, path: Path, given: Given, feed: Feed, say: Say) -> None:
        self.path = path
        self._given, self._feed, self._say = given, feed, say
        self._seen: tuple[int, ...] = ()
        self._wrong = ""
        self._begin()

    def _begin(self) -> None:
        self._offset = 0
        self._behind = b""
        self._encoding = ""
        self._lines = LoggerLines(plain(self.path.name, longest=200), self._given, self._feed, self._say)

    @property
    def name(self) -> str:
        """Its name, for the log."""
        return self._lines.name

    def start(self, wake: Callable[[], None]) -> None:
        """Nothing need be begun."""

    def stop(self) -> None:
        """Nothing need be let go of."""

    def poll(self) -> bool:
        """Read what is new; whether there may be more at once."""
        try:
            with self.path.open("rb") as file:
                status = os.fstat(file.fileno())
                seen = (status.st_dev, status.st_ino, status.st_size, status.st_mtime_ns)
                if seen == self._seen and status.st_size - self._offset < CHUNK_BYTES:
                    return False
                if self._seen and (why := self._replaced(seen, file)):
                    self._say(f"{self.name}: {why}; read from its beginning, what is known is passed by")
                    self._begin()
                more = self._read(file)
                self._seen = seen
                return more
        except FileNotFoundError:
            self._once("is not there (yet)")
        except OSError as error:
            self._once(f"cannot be read: {error.strerror}")
        return False

    def _once(self, wrong: str) -> None:
        if wrong != self._wrong:
            self._say(f"{self.name}: {wrong}")
        self._wrong = wrong

    def _replaced(self, seen: tuple[int, ...], file: BinaryIO) -> str:
        """Why the file is another than the one read so far; empty where it goes on."""
        if seen[:2] != self._seen[:2]:
            return "another file lies there now"
        if seen[2] < self._offset:
            return "it was cut short"
        if self._behind:
            file.seek(self._offset - len(self._behind))
            if file.read(len(self._behind)) != self._behind:
                return "it was written over"
        return ""

    def _read(self, file: BinaryIO) -> bool:
        file.seek(self._offset)
        raw = file.read(CHUNK_BYTES)
        end = raw.rfind(b"\n") + 1
        if not end:
            if len(raw) == CHUNK_BYTES:
                self._once("has a line of more than 4 MB, which is not read")
            else:
                self._wrong = ""
            return False
        whole, is_full = raw[:end], len(raw) == CHUNK_BYTES
        if not self._encoding:
            try:
                self._encoding = encoding_of(whole, self.name)
            except HerdbookError as error:
                self._once(str(error))
                return False
            if self._encoding == "utf-16":
                self._once("is UTF-16, which cannot be followed; let the logger write UTF-8, or import it")
                return False
            whole_text = whole.removeprefix(codecs.BOM_UTF8)
        else:
            whole_text = whole
        text = whole_text.decode("utf-8" if self._encoding == "utf-8-sig" else self._encoding, "replace")
        self._lines.take(text.replace("\r\n", "\n").split("\n")[:-1])
        self._offset, self._wrong = self._offset + end, ""
        self._behind = (self._behind + whole)[-REMEMBERED_BYTES:]
        return is_full


class FollowedFolder:
    """The files of a folder, each followed; one that is renamed stays the same, by its inode.

    Args:
        path: the folder.
        given: what is told of its files.
        feed: where their readings go.
        say: takes a line for the log.
    """

    def __init__(self, path: Path, given: Given, feed: Feed, say: Say) -> None:
        self.path = path
        self._given, self._feed, self._say = given, feed, say
        self._files: dict[tuple[int, int], FollowedFile] = {}
        self._wrong = ""

    def start(self, wake: Callable[[], None]) -> None:
        """Nothing need be begun."""

    def stop(self) -> None:
        """Nothing need be let go of."""

    def poll(self) -> bool:
        """Read what is new in every file; whether there may be more at once."""
        try:
            found = [entry for entry in os.scandir(self.path) if _is_followed(entry)]
            status = {(entry.stat().st_dev, entry.stat().st_ino): entry for entry in found}
        except OSError as error:
            wrong = f"{plain(str(self.path.name))}: the folder cannot be read: {error.strerror}"
            if wrong != self._wrong:
                self._say(wrong)
            self._wrong = wrong
            return False
        self._wrong = ""
        for gone in self._files.keys() - status.keys():
            del self._files[gone]
        more = False
        for key, entry in sorted(status.items(), key=lambda one: (one[1].stat().st_mtime_ns, one[1].name)):
            file = self._files.get(key)
            if file is None:
                file = self._files[key] = FollowedFile(Path(entry.path), self._given, self._feed, self._say)
            file.path = Path(entry.path)
            more |= file.poll()
        return more


def _is_followed(entry: os.DirEntry[str]) -> bool:
    return entry.is_file() and not entry.name.startswith(".") and not entry.name.endswith(LEFT_ALONE)
