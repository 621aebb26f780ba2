"""Milk by milking and by farm day: a pickup's milk is spread back over the milkings since the tank was last empty."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.milk import MilkingRow
from herdbook.chores.ground import Ground
from herdbook.reports.figures import Figure, entries_of, in_kg
from herdbook.reports.fillings import Filling, fillings, share_before

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
    else evenly. Milk poured away counts as if it had been picked up; milk still in the tank counts as metered.
    """
    found: list[MilkingMilk] = []
    for tank in read_milk.tanks(connection):
        milkings = read_milk.milkings(connection, tank.tank, from_s - LONGEST_STAY_S, to_s + LONGEST_STAY_S)
        span = (from_s - LONGEST_STAY_S, to_s + 2 * LONGEST_STAY_S)
        pickups = read_milk.taken_out(connection, tank.tank, *span)
        found += [one for one in shared(milkings, pickups) if from_s <= one.milking.started_at < to_s]
    return sorted(found, key=lambda one: (one.milking.started_at, one.milking.milking))


@dataclass(slots=True)
class _Poured:
    """What is known of a milking's milk so far, emptying by emptying."""

    grams: list[float | None] = field(default_factory=list)
    how: list[str] = field(default_factory=list)
    entries: list[int] = field(default_factory=list)
    shipped: bool = True


def shared(milkings: Sequence[MilkingRow], pickups: Sequence[Any]) -> list[MilkingMilk]:
    """Share each stretch between emptyings over its milkings; partial pickups count with the one that empties."""
    made = {one.milking: _Poured() for one in milkings}
    emptyings = [row for row in pickups if row["emptied"]]
    before: tuple[int, ...] = ()
    *full, standing = fillings(milkings, [row["picked_at"] for row in emptyings])
    since_s = 0
    for filling, emptying in zip(full, emptyings, strict=True):
        tickets = [row for row in pickups if since_s < row["picked_at"] <= emptying["picked_at"]]
        tickets = [row for row in tickets if not row["emptied"] or row["entry"] == emptying["entry"]]
        taken_g = sum(row["milk_g"] for row in tickets)
        under = (*before, *(row["entry"] for row in tickets))
        for one, grams, how in _share_out(filling, taken_g):
            _pour(made[one.milking], grams, how, (*_under(filling.milkings), *under))
        before, since_s = (emptying["entry"],), emptying["picked_at"]
    for one in standing.milkings:
        part = 1.0 if standing.since_s is None else 1 - share_before(one, standing.since_s)
        if one.ended_at is None and part == 0:
            continue  # it ran while the tank was emptied and has no end yet: its milk counts with that pickup
        how = (
            "as metered, not picked up yet" if one.milk_g is not None else "not picked up yet and not metered"
        )
        grams = None if one.milk_g is None else one.milk_g * part
        parted_by = () if part == 1 else before
        _pour(made[one.milking], grams, how, (*_under([one]), *parted_by), shipped=False)
    return [_whole(one, made[one.milking]) for one in milkings if made[one.milking].how]


def _pour(
    into: _Poured, grams: float | None, how: str, under: Sequence[int], *, shipped: bool = True
) -> None:
    into.grams.append(grams)
    into.how.append(how)
    into.entries += under
    into.shipped = into.shipped and shipped


def _whole(one: MilkingRow, poured: _Poured) -> MilkingMilk:
    known = [grams for grams in poured.grams if grams is not None]
    whole_g = sum(known) if len(known) == len(poured.grams) else None
    how = "; ".join(dict.fromkeys(poured.how))
    if len(poured.grams) > 1:
        how += "; it ran while the tank was emptied, parted by time"
    return MilkingMilk(one, whole_g, how, tuple(dict.fromkeys(poured.entries)), poured.shipped)


def _share_out(filling: Filling, taken_g: float) -> Iterator[tuple[MilkingRow, float | None, str]]:
    weights, how = _weights(filling.milkings)
    parts = [_part_in(filling, one) for one in filling.milkings]
    shares = [weight * part for weight, part in zip(weights, parts, strict=True)]
    whole = sum(shares)
    for one, share in zip(filling.milkings, shares, strict=True):
        yield one, taken_g * share / whole if whole else None, how


def _part_in(filling: Filling, one: MilkingRow) -> float:
    """Which part of a milking's milk stood in a filling."""
    ends = 1.0 if filling.until_s is None else share_before(one, filling.until_s)
    return ends - (0.0 if filling.since_s is None else share_before(one, filling.since_s))


def _weights(inside: Sequence[MilkingRow]) -> tuple[list[float], str]:
    metered = [float(one.milk_g) for one in inside if one.milk_g is not None]
    if inside and len(metered) == len(inside) and sum(metered):
        return metered, "pickup shared by metered milk"
    cows = [float(one.cows) for one in inside if one.cows is not None]
    if inside and len(cows) == len(inside) and sum(cows):
        return cows, "pickup shared by cows milked"
    return [1.0] * len(inside), "pickup shared evenly over its milkings"


def _under(milkings: Sequence[MilkingRow]) -> list[int]:
    return [number for one in milkings for number in (one.entry, one.end_entry) if number is not None]


def milk_by_day(connection: Any, ground: Ground, first: date, last: date) -> dict[date, Figure]:
    """Milk of every farm day of a span in kg: that of the milkings begun on it."""
    start, end = ground.clock.day_starts(first), ground.clock.day_starts(last + timedelta(days=1))
    by_day: dict[date, list[MilkingMilk]] = defaultdict(list)
    for one in milk_by_milking(connection, start, end):
        by_day[ground.clock.farm_day(one.milking.started_at)].append(one)
    today = ground.clock.farm_day(ground.now_s)
    return {day: _of_day(its, is_over=day < today) for day, its in by_day.items()}


def _of_day(its: Sequence[MilkingMilk], *, is_over: bool) -> Figure:
    unknown = sum(one.milk_g is None for one in its)
    known = [one.milk_g for one in its if one.milk_g is not None]
    missing = [f"{unknown} of {len(its)} milkings not picked up yet and not metered"] if unknown else []
    running = sum(one.milking.ended_at is None for one in its)
    missing += [f"{running} milking has no end yet"] if running else []
    missing += [] if is_over else ["the day is not over"]
    return Figure(
        sum(known) / 1000 if known and not unknown else None,
        "kg",
        "milk of the day's milkings; "
        + (its[0].how if len({one.how for one in its}) == 1 else "shared or metered"),
        {
            f"milking {one.milking.milking}": "not known"
            if one.milk_g is None
            else in_kg(one.milk_g / 1000, one.how)
            for one in its
        },
        tuple(missing),
        entries_of(*dict.fromkeys(number for one in its for number in one.entries)),
    )
