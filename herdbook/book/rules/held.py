"""Rules of the book on milk held back."""

from __future__ import annotations

from collections.abc import Iterator

from herdbook.book.checks import Finding
from herdbook.book.reading import held as read_held
from herdbook.book.reading import milk as read_milk
from herdbook.book.rules.looking import Look, found, rule


@rule
def no_pickup_takes_held_milk(look: Look) -> Iterator[Finding]:
    """No pickup was taken from a tank that held milk had gone into, without a clear result or pouring it away."""
    tanks = {row["tank"] for row in read_held.held_milk(look.connection)}
    for tank in sorted(tanks):
        for row in read_milk.pickups(look.connection, 0, 2**62, tank):
            held = read_held.blocking(look.connection, tank, row["picked_at"])
            fresh = [one for one in held if _still_in(look, tank, one["went_at"], row["picked_at"])]
            if fresh:
                says = f"was taken after held milk of cow {fresh[-1]['cow']} went in; call the buyer."
                entries = (fresh[-1]["entry"], row["entry"])
                about = f"pickup from {look.name('tank', tank)}"
                yield found(about, says, entries, look.day(row["picked_at"]))


def _still_in(look: Look, tank: int, went_at: int, picked_at: int) -> bool:
    """Whether no earlier pickup had emptied the tank of it already: that one is told."""
    emptied = read_milk.last_emptied(look.connection, tank, picked_at)
    return emptied is None or emptied["picked_at"] < went_at


@rule
def a_dose_is_given_once(look: Look) -> Iterator[Finding]:
    """No two treatments of one cow with one drug were given at the same minute."""
    seen: dict[tuple[str, str, int], int] = {}
    for one in read_held.treatments(look.connection):
        for given_at in one.doses:
            key = (one.cow.lower(), one.card["drug"].lower(), given_at // 60)
            if key in seen:
                says = f"was given {one.card['drug']} at {look.at(given_at)} in entry {seen[key]} too."
                yield found(f"cow {one.cow}", says, (seen[key], one.card["entry"]), look.day(given_at))
            seen.setdefault(key, one.card["entry"])
