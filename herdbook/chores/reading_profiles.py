"""Named profiles: how the files of one logger are to be read, kept so that nothing need be found out again."""

from __future__ import annotations

from typing import Annotated, Any

from herdbook.book.reading.logged import reading_profiles
from herdbook.book.tables import ReadingProfile
from herdbook.chores.asking import Word, Words
from herdbook.chores.doing import HAND, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.logger_layouts import DELIMITERS, Given, see_zone
from herdbook.errors import Refused
from herdbook.plain import plain

LONGEST_COLUMN = 80


class ProfileDraft(ChoreDraft):
    """How a logger's files are to be read; what is left out is found out from each file."""

    name: Annotated[str, Words(label="name", help="what the logger is called", least=1, longest=60)]
    delimiter: Annotated[
        str | None, Word(label="delimiter", help="what parts the columns", words=tuple(DELIMITERS))
    ] = None
    decimal: Annotated[
        str | None, Word(label="decimal", help="the decimal mark", words=("point", "comma"))
    ] = None
    date_order: Annotated[
        str | None,
        Word(
            label="date order",
            help="day, month and year, as the dates have them",
            words=("ymd", "dmy", "mdy"),
        ),
    ] = None
    unit: Annotated[str | None, Word(label="unit", help="of the temperatures", words=("C", "F"))] = None
    zone: Annotated[
        str, Words(label="zone", help="of times without one: America/Chicago, UTC or -06:00", longest=60)
    ] = ""
    time_column: Annotated[
        str,
        Words(label="time column", help="its heading, or its number from the left", longest=LONGEST_COLUMN),
    ] = ""
    date_column: Annotated[
        str, Words(label="date column", help="the same, where the date has its own", longest=LONGEST_COLUMN)
    ] = ""
    temperature_column: Annotated[
        str, Words(label="temperature column", help="its heading, or its number", longest=LONGEST_COLUMN)
    ] = ""
    probe: Annotated[str, Words(label="probe", help="which thermometer of the tank it is", longest=60)] = ""

    def given(self) -> Given:
        """What is told of the files, as reading them takes it."""
        return Given(**{name: getattr(self, name) or "" for name in Given.NAMES})


@chore("reading-profile", "how a logger's files are read", ProfileDraft, roles=[HAND])
def keep_profile(doing: Doing, draft: ProfileDraft) -> str:
    """Write how the files of a logger are read; of one name the last one counts."""
    given = draft.given()
    if given.zone:
        see_zone(given.zone)
    told = {name: getattr(given, name) for name in Given.NAMES}
    doing.add(ReadingProfile(name=draft.name, probe=draft.probe, **told))
    said = [f"{ProfileDraft.asks()[name].label} {text}" for name, text in told.items() if text]
    return f"Files of {draft.name}: {', '.join(said) or 'nothing told beforehand'}."


def profile(connection: Any, name: str) -> tuple[Given, str]:
    """A profile of the book and the probe it is of.

    Raises:
        Refused: there is none of that name.
    """
    known = reading_profiles(connection)
    found = next((row for key, row in known.items() if key.lower() == name.strip().lower()), None)
    if found is None:
        has = f"The book has {', '.join(known)}." if known else "Save one with --save-profile."
        raise Refused(f"There is no profile called {plain(name, longest=60)!r}.", remedy=has, field="profile")
    return Given(**{key: found[key] for key in Given.NAMES}), found["probe"]
