"""From the milking to the truck: tanks, milkings, temperatures and pickups."""

from __future__ import annotations

from sqlmodel import Field

from herdbook.book.tables.chain import Row


class Tank(Row, table=True):
    """A bulk tank (identity only)."""


class TankCard(Row, table=True):
    """A tank's name and what it holds."""

    __tablename__ = "tank_card"

    tank: int = Field(foreign_key="tank.id", index=True)
    name: str
    capacity_g: int


class StickMark(Row, table=True):
    """One line of a tank's stick chart: stick reading in micrometres, milk in grams."""

    __tablename__ = "stick_mark"

    tank: int = Field(foreign_key="tank.id", index=True)
    stick_um: int
    milk_g: int


class Milking(Row, table=True):
    """One milking of the herd into one tank (identity only)."""


class MilkingStart(Row, table=True):
    """When a milking began and into which tank."""

    __tablename__ = "milking_start"

    milking: int = Field(foreign_key="milking.id", index=True)
    tank: int = Field(foreign_key="tank.id")
    started_at: int


class MilkingEnd(Row, table=True):
    """When a milking ended, with the cows milked and the milk, where known."""

    __tablename__ = "milking_end"

    milking: int = Field(foreign_key="milking.id", index=True)
    ended_at: int
    cows: int | None = None
    milk_g: int | None = None
    typed: str = ""


class Temperature(Row, table=True):
    """A reading of a tank's milk."""

    tank: int = Field(foreign_key="tank.id")
    read_at: int
    tank_mC: int
    typed: str
    source: str = "by hand"
    agitator: bool | None = None


class Pickup(Row, table=True):
    """Milk handed to a hauler (identity only)."""


class PickupTicket(Row, table=True):
    """What the pickup ticket says."""

    __tablename__ = "pickup_ticket"

    pickup: int = Field(foreign_key="pickup.id", index=True)
    tank: int = Field(foreign_key="tank.id")
    picked_at: int
    milk_g: int
    stick_um: int | None = None
    tank_mC: int | None = None
    ticket: str = ""
    hauler: str = ""
    emptied: bool = True
    typed: str = ""
