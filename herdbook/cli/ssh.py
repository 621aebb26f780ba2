"""`herdbook ssh`: lets one person in by the SSH server's forced command, to the screens or to one command."""

from __future__ import annotations

import os
import shlex
import sys
from collections.abc import Mapping
from copy import copy
from typing import TYPE_CHECKING, Any

import click

from herdbook.cli import latch
from herdbook.cli.call import Call
from herdbook.cli.lazy import LazyGroup
from herdbook.errors import Refused
from herdbook.screens import environment
from herdbook.settings import copies_path

if TYPE_CHECKING:
    from herdbook.book.reading.farm import PersonRow

OPEN: Mapping[str, tuple[str, ...]] = {
    "show": (),
    "explain": (),
    "write": (),
    "strike": (),
    "import": (),
    "print": (),
    "enter": (),
    "check": (),
    "seal": (),
    "people": ("list",),
    "reckon": (),
    "manual": (),
}
"""Commands that may be sent, and of a command of several parts those parts; none named: all of them."""

SHUT = frozenset({"new", "demo", "copy", "restore", "ssh", "watch", "notice-place"})
"""Commands that may not: they make or choose files, start programs, or are the door itself."""

FILES: Mapping[str, str] = {"write": "json", "import": "file", "enter": "file"}
"""Command -> its option or argument that names a file; through the door it can only be standard input."""

OWN_NAMES = ("herdbook", "farm")
"""A first word that is only a name for the program."""

MOST_BYTES = 32_768
NO_TERMINAL = (
    "There is no terminal on this line, and no command was sent. "
    "Log in with a terminal, or send a command, such as: show today"
)


@click.command()
@click.option("--person", "name", required=True, metavar="NAME", help="who comes in; the key's line says it")
@click.pass_obj
def ssh(call: Call, name: str) -> int:
    """Let NAME in; what the SSH server runs for a key, not for the keyboard.

    Opens the screens, or does the one command that was sent. `herdbook people key` makes the line that runs it;
    `herdbook manual door` tells how the door is set up.
    """
    sent = os.environb.get(b"SSH_ORIGINAL_COMMAND")
    environment.scrub(os.environ, forced=True)
    os.umask(0o077)
    if not sys.flags.isolated:
        raise Refused(
            "The door opens only to Python in isolated mode (-I).",
            remedy="Make the key's line anew with `herdbook people key`.",
        )
    return let_in(call, name, sent, terminal=sys.stdin.isatty() and sys.stdout.isatty())


def let_in(call: Call, name: str, sent: bytes | None, *, terminal: bool) -> int:
    """Open the screens, or do the command that was sent; return the exit status.

    Args:
        call: the book and the clock.
        name: who comes in, by the key's line.
        sent: what the client asked to be run; None when it asked for a terminal.
        terminal: whether there is one.

    Raises:
        HerdbookError: nobody of that name may come in; not a command; what the command refuses.
        click.ClickException: wrong usage of a command.
    """
    call.person = _as_utf8(name).strip()
    settings = call.settings  # read before the files are shut
    latch.shut(call.path, copies_path(settings, call.path))
    person = _person(call)
    words = words_of(sent or b"")
    if words:
        commands = door()
        with commands.make_context("herdbook", words, obj=call) as context:
            return int(commands.invoke(context) or 0)
    if not terminal:
        raise Refused(NO_TERMINAL)
    from herdbook.screens.at_the_book import open_book

    return open_book(
        call.path,
        person=person.person,
        name=person.name,
        roles=person.roles,
        settings=settings,
        now=call.clock,
        forced=True,
    )


def words_of(sent: bytes) -> list[str]:
    """The words of a command as a shell would split them, with nothing that a shell would do.

    Raises:
        Refused: too long, no UTF-8, or a quote that does not end.
    """
    if len(sent) > MOST_BYTES:
        raise Refused("The command is too long.", remedy="Send fields on standard input with --json -.")
    try:
        words = shlex.split(sent.decode("utf-8"))
    except UnicodeDecodeError:
        raise Refused("The command is not UTF-8 text.", remedy="Set the terminal to UTF-8.") from None
    except ValueError:
        raise Refused(
            "The command has a quote or a backslash with nothing behind it.",
            remedy="Quote what has blanks twice: \"'Far dry'\".",
        ) from None
    return words[1:] if words and words[0] in OWN_NAMES else words


def _as_utf8(name: str) -> str:
    """The name as the key's line has it, whatever language the client says its letters are in.

    Raises:
        Refused: it is empty or no UTF-8.
    """
    try:
        read = os.fsencode(name).decode("utf-8")
    except UnicodeError:
        read = ""
    if not read.strip():
        raise Refused("--person: that is not a name.", remedy="Make the key's line anew.", field="person")
    return read


def _person(call: Call) -> PersonRow:
    """Who comes in; even looking needs someone who may today.

    Raises:
        Refused: nobody active has the name; who has is not told.
    """
    from herdbook.cli.who import person_at

    with call.reading() as (connection, _):
        try:
            return person_at(call, connection)
        except Refused:
            raise Refused(
                f"{call.person} may not come in by this door.", remedy="Ask the owner of the book."
            ) from None


class _StandardInput(click.ParamType[Any]):
    """A file that can only be standard input."""

    name = "-"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if value in ("", "-"):
            return value
        raise Refused(
            "No file can be named through this door.",
            remedy="Send it on standard input and say - for its name.",
            field=(param and param.name) or "",
        )


class _Part(click.Group):
    """A command of several parts with only those that are open, their files shut."""

    def __init__(self, whole: click.Group, only: tuple[str, ...], file: str) -> None:
        super().__init__(whole.name, help=whole.help, no_args_is_help=True)
        self._whole, self._only, self._file = whole, only, file

    def list_commands(self, ctx: click.Context) -> list[str]:
        return [name for name in self._whole.list_commands(ctx) if not self._only or name in self._only]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if self._only and cmd_name not in self._only:
            return None
        found = self._whole.get_command(ctx, cmd_name)
        return None if found is None else _shut_files(found, self._file)


class _Door(LazyGroup):
    """The commands that may be sent."""

    def lines(self) -> Mapping[str, str]:
        from herdbook.cli.main import COMMANDS

        self.lazy = {name: COMMANDS[name] for name in OPEN if name in COMMANDS}
        return super().lines()

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        self.lines()
        found = super().get_command(ctx, cmd_name)
        file = FILES.get(cmd_name, "")
        if isinstance(found, click.Group):
            return _Part(found, OPEN[cmd_name], file)
        return None if found is None else _shut_files(found, file)


def _shut_files(command: click.Command, file: str) -> click.Command:
    """The command with a parameter that can name no file any more."""
    shut = copy(command)
    shut.params = [_shut_file(one) if one.name == file else one for one in command.params]
    return shut


def _shut_file(parameter: click.Parameter) -> click.Parameter:
    shut = copy(parameter)
    shut.type, shut.metavar = _StandardInput(), "-"
    return shut


def door() -> click.Group:
    """The commands that may be sent, their files shut."""
    return _Door(
        "herdbook",
        no_args_is_help=True,
        context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
        help="One command of the farm's book. Without one, and with a terminal, the screens open.",
    )
