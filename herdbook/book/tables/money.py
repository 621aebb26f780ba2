"""What milk is worth and what the buyer paid for it."""

from __future__ import annotations

from sqlmodel import Field

from herdbook.book.tables.chain import Row


class MilkPrice(Row, table=True):
    """What a tonne of milk is worth from a day on, in thousandths of a cent."""

    __tablename__ = "milk_price"

    from_day: str = Field(index=True)
    mcents_per_t: int
    words: str = ""


class MilkCheque(Row, table=True):
    """What came in for the milk of a span of farm days, and what was taken off before."""

    __tablename__ = "milk_cheque"

    first_day: str = Field(index=True)
    last_day: str
    received_day: str
    paid_cents: int
    taken_off_cents: int = 0
    reference: str = ""
    words: str = ""
