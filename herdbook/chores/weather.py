"""The weather of a farm day: air and humidity, for marking intake with heat; rain, for when to test dry matter."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from herdbook.book.tables import RainDay, WeatherDay
from herdbook.chores.doing import HAND, NUTRITIONIST, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.measures import Measure, ask_rain, ask_share
from herdbook.chores.moments import Day
from herdbook.science.heat_stress import heat_word, thi_nrc
from herdbook.units import TEMPERATURE_MC


class Air(Measure):
    """An air temperature, which may lie below nought."""


def ask_air(label: str, *, help: str = "") -> Air:
    """An air temperature in millidegrees Celsius, -60 to 60 °C: past any record on a farm."""
    return Air(
        label=label,
        help=help,
        kept=TEMPERATURE_MC,
        unit=lambda u: u.warmth,
        least=-60_000,
        most=60_000,
        likely=(-35_000, 45_000),
        decimals=1,
    )


class WeatherDraft(ChoreDraft):
    """A day's weather in the barn or beside it."""

    air: Annotated[int, ask_air("air", help="mean air temperature of the day")]
    humidity: Annotated[int, ask_share("humidity", least_ppm=0, help="mean relative humidity of the day")]
    of: Annotated[date | None, Day(label="of", help="which farm day; today if not given")] = None
    rain: Annotated[int | None, ask_rain("rain", help="rain of the day, if a gauge was read")] = None


@chore("weather", "a day's weather", WeatherDraft, roles=[HAND, NUTRITIONIST])
def write_weather(doing: Doing, draft: WeatherDraft) -> str:
    """Write a day's weather, and say the temperature-humidity index it makes."""
    doing.farm_day = draft.of or doing.ground.clock.farm_day(doing.ground.now_s)
    doing.add(WeatherDay(farm_day=doing.farm_day.isoformat(), air_mC=draft.air, humidity_ppm=draft.humidity))
    index = thi_nrc(air=draft.air / 1000, humidity=draft.humidity / 10_000)
    word = heat_word(index)
    heat = f", {word} heat stress" if word != "none" else ""
    air = draft.asks()["air"].shown(draft.air, doing.ground)
    share = doing.ground.units.number(draft.humidity / 10_000)
    rain = ""
    if draft.rain is not None:
        doing.add(RainDay(farm_day=doing.farm_day.isoformat(), rain_um=draft.rain))
        rain = f", rain {draft.asks()['rain'].shown(draft.rain, doing.ground)}"
    return f"Weather of {doing.farm_day.isoformat()}: {air}, {share} %, index {index:.0f}{heat}{rain}."


class RainDraft(ChoreDraft):
    """The rain of a day."""

    rain: Annotated[int, ask_rain("rain", help="what the gauge held")]
    of: Annotated[date | None, Day(label="of", help="which farm day; today if not given")] = None


@chore("rain", "the rain of a day", RainDraft, roles=[HAND, NUTRITIONIST])
def write_rain(doing: Doing, draft: RainDraft) -> str:
    """Write the rain of a day; wet feeds that stand in it are due for a dry-matter test."""
    doing.farm_day = draft.of or doing.ground.clock.farm_day(doing.ground.now_s)
    doing.add(RainDay(farm_day=doing.farm_day.isoformat(), rain_um=draft.rain))
    return f"Rain of {doing.farm_day.isoformat()}: {draft.asks()['rain'].shown(draft.rain, doing.ground)}."
