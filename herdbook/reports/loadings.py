"""Each feed of each load as planned and as weighed in, and each load's order and time: what accuracy is told from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Any

from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading.feeding import LoadRow
from herdbook.book.reading.who_wrote import who_wrote
from herdbook.chores.ground import Ground
from herdbook.science.refusals import loading_deviation_percent

MILLION = 1_000_000


@dataclass(frozen=True, slots=True)
class Loading:
    """One feed of one load that was planned and weighed in.

    Args:
        person: who wrote its last weight.
        cents_per_t: its price on the load's day; none without one.
        entries: the load's, its weights' and its price's.
    """

    load: LoadRow
    feed: int
    person: int
    planned_g: int
    loaded_g: int
    cents_per_t: int | None
    entries: tuple[int, ...]

    @property
    def off_percent(self) -> float:
        """Over (above zero) or under the target."""
        return loading_deviation_percent(planned=self.planned_g, loaded=self.loaded_g)

    @property
    def off_cents(self) -> float | None:
        """What the feed loaded too much costs; below zero for too little."""
        if self.cents_per_t is None:
            return None
        return (self.loaded_g - self.planned_g) * self.cents_per_t / MILLION


@dataclass(frozen=True, slots=True)
class Mixed:
    """One load: its loadings, whether its order was kept, and how long it took.

    Args:
        order: kept, not kept, or none where the weights carry no times of their own.
        minutes: from the first feed to the last drop; none until it was dropped, or without times.
    """

    load: LoadRow
    loadings: tuple[Loading, ...]
    order: bool | None
    minutes: float | None


def mixed_between(connection: Any, first: date, last: date) -> list[Mixed]:
    """Every load of a span of farm days that something was weighed into, in order."""
    loads = [
        load for load in read_feeding.loads(connection, first.isoformat(), last.isoformat()) if load.weighed
    ]
    people = who_wrote(connection, (row["entry"] for load in loads for row in load.weighed))
    priced: dict[tuple[int, str], Any] = {}
    return [
        Mixed(load, tuple(_loadings(connection, load, people, priced)), order_kept(load), minutes_of(load))
        for load in loads
    ]


def _loadings(
    connection: Any, load: LoadRow, people: dict[int, int], priced: dict[tuple[int, str], Any]
) -> list[Loading]:
    found = []
    for plan in load.planned:
        rows = [row for row in load.weighed if row["feed"] == plan["feed"]]
        if not rows or not plan["planned_g"]:
            continue
        key = (plan["feed"], load.farm_day)
        if key not in priced:
            priced[key] = read_feeds.price_on(connection, *key)
        price = priced[key]
        under = [load.entry, *(row["entry"] for row in rows)] + ([] if price is None else [price["entry"]])
        found.append(
            Loading(
                load,
                plan["feed"],
                people[rows[-1]["entry"]],
                plan["planned_g"],
                sum(row["loaded_g"] for row in rows),
                None if price is None else price["cents_per_t"],
                tuple(dict.fromkeys(under)),
            )
        )
    return found


def _has_times(load: LoadRow) -> bool:
    """Weights that were written in one go have one time, and no order that could be told."""
    return len({row["weighed_at"] for row in load.weighed}) > 1


def order_kept(load: LoadRow) -> bool | None:
    """Whether the planned feeds went in in the planned order; feeds beside the plan are not looked at."""
    if not _has_times(load):
        return None
    place = {row["feed"]: row["place"] for row in load.planned}
    first_in: dict[int, int] = {}
    for row in load.weighed:
        if row["feed"] in place:
            first_in.setdefault(row["feed"], row["weighed_at"])
    went = sorted(first_in, key=lambda feed: (first_in[feed], place[feed]))
    return all(place[a] < place[b] for a, b in pairwise(went))


def minutes_of(load: LoadRow) -> float | None:
    """Minutes from the first feed to the last drop."""
    if not load.dropped or not _has_times(load):
        return None
    began = min(row["weighed_at"] for row in load.weighed)
    return max(0.0, float(max(row["dropped_at"] for row in load.dropped) - began) / 60)


def name_of_load(ground: Ground, load: LoadRow) -> str:
    """How a load is called in a span of days."""
    return f"{load.farm_day} load {load.number}"


def entries_under(loadings: Sequence[Loading]) -> tuple[int, ...]:
    """Every entry under loadings, each once."""
    return tuple(dict.fromkeys(number for one in loadings for number in one.entries))
