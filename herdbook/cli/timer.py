"""The systemd unit and timer that copy a book every night, filled in with this farm's own paths."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from herdbook.cli.systemd import command_line, paths, unit
from herdbook.errors import Refused

HOMES = ("/home", "/root", "/run/user")
"""What systemd's ProtectHome= covers (systemd.exec, "Sandboxing")."""


def timer_text() -> str:
    """The timer: when."""
    return unit("herdbook-copy.timer")


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
    try:
        user, group = book.owner(), book.group()
    except (OSError, KeyError, NotImplementedError):
        raise Refused(
            f"Whose {book} is cannot be told, so no service can be made for it.",
            remedy="Name the book with --book.",
        ) from None
    at_home = any(str(path).startswith(HOMES) for path in (book, folder, Path(sys.prefix), *reads))
    return (
        unit("herdbook-copy.service")
        .replace("@FOLDER@", paths(folder))
        .replace("@USER@", user)
        .replace("@GROUP@", group)
        .replace("@COMMAND@", command_line(book, "copy", "--to", str(folder), *words))
        .replace("@HOME@", "read-only" if at_home else "true")
        .replace("@WRITES@", paths(book.parent, folder))
    )
