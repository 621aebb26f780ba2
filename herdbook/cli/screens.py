"""`herdbook` without a command: opens the screens on the book, for whoever is at the keyboard."""

from __future__ import annotations

from pathlib import Path

from herdbook.cli.call import Call


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
    from herdbook.screens.start import start

    return int(start(chosen, who, call.settings))  # type: ignore[arg-type, call-arg]
