"""Whether a tank's cooler has lost power: the heat of its last milkings against the usual, and what is said of it."""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.milk import MilkingRow
from herdbook.book.reading.weather import weather_days
from herdbook.chores.ground import Ground
from herdbook.reports.cooling import REFRIGERANT
from herdbook.reports.cooling_ahead import past_milkings_of
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.verdict_lines import chosen_tank
from herdbook.science.cooler_decline import WINDOW, CoolerCourse, Decline, Taken, cooler_course
from herdbook.science.tank_prior import Learned, bend_of_all, learned, power_at

COURSE_RULE = (
    "heat of each milking at 10 °C against milkings of as much milk in the tank at that time of day, weather evened "
    "out; the milking from which less was taken out stands out most"
)
TAKEN_RULE = "mass of the milk, 3.9 kJ/kg K, and how fast it cooled, followed through its readings, at 10 °C"
LOOK_AT = f"Clean the condenser first, then look at fan, belts and agitator; {REFRIGERANT}"
FACT_COLUMNS = {
    "tank": Column("tank", "Tank"),
    "lost_percent": Column("lost_percent", "Power lost", "%"),
    "lost_from_percent": Column("lost_from_percent", "At least", "%"),
    "lost_until_percent": Column("lost_until_percent", "At most", "%"),
    "since": Column("since", "Since", "time"),
    "milkings_after": Column("milkings_after", "Milkings since"),
    "milkings_before": Column("milkings_before", "Milkings before"),
    "spread_percent": Column("spread_percent", "Spread of one", "%", 1),
    "says": Column("says", "In words"),
}
MILKING_COLUMNS = (
    Column("milking", "Milking", "time"),
    Column("milk_kg", "Milk", "kg"),
    Column("in_tank", "In the tank"),
    Column("air_degC", "Air", "degC", 1),
    Column("heat_kW", "Heat at 10 °C", "kW", 1),
    Column("usual_kW", "Usual", "kW", 1),
    Column("off_percent", "Off", "%", 1),
)
_KEPT = 16
_kept: OrderedDict[tuple[Any, ...], Decline | None] = OrderedDict()


@dataclass(frozen=True, slots=True)
class CoolerMilking:
    """A milking that shows its heat, and the entries under it."""

    row: MilkingRow
    taken: Taken
    milk_g: int | None
    entries: tuple[int, ...]


def make(connection: Any, ground: Ground, *, tank: int | None = None) -> Report:
    """The course of a tank's cooler over its last milkings.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        tank: which tank; the only one if not given.

    Raises:
        ChoreRefused: there is no tank.
        Refused: there are several and none was named.
    """
    its = chosen_tank(connection, tank)
    milkings = cooler_milkings(connection, its.tank, ground)
    course = cooler_course([one.taken for one in milkings])
    lines = [_line(one, off, ground) for one, off in zip(milkings, _offs(course, len(milkings)), strict=True)]
    return Report(
        "cooler",
        f"Cooler of {its.name}, {ground.clock.shown(ground.now_s)}",
        facts={"tank": Figure(its.name, entries=entries_of(its.entry)), **_facts(course, milkings, ground)},
        columns=FACT_COLUMNS,
        tables=(
            Table(
                "milkings",
                f"Heat taken out of the last {WINDOW} milkings",
                MILKING_COLUMNS,
                tuple(reversed(lines)),
                "No milking shows its heat: its milk must be known, and it must be read while it cools.",
            ),
        ),
        warnings=() if course.decline is None else (decline_words(course.decline, ground),),
        data=course,
    )


def cooler_milkings(connection: Any, tank: int, ground: Ground) -> list[CoolerMilking]:
    """The last milkings of a tank that show the heat taken out of them, oldest first."""
    past = past_milkings_of(connection, tank, ground.now_s + 1, WINDOW)
    shown = [(row, one, its) for row, one in past if (its := learned(one)) is not None]
    if not shown:
        return []
    bend, _ = bend_of_all([its for _, _, its in shown])
    days = [ground.clock.farm_day(row.started_at).isoformat() for row, _, _ in shown]
    weather = weather_days(connection, min(days), max(days))
    found = []
    for (row, one, its), day in zip(shown, days, strict=True):
        air = weather.get(day)
        under = [row.entry, row.end_entry, *(reading.key for reading in one.readings)]
        under += [] if air is None else [air["entry"]]
        taken = _taken(its, bend, row, one.milking.milkings_before, air, ground)
        entries = tuple(dict.fromkeys(number for number in under if number is not None))
        found.append(CoolerMilking(row, taken, one.milking.added_g, entries))
    return found


