"""`herdbook restore`: put a checked copy in the book's place, after saying what lies between."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from herdbook.cli.call import Call, say
from herdbook.errors import ChoreRefused, Refused

if TYPE_CHECKING:
    from herdbook.book.restoring import Comparison, Stretch


@click.command()
@click.argument("copy", metavar="COPY")
@click.option("--onto", default="", metavar="PATH", help="the book to replace; else the one --book names")
@click.option(
    "--unlock-with",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="what opens a locked copy: a file with a secret key, or with a passphrase on its first line",
)
@click.option("--yes", is_flag=True, help="do not ask")
@click.pass_obj
def restore(call: Call, copy: str, onto: str, unlock_with: Path | None, yes: bool) -> None:
    """Put a checked copy in the book's place; the book may be missing or damaged.

    The copy is verified first. What lies between it and the book is told, and nothing is done without a yes. What
    was replaced is kept beside the book. Only an owner may replace a book.
    """
    from herdbook.book.locking import unlocked

    source, book = Path(copy).expanduser(), Path(onto).expanduser() if onto else call.path
    if book.exists() and source.exists() and book.samefile(source):
        raise Refused("The copy is the book itself.", remedy="Name a copy.", field="copy")
    with unlocked(source, unlock_with, book.resolve().parent) as opened:
        _bring_back(call, source, opened, book, yes=yes)


def _bring_back(call: Call, named: Path, source: Path, book: Path, *, yes: bool) -> None:
    """Compare, ask and replace; `named` is the copy as it was typed, `source` the same or what it opened to."""
    from herdbook.book.restoring import compare, restore_book, sound_copy
    from herdbook.cli.printing import print_lines
    from herdbook.plain import plain

    held = sound_copy(source)
    if book.exists():
        _see_an_owner(call, book, source)
    between = compare(book, source)
    print_lines(
        plain(line, longest=4_000)
        for line in (
            f"{named}: sound, {held.number} entries, sealed {held.head[:12]}.",
            *_what_lies_between(book, between),
        )
    )
    if between.found == "another":
        raise ChoreRefused(
            f"{book} and {named} are two different books.",
            remedy="If it is meant, move the book away yourself, then start again.",
        )
    if not yes and not _agreed(book, between):
        raise ChoreRefused("Nothing was done.")
    done = restore_book(source, book, seen=between.book, now_s=call.now_s())
    say(plain(f"{book} now holds {done.number} entries, sealed {done.head[:12]}.", longest=4_000))
    if done.kept is not None:
        say(plain(f"What was there is kept as {done.kept}.", longest=4_000))


def _see_an_owner(call: Call, book: Path, copy: Path) -> None:
    """See that an owner is at the keyboard, by the book; where that cannot be read, by the copy.

    Raises:
        ChoreRefused: someone else is.
        Refused: --person names nobody.
    """
    from herdbook.book.copying import look
    from herdbook.book.opening import UNREADABLE, look_at
    from herdbook.cli.who import OWNER, person_at
    from herdbook.errors import DamagedBook, NotABook

    def owner_in(path: Path) -> None:
        with look(path) as connection:
            who = person_at(call, connection)
        if OWNER not in who.roles:
            raise ChoreRefused(f"{who.name} may not replace the book.", remedy=f"It takes the role {OWNER}.")

    try:
        look_at(book)
        owner_in(book)
    except (DamagedBook, NotABook, *UNREADABLE):
        owner_in(copy)


def _what_lies_between(book: Path, between: Comparison) -> Iterator[str]:
    if between.found == "missing":
        yield f"There is no book at {book}; nothing is replaced."
    elif between.found == "unreadable":
        yield f"{book} is damaged or no book: what lies between it and the copy cannot be told."
    elif between.found == "same chain" and between.lost is None:
        yield "The book holds no entry that the copy does not."
    if between.lost is not None:
        yield f"In the book and not in the copy: {_in_words(between.lost)}."
    if between.gained is not None:
        yield f"In the copy and not in the book: {_in_words(between.gained)}."


def _in_words(stretch: Stretch) -> str:
    by = ", ".join(f"{count} by {name}" for name, count in stretch.by)
    if stretch.count == 1:
        return f"entry {stretch.first} of {stretch.first_day}, by {stretch.by[0][0]}"
    return (
        f"{stretch.count} entries, {stretch.first} of {stretch.first_day} to {stretch.last} of "
        f"{stretch.last_day}; {by}"
    )


def _agreed(book: Path, between: Comparison) -> bool:
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise ChoreRefused(
            "Nobody is here to be asked; nothing was done.", remedy="Add --yes if it is meant."
        )
    what = "Make it the book" if between.found == "missing" else "Replace the book; what is there is kept"
    return click.confirm(f"{what}?", default=False)
