"""`herdbook new`: start a book, whole or not at all; asks on a terminal, or takes everything as options."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path

import click

from herdbook.book.opening import give_name, new_book
from herdbook.book.writing import Book
from herdbook.chores.asking import Ask
from herdbook.chores.doing import OWNER, Chore, Who, Written, find_chore
from herdbook.chores.drafting import understand
from herdbook.chores.ground import Ground
from herdbook.cli.call import Call, complain, say
from herdbook.cli.write import field_options
from herdbook.errors import ChoreRefused, Refused

UNASKED = ("invented", "login", "cooling_rule", "day_start", "dry_step", "rain_step", "feed_days")
"""Fields that are given as options by those who need them, and not asked one by one."""


def _run(call: Call, given: dict[str, tuple[str, ...]]) -> None:
    chore = find_chore("start")
    ground = Ground(now_s=call.now_s())
    path = call.path
    if path.exists():
        raise ChoreRefused(
            f"{path} already exists; it was left untouched.", remedy="Name another file with --book."
        )
    texts: dict[str, str | Sequence[str]] = {
        name: list(lines) if len(lines) > 1 else lines[0] for name, lines in given.items() if lines
    }
    texts.setdefault("login", call.login_name)
    if sys.stdin.isatty() and sys.stdout.isatty():
        say(f"A new book at {path}. Enter takes what stands in brackets.")
        _ask_the_rest(chore, texts, ground)
    written = start_book(path, chore, texts, ground, call)
    say(written.said)
    say(f"entry {written.entry}")
    say(f"The book is {path}. Next: `herdbook` opens it, `herdbook manual start` tells the first steps.")


def start_book(
    path: Path, chore: Chore, texts: dict[str, str | Sequence[str]], ground: Ground, call: Call
) -> Written:
    """Make a book and write its first entry; the file appears at `path` only with both done.

    Raises:
        Refused: a field cannot be used; no file was made.
        ChoreRefused: something is there already, or the folder cannot be written.
    """
    draft = understand(chore, texts, ground)
    half_made = path.with_name(f".{path.name}.{os.getpid()}.start")
    new_book(half_made)
    try:
        book = Book(half_made)
        try:
            who = Who(1, str(getattr(draft, "owner", "")), frozenset({OWNER}))
            written = chore(book, draft, by=who, now=call.clock)
        finally:
            book.close()
        give_name(half_made, path)
    except FileExistsError:
        raise ChoreRefused(
            f"{path} already exists; it was left untouched.", remedy="Name another file with --book."
        ) from None
    finally:
        for left in (half_made, *(half_made.with_name(half_made.name + end) for end in ("-wal", "-shm"))):
            left.unlink(missing_ok=True)
    return written


def _ask_the_rest(chore: Chore, texts: dict[str, str | Sequence[str]], ground: Ground) -> None:
    """Ask for each field that was not given, again until it is understood."""
    for name, ask in chore.draft.asks().items():
        if name in texts or name in UNASKED:
            continue
        default = _default(chore, name)
        while True:
            text = click.prompt(_question(ask), default=default, show_default=bool(default), type=str)
            try:
                if text.strip():
                    ask.understand(text, ground)
                elif chore.draft.required(name):
                    raise Refused(f"{ask.label}: nothing was typed.", field=ask.label)
                break
            except Refused as error:
                complain(str(error))
        texts[name] = text


def _question(ask: Ask) -> str:
    words = getattr(ask, "words", ())
    return f"{ask.label} ({' or '.join(words) if words else ask.help})"


def _default(chore: Chore, name: str) -> str | None:
    if name == "zone":
        return local_zone() or None
    if chore.draft.required(name):
        return None
    value = chore.draft.model_fields[name].default
    return value if isinstance(value, str) else ""


def local_zone() -> str:
    """This computer's time zone by name, where it can be told; empty otherwise."""
    named = os.environ.get("TZ", "").removeprefix(":")
    link = Path("/etc/localtime")
    if not named and link.is_symlink():
        named = str(link.resolve()).partition("/zoneinfo/")[2]
    from herdbook.clock import zone

    try:
        return zone(named).key if named else ""
    except Refused:
        return ""


@click.pass_obj
def _callback(call: Call, /, **given: tuple[str, ...]) -> None:
    _run(call, given)


new = click.Command(
    "new",
    params=field_options(find_chore("start")),
    callback=_callback,
    help="Start a book: asks what it needs on a terminal, or takes it all as options.\n\n"
    "The book is made where --book (before the command), HERDBOOK_BOOK or the settings say, else in your own "
    "data folder.",
)
