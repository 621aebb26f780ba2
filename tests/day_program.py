"""The screens on a book with a clock that a test moves: `day_program BOOK CLOCK PERSON`, run with -m.

The file CLOCK holds the instant, UTC seconds. Nothing else differs from `herdbook`: the same way in, the same
program; its minutes are shorter, so that a deadline that passes is seen without waiting for it.
"""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from herdbook.screens.start import start

if TYPE_CHECKING:
    from herdbook.screens.opening import Opening

BOOK, CLOCK, PERSON = (*sys.argv[1:], "")[:3]


def now() -> datetime:
    """The instant the test says it is."""
    return datetime.fromtimestamp(int(Path(CLOCK).read_text()), UTC)


def make_opening() -> Opening:
    """The book as `herdbook` opens it, for that person; without one, for somebody who only looks."""
    from herdbook.book.opening import reading
    from herdbook.book.reading.farm import people
    from herdbook.screens import app
    from herdbook.screens.at_the_book import opening_of
    from herdbook.screens.desk import Desk
    from herdbook.settings import Settings

    app._MINUTE_S = 0.5
    with reading(Path(BOOK)) as connection:
        found = next((one for one in people(connection) if one.name == PERSON), None)
    person, name = (found.person, found.name) if found else (0, "looking only")
    roles = frozenset(found.roles) if found else frozenset()
    return opening_of(Desk(Path(BOOK), person, name, roles, now), Settings())


if __name__ == "__main__":
    sys.exit(start(make_opening))
