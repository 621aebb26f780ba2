"""This computer's own settings: where the book lies and how the screens look; the farm's live in the book."""

from __future__ import annotations

import os
from dataclasses import dataclass, fields
from pathlib import Path

import platformdirs

from herdbook.errors import Refused

APP = "herdbook"
BOOK_VARIABLE = "HERDBOOK_BOOK"


@dataclass(frozen=True, slots=True)
class Settings:
    """What may stand in the settings file; every line is optional.

    Args:
        book: path of the book; empty for the user's data folder.
        look: "night", "day" or "terminal" (the terminal's own sixteen colours).
        signs: "full", or "plain" for fonts without line and arrow signs.
        bell: ring the terminal's bell once when the tank becomes too slow or late.
        copies: folder of the checked copies; empty for `copies` beside the book.
        copies_hours: how old the newest copy may be before it is an alert, hours; 0 for never an alert.
    """

    book: str = ""
    look: str = "night"
    signs: str = "full"
    bell: bool = True
    copies: str = ""
    copies_hours: int = 36


@dataclass(frozen=True, slots=True)
class CopiesWatched:
    """Where checked copies lie, and how old the newest may be, seconds, before it is an alert."""

    folder: Path
    limit_s: int


CHOICES = {"look": ("night", "day", "terminal"), "signs": ("full", "plain")}


def settings_path() -> Path:
    """The settings file, whether or not it exists."""
    return platformdirs.user_config_path(APP) / "settings.toml"


def read_settings(path: Path | None = None) -> Settings:
    """Read the settings file; no file means the defaults.

    Raises:
        Refused: a line that is not a setting, or a value it cannot have; the sentence names it.
    """
    path = path or settings_path()
    if not path.exists():
        return Settings()
    import tomllib  # most computers have no settings file: they need not wait for its reader

    try:
        found = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, OSError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise Refused(
            f"The settings file {path} cannot be read: {why}.", remedy="Mend or remove it."
        ) from None
    known = {field.name: field for field in fields(Settings)}
    for name, value in found.items():
        if name not in known:
            raise Refused(
                f"{path}: {name!r} is not a setting.", remedy=f"Known: {', '.join(known)}.", field=name
            )
        if type(value) is not type(known[name].default):
            raise Refused(
                f"{path}: {name} cannot be {value!r}.", remedy="See `herdbook manual settings`.", field=name
            )
        if name in CHOICES and value not in CHOICES[name]:
            raise Refused(
                f"{path}: {name} cannot be {value!r}.",
                remedy=f"Use {' or '.join(CHOICES[name])}.",
                field=name,
            )
    return Settings(**found)


def book_path(given: str | None, settings: Settings) -> Path:
    """Where the book lies: as given, else by HERDBOOK_BOOK, else by the settings, else in the data folder."""
    named = given or os.environ.get(BOOK_VARIABLE) or settings.book
    return Path(named).expanduser() if named else platformdirs.user_data_path(APP) / "farm.book"


def copies_path(settings: Settings, book: Path) -> Path:
    """The folder of the checked copies: by the settings, else `copies` beside the book."""
    return Path(settings.copies).expanduser() if settings.copies else book.parent / "copies"


def copies_watched(settings: Settings, book: Path) -> CopiesWatched | None:
    """What to watch of a book's copies; None where the settings say never an alert."""
    if settings.copies_hours <= 0:
        return None
    return CopiesWatched(copies_path(settings, book), settings.copies_hours * 3600)
