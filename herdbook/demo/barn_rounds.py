"""The rest of the made-up farm's day in the barn: feed pushed up, troughs, cows of the walk, weather, the store."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from math import cos, pi

from herdbook.demo.happenings import OFF_FEED_PEN, OFF_FEED_SHARE, WALKS, place
from herdbook.demo.scribe import Typed
from herdbook.demo.world import FEEDER, MILKER, OWNER, World

PUSHED_AT = (20, 40)
"""Wall-clock time at which feed is pushed up beside the loads (invented)."""
TROUGHS_ON = (1, 4)
"""Days of the week, Monday 0, on which the troughs are looked at (invented)."""
COUNTED_DAYS_AGO = 9
COUNTED: Mapping[str, str] = {
    "Corn silage": "640 ton", "Haylage": "230 ton", "Grass hay": "30 ton", "Wheat straw": "14 ton",
    "Ground corn": "24 ton", "Soybean meal": "16 ton", "Soy hulls": "12 ton", "Whole cottonseed": "9 ton",
    "Milk mineral mix": "4 ton", "Dry cow mineral mix": "0.4 ton", "Close-up mix": "0.8 ton",
}  # fmt: skip
"""What was found of each feed when the store was counted (invented)."""
MEAN_F, SWING_F, DAY_TO_DAY_F = 47.0, 25.0, 5.0
"""Mean air of the year, how far it swings to the middle of January and July, and its luck: invented."""


def bunk_score(left_share: float) -> str:
    """The score of the dairy scale that fits what was left of the feed, by that scale's own words."""
    for score, below in (("0", 0.005), ("1", 0.05), ("2", 0.12), ("3", 0.5)):
        if left_share < below:
            return score
    return "4"


def pushing(world: World, day: date) -> Iterator[int]:
    """The milker pushes the feed up at night."""
    yield (at_s := world.at(day, *PUSHED_AT, after_min=world.dice(day, "pushing").randint(0, 25)))
    world.scribe.write("push-up", MILKER, at_s, {})


def troughs(world: World, day: date) -> Iterator[int]:
    """Look at the troughs twice a week, and at the one that ran dry when its pen went off feed."""
    days_ago = world.days_ago(day)
    if OFF_FEED_SHARE and place(days_ago) == min(OFF_FEED_SHARE):
        yield (at_s := world.at(day, 6, 35))
        words = "Valve stuck, hardly any water came. Freed it; ordered a new one."
        world.scribe.write("trough", FEEDER, at_s, {"pen": OFF_FEED_PEN, "state": "empty", "words": words})
    elif day.weekday() in TROUGHS_ON:
        chance = world.dice(day, "troughs")
        yield (at_s := world.at(day, 10, 20, after_min=chance.randint(0, 30)))
        for pen in world.herd.pens[:3]:
            yield (at_s := at_s + 120)
            state = chance.choices(("clean", "cleaned", "dirty"), (6, 3, 1))[0]
            world.scribe.write("trough", FEEDER, at_s, {"pen": pen.name, "state": state})


def walk(world: World, day: date) -> Iterator[int]:
    """Cows seen on the walk, looked at again, and closed; which ones stands in the list of happenings."""
    for hour, minute, chore, typed in WALKS.get(place(world.days_ago(day)), ()):
        yield (at_s := world.at(day, hour, minute))
        about = typed.get("earlier") or typed.get("walk")
        if about is None or about in world.scribe.ground(at_s).names.get(
            "walk", {}
        ):  # a short book may begin later
            world.scribe.write(chore, FEEDER, at_s, typed)


def weather(world: World, day: date) -> Iterator[int]:
    """The day's mean air and humidity, read off the thermometer at the milk house before supper."""
    chance = world.dice(day, "weather")
    turned = cos(2 * pi * (day - timedelta(days=18)).timetuple().tm_yday / 365)
    air = MEAN_F - SWING_F * turned + chance.gauss(0, DAY_TO_DAY_F)
    humidity = min(98, max(40, round(chance.gauss(72, 9))))
    yield (at_s := world.at(day, 18, 5))
    typed: Mapping[str, Typed] = {"air": f"{air:.0f} F", "humidity": f"{humidity} %"}
    world.scribe.write("weather", OWNER, at_s, typed)


def count(world: World, day: date) -> Iterator[int]:
    """Count the feed store, once."""
    if world.days_ago(day) != COUNTED_DAYS_AGO:
        return
    at_s = world.at(day, 13, 10)
    for feed, found in COUNTED.items():
        yield (at_s := at_s + 240)
        typed = {"feed": feed, "found": found}
        world.scribe.write("stock-count", FEEDER, at_s, typed, noted="Invented count.")
