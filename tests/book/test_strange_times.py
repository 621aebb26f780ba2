"""Clocks that are wrong or change, and two versions of the program at one book: nothing told is lost, each is told."""

from __future__ import annotations

from contextlib import closing
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from herdbook.book.checks import check_book
from herdbook.book.migrations import NEWEST
from herdbook.book.opening import connect
from herdbook.book.writing import Book
from herdbook.chores.doing import find_chore
from herdbook.errors import ChoreRefused
from tests.book import reference_chain
from tests.reports.byre import show
from tests.yard import ADA, DAY, HOUR, Yard

CHICAGO = ZoneInfo("America/Chicago")


def at_version(yard: Yard, version: int) -> None:
    """What another version of the program leaves behind."""
    with closing(connect(yard.path)) as other:
        other.execute("ALTER TABLE temperature ADD COLUMN by_another INTEGER")
        other.execute(f"PRAGMA user_version = {version}")


def test_a_session_that_an_update_overtook_writes_nothing_and_says_why(yard: Yard) -> None:
    told = yard.do("temperature", reading="40F").entry
    draft = yard.draft("temperature", reading="39F")
    at_version(yard, NEWEST + 1)
    state = yard.state()
    with pytest.raises(
        ChoreRefused, match=r"newer herdbook has changed this book .* Nothing was written"
    ) as refused:
        find_chore("temperature")(yard.book, draft, by=ADA, now=yard.now)
    assert refused.value.remedy.startswith("Leave, and start herdbook again")
    assert yard.state() == state
    assert yard.rows("SELECT tank_mC FROM temperature WHERE entry = ?", told)
    assert reference_chain.faults(yard.path) == []


def test_a_session_whose_book_was_put_back_to_an_older_version_writes_nothing(yard: Yard) -> None:
    draft, chore = yard.draft("temperature", reading="39F"), find_chore("temperature")
    with closing(Book(yard.path)) as session:
        chore(session, draft, by=ADA, now=yard.now)
        at_version(yard, NEWEST - 1)
        state = yard.state()
        with pytest.raises(ChoreRefused, match="older book lies in this one's place"):
            chore(session, draft, by=ADA, now=yard.now)
    assert yard.state() == state


def test_with_the_clock_set_back_all_that_was_told_stays_and_what_follows_is_written(yard: Yard) -> None:
    before = yard.entries
    yard.now_s -= 3 * DAY
    yard.do("note", words="the clock was wrong")
    yard.do("temperature", reading="38.5F")
    for name in ("today", "tank", "week", "entries", "cooling", "plan"):
        assert show(yard, name).title  # what lies ahead of the clock breaks no report
    yard.now_s += 3 * DAY + HOUR
    yard.do("temperature", reading="39.0F")
    assert yard.entries == before + 3
    assert reference_chain.faults(yard.path) == []
    assert check_book(yard.path, yard.now_s).findings == ()
    assert show(yard, "tank").data.last["tank_mC"] == 3_889


@pytest.mark.parametrize(("day", "hours"), [("2027-03-14", 23), ("2026-11-01", 25)], ids=["spring", "autumn"])
def test_a_night_in_which_the_clocks_change_has_all_its_readings_once_and_in_order(
    yard: Yard, day: str, hours: int
) -> None:
    midnight = datetime.fromisoformat(day).replace(tzinfo=CHICAGO)
    begins_s = int(midnight.timestamp())
    ends_s = int((midnight + timedelta(days=1)).replace(tzinfo=CHICAGO).timestamp())
    assert ends_s - begins_s == hours * HOUR
    told = []
    for at_s in range(begins_s, ends_s, HOUR // 2):
        yard.now_s = at_s
        told.append((yard.do("temperature", reading="39F").entry, at_s))
    rows = yard.rows("SELECT entry, read_at FROM temperature WHERE entry >= ? ORDER BY entry", told[0][0])
    assert [(row["entry"], row["read_at"]) for row in rows] == told
    days = {row["farm_day"] for row in yard.rows("SELECT farm_day FROM entry WHERE number >= ?", told[0][0])}
    assert days == {day}
    found = show(yard, "temperature-record", of=f"{day}..{day}")
    shown = [line["read_at"].number for line in found.table("readings").lines]
    assert shown == [at_s for _, at_s in told]
    assert check_book(yard.path, yard.now_s).findings == ()
