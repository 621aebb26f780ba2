"""The systemd units that copy a book every night and keep its watcher running, with this farm's own paths."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path

from herdbook.errors import Refused

HOMES = ("/home", "/root", "/run/user")
"""What systemd's ProtectHome= covers (systemd.exec, "Sandboxing")."""


def timer_text() -> str:
    """The timer: when."""
    return _unit("herdbook-copy.timer")


def service_text(book: Path, folder: Path, words: Sequence[str], reads: Sequence[Path] = ()) -> str:
    """The service: what, as whom, and where it may write.

    Args:
        book: the book; the service runs as its owner.
        folder: where copies go.
        words: the options of `herdbook copy`, without --to.
        reads: other files that the options name.

    Raises:
        Refused: the book is not there, so nobody owns it, or a path cannot stand in such a file.
    """
    book, folder = book.absolute(), folder.absolute()
    user, group = _owners(book)
    at_home = any(str(path).startswith(HOMES) for path in (book, folder, Path(sys.prefix), *reads))
    return (
        _unit("herdbook-copy.service")
        .replace("@FOLDER@", _quoted(str(folder), command=False))
        .replace("@USER@", user)
        .replace("@GROUP@", group)
        .replace("@COMMAND@", _command(book, ["copy", "--to", str(folder), *words]))
        .replace("@HOME@", "read-only" if at_home else "true")
        .replace("@WRITES@", " ".join(_quoted(str(one), command=False) for one in (book.parent, folder)))
    )


def watcher_text(book: Path, person: str = "") -> str:
    """The service that keeps the watcher running.

    Args:
        book: the book; the service runs as its owner.
        person: who it writes as, where that was said.

    Raises:
        Refused: the book is not there, so nobody owns it, or its path cannot stand in such a file.
    """
    book = book.absolute()
    return (
        _unit("herdbook-watch.service")
        .replace("@FOLDER@", _quoted(str(book.parent), command=False))
        .replace("@USER@", _owners(book)[0])
        .replace("@COMMAND@", _command(book, [*(("--person", person) if person else ()), "watch"]))
    )


def _owners(book: Path) -> tuple[str, str]:
    try:
        return book.owner(), book.group()
    except (OSError, KeyError, NotImplementedError):
        raise Refused(
            f"Whose {book} is cannot be told, so no service can be made for it.",
            remedy="Name the book with --book.",
        ) from None


def _command(book: Path, words: Sequence[str]) -> str:
    command = [sys.executable, "-I", "-m", "herdbook", "--book", str(book), *words]
    return " ".join(_quoted(word, command=True) for word in command)


def _unit(name: str) -> str:
    return files("herdbook.cli").joinpath("units", name).read_text(encoding="utf-8")


def _quoted(word: str, *, command: bool) -> str:
    """A word as systemd reads it: quoted, and with the signs doubled that it would put something else for."""
    if not word.isprintable():
        raise Refused(f"{word!r} cannot stand in a systemd unit.", remedy="Give it a plain name.")
    word = word.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%")
    if command:  # only there are names put in for a dollar
        word = word.replace("$", "$$")
    return word if word and all(sign.isalnum() or sign in "-_./=@:,+%$" for sign in word) else f'"{word}"'
