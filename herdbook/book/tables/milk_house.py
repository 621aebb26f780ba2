"""The milk house's own rounds: levels read, thermometers checked, tanks and pipelines washed."""

from __future__ import annotations

from sqlmodel import Field

from herdbook.book.tables.chain import Row


class TankLevel(Row, table=True):
    """Milk in a tank as the stick, through the chart, or a meter said."""

    __tablename__ = "tank_level"

    tank: int = Field(foreign_key="tank.id")
    read_at: int
    milk_g: int
    stick_um: int | None = None


class ThermometerCheck(Row, table=True):
    """A thermometer held beside a calibrated one in the same milk."""

    __tablename__ = "thermometer_check"

    tank: int = Field(foreign_key="tank.id")
    thermometer: str
    checked_at: int
    shown_mC: int
    reference_mC: int
    reference: str = ""


class Wash(Row, table=True):
    """A tank or the pipeline washed."""

    what: str
    tank: int | None = Field(default=None, foreign_key="tank.id")
    washed_at: int
    steps: str = ""
    begins_mC: int | None = None
    ends_mC: int | None = None
    chemicals: str = ""
    washed_by: str = ""
    words: str = ""


class CoolingGoal(Row, table=True):
    """A limit of the farm's own for cooling milk, from a day on, in hundredths of a degree of its own unit."""

    __tablename__ = "cooling_goal"

    from_day: str
    clock: str
    limit_hundredths: int
    unit: str
    within_min: int | None = None
    is_over: bool = False
