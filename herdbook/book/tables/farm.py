"""Who works on the farm, the farm's own settings and choices, and its weather."""

from __future__ import annotations

from sqlmodel import Field

from herdbook.book.tables.chain import Row


class Person(Row, table=True):
    """Someone who writes in the book (identity only)."""


class PersonCard(Row, table=True):
    """A person's name, roles and login from a day on."""

    __tablename__ = "person_card"

    person: int = Field(foreign_key="person.id", index=True)
    name: str
    roles: str
    login: str = ""
    active: bool = True


class FarmCard(Row, table=True):
    """The farm's settings as of an entry; the newest one standing governs."""

    __tablename__ = "farm_card"

    farm_key: str
    name: str
    zone: str
    day_start_min: int = 0
    system: str = "us"
    decimal: str = "."
    currency: str = "$"
    cooling_rule: str
    invented: bool = False
    dry_step_ppm: int | None = None
    rain_step_um: int | None = None
    feed_days: int | None = None


class FarmChoice(Row, table=True):
    """What the farm chose for one question from a day on, such as the rule its calls are advised by."""

    __tablename__ = "farm_choice"

    from_day: str
    choice: str
    chosen: str = ""


class WeatherDay(Row, table=True):
    """A farm day's mean air temperature and relative humidity."""

    __tablename__ = "weather_day"

    farm_day: str = Field(index=True)
    air_mC: int
    humidity_ppm: int


class RainDay(Row, table=True):
    """The rain of a farm day, in micrometres."""

    __tablename__ = "rain_day"

    farm_day: str = Field(index=True)
    rain_um: int
