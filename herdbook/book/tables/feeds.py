"""Feeds, what laboratories found in them, their dry matter and their prices."""

from __future__ import annotations

from sqlmodel import Field

from herdbook.book.tables.chain import Row


class Feed(Row, table=True):
    """Something that is fed (identity only)."""


class FeedCard(Row, table=True):
    """A feed's name, kind, caution and the most of it one head may get in a day."""

    __tablename__ = "feed_card"

    feed: int = Field(foreign_key="feed.id", index=True)
    name: str
    kind: str
    most_mg: int | None = None
    caution: str = ""
    place: str | None = None
    order_days: int | None = None


class Analysis(Row, table=True):
    """One sample of a feed: dry matter, and under it the nutrients that were determined."""

    feed: int = Field(foreign_key="feed.id")
    sampled_on: str
    dry_ppm: int
    basis: str
    laboratory: str = ""
    number: str = ""
    reported_on: str | None = None


class AnalysisValue(Row, table=True):
    """One nutrient of an analysis on dry matter, in millionths of the nutrient's own unit; none: not determined."""

    __tablename__ = "analysis_value"

    analysis: int = Field(foreign_key="analysis.id", index=True)
    nutrient: str
    millionths: int | None = None
    typed: str = ""
    method: str = ""


class DryTest(Row, table=True):
    """A dry-matter test on the farm."""

    __tablename__ = "dry_test"

    feed: int = Field(foreign_key="feed.id")
    tested_at: int
    dry_ppm: int
    method: str = ""
    typed: str = ""


class DrySample(Row, table=True):
    """One subsample of a dry-matter test: weight as taken and dried, in milligrams."""

    __tablename__ = "dry_sample"

    dry_test: int = Field(foreign_key="dry_test.id", index=True)
    wet_mg: int
    dried_mg: int


class FeedMix(Row, table=True):
    """What a feed that the farm mixes itself is made of, from a day on."""

    __tablename__ = "feed_mix"

    feed: int = Field(foreign_key="feed.id")
    from_day: str


class MixPart(Row, table=True):
    """One part of a mix: its share as fed, parts per million."""

    __tablename__ = "mix_part"

    feed_mix: int = Field(foreign_key="feed_mix.id", index=True)
    place: int
    feed: int = Field(foreign_key="feed.id")
    share_ppm: int
    typed: str = ""


class ReadFile(Row, table=True):
    """A file that was read in, by the hash of its bytes, so that it is known again."""

    __tablename__ = "read_file"

    kind: str
    sha256: str = Field(index=True)
    name: str = ""
    lines: int


class FeedPrice(Row, table=True):
    """What a tonne of a feed costs as fed from a day on, in cents."""

    __tablename__ = "feed_price"

    feed: int = Field(foreign_key="feed.id")
    from_day: str
    cents_per_t: int
    typed: str = ""
