"""What every command is called with: the book, who is at the keyboard, the clock; and how it says things."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import click

    from herdbook.chores.ground import Ground
    from herdbook.clock import Now
    from herdbook.settings import Settings


@dataclass
class Call:
    """One run of the command line.

    Args:
        now: the clock; the computer's if none.
        login: the login name; asked of the system if none.
        book: what --book said.
        person: what --person said.
    """

    now: Now | None = None
    login: str | None = None
    book: str = ""
    person: str = ""

    @property
    def clock(self) -> Now:
        """The clock."""
        from herdbook.clock import utc_now

        return self.now or utc_now

    def now_s(self) -> int:
        """The instant it is, UTC seconds."""
        return int(self.clock().timestamp())

    @cached_property
    def settings(self) -> Settings:
        """This computer's settings."""
        from herdbook.settings import read_settings

        return read_settings()

    @cached_property
    def path(self) -> Path:
        """Where the book lies."""
        from herdbook.settings import book_path

        return book_path(self.book or None, self.settings)

    @cached_property
    def login_name(self) -> str:
        """The login name of whoever runs this; by the system's own list of users, not by the environment."""
        if self.login is not None:
            return self.login
        try:
            import os
            import pwd

            return pwd.getpwuid(os.getuid()).pw_name
        except (ImportError, KeyError, AttributeError):
            import getpass

            try:
                return getpass.getuser()
            except (OSError, KeyError, ImportError):
                return ""

    @contextmanager
    def reading(self) -> Iterator[tuple[Any, Ground]]:
        """One look at the book, with the ground that typed text is understood by."""
        from herdbook.book.opening import reading
        from herdbook.reports.catalogue import ground_for_reading
        from herdbook.settings import copies_watched

        copies = copies_watched(self.settings, self.path)
        with reading(self.path) as connection:
            yield connection, ground_for_reading(connection, self.now_s(), copies)


if TYPE_CHECKING:
    pass_call = click.make_pass_decorator(Call)


def __getattr__(name: str) -> Any:
    """`pass_call` is made when a command asks for it: opening the screens does without click."""
    if name != "pass_call":
        raise AttributeError(name)
    import click

    made = globals()[name] = click.make_pass_decorator(Call)
    return made


def say(text: str = "") -> None:
    """One line, or lines, on standard output."""
    import click

    click.echo(text)


def complain(*lines: str) -> None:
    """Lines on standard error, each made harmless."""
    import click

    from herdbook.plain import plain

    for line in lines:
        click.echo(plain(line), err=True)


def say_json(made: Any) -> None:
    """A JSON document on standard output."""
    from herdbook.reports.exporting import json_text

    say(json_text(made))
