"""What is in the feed store: what came in, what was counted, and which face, bag or lot was opened when."""

from __future__ import annotations

from sqlmodel import Field

from herdbook.book.tables.chain import Row


class NewFace(Row, table=True):
    """A new face, bag or lot of a feed was opened."""

    __tablename__ = "new_face"

    feed: int = Field(foreign_key="feed.id")
    opened_at: int
    what: str = ""


class FeedDelivery(Row, table=True):
    """Feed that came in: bought, or brought in from the field; cents a tonne where it was said."""

    __tablename__ = "feed_delivery"

    feed: int = Field(foreign_key="feed.id")
    came_at: int
    came_g: int
    cents_per_t: int | None = None
    lot: str = ""
    supplier: str = ""


class StockCount(Row, table=True):
    """What was found of a feed in the store; what the book made of it before does not count any more."""

    __tablename__ = "stock_count"

    feed: int = Field(foreign_key="feed.id")
    counted_at: int
    held_g: int
