"""Files for systemd: their texts as shipped, and words written as systemd reads them."""

from __future__ import annotations

import sys
from importlib.resources import files
from pathlib import Path

from herdbook.errors import Refused


def unit(name: str) -> str:
    """The text of a unit as shipped, with gaps such as @FOLDER@ for this farm's own."""
    return files("herdbook.cli").joinpath("units", name).read_text(encoding="utf-8")


def command_line(book: Path, *words: str) -> str:
    """How a unit starts this very program on a book.

    Args:
        book: the book's file.
        words: the command and its options.

    Raises:
        Refused: a word cannot stand in such a file.
    """
    all_words = [sys.executable, "-I", "-m", "herdbook", "--book", str(book), *words]
    return " ".join(_quoted(word, command=True) for word in all_words)


def paths(*given: Path) -> str:
    """Paths in a row, as a setting of a unit takes them.

    Raises:
        Refused: one cannot stand in such a file.
    """
    return " ".join(_quoted(str(one), command=False) for one in given)


def _quoted(word: str, *, command: bool) -> str:
    """A word as systemd reads it: quoted, and with the signs doubled that it would put something else for."""
    if not word.isprintable():
        raise Refused(f"{word!r} cannot stand in a systemd unit.", remedy="Give it a plain name.")
    word = word.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%")
    if command:  # only there are names put in for a dollar
        word = word.replace("$", "$$")
    return word if word and all(sign.isalnum() or sign in "-_./=@:,+%$" for sign in word) else f'"{word}"'
