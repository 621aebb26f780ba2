"""Pens and how many head stand in them."""

from __future__ import annotations

from sqlmodel import Field

from herdbook.book.tables.chain import Row


class Pen(Row, table=True):
    """A group of cows that is fed together (identity only)."""


class PenCard(Row, table=True):
    """A pen's name, what stands in it, and its place in walking order."""

    __tablename__ = "pen_card"

    pen: int = Field(foreign_key="pen.id", index=True)
    name: str
    kind: str
    walk: int


class HeadCount(Row, table=True):
    """Head in a pen from an instant on."""

    __tablename__ = "head_count"

    pen: int = Field(foreign_key="pen.id")
    counted_at: int
    head: int


class PenCows(Row, table=True):
    """What the cows of a pen are expected to be from a day on; each may be unknown.

    Milk is grams a cow and day, fat and protein parts per million of milk (true protein), condition hundredths of
    the five-point score, `older_ppm` the share of cows past their first lactation.
    """

    __tablename__ = "pen_cows"

    pen: int = Field(foreign_key="pen.id")
    from_day: str
    body_g: int | None = None
    days_in_milk: int | None = None
    days_pregnant: int | None = None
    older_ppm: int | None = None
    condition_hundredths: int | None = None
    milk_g: int | None = None
    fat_ppm: int | None = None
    protein_ppm: int | None = None
