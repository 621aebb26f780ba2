"""Where notices can go: names and their addresses, in a file beside the book that only its owner's account may read.

An address holds a password or a key of the service it leads to. The book goes into copies and exports that others
are given, so addresses stay out of it: the book knows the names alone.
"""

from __future__ import annotations

import json
import os
import re
import stat
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from herdbook.errors import ChoreRefused, Refused
from herdbook.plain import plain

NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
LONGEST_URL = 2_000


def places_path(book: Path) -> Path:
    """The file of a book's notice places."""
    return book.with_name(f"{book.name}-places")


def read_places(book: Path) -> Mapping[str, str]:
    """Name -> address of every place; none where there is no file.

    Raises:
        ChoreRefused: others may read the file, or it is no list of places; the sentence shows no address.
    """
    path = places_path(book)
    try:
        with path.open("rb") as file:
            if stat.S_IMODE(os.fstat(file.fileno()).st_mode) & 0o077:
                raise ChoreRefused(
                    f"{path} may be read by others than its owner; no address in it is used.",
                    remedy=f"`chmod 600 {path}`, and change the passwords in it if somebody may have read them.",
                )
            found = json.loads(file.read(1_000_000))
    except FileNotFoundError:
        return {}
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "it is not what herdbook wrote"
        raise ChoreRefused(
            f"{path} cannot be read: {why}.", remedy="Remove it and write the places anew."
        ) from None
    if not isinstance(found, dict) or not all(isinstance(url, str) for url in found.values()):
        raise ChoreRefused(f"{path} is not a list of places.", remedy="Remove it and write the places anew.")
    return found


def write_places(book: Path, places: Mapping[str, str]) -> None:
    """Write the places, all or nothing; only the account that writes may read them.

    Raises:
        ChoreRefused: the file could not be written.
    """
    path = places_path(book)
    made = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        with suppress(FileNotFoundError):
            made.unlink()
        handle = os.open(made, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(dict(sorted(places.items())), file, indent=1)
            file.flush()
            os.fsync(file.fileno())
        made.replace(path)
    except OSError as error:
        with suppress(OSError):
            made.unlink()
        raise ChoreRefused(
            f"{path} could not be written: {error.strerror}.", remedy="Check who owns the folder."
        ) from None


def see_name(name: str) -> str:
    """The name of a place, if it can be one.

    Raises:
        Refused: it cannot.
    """
    if not NAME.fullmatch(name):
        raise Refused(
            f"name: {plain(name, longest=40)!r} cannot be the name of a place.",
            remedy="Use up to 40 small letters, digits and hyphens, such as phone or mail-office.",
            field="name",
        )
    return name
