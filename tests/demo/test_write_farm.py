"""The made-up farm is written whole, repeatably, up to this moment, and says that it is invented."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from herdbook.book.chain import chained_tables
from herdbook.book.reading import farm as read_farm
from herdbook.book.reading import milk as read_milk
from herdbook.demo.write_farm import write_farm
from herdbook.errors import ChoreRefused, Refused
from tests.demo.conftest import MadeUp, look, written

MORNING, EVENING = "2026-06-10T05:30:00-05:00", "2026-06-10T17:10:00-05:00"


def hashes(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as connection:
        return [row[0] for row in connection.execute("SELECT hash FROM entry ORDER BY number")]


def test_the_same_seed_days_and_moment_give_the_same_chain_and_another_seed_another(tmp_path: Path) -> None:
    first, again, other = (
        hashes(written(tmp_path / name, MORNING, days=1, seed=seed))
        for name, seed in (("first", 7), ("again", 7), ("other", 8))
    )
    assert first == again
    assert len(set(first) & set(other)) == 0


def test_the_farm_of_the_morning_is_the_beginning_of_the_farm_of_the_evening(tmp_path: Path) -> None:
    morning = hashes(written(tmp_path / "morning", MORNING, days=1))
    evening = hashes(written(tmp_path / "evening", EVENING, days=1))
    assert len(morning) < len(evening)
    assert evening[: len(morning)] == morning


def test_the_chain_holds_when_hashed_anew(tmp_path: Path) -> None:
    path = written(tmp_path / "farm.book", MORNING, days=1)
    for made in look(path, MORNING):
        previous = "0" * 64
        for entry in made.ask("SELECT * FROM entry ORDER BY number"):
            rows = {}
            for table in chained_tables(made.connection):
                its = made.ask(f"SELECT * FROM {table} WHERE entry = ? ORDER BY id", entry["number"])
                if its:
                    rows[table] = [{k: v for k, v in dict(row).items() if v is not None} for row in its]
            columns = {
                k: v for k, v in dict(entry).items() if k not in ("hash", "struck_by") and v is not None
            }
            text = json.dumps(
                {"entry": columns, "rows": rows}, sort_keys=True, separators=(",", ":"), ensure_ascii=False
            )
            assert entry["previous"] == previous
            assert entry["hash"] == hashlib.sha256(text.encode()).hexdigest()
            previous = entry["hash"]


MOMENTS = [
    pytest.param(("2026-06-10T00:01:00-05:00", 1), id="a minute after midnight"),
    pytest.param(("2026-06-10T06:40:00-05:00", 1), id="just after the morning milking"),
    pytest.param(("2026-06-10T17:00:00-05:00", 2), id="in the middle of the evening milking"),
    pytest.param(("2026-03-09T12:00:00-05:00", 2), id="the day after the clocks went forward"),
    pytest.param(("2026-11-02T12:00:00-06:00", 2), id="the day after the clocks went back"),
]


@pytest.fixture(scope="module", params=MOMENTS)
def made_until(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[MadeUp, int]]:
    """A small farm written up to a moment worth trying, and its days."""
    until, days = request.param
    for made in look(written(tmp_path_factory.mktemp("until") / "farm.book", until, days=days), until):
        yield made, days


MOMENT_COLUMNS = {
    "temperature": "read_at",
    "milking_start": "started_at",
    "milking_end": "ended_at",
    "pickup_ticket": "picked_at",
    "load_plan": "started_at",
    "load_weight": "weighed_at",
    "feed_drop": "dropped_at",
    "refusal": "weighed_at",
    "dry_test": "tested_at",
    "head_count": "counted_at",
}


def test_nothing_lies_ahead_and_entries_stand_in_order_of_time(made_until: tuple[MadeUp, int]) -> None:
    made, _ = made_until
    written_ms = [row[0] for row in made.ask("SELECT written_ms FROM entry ORDER BY number")]
    assert written_ms == sorted(written_ms)
    assert written_ms[-1] <= made.now_s * 1000
    for table, column in MOMENT_COLUMNS.items():
        newest = made.ask(f"SELECT max({column}) FROM {table}")[0][0]
        assert newest is None or newest <= made.now_s, table
    assert made.ask("SELECT max(farm_day) FROM entry")[0][0] <= made.today.isoformat()


def test_the_tank_has_something_to_show_at_any_hour(made_until: tuple[MadeUp, int]) -> None:
    made, _ = made_until
    tank = read_milk.tanks(made.connection)[0].tank
    emptied = read_milk.last_emptied(made.connection, tank, made.now_s)
    since = 0 if emptied is None else emptied["picked_at"]
    last = read_milk.last_temperature(made.connection, tank, made.now_s)
    assert read_milk.milkings(made.connection, tank, since, made.now_s + 1)
    assert last["read_at"] > max(since, made.now_s - 12 * 3600)


def test_cows_are_milked_twice_a_day_by_the_wall_clock_when_the_clocks_change_too(
    made_until: tuple[MadeUp, int],
) -> None:
    made, days = made_until
    found = read_milk.milkings(made.connection, 1, 0, made.now_s + 1)
    begun = [made.farm.clock.local(milking.started_at) for milking in found]
    assert all(at.hour in (3, 4, 15, 16) for at in begun)
    whole_days = [made.today - timedelta(days=days_ago) for days_ago in range(1, days)]
    for day in whole_days:
        assert [at.hour < 12 for at in begun if at.date() == day] == [True, False]


def test_the_person_at_this_computer_owns_the_farm_and_the_others_do_their_part(ten_days: MadeUp) -> None:
    people = read_farm.people(ten_days.connection)
    assert [(person.login, sorted(person.roles)) for person in people] == [
        ("somebody", ["owner"]),
        ("", ["nutritionist"]),
        ("", ["hand"]),
        ("", ["hand"]),
    ]
    assert all(" " not in person.name for person in people)


def test_everything_that_could_be_taken_for_real_says_that_it_is_invented(ten_days: MadeUp) -> None:
    assert ten_days.farm.invented
    columns = [
        ("analysis", "laboratory"),
        ("pickup_ticket", "hauler"),
        ("target", "why"),
    ]
    for table, column in columns:
        texts = {row[0] for row in ten_days.ask(f"SELECT DISTINCT {column} FROM {table}")}
        assert texts, table
        assert all("nvented" in text for text in texts), (table, texts)
    for chore in (
        "start",
        "person",
        "feed",
        "analysis",
        "ration",
        "mixer",
        "tank",
        "pen-cows",
        "stock-count",
    ):
        notes = {row[0] for row in ten_days.ask("SELECT note FROM entry WHERE chore = ?", chore)}
        assert notes, chore
        assert all("nvented" in note for note in notes), (chore, notes)
    cautions = ten_days.ask(
        "SELECT feed_card.name, caution FROM feed_card WHERE kind IN ('mineral', 'premix') OR most_mg IS NOT NULL"
    )
    assert len(cautions) == 4
    assert all("nvented" in row["caution"] for row in cautions)


def test_every_entry_is_written_by_someone_who_may(ten_days: MadeUp) -> None:
    by = {(row[0], row[1]) for row in ten_days.ask("SELECT DISTINCT chore, person FROM entry")}
    nutritionist = {chore for chore, person in by if person == 2}
    assert nutritionist == {"feed", "analysis", "ration", "targets", "pen-ration", "pen-cows"}


def test_progress_is_told_day_by_day(tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    write_farm(
        tmp_path / "farm.book",
        days=3,
        now=lambda: datetime(2026, 6, 10, 5, 30, tzinfo=UTC),
        progress=lambda done, total: told.append((done, total)),
    )
    assert told == [(0, 3), (1, 3), (2, 3), (3, 3)]


@pytest.mark.parametrize("days", [0, -3, 11_001])
def test_a_number_of_days_that_cannot_be_is_refused(tmp_path: Path, days: int) -> None:
    with pytest.raises(Refused, match="days"):
        write_farm(tmp_path / "farm.book", days=days)
    assert not list(tmp_path.iterdir())


def test_a_file_that_is_there_is_left_untouched(tmp_path: Path) -> None:
    path = tmp_path / "farm.book"
    path.write_text("my own", encoding="utf-8")
    with pytest.raises(ChoreRefused, match="already exists"):
        write_farm(path, days=1)
    assert path.read_text(encoding="utf-8") == "my own"
    assert [one.name for one in tmp_path.iterdir()] == ["farm.book"]


def test_a_farm_left_half_written_leaves_nothing_behind(tmp_path: Path) -> None:
    def gives_up(done: int, total: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_farm(tmp_path / "farm.book", days=2, progress=gives_up)
    assert not list(tmp_path.iterdir())


def test_the_book_is_one_file_when_it_is_done(ten_days_path: Path) -> None:
    assert ten_days_path.stat().st_size > 100_000
    assert not [one for one in ten_days_path.parent.iterdir() if one.name.startswith(".")]
