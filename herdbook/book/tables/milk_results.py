"""What laboratories find in the milk of a tank."""

from __future__ import annotations

from sqlmodel import Field

from herdbook.book.tables.chain import Row


class MilkResult(Row, table=True):
    """One sample's figures: shares in parts per million, counts in a millilitre, urea nitrogen in micrograms in a
    decilitre, freezing point in millionths of a degree C; none where it was not tested.
    """

    __tablename__ = "milk_result"

    tank: int = Field(foreign_key="tank.id")
    sampled_at: int
    reported_day: str
    laboratory: str = ""
    number: str = ""
    fat_ppm: int | None = None
    protein_ppm: int | None = None
    cells_mL: int | None = None
    bacteria_mL: int | None = None
    urea_n_ug_dL: int | None = None
    freezing_udegC: int | None = None
    words: str = ""
