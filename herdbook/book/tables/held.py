"""Milk that must not leave the farm: treated cows, held milk that went into a tank, tests, milk poured away."""

from __future__ import annotations

from sqlmodel import Field

from herdbook.book.tables.chain import Row


class Treatment(Row, table=True):
    """One treatment of one cow (identity only)."""


class TreatmentCard(Row, table=True):
    """What was given, by whom, and the hours the label or the veterinarian states."""

    __tablename__ = "treatment_card"

    treatment: int = Field(foreign_key="treatment.id", index=True)
    cow: str
    drug: str
    amount: str = ""
    route: str = ""
    reason: str = ""
    given_by: str = ""
    ordered_by: str = ""
    order_number: str = ""
    milk_h: int
    meat_h: int
    hours_from: str
    label_words: str = ""
    last_given_at: int


class TreatmentDose(Row, table=True):
    """One time it was given."""

    __tablename__ = "treatment_dose"

    treatment: int = Field(foreign_key="treatment.id", index=True)
    given_at: int


class TreatmentOver(Row, table=True):
    """When the cow's milk went back into the tank, and why where that was before the stated end."""

    __tablename__ = "treatment_over"

    treatment: int = Field(foreign_key="treatment.id", index=True)
    back_at: int
    reason: str = ""


class HeldMilk(Row, table=True):
    """Held milk that went into a tank: the tank is blocked from then on."""

    __tablename__ = "held_milk"

    tank: int = Field(foreign_key="tank.id")
    cow: str
    went_at: int
    milk_g: int | None = None
    words: str = ""


class MilkTest(Row, table=True):
    """What a laboratory or the buyer found in a tank's milk, as they word it."""

    __tablename__ = "milk_test"

    tank: int = Field(foreign_key="tank.id")
    sampled_at: int
    result: str
    words: str = ""
    told_by: str
    number: str = ""


class MilkDump(Row, table=True):
    """Milk of a tank that was poured away."""

    __tablename__ = "milk_dump"

    tank: int = Field(foreign_key="tank.id")
    dumped_at: int
    milk_g: int
    reason: str
    emptied: bool = True
