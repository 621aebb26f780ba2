"""In the milk house of the made-up farm: milkings, the thermometer read while the tank cools, and the lorry."""

# ruff: noqa: N806  units keep their capitals: degF, degC
from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from random import Random

from herdbook.chores.doing import Written
from herdbook.demo import tank_made_up
from herdbook.demo.happenings import (
    COOLER_TODAY_SHARE,
    CORRECTED,
    SLOW_COOLING,
    SLOW_COOLING_SHARE,
    pickup_today,
    place,
)
from herdbook.demo.world import FEEDER, MILKER, World

MORNING, EVENING = (4, 0), (16, 0)
LASTS_MIN = 148
LIMIT_degF, COLD_degF = 45.0, 39.5
THERMOMETER_degF = 0.12


def milking(world: World, day: date, *, morning: bool) -> Iterator[int]:
    """One milking: begun, read while it fills, ended, and read until the milk is cold."""
    chance = world.dice(day, f"milking {morning}")
    started_s = world.at(day, *(MORNING if morning else EVENING), after_min=chance.randint(-4, 7))
    lasts_s = 60 * (LASTS_MIN + chance.randint(-9, 11))
    ended_s = started_s + lasts_s
    thermometer = _Thermometer(world, day, morning=morning)
    yield from thermometer.read(started_s)
    world.scribe.write("milking", MILKER, started_s, {"started": world.scribe.moment(started_s)})
    milk_lb = world.herd.milk_lb(day, morning=morning)
    milk_in = tank_made_up.MILK_IN_degC + chance.gauss(-0.4 if morning else 0.4, 0.3)
    world.tank.power_share = _power(world, day, morning=morning)
    world.tank.let_in(milk_lb, lasts_s, milk_in)
    for share in (0.4, 0.75):
        yield from thermometer.read(started_s + 60 * round(lasts_s * share / 60))
    yield ended_s
    world.tank.go_on_to(ended_s)
    world.tank.shut()
    yield ended_s + 100
    _write_end(world, chance, ended_s, milk_lb)
    yield from _cool_down(world, thermometer, ended_s)


def _write_end(world: World, chance: Random, ended_s: int, milk_lb: float) -> None:
    """Write the end with what was counted: a few cows go into a bucket, and meters are not exact."""
    counted = world.herd.milking_head - chance.choice((0, 0, 1, 1, 2, 3))
    metered_lb = round(milk_lb * (1 + chance.gauss(0.002, 0.004)))
    world.scribe.write(
        "milked",
        MILKER,
        ended_s + 100,
        {"ended": world.scribe.moment(ended_s), "cows": f"{counted}", "milk": f"{metered_lb} lb"},
    )


def _power(world: World, day: date, *, morning: bool) -> float:
    usual = 1 + world.dice(day, "cooler").gauss(0, 0.03)
    where = place(world.days_ago(day))
    if where == SLOW_COOLING and not morning:
        return usual * SLOW_COOLING_SHARE
    return usual * COOLER_TODAY_SHARE if where == 0 else usual


def _cool_down(world: World, thermometer: _Thermometer, ended_s: int) -> Iterator[int]:
    """Read every quarter of an hour until the limit is reached, every half until it is cold, and once more late."""
    read_s = ended_s + 5 * 60
    yield from thermometer.read(read_s)
    while thermometer.last_degF > COLD_degF and read_s - ended_s < 6 * 3600:
        read_s += 60 * (15 if thermometer.last_degF > LIMIT_degF else 30)
        yield from thermometer.read(read_s)
        if world.tank.power_share < 0.5 and thermometer.last_degF <= LIMIT_degF:
            world.tank.power_share = 1.0
            read_s += 600
            noted = "The condenser was full of dust; brushed out, it cools again."
            yield from thermometer.read(read_s, noted=noted)
    yield from thermometer.read(max(read_s + 3600, ended_s + 4 * 3600))


class _Thermometer:
    """The tank's thermometer as somebody reads and types it around one milking."""

    def __init__(self, world: World, day: date, *, morning: bool) -> None:
        self._world = world
        self._chance = world.dice(day, f"thermometer {morning}")
        self._mistake_due = place(world.days_ago(day)) == CORRECTED and not morning
        self.last_degF = 99.0

    def read(self, at_s: int, *, noted: str = "") -> Iterator[int]:
        """Read the tank at an instant and write it; an empty tank has no temperature."""
        yield at_s
        self._world.tank.go_on_to(at_s)
        if not self._world.tank.held_kg:
            return
        self.last_degF = round(self._world.tank.milk_degF + self._chance.gauss(0, THERMOMETER_degF), 1)
        typed = f"{self.last_degF:.1f}"
        wrong = swapped(typed)
        if self._mistake_due and self.last_degF < LIMIT_degF and abs(float(wrong) - self.last_degF) > 2:
            self._mistake_due = False
            entry = self._write(at_s, at_s, wrong, "").entry
            yield at_s + 90
            self._write(at_s + 90, at_s, typed, "Typed the wrong way round.", corrects=entry)
        else:
            self._write(at_s, at_s, typed, noted)

    def _write(
        self, written_s: int, at_s: int, typed: str, noted: str, *, corrects: int | None = None
    ) -> Written:
        return self._world.scribe.write(
            "temperature",
            MILKER,
            written_s,
            {"reading": f"{typed} °F", "read": self._world.scribe.moment(at_s), "agitator": "yes"},
            corrects=corrects,
            noted=noted,
        )


def swapped(typed: str) -> str:
    """A temperature with its ones and its tenths typed the wrong way round: 48.3 as 43.8."""
    return f"{typed[:-3]}{typed[-1]}.{typed[-3]}"


def pickup(world: World, day: date) -> Iterator[int]:
    """The lorry's visit, where it comes that day."""
    if not pickup_today(world.days_ago(day)):
        return
    chance = world.dice(day, "pickup")
    came_s = world.at(day, 9, 50, after_min=chance.randint(0, 45))
    yield came_s
    world.tank.go_on_to(came_s)
    stick_in = tank_made_up.stick_at_milk_in(world.tank.held_lb)
    stick_in += chance.choice((-1, 0, 0, 0, 1)) * Fraction(1, tank_made_up.STICK_PARTS)
    degF = world.tank.milk_degF + chance.gauss(0, THERMOMETER_degF)
    world.tank.empty()
    yield came_s + 15 * 60
    ticket_lb = round(tank_made_up.milk_at_stick_lb(float(stick_in)))
    world.shipped_lb[day] = ticket_lb
    world.scribe.write(
        "pickup",
        FEEDER,
        came_s + 15 * 60,
        {
            "weight": f"{ticket_lb} lb",
            "stick": f"{float(stick_in)} in",
            "temperature": f"{degF:.1f} °F",
            "ticket": f"MU-{day.toordinal() // 2 % 100_000:05}",
            "hauler": "invented hauler",
            "picked": world.scribe.moment(came_s),
        },
    )
