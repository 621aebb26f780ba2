"""The weather and the rain of farm days."""

from __future__ import annotations

import sqlite3

from herdbook.book.reading.rows import rows, stands


def weather_days(connection: sqlite3.Connection, from_day: str, to_day: str) -> dict[str, sqlite3.Row]:
    """Farm day -> its newest weather (`air_mC`, `humidity_ppm`, `entry`), both ends included."""
    found = rows(
        connection,
        f"SELECT weather_day.* FROM weather_day {stands('weather_day')} WHERE weather_day.farm_day BETWEEN ? AND ? "
        "ORDER BY weather_day.farm_day, weather_day.id",
        from_day,
        to_day,
    )
    return {row["farm_day"]: row for row in found}


def rain_days(connection: sqlite3.Connection, after_day: str, to_day: str) -> dict[str, sqlite3.Row]:
    """Farm day -> its newest rain (`rain_um`, `entry`), after the first day up to the last."""
    found = rows(
        connection,
        f"SELECT rain_day.* FROM rain_day {stands('rain_day')} WHERE rain_day.farm_day > ? AND rain_day.farm_day <= ? "
        "ORDER BY rain_day.farm_day, rain_day.id",
        after_day,
        to_day,
    )
    return {row["farm_day"]: row for row in found}
