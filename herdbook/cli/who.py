"""Who is at the keyboard: named by --person, else found by login name, else the only one there is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from herdbook.book.reading import farm as read_farm
from herdbook.book.reading.farm import PersonRow
from herdbook.cli.call import Call
from herdbook.errors import ChoreRefused, Refused

if TYPE_CHECKING:
    from herdbook.chores.doing import Who

OWNER = "owner"


def person_at(call: Call, connection: Any) -> PersonRow:
    """The person who writes.

    By `--person`; else the active person whose login it is; else the only active person, if they have no login.
    In a made-up farm a stranger writes as its owner, so that it can be tried at once.

    Raises:
        Refused: --person names nobody.
        ChoreRefused: nobody in the book has this login.
    """
    active = [person for person in read_farm.people(connection) if person.active]
    if call.person:
        return _named(call.person, active)
    found = [person for person in active if person.login and person.login == call.login_name]
    if not found and len(active) == 1 and not active[0].login:
        found = active
    if not found and read_farm.farm(connection).invented:
        found = [person for person in active if OWNER in person.roles]
    if not found:
        raise ChoreRefused(
            f"Nobody in the book has the login {call.login_name!r}.",
            remedy="Say who writes with --person NAME, or let the owner add the login: "
            f"`herdbook people add NAME --role hand --login {call.login_name}`.",
        )
    return found[0]


def person_or_none(call: Call, connection: Any) -> PersonRow | None:
    """The person who looks, where they are known; looking needs nobody.

    Raises:
        Refused: --person names nobody.
    """
    try:
        return person_at(call, connection)
    except ChoreRefused:
        return None


def as_who(person: PersonRow) -> Who:
    """The person as the chores know them."""
    from herdbook.chores.doing import Who

    return Who(person.person, person.name, person.roles)


def _named(name: str, active: list[PersonRow]) -> PersonRow:
    found = [person for person in active if person.name.lower() == name.strip().lower()]
    if not found:
        known = ", ".join(person.name for person in active) or "none"
        raise Refused(
            f"There is nobody called {name!r} in the book.", remedy=f"In the book: {known}.", field="person"
        )
    return found[0]
