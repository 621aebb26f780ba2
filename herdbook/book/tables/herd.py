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
