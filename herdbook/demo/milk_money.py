"""What the made-up farm's milk is worth: an invented price, and the cheque that comes in every second week."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from herdbook.demo.world import OWNER, World

PRICE_PER_CWT = 21.40
HAULING_PER_CWT = 0.85
PAID_DAYS = 14
COMES_AFTER_DAYS = 3


def cheque(world: World, day: date) -> Iterator[int]:
    """The owner writes what came in for two weeks of milk that ended some days ago, if the book holds them whole."""
    last = day - timedelta(days=COMES_AFTER_DAYS)
    first = last - timedelta(days=PAID_DAYS - 1)
    begun = world.clock.farm_day(world.begins_s) < first
    if world.days_ago(day) % PAID_DAYS != 2 or not begun:
        return
    yield (at_s := world.at(day, 11, 50))
    hundredweights = sum(lb for shipped, lb in world.shipped_lb.items() if first <= shipped <= last) / 100
    taken = round(hundredweights * HAULING_PER_CWT, 2)
    paid = round(hundredweights * PRICE_PER_CWT, 2) - taken
    typed = {
        "first": first.isoformat(),
        "last": last.isoformat(),
        "paid": f"{paid:.2f}",
        "taken": f"{taken:.2f}",
        "reference": f"MU-C{last.toordinal() % 10_000:04}",
    }
    world.scribe.write("milk-cheque", OWNER, at_s, typed, noted="Invented cheque.")
