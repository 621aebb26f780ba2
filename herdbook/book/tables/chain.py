"""The chain of entries, and drafts, the one thing in a book that may be rubbed out."""

from __future__ import annotations

from sqlmodel import Field, SQLModel


class Row(SQLModel):
    """A row written once under an entry; `entry` is stamped when the chore's rows are flushed."""

    id: int | None = Field(default=None, primary_key=True)
    entry: int | None = Field(default=None, foreign_key="entry.number", nullable=False, index=True)


class Entry(SQLModel, table=True):
    """One chore as written: who, when, for which farm day, and its link in the chain of hashes.

    `said` is what the person was told was written; `asked` is the chore's draft as JSON, from which a correction
    starts. The facts are in the rows under the entry.
    """

    number: int | None = Field(default=None, primary_key=True)
    written_ms: int
    person: int = Field(foreign_key="person.id")
    chore: str
    farm_day: str
    note: str = ""
    said: str = ""
    asked: str = "{}"
    strikes: int | None = Field(default=None, foreign_key="entry.number", unique=True)
    struck_by: int | None = Field(default=None, foreign_key="entry.number", unique=True)
    request: str = Field(unique=True)
    previous: str = Field(unique=True)
    hash: str = Field(unique=True)


class Draft(SQLModel, table=True):
    """A person's unfinished form, kept until it is written or thrown away; not part of the record."""

    person: int = Field(primary_key=True, foreign_key="person.id")
    form: str = Field(primary_key=True)
    request: str
    texts: str
    saved_ms: int
