"""Milk by milking and by farm day: a pickup's milk is spread back over the milkings since the tank was last empty."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.milk import MilkingRow
from herdbook.chores.ground import Ground
from herdbook.reports.figures import Figure, entries_of

LONGEST_STAY_S = 10 * 86_400
"""Milk does not stay on a farm longer; how far back a tank's milkings are looked for (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class MilkingMilk:
    """The milk of one milking, how it is known, and the entries under it; none where nothing says."""

    milking: MilkingRow
    milk_g: float | None
    how: str
    entries: tuple[int, ...]
    shipped: bool


def milk_by_milking(connection: Any, from_s: int, to_s: int) -> list[MilkingMilk]:
    """The milk of every milking that began in a span, over all tanks.

    A pickup that emptied the tank is shared over the milkings in it by their metered weights, else by their cows,
    else evenly. Milk not yet picked up counts as metered.
    """
    found: list[MilkingMilk] = []
    for tank in read_milk.tanks(connection):
        milkings = read_milk.milkings(connection, tank.tank, from_s - LONGEST_STAY_S, to_s + LONGEST_STAY_S)
        pickups = read_milk.pickups(connection, from_s - LONGEST_STAY_S, to_s + 2 * LONGEST_STAY_S, tank.tank)
        found += [one for one in _shared(milkings, pickups) if from_s <= one.milking.started_at < to_s]
    return sorted(found, key=lambda one: (one.milking.started_at, one.milking.milking))


def _shared(milkings: Sequence[MilkingRow], pickups: Sequence[Any]) -> list[MilkingMilk]:
    """Share each stretch between emptyings over its milkings; partial pickups count with the one that empties."""
    made: list[MilkingMilk] = []
    waiting, taken_g, tickets = list(milkings), 0.0, []
    for pickup in pickups:
        taken_g += pickup["milk_g"]
        tickets.append(pickup["entry"])
        if not pickup["emptied"]:
            continue
        inside = [one for one in waiting if one.started_at < pickup["picked_at"]]
        waiting = [one for one in waiting if one.started_at >= pickup["picked_at"]]
        made += _share_out(inside, taken_g, tuple(tickets))
        taken_g, tickets = 0.0, []
    made += [_as_metered(one) for one in waiting]
    return made


def _share_out(inside: Sequence[MilkingRow], taken_g: float, tickets: tuple[int, ...]) -> list[MilkingMilk]:
    weights, how = _weights(inside)
    whole = sum(weights)
    return [
        MilkingMilk(one, taken_g * weight / whole if whole else None, how, (*_under(one), *tickets), True)
        for one, weight in zip(inside, weights, strict=True)
    ]


def _weights(inside: Sequence[MilkingRow]) -> tuple[list[float], str]:
    metered = [one.milk_g for one in inside]
    if inside and all(metered):
        return [float(grams or 0) for grams in metered], "pickup shared by metered milk"
    cows = [one.cows for one in inside]
    if inside and all(cows):
        return [float(count or 0) for count in cows], "pickup shared by cows milked"
    return [1.0] * len(inside), "pickup shared evenly over its milkings"


def _as_metered(one: MilkingRow) -> MilkingMilk:
    how = "as metered, not picked up yet" if one.milk_g is not None else "not picked up yet and not metered"
    return MilkingMilk(one, None if one.milk_g is None else float(one.milk_g), how, _under(one), False)


def _under(one: MilkingRow) -> tuple[int, ...]:
    return (one.entry,) if one.end_entry in (None, one.entry) else (one.entry, one.end_entry)


def milk_by_day(connection: Any, ground: Ground, first: date, last: date) -> dict[date, Figure]:
    """Milk of every farm day of a span in kg: that of the milkings begun on it."""
    start, end = ground.clock.day_starts(first), ground.clock.day_starts(last + timedelta(days=1))
    by_day: dict[date, list[MilkingMilk]] = defaultdict(list)
    for one in milk_by_milking(connection, start, end):
        by_day[ground.clock.farm_day(one.milking.started_at)].append(one)
    return {day: _of_day(its) for day, its in by_day.items()}


def _of_day(its: Sequence[MilkingMilk]) -> Figure:
    unknown = sum(one.milk_g is None for one in its)
    known = [one.milk_g for one in its if one.milk_g is not None]
    missing = [f"{unknown} of {len(its)} milkings not picked up yet and not metered"] if unknown else []
    running = sum(one.milking.ended_at is None for one in its)
    missing += [f"{running} milking has no end yet"] if running else []
    return Figure(
        sum(known) / 1000 if known and not unknown else None,
        "kg",
        "milk of the day's milkings; "
        + (its[0].how if len({one.how for one in its}) == 1 else "shared or metered"),
        {
            f"milking {one.milking.milking}": "not known"
            if one.milk_g is None
            else f"{one.milk_g / 1000:.1f} kg, {one.how}"
            for one in its
        },
        tuple(missing),
        entries_of(*dict.fromkeys(number for one in its for number in one.entries)),
    )
