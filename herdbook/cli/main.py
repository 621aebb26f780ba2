"""The command line: parses first, loads only what the command needs, and turns errors into words and a status."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, TextIO

import click

from herdbook.cli.call import Call, complain
from herdbook.cli.lazy import LazyGroup
from herdbook.errors import HerdbookError, SeveralRefused

if TYPE_CHECKING:
    from herdbook.clock import Now

USAGE, INTERRUPTED, CLOSED_PIPE = 2, 130, 141
"""Wrong usage; 128 + SIGINT; 128 + SIGPIPE, as a shell reports a program whose reader went away."""

COMMANDS = {
    "new": ("herdbook.cli.new:new", "start a book: asks what it needs, or takes it all as options"),
    "demo": ("herdbook.cli.demo:demo", "write and open a made-up farm to look around in"),
    "write": ("herdbook.cli.write:write", "write a chore in the book"),
    "import": (
        "herdbook.cli.import_files:import_files",
        "read analyses, a ration or a logger's readings from a file, shown first",
    ),
    "strike": ("herdbook.cli.strike:strike", "strike out an entry; it stays readable and counts no more"),
    "show": ("herdbook.cli.show:show", "show a report as a table, JSON or CSV"),
    "print": (
        "herdbook.cli.print_sheets:print_sheets",
        "print the day's loads, treatment and temperature records",
    ),
    "enter": ("herdbook.cli.enter_sheet:enter", "enter a filled-in sheet, reviewed before it is written"),
    "explain": ("herdbook.cli.explain:explain", "tell where a figure of a report comes from"),
    "check": ("herdbook.cli.check:check", "verify the book: file, chain of entries, rules of the book"),
    "seal": ("herdbook.cli.seal:seal", "print a short figure that shows later whether anything was changed"),
    "copy": ("herdbook.cli.copy:copy", "make a checked copy of the book while people work"),
    "restore": ("herdbook.cli.restore:restore", "put a checked copy in the book's place; asks first"),
    "people": ("herdbook.cli.people:people", "list who may write or look, add someone, or let their key in"),
    "ssh": (
        "herdbook.cli.ssh:ssh",
        "let someone in by their key: what the SSH server runs, not for the keyboard",
    ),
    "watch": ("herdbook.cli.watch:watch", "watch the book day and night, raise alarms, send notices"),
    "notice-place": ("herdbook.cli.notice_place:notice_place", "say where notices of alarms can go"),
    "reckon": ("herdbook.cli.reckon:reckon", "work out a published rule with your own numbers"),
    "manual": ("herdbook.cli.manual:manual", "read the manual"),
}


def _version(context: click.Context, _: click.Parameter, wanted: bool) -> None:
    if wanted:
        from herdbook import __version__

        click.echo(f"herdbook {__version__}")
        context.exit()


@click.group(
    cls=LazyGroup,
    lazy=COMMANDS,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
)
@click.option(
    "--book", default="", metavar="PATH", help="The book's file; else HERDBOOK_BOOK, else your own."
)
@click.option("--person", default="", metavar="NAME", help="Who writes; else found by your login name.")
@click.option(
    "--version", is_flag=True, is_eager=True, expose_value=False, callback=_version, help="Show the version."
)
@click.pass_context
def herdbook(context: click.Context, book: str, person: str) -> int:
    """One book for a dairy farm: feed in, milk out.

    Without a command it opens the screens. `herdbook manual` explains everything.
    """
    call: Call = context.obj
    call.book, call.person = book, person
    if context.invoked_subcommand is None:
        from herdbook.cli.screens import open_screens

        return open_screens(call)
    return 0


def run(words: Sequence[str], *, now: Now | None = None, login: str | None = None) -> int:
    """Run one command; return the exit status: 0 done, 1 refused or findings, 2 wrong usage or input.

    Args:
        words: the command line after the program's name.
        now: the clock; the computer's if none.
        login: the login name; the system's if none.
    """
    _never_fail_on_letters(sys.stdout, sys.stderr)
    try:
        status = _run(list(words), Call(now, login))
        sys.stdout.flush()
        return status
    except BrokenPipeError:
        _drop_the_rest()
        return CLOSED_PIPE
    except KeyboardInterrupt:
        complain("Interrupted.")
        return INTERRUPTED


def _run(words: list[str], call: Call) -> int:
    try:
        with herdbook.make_context("herdbook", words, obj=call) as context:
            return int(herdbook.invoke(context) or 0)
    except click.exceptions.Exit as leaving:
        return leaving.exit_code
    except click.Abort:
        complain("Interrupted.")
        return INTERRUPTED
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message(), err=True)
        return USAGE
    except click.ClickException as error:
        complain(*_usage_words(error))
        return USAGE
    except SeveralRefused as error:
        complain(*(str(fault) for fault in error.faults))
        return error.exit_status
    except HerdbookError as error:
        complain(str(error))
        return error.exit_status


def _usage_words(error: click.ClickException) -> list[str]:
    where = error.ctx.command_path if isinstance(error, click.UsageError) and error.ctx else "herdbook"
    message = error.format_message()
    if isinstance(error, click.NoSuchOption):
        near = error.possibilities[0] if error.possibilities else ""
        message = f"There is no option {error.option_name}.{f' Did you mean {near}?' if near else ''}"
    return [message if message.endswith((".", "?")) else f"{message}.", f"See `{where} --help`."]


def _never_fail_on_letters(*streams: TextIO) -> None:
    """A terminal of few letters shows a question mark for the others; it is no reason to stop."""
    for stream in streams:
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def _drop_the_rest() -> None:
    """Nobody reads any more: what is left in the buffer goes nowhere, without a word at the interpreter's end."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError, AttributeError):
        return
