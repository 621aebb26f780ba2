"""What loggers wrote: readings, the batches they came in, and how a logger's files are to be read."""

from __future__ import annotations

from sqlmodel import Field, SQLModel

from herdbook.book.tables.chain import Row


class ReadingBatch(Row, table=True):
    """Readings of one probe that were written together; `sha256` binds them to the chain.

    It is the hash over the batch's readings in order of time, each as two little-endian 64-bit whole numbers:
    the instant and the temperature.
    """

    __tablename__ = "reading_batch"

    tank: int = Field(foreign_key="tank.id", index=True)
    probe: str
    source: str = ""
    first_at: int
    last_at: int
    readings: int
    sha256: str


class Reading(SQLModel, table=True):
    """One reading of a logger; millions of them, so they carry no number and are written in bulk."""

    tank: int = Field(primary_key=True)
    read_at: int = Field(primary_key=True)
    batch: int = Field(primary_key=True, foreign_key="reading_batch.id")
    tank_mC: int


class ReadingProfile(Row, table=True):
    """How the files of one logger are to be read; what is empty is found out from each file."""

    __tablename__ = "reading_profile"

    name: str
    probe: str = ""
    delimiter: str = ""
    decimal: str = ""
    date_order: str = ""
    unit: str = ""
    zone: str = ""
    time_column: str = ""
    date_column: str = ""
    temperature_column: str = ""
