"""What happens at the mixer and the bunk: loads, drops and refusals."""

from __future__ import annotations

from sqlmodel import Field

from herdbook.book.tables.chain import Row


class Load(Row, table=True):
    """One filling of a mixer (identity only)."""


class LoadPlan(Row, table=True):
    """What a load was meant to be: mixer, ration, when begun, which feeding of its day, heads, from which version."""

    __tablename__ = "load_plan"

    load: int = Field(foreign_key="load.id", index=True)
    mixer: int = Field(foreign_key="mixer.id")
    ration: int = Field(foreign_key="ration.id")
    ration_version: int = Field(foreign_key="ration_version.id")
    started_at: int
    farm_day: str
    number: int
    head: int
    feeding: int | None = None


class LoadPen(Row, table=True):
    """A pen that a load is for."""

    __tablename__ = "load_pen"

    load: int = Field(foreign_key="load.id", index=True)
    pen: int = Field(foreign_key="pen.id")


class LoadPlanLine(Row, table=True):
    """One feed of a load as planned, with the dry matter used."""

    __tablename__ = "load_plan_line"

    load: int = Field(foreign_key="load.id", index=True)
    place: int
    feed: int = Field(foreign_key="feed.id")
    planned_g: int
    dry_ppm: int


class LoadWeight(Row, table=True):
    """What the scale says went in: one feed of a load, with the dry matter used."""

    __tablename__ = "load_weight"

    load: int = Field(foreign_key="load.id", index=True)
    feed: int = Field(foreign_key="feed.id")
    loaded_g: int
    scale_g: int | None = None
    dry_ppm: int
    weighed_at: int
    typed: str = ""
    lot: str | None = None


class Drop(Row, table=True):
    """What a pen got out of a load."""

    __tablename__ = "feed_drop"

    load: int = Field(foreign_key="load.id", index=True)
    pen: int = Field(foreign_key="pen.id")
    dropped_at: int
    farm_day: str
    dropped_g: int
    typed: str = ""


class Refusal(Row, table=True):
    """What was weighed back from a pen, for the day it was fed on, and where it went."""

    pen: int = Field(foreign_key="pen.id")
    fed_on: str
    weighed_at: int
    refused_g: int
    dry_ppm: int | None = None
    went: str
    fed_to: int | None = Field(default=None, foreign_key="pen.id")
    typed: str = ""


class BunkScore(Row, table=True):
    """How much was left in a pen's bunk: a score of the named scale, as that scale prints it."""

    __tablename__ = "bunk_score"

    pen: int = Field(foreign_key="pen.id")
    read_at: int
    scale: str
    score: str
    note: str = ""


class PushUp(Row, table=True):
    """Feed pushed up to the cows, in one pen or, without one, in all."""

    __tablename__ = "push_up"

    pushed_at: int
    pen: int | None = Field(default=None, foreign_key="pen.id")


class TroughSeen(Row, table=True):
    """A water trough looked at: clean, cleaned now, dirty or empty."""

    __tablename__ = "trough_seen"

    pen: int | None = Field(default=None, foreign_key="pen.id")
    seen_at: int
    state: str
    note: str = ""
