"""Rules of the book on mixes."""

from __future__ import annotations

from collections.abc import Iterator

from herdbook.book.checks import Finding
from herdbook.book.reading import mixes as read_mixes
from herdbook.book.rules.looking import Look, found, rule


@rule
def no_feed_is_made_of_itself(look: Look) -> Iterator[Finding]:
    """No mix leads through its parts back to itself on any day; striking a recipe can make it so."""
    every = read_mixes.recipes(look.connection)
    told: set[int] = set()
    for day in sorted({recipe.from_day for its in every.values() for recipe in its}):
        on_day = read_mixes.recipes_on(look.connection, day)
        for feed in on_day:
            way = read_mixes.circle(on_day, feed) if feed not in told else ()
            if way:
                told.update(way)
                names = " of ".join(look.name("feed", one) for one in way)
                entries = tuple(dict.fromkeys(on_day[one].entry for one in way))
                yield found(
                    look.name("feed", feed),
                    f"It is made of itself: {names}. It has no analysis.",
                    entries,
                    day,
                )
