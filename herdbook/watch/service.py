"""Running under systemd: the unit's text, and telling the service manager that all is well."""

from __future__ import annotations

import os
import socket
from collections.abc import Sequence
from contextlib import suppress
from importlib.resources import files
from pathlib import Path


def tell_manager(words: str) -> None:
    """Tell the service manager something, as sd_notify(3) does; outside of one it is not heard.

    Args:
        words: such as `READY=1` or `WATCHDOG=1`.
    """
    address = os.environ.get("NOTIFY_SOCKET", "")
    if not address.startswith(("/", "@")):
        return
    with suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as end:
        end.connect("\0" + address[1:] if address[0] == "@" else address)
        end.send(words.encode())


def unit(*, program: Sequence[str | Path], book: Path, account: str) -> str:
    """The text of a unit that keeps the watcher running.

    Args:
        program: what starts `herdbook`, word by word.
        book: the book's file.
        account: who owns the book on this computer.
    """
    text = files("herdbook").joinpath("watch", "herdbook-watch.service").read_text(encoding="utf-8")
    words = {
        "PROGRAM": " ".join(_word(one) for one in program),
        "BOOK": _word(book),
        "FOLDER": _word(book.parent),
        "ACCOUNT": account,
    }
    for gap, value in words.items():
        text = text.replace(f"{{{gap}}}", value)
    return text


def _word(value: str | Path) -> str:
    """One word of a unit, as systemd.syntax(7) and systemd.unit(5) quote it: blanks, quotes and specifiers."""
    text = str(value).replace("%", "%%")
    if not any(char in text for char in " \t\"'\\"):
        return text
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
