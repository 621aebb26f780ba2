"""Pens, how many head stand in them, what their cows are, and cows that somebody saw on the walk."""

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


class Walk(Row, table=True):
    """One thing seen of a cow on the walk, until it is closed (identity only)."""


class WalkNote(Row, table=True):
    """What was seen of a cow and what was done; the newest note of a walk says when she is looked at again."""

    __tablename__ = "walk_note"

    walk: int = Field(foreign_key="walk.id", index=True)
    cow: str = Field(index=True)
    pen: int | None = Field(default=None, foreign_key="pen.id")
    seen_at: int
    what: str
    words: str = ""
    done: str = ""
    watch_again_at: int | None = None
    vet_called: bool = False


class WalkClosed(Row, table=True):
    """How it ended; from then on nobody is reminded of it."""

    __tablename__ = "walk_closed"

    walk: int = Field(foreign_key="walk.id", index=True)
    closed_at: int
    outcome: str
