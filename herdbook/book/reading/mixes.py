"""What feeds that the farm mixes itself are made of, as it stood on a day."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass

from herdbook.book.reading.rows import rows, stands


@dataclass(frozen=True, slots=True)
class Recipe:
    """What a mix is made of from a day on; shares are as fed, in parts per million, in the order they were given.

    `first` is true for the oldest recipe of the feed: before it, nobody had said what the feed is made of.
    """

    feed: int
    from_day: str
    entry: int
    parts: tuple[tuple[int, int], ...]
    first: bool = True


def recipes(connection: sqlite3.Connection) -> dict[int, list[Recipe]]:
    """Every recipe that stands by feed, oldest first."""
    parts: dict[int, list[tuple[int, int]]] = {}
    for row in rows(
        connection,
        f"SELECT mix_part.feed_mix, mix_part.feed, share_ppm FROM mix_part {stands('mix_part')} "
        "ORDER BY feed_mix, place",
    ):
        parts.setdefault(row["feed_mix"], []).append((row["feed"], row["share_ppm"]))
    found: dict[int, list[Recipe]] = {}
    for row in rows(
        connection,
        f"SELECT feed_mix.* FROM feed_mix {stands('feed_mix')} ORDER BY from_day, feed_mix.id",
    ):
        of_feed = found.setdefault(row["feed"], [])
        made_of = tuple(parts.get(row["id"], ()))
        of_feed.append(Recipe(row["feed"], row["from_day"], row["entry"], made_of, first=not of_feed))
    return found


def recipes_on(connection: sqlite3.Connection, day: str) -> Mapping[int, Recipe]:
    """The recipe of each mix in force on a day; a mix's first recipe serves the days before it too."""
    return {feed: in_force(its, day) for feed, its in recipes(connection).items()}


def in_force(its: list[Recipe], day: str) -> Recipe:
    """The newest of a feed's recipes not after a day; else its first."""
    return next((recipe for recipe in reversed(its) if recipe.from_day <= day), its[0])


def circle(recipes: Mapping[int, Recipe], start: int) -> tuple[int, ...]:
    """The feeds along a way from a mix through its parts back to itself; empty when there is none."""
    way: list[int] = []
    clear: set[int] = set()

    def leads_back(feed: int) -> bool:
        way.append(feed)
        for part, _ in recipes[feed].parts if feed in recipes else ():
            if part == start:
                return True
            if part not in clear and part not in way and leads_back(part):
                return True
        clear.add(way.pop())
        return False

    return (*way, start) if leads_back(start) else ()
