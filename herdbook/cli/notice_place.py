"""`herdbook notice-place`: where notices of alarms go; addresses stay in a file of their own, out of the book."""

from __future__ import annotations

import sys

import click

from herdbook.cli.call import Call, say
from herdbook.errors import Refused


@click.group("notice-place", no_args_is_help=True)
def notice_place() -> None:
    """Say where notices of alarms can go; the owner does this."""


@notice_place.command("add")
@click.argument("name")
@click.pass_obj
def add_place(call: Call, name: str) -> None:
    """Add a place, or give it another address.

    The address is asked for and not shown, or read from standard input; never given as a word of the command, where
    others on this computer could read it. It is an address as the notification library apprise writes them.
    """
    from herdbook.watch.places import places_path, read_places, see_name, write_places
    from herdbook.watch.send_one import SENT
    from herdbook.watch.sending import try_to_send

    _see_owner(call)
    see_name(name)
    places = dict(read_places(call.path))
    url = _address()
    if try_to_send(url, "", "") != SENT:
        raise _no_address()
    write_places(call.path, places | {name: url})
    say(f"Place {name} is written in {places_path(call.path).name}, which only this account may read.")
    say(
        f"Try it with `herdbook notice-place test {name}`; `herdbook write alarm-rules` says when it is told."
    )


def _address() -> str:
    """The address, asked for without showing it, or the first line of standard input."""
    from herdbook.plain import plain
    from herdbook.watch.places import LONGEST_URL

    if sys.stdin.isatty():
        typed = str(click.prompt("Address (not shown)", hide_input=True, err=True))
    else:
        typed = sys.stdin.readline(LONGEST_URL + 2)
    typed = typed.strip()
    if not typed or len(typed) > LONGEST_URL or plain(typed, longest=LONGEST_URL) != typed:
        raise _no_address()
    return typed


def _no_address() -> Refused:
    return Refused(
        "address: no notice can go to that.",
        remedy="See `herdbook manual alarms` for how addresses are written.",
        field="address",
    )


@notice_place.command("list")
@click.pass_obj
def list_places(call: Call) -> None:
    """List the names of the places, and what kind of address each has; never the address."""
    from herdbook.plain import plain
    from herdbook.watch.places import read_places

    _see_owner(call)
    places = read_places(call.path)
    for name, url in places.items():
        say(plain(f"{name} {url.partition(':')[0]}"))
    if not places:
        say("No place yet.")


@notice_place.command("remove")
@click.argument("name")
@click.pass_obj
def remove_place(call: Call, name: str) -> None:
    """Forget a place and its address."""
    from herdbook.watch.places import read_places, write_places

    _see_owner(call)
    places = dict(read_places(call.path))
    del places[_known(name, list(places))]
    write_places(call.path, places)
    say(f"Place {name} is forgotten.")


@notice_place.command("test")
@click.argument("name")
@click.pass_obj
def try_place(call: Call, name: str) -> int:
    """Send a notice to a place that says it is only a trial."""
    from herdbook.cli.call import complain
    from herdbook.watch.places import read_places
    from herdbook.watch.send_one import SENT
    from herdbook.watch.sending import try_to_send

    _see_owner(call)
    places = read_places(call.path)
    if (
        try_to_send(places[_known(name, list(places))], "Herdbook: trial", "Only a trial. Nothing is wrong.")
        != SENT
    ):
        complain(
            f"{name} did not take the notice.", "Check its address, and whether this computer is on line."
        )
        return 1
    say(f"{name} took the notice. See that it came to whom it is meant for.")
    return 0


def _known(name: str, names: list[str]) -> str:
    from herdbook.plain import plain

    if name not in names:
        raise Refused(
            f"There is no place called {plain(name, longest=40)!r}.",
            remedy=f"There are: {', '.join(names) or 'none yet'}.",
            field="name",
        )
    return name


def _see_owner(call: Call) -> None:
    """See that the owner is at the keyboard.

    Raises:
        ChoreRefused: somebody else is.
    """
    from herdbook.chores.doing import find_chore
    from herdbook.cli.who import as_who, person_at

    with call.reading() as (connection, _):
        who = as_who(person_at(call, connection))
    find_chore("alarm-rules").allow(who)
