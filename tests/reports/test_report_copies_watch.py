"""Copies that are too old are an alert of the day, in a book old enough to have some."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from herdbook.book.copying import STAMP
from herdbook.book.opening import reading
from herdbook.reports.catalogue import ground_for_reading, make
from herdbook.settings import CopiesWatched, Settings, copies_watched
from tests.yard import DAY, HOUR, TEN_O_CLOCK, Yard

LIMIT_S = 36 * HOUR


def alerts(yard: Yard, copies: CopiesWatched | None) -> list[str]:
    """What the day says is wrong with the copies."""
    with reading(yard.path) as connection:
        report = make("today", connection, ground_for_reading(connection, yard.now_s, copies), {})
    (table,) = [table for table in report.tables if table.key == "alerts"]
    return [str(line.cells["says"].value) for line in table.lines if line.cells["about"].value == "Copies"]


def copy_made(folder: Path, at_s: int) -> None:
    """A file with a copy's name; its insides are not looked at."""
    folder.mkdir(exist_ok=True)
    stamp = datetime.fromtimestamp(at_s, UTC).strftime(STAMP)
    (folder / f"farm-{stamp}-e12-4f7c09d2ab31.book").touch()


@pytest.fixture
def watched(yard: Yard, tmp_path: Path) -> CopiesWatched:
    yard.now_s = TEN_O_CLOCK + 10 * DAY
    return CopiesWatched(tmp_path / "copies", LIMIT_S)


def test_a_book_without_a_copy_is_an_alert(yard: Yard, watched: CopiesWatched) -> None:
    assert alerts(yard, watched) == ["the book has none; it may be 36 h old (`herdbook copy`)."]


@pytest.mark.parametrize(("hours", "old"), [(36, False), (37, True)])
def test_a_copy_counts_until_it_is_as_old_as_it_may_be(
    yard: Yard, watched: CopiesWatched, hours: int, old: bool
) -> None:
    copy_made(watched.folder, yard.now_s - hours * HOUR)
    copy_made(watched.folder, yard.now_s - 90 * HOUR)
    found = alerts(yard, watched)
    assert bool(found) == old
    if old:  # 37 h before Thursday 10:00
        assert found == ["the newest was made Tue 17 Mar 21:00; it may be 36 h old (`herdbook copy`)."]


def test_a_book_younger_than_a_copy_may_be_needs_none_yet(yard: Yard, watched: CopiesWatched) -> None:
    yard.now_s = TEN_O_CLOCK + 30 * HOUR
    assert alerts(yard, watched) == []
    yard.now_s = TEN_O_CLOCK + 32 * HOUR
    assert len(alerts(yard, watched)) == 1


def test_nobody_who_does_not_mind_is_told(yard: Yard, watched: CopiesWatched) -> None:
    assert alerts(yard, None) == []
    assert copies_watched(Settings(copies_hours=0), yard.path) is None


def test_the_settings_say_where_copies_lie_and_how_old_they_may_be(tmp_path: Path) -> None:
    book = tmp_path / "farm.book"
    assert copies_watched(Settings(), book) == CopiesWatched(tmp_path / "copies", LIMIT_S)
    named = copies_watched(Settings(copies="/media/stick", copies_hours=50), book)
    assert named == CopiesWatched(Path("/media/stick"), 50 * HOUR)
