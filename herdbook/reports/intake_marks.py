"""What else was so on a day of a pen's intake: heat, and a ration or call that changed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.weather import weather_days
from herdbook.chores.ground import Ground
from herdbook.clock import shown_day
from herdbook.reports.figures import Figure, entries_of
from herdbook.reports.in_force import InForce
from herdbook.science.heat_stress import heat_word, thi_nrc


class Marks:
    """What else was so on a day: heat, and a ration that changed."""

    def __init__(self, connection: Any, ground: Ground, first: date, last: date) -> None:
        self._connection, self._ground = connection, ground
        self._weather = weather_days(connection, (first - timedelta(days=2)).isoformat(), last.isoformat())
        self._rations = InForce(self._ration_on, lambda key: key, first - timedelta(days=2), last)

    def _ration_on(self, pen: int, day: date) -> tuple[int, int] | None:
        its = read_rations.pen_ration_on(self._connection, pen, day.isoformat())
        if its is None:
            return None
        version = read_rations.version_in_force(self._connection, its["ration"], day.isoformat())
        return None if version is None else (its["entry"], version.entry)

    def heat(self, day: date) -> Figure:
        """The temperature-humidity index of a day, where its weather is written."""
        row = self._weather.get(day.isoformat())
        if row is None:
            return Figure(None, missing=("weather not written",))
        index = thi_nrc(air=row["air_mC"] / 1000, humidity=row["humidity_ppm"] / 10_000)
        word = heat_word(index)
        inputs = {
            "air": Figure(row["air_mC"] / 1000, "degC"),
            "humidity": Figure(row["humidity_ppm"] / 10_000, "%"),
        }
        says = "" if word == "none" else f"{word} heat stress"
        return Figure(
            index,
            "",
            "thi-nrc",
            inputs,
            entries=entries_of(row["entry"]),
            flag="!" if says else "",
            says=says,
        )

    def of(self, pen: int, day: date) -> Iterator[str]:
        """In words; the worst of heat comes a day or two later, so the two days before count too."""
        hot = [
            (figure.number, when, figure.says)
            for back in range(3)
            if (figure := self.heat(when := day - timedelta(days=back))).flag and figure.number is not None
        ]
        if hot:
            index, when, says = max(hot)
            yield f"heat: index {index:.0f} on {shown_day(when)}, {says}"
        for back in range(2):
            when = day - timedelta(days=back)
            now, before = self._rations.on(pen, when), self._rations.on(pen, when - timedelta(days=1))
            if before is not None and now is not None and now != before:
                yield f"its ration or call was changed for {shown_day(when)}"

    def entries(self, pen: int, day: date) -> tuple[int, ...]:
        """The entries under the marks of a day."""
        hot = [number for back in range(3) for number in self.heat(day - timedelta(days=back)).entries()]
        stands, before = self._rations.on(pen, day), self._rations.on(pen, day - timedelta(days=2))
        return (*hot, *(stands or ())) if stands != before else tuple(hot)
