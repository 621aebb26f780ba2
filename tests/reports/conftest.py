"""The farm the reports' tests copy: made once, through the chores."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.reports.byre import started
from tests.yard import Yard


@pytest.fixture(scope="session")
def byre_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small farm, made once."""
    path = tmp_path_factory.mktemp("byre") / "farm.book"
    started(path).book.close()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return path


@pytest.fixture
def byre(byre_book: Path, tmp_path: Path) -> Iterator[Yard]:
    """A copy of the small farm to write in."""
    path = tmp_path / "byre.book"
    shutil.copyfile(byre_book, path)
    made = Yard(path)
    yield made
    made.book.close()
