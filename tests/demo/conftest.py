"""Made-up farms for the tests of the made-up farm: one of ten days, written once and only looked at."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from herdbook.book.opening import reading
from herdbook.book.reading.farm import Farm, farm
from herdbook.demo.write_farm import write_farm


@dataclass(frozen=True)
class MadeUp:
    """A written farm, open for looking.

    Args:
        connection: the book.
        farm: its settings.
        now_s: the moment it was written up to.
    """

    connection: sqlite3.Connection
    farm: Farm
    now_s: int

    @property
    def today(self) -> date:
        return self.farm.clock.farm_day(self.now_s)

    def ask(self, sql: str, *values: object) -> list[sqlite3.Row]:
        cursor = self.connection.cursor()
        cursor.row_factory = sqlite3.Row
        return cursor.execute(sql, values).fetchall()


def written(path: Path, until: str, *, days: int, seed: int = 1) -> Path:
    """Write a farm up to an instant in ISO 8601."""
    instant = datetime.fromisoformat(until).astimezone(UTC)
    write_farm(path, days=days, seed=seed, now=lambda: instant, login="somebody")
    return path


def look(path: Path, until: str) -> Iterator[MadeUp]:
    """The farm at the path, as looked at at the instant it was written up to."""
    with reading(path) as connection:
        yield MadeUp(connection, farm(connection), int(datetime.fromisoformat(until).timestamp()))


TEN_DAYS_UNTIL = "2026-06-10T19:20:00-05:00"  # in Chicago: an hour after the evening milking began to cool


@pytest.fixture(scope="session")
def ten_days_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return written(tmp_path_factory.mktemp("made-up") / "ten days.book", TEN_DAYS_UNTIL, days=10)


@pytest.fixture(scope="session")
def ten_days(ten_days_path: Path) -> Iterator[MadeUp]:
    yield from look(ten_days_path, TEN_DAYS_UNTIL)
