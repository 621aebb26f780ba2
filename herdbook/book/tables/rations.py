"""What the nutritionist sets: rations in versions, targets, and which pen gets what; and the mixers."""

from __future__ import annotations

from sqlmodel import Field

from herdbook.book.tables.chain import Row


class Ration(Row, table=True):
    """A mix of feeds for a kind of cow (identity only)."""


class RationCard(Row, table=True):
    """A ration's name."""

    __tablename__ = "ration_card"

    ration: int = Field(foreign_key="ration.id", index=True)
    name: str


class RationVersion(Row, table=True):
    """A ration as set from a feeding of a day on; a past version never changes."""

    __tablename__ = "ration_version"

    ration: int = Field(foreign_key="ration.id")
    version: int
    from_day: str
    from_feeding: int = 1


class RationItem(Row, table=True):
    """One feed of a version: milligrams per head and day, as fed or as dry matter, in loading order."""

    __tablename__ = "ration_item"

    ration_version: int = Field(foreign_key="ration_version.id", index=True)
    place: int
    feed: int = Field(foreign_key="feed.id")
    basis: str
    mg: int
    typed: str = ""


class TargetSet(Row, table=True):
    """The nutritionist's targets for a ration from a day on."""

    __tablename__ = "target_set"

    ration: int = Field(foreign_key="ration.id")
    from_day: str


class Target(Row, table=True):
    """One target: low, aim and high of a figure, in millionths of its unit; none: open on that side."""

    target_set: int = Field(foreign_key="target_set.id", index=True)
    figure: str
    low: int | None = None
    aim: int | None = None
    high: int | None = None
    why: str = ""


class PenRation(Row, table=True):
    """Which ration a pen gets from a feeding of a day on, at which call, in how many feedings a day."""

    __tablename__ = "pen_ration"

    pen: int = Field(foreign_key="pen.id")
    ration: int = Field(foreign_key="ration.id")
    from_day: str
    from_feeding: int = 1
    call_ppm: int = 1_000_000
    feedings: int = 1


class PenFeedingShare(Row, table=True):
    """What share of a pen's day one feeding is, from a day on; an entry's rows together are the whole day."""

    __tablename__ = "pen_feeding_share"

    pen: int = Field(foreign_key="pen.id")
    from_day: str
    feeding: int
    share_ppm: int


class Mixer(Row, table=True):
    """A mixer (identity only)."""


class MixerCard(Row, table=True):
    """A mixer's name, what it holds, and the step of its scale."""

    __tablename__ = "mixer_card"

    mixer: int = Field(foreign_key="mixer.id", index=True)
    name: str
    capacity_g: int
    step_mg: int
    least_g: int | None = None


class MixerFeed(Row, table=True):
    """One feed's place in a mixer's own loading order, from a day on; an entry's rows together are the order."""

    __tablename__ = "mixer_feed"

    mixer: int = Field(foreign_key="mixer.id")
    from_day: str
    place: int
    feed: int = Field(foreign_key="feed.id")
