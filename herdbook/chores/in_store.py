"""What should be left of a feed in the store: the last count, what came in since, less what went into loads."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from herdbook.book.reading import mixes as read_mixes
from herdbook.book.reading import store as read_store
from herdbook.book.reading.mixes import Recipe, in_force
from herdbook.chores.ground import Ground

USE_DAYS = 7
"""Present use is the mean of the mixing days in the last seven whole ones: common practice, no source."""
MILLION = 1_000_000
DEEPEST = 20
"""Mixes in mixes further down than this are a circle that was left standing."""


@dataclass(frozen=True, slots=True)
class InStore:
    """A feed's store as the book makes it.

    Attributes:
        feed: which.
        began_at: the last count; of a feed never counted, when it first came in.
        counted_g: what the last count found; none if it was never counted.
        came_g: what came in since.
        used_g: what went into loads since, and into mixes made on the farm.
        use_a_day_g: what goes in a mixing day at present; none without a mixing day in the last seven.
        entries: the count and what came in.
    """

    feed: int
    began_at: int
    counted_g: int | None
    came_g: int
    used_g: float
    use_a_day_g: float | None
    entries: tuple[int, ...]

    @property
    def held_g(self) -> float:
        """What should be there; less than nothing where more went out than the book knows of."""
        return (self.counted_g or 0) + self.came_g - self.used_g

    @property
    def days_left(self) -> float | None:
        """How long it lasts at present use; none where none of it is used."""
        return max(0.0, self.held_g) / self.use_a_day_g if self.use_a_day_g else None


def in_store(connection: Any, ground: Ground, at_s: int | None = None) -> dict[int, InStore]:
    """Every feed that was counted or came in, as it should stand.

    What a load takes of a mix that has no store of its own is taken from its parts, by the recipe of that day.

    Args:
        connection: the book.
        ground: the farm's clock.
        at_s: the instant; the ground's own if not given.
    """
    until_s = ground.now_s if at_s is None else at_s
    counts = read_store.newest_counts(connection, until_s)
    came = read_store.deliveries(connection, until_s)
    began = {row["feed"]: row["came_at"] for row in reversed(came)}
    began |= {feed: row["counted_at"] for feed, row in counts.items()}
    if not began:
        return {}
    recipes = read_mixes.recipes(connection)
    used = _drawn(connection, ground, began, until_s, recipes)
    for row in came:  # a mix that nobody supplied was made on the farm, of its parts
        if row["feed"] in recipes and not row["supplier"]:
            _draw_parts(ground, recipes, began, used, row["feed"], row["came_g"], row["came_at"])
    use = _use_a_day(connection, ground, began, until_s, recipes)
    found = {}
    for feed, since in began.items():
        count = counts.get(feed)
        its = [row for row in came if row["feed"] == feed and (row["came_at"] > since or count is None)]
        found[feed] = InStore(
            feed,
            since,
            count["held_g"] if count else None,
            sum(row["came_g"] for row in its),
            used.get(feed, 0.0),
            None if use is None else use.get(feed, 0.0),
            tuple(row["entry"] for row in ([count] if count else []) + its),
        )
    return found


def _use_a_day(
    connection: Any,
    ground: Ground,
    began: Mapping[int, int],
    until_s: int,
    recipes: Mapping[int, list[Recipe]],
) -> dict[int, float] | None:
    today = ground.clock.farm_day(until_s)
    first, last = today - timedelta(days=USE_DAYS), today - timedelta(days=1)
    days = read_store.days_mixed(connection, first.isoformat(), last.isoformat())
    if not days:
        return None
    after_s = ground.clock.day_starts(first) - 1
    taken = _drawn(
        connection, ground, dict.fromkeys(began, after_s), ground.clock.day_starts(today) - 1, recipes
    )
    return {feed: grams / days for feed, grams in taken.items()}


def _drawn(
    connection: Any,
    ground: Ground,
    since: Mapping[int, int],
    until_s: int,
    recipes: Mapping[int, list[Recipe]],
) -> dict[int, float]:
    """Feed -> grams taken out of its store after its own instant."""
    used: dict[int, float] = defaultdict(float, read_store.weighed_in(connection, since, until_s))
    rows = read_store.weighings_of(connection, recipes, min(since.values()), until_s) if recipes else ()
    for row in rows:
        mix, at_s = row["feed"], row["weighed_at"]
        if mix not in since or at_s <= since[mix]:  # before it had a store of its own, it came from its parts
            _draw_parts(ground, recipes, since, used, mix, row["loaded_g"], at_s)
    return used


def _draw_parts(
    ground: Ground,
    recipes: Mapping[int, list[Recipe]],
    since: Mapping[int, int],
    used: dict[int, float],
    mix: int,
    grams: float,
    at_s: int,
    deep: int = 0,
) -> None:
    """Take what a mix is made of out of the stores of its parts."""
    recipe = in_force(recipes[mix], ground.clock.farm_day(at_s).isoformat())
    whole = sum(share for _, share in recipe.parts)
    for part, share in recipe.parts:
        its = grams * share / whole
        if part in since:
            used[part] = used.get(part, 0.0) + (its if at_s > since[part] else 0.0)
        elif part in recipes and deep < DEEPEST:
            _draw_parts(ground, recipes, since, used, part, its, at_s, deep + 1)