def _taken(its: Learned, bend: float, row: MilkingRow, before: int, air: Any, ground: Ground) -> Taken:
    is_morning = ground.clock.local(row.started_at).hour < 12
    return Taken(
        row.started_at, power_at(its, bend), before, is_morning, None if air is None else air["air_mC"] / 1000
    )


def decline_now(connection: Any, tank: int, ground: Ground) -> Decline | None:
    """The loss of a tank's cooler for the day's alerts.

    Kept until the next milking into the tank ends: a correction of older readings shows in the cooler's own report at
    once, and here with that milking.
    """
    last = [
        m for m in read_milk.milkings_before(connection, tank, ground.now_s + 1, 2) if m.ended_at is not None
    ]
    if not last:
        return None
    (_, _, path) = next(iter(connection.execute("PRAGMA database_list")))
    key = (path, tank, last[-1].milking, last[-1].end_entry)
    if not path or key not in _kept:
        _kept[key] = cooler_course([one.taken for one in cooler_milkings(connection, tank, ground)]).decline
        while len(_kept) > _KEPT:
            _kept.popitem(last=False)
    return _kept[key]


def decline_words(decline: Decline, ground: Ground) -> str:
    """The loss, its evidence and what to look at, for a person."""
    since = ground.shown(decline.since_s)
    weather = "weather evened out" if decline.weathered else "no weather written"
    return (
        f"The cooler has lost about {100 * decline.lost:.0f} % since {since} "
        f"({100 * max(decline.low, 0):.0f} to {100 * decline.high:.0f} %): {decline.after} milkings took out less heat "
        f"than the {decline.before} before them with as much milk in the tank, {weather}. {LOOK_AT}"
    )


def _offs(course: CoolerCourse, count: int) -> Sequence[float | None]:
    return course.off or [None] * count


def _facts(course: CoolerCourse, milkings: Sequence[CoolerMilking], ground: Ground) -> Mapping[str, Figure]:
    found = course.decline
    missing = (course.why,) if course.why else ()
    under = entries_of(*(number for one in milkings for number in one.entries))

    def figure(value: Any, unit: str, rule: str = COURSE_RULE) -> Figure:
        return Figure(value, unit, rule, missing=missing, entries=under)

    says = decline_words(found, ground) if found else course.why or "nothing lost that stands out"
    return {
        "lost_percent": figure(100 * found.lost if found else None, "%"),
        "lost_from_percent": figure(
            100 * max(found.low, 0) if found else None, "%", "so much with a chance of 90 %"
        ),
        "lost_until_percent": figure(
            100 * found.high if found else None, "%", "no more with a chance of 90 %"
        ),
        "since": figure(found.since_s if found else None, "time"),
        "milkings_after": figure(found.after if found else None, ""),
        "milkings_before": figure(found.before if found else len(milkings), ""),
        "spread_percent": figure(
            100 * found.spread if found else None, "%", "from one milking to the next of its like"
        ),
        "says": figure(says, ""),
    }


def _line(one: CoolerMilking, off: float | None, ground: Ground) -> Line:
    under = entries_of(*one.entries)
    usual = None if off is None else math.exp(one.taken.ln_kW - off)
    return Line(
        ground.clock.shown(one.row.started_at),
        {
            "milking": Figure(one.row.started_at, "time", entries=under),
            "milk_kg": Figure(
                None if one.milk_g is None else one.milk_g / 1000,
                "kg",
                "as metered, or its share of the pickup",
                entries=under,
            ),
            "in_tank": Figure(
                one.taken.milkings_before, rule="milkings in the tank before it", entries=under
            ),
            "air_degC": Figure(one.taken.air_degC, "degC", "the farm day's mean", entries=under),
            "heat_kW": Figure(math.exp(one.taken.ln_kW), "kW", TAKEN_RULE, entries=under),
            "usual_kW": Figure(usual, "kW", "its like before any loss, at that day's weather", entries=under),
            "off_percent": Figure(
                None if off is None else 100 * (math.exp(off) - 1),
                "%",
                "heat against the usual",
                entries=under,
            ),
        },
    )
