"""Running under systemd: the unit's text, and telling the service manager that all is well."""

from __future__ import annotations

import os
import socket
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


def unit(*, program: Path, book: Path, account: str) -> str:
    """The text of a unit that keeps the watcher running.

    Args:
        program: where `herdbook` is.
        book: the book's file.
        account: who owns the book on this computer.
    """
    text = files("herdbook").joinpath("watch", "herdbook-watch.service").read_text(encoding="utf-8")
    for gap, value in {"PROGRAM": program, "BOOK": book, "FOLDER": book.parent, "ACCOUNT": account}.items():
        text = text.replace(f"{{{gap}}}", str(value))
    return text
