"""`herdbook` without a command: opens the screens on the book, for whoever is at the keyboard."""

from __future__ import annotations

from pathlib import Path

from herdbook.cli.call import Call, complain
from herdbook.errors import HerdbookError


def open_screens(call: Call, path: Path | None = None) -> int:
    """Open the screens; return their exit status.

    Args:
        call: the book, the person and the clock.
        path: another book than the call's.

    Raises:
        HerdbookError: no such book, not a book, or --person names nobody.
    """
    from herdbook.book.opening import reading
    from herdbook.cli.who import person_or_none

    chosen = path or call.path
    with reading(chosen) as connection:
        who = person_or_none(call, connection)
    # the framework comes in only here, after the book is known to be one
    from herdbook.screens.at_the_book import open_book

    return open_book(
        chosen,
        person=who.person if who else 0,
        name=who.name if who else "looking only",
        roles=who.roles if who else frozenset(),
        settings=call.settings,
    )


def open_plainly(book: str, person: str) -> int:
    """Open the screens with nothing but a book and a person said; errors are told as the command line tells them."""
    call = Call(book=book, person=person)
    try:
        return open_screens(call)
    except HerdbookError as error:
        complain(str(error))
        return error.exit_status
