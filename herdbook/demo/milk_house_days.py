"""Rounds in the milk house of the made-up farm: the tank washed, the thermometer checked, one cow treated."""

# ruff: noqa: N806  units keep their capitals: degF
from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from herdbook.demo.happenings import pickup_today
from herdbook.demo.world import FEEDER, MILKER, OWNER, World

TREATED_DAYS_AGO, CHECKED_DAYS_AGO = 1, 9
COW = "1187"
READS_TOO_WARM_degF = 0.6
INVENTED = "Invented: no such product, label or hours exist."


def milk_house(world: World, day: date) -> Iterator[int]:
    """What is done there beside milking on one day."""
    ago = world.days_ago(day)
    if ago == CHECKED_DAYS_AGO:
        yield from _check(world, day)
    if ago == TREATED_DAYS_AGO:
        yield from _treat(world, day)
    if pickup_today(ago):
        yield from _wash(world, day)


def _check(world: World, day: date) -> Iterator[int]:
    at_s = world.at(day, 8, 20)
    yield at_s
    world.tank.go_on_to(at_s)
    true_degF = world.tank.milk_degF
    world.scribe.write(
        "thermometer-check",
        OWNER,
        at_s,
        {
            "shown": f"{true_degF + READS_TOO_WARM_degF:.1f} °F",
            "reference": f"{true_degF:.1f} °F",
            "against": "invented calibrated thermometer",
        },
    )


def _treat(world: World, day: date) -> Iterator[int]:
    at_s = world.at(day, 8, 40)
    yield at_s
    world.scribe.write(
        "treatment",
        MILKER,
        at_s,
        {
            "cow": COW,
            "drug": "invented udder tube",
            "milk": "96 h",
            "meat": "10 d",
            "hours_from": "label",
            "amount": "1 tube",
            "route": "into the quarter",
            "reason": "one hard quarter",
            "ordered": "invented veterinarian",
        },
        noted=INVENTED,
    )


def _wash(world: World, day: date) -> Iterator[int]:
    chance = world.dice(day, "wash")
    at_s = world.at(day, 11, 20, after_min=chance.randint(0, 25))
    yield at_s
    world.scribe.write(
        "wash",
        FEEDER,
        at_s,
        {
            "what": "tank",
            "steps": ["rinse", "detergent", "rinse", "acid"],
            "begins": f"{160 + chance.randint(-3, 4)} °F",
            "ends": f"{126 + chance.randint(-3, 4)} °F",
            "chemical": ["invented detergent", "invented acid rinse"],
        },
    )
