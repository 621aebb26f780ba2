"""Readings of loggers in the book: many to an entry, each once, bound by the chain, hidden when struck."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import Any

import pytest

from herdbook.book.checks import Checked, check_book
from herdbook.book.opening import reading
from herdbook.book.reading import milk as read_milk
from herdbook.chores.doing import find_chore
from herdbook.chores.readings import ReadingsDraft, Series, sift
from herdbook.errors import ChoreRefused, Refused
from herdbook.reports.cooling import tank_state
from tests.book import reference_chain
from tests.yard import ADA, HOUR, MINUTE, TEN_O_CLOCK, Yard

EIGHT = TEN_O_CLOCK - 2 * HOUR


def write(yard: Yard, *pairs: tuple[int, int], probe: str = "logger", corrects: int | None = None) -> Any:
    draft = ReadingsDraft(tank=1, probe=probe, source="north.csv").carry(Series.of(pairs))
    return find_chore("readings")(yard.book, draft, by=ADA, now=yard.now, corrects=corrects)


def series(yard: Yard) -> list[tuple[int, int, str]]:
    with reading(yard.path) as connection:
        rows = read_milk.temperatures(connection, 1, 0, 2**40)
    return [(row["read_at"], row["tank_mC"], row["source"]) for row in rows]


def checked(yard: Yard) -> Checked:
    return check_book(yard.path, yard.now_s)


def test_readings_by_hand_and_by_logger_are_one_series_with_its_sources(yard: Yard) -> None:
    write(yard, (EIGHT, 12_000), (EIGHT + 90 * MINUTE, 3_900))
    assert series(yard) == [
        (EIGHT, 12_000, "logger"),
        (TEN_O_CLOCK - HOUR, 4_000, "by hand"),  # written in the yard's template: 39.2 °F an hour ago
        (EIGHT + 90 * MINUTE, 3_900, "logger"),
    ]


def test_of_a_minute_the_warmest_reading_is_given(yard: Yard) -> None:
    minute = EIGHT // 60 * 60
    write(yard, (minute, 5_000), (minute + 10, 5_400), (minute + 59, 5_100), (minute + 60, 4_000))
    assert series(yard)[:2] == [(minute + 10, 5_400, "logger"), (minute + 60, 4_000, "logger")]


def test_the_newest_reading_is_the_loggers_where_it_is_newer(yard: Yard) -> None:
    write(yard, (TEN_O_CLOCK - 60, 3_700))
    with reading(yard.path) as connection:
        assert read_milk.last_temperature(connection, 1, TEN_O_CLOCK)["tank_mC"] == 3_700
        assert read_milk.last_temperature(connection, 1, TEN_O_CLOCK - 120)["tank_mC"] == 4_000


def test_readings_of_a_logger_decide_what_the_cooling_rule_says(yard: Yard) -> None:
    # the yard's milking ran from 06:00 to 08:00; 45 °F (7.2 °C) is due at 10:00
    yard.now_s = TEN_O_CLOCK + HOUR
    for row in yard.rows("SELECT entry FROM temperature"):
        yard.do("strike", entry=str(row["entry"]))
    with reading(yard.path) as connection:
        tank = read_milk.tanks(connection)[0]
        before = {v.state for v in tank_state(connection, tank, yard.now_s).verdicts}
    write(yard, (EIGHT + 30 * MINUTE, 9_000), (EIGHT + 60 * MINUTE, 6_900), (EIGHT + 90 * MINUTE, 4_000))
    with reading(yard.path) as connection:
        state = tank_state(connection, tank, yard.now_s)
    assert "no reading" in before
    (met,) = [v for v in state.verdicts if v.reached_s == EIGHT + 60 * MINUTE]
    assert met.state == "met"
    assert met.margin_s == HOUR
    assert state.last["tank_mC"] == 4_000


def test_many_readings_of_a_logger_are_listed_by_the_warmest_and_all_by_hand(yard: Yard) -> None:
    from herdbook.reports import tank

    write(yard, *((EIGHT - HOUR + 30 * n, 5_000 + (n == 201) * 2_000) for n in range(240)))
    with reading(yard.path) as connection:
        report = tank.make(connection, yard.ground())
        assert len(report.data.readings) == 121  # one a minute, and the one by hand
    table = next(one for one in report.tables if one.key == "readings")
    assert "every 5 min" in table.title
    assert len(table.lines) <= 61
    warm = [line.cells["tank_degC"].value for line in table.lines]
    assert 7.0 in warm
    assert 4.0 in warm


def test_a_logger_that_read_the_tank_is_known_to_the_alarms(yard: Yard) -> None:
    from herdbook.book.reading.alarms import newest_of_logger

    with reading(yard.path) as connection:
        assert newest_of_logger(connection, 1, 0) is None
    write(yard, (EIGHT, 5_000))
    with reading(yard.path) as connection:
        assert newest_of_logger(connection, 1, 0) == EIGHT
        assert newest_of_logger(connection, 1, EIGHT + 1) is None


def test_what_overlaps_is_written_once(yard: Yard) -> None:
    write(yard, (EIGHT, 12_000), (EIGHT + 60, 11_000))
    said = write(yard, (EIGHT + 60, 11_000), (EIGHT + 120, 10_000)).said
    assert "1 reading," in said
    assert "1 known already" in said
    assert [row["readings"] for row in yard.rows("SELECT readings FROM reading_batch")] == [2, 1]
    with pytest.raises(ChoreRefused, match="already"):
        write(yard, (EIGHT, 12_000), (EIGHT + 120, 10_000))


def test_another_temperature_at_the_same_instant_is_refused_and_nothing_written(yard: Yard) -> None:
    entry = write(yard, (EIGHT, 12_000), (EIGHT + 60, 11_000)).entry
    state = yard.pages()
    with pytest.raises(Refused, match=rf"08:00.*the book has .* from entry {entry}"):
        write(yard, (EIGHT, 12_500), (EIGHT + 120, 10_000))
    assert yard.pages() == state


def test_another_probe_of_the_tank_may_say_otherwise(yard: Yard) -> None:
    write(yard, (EIGHT, 12_000))
    write(yard, (EIGHT, 12_500), probe="recorder")
    assert series(yard)[:2] == [(EIGHT, 12_000, "logger"), (EIGHT, 12_500, "recorder")]


def test_a_struck_import_is_hidden_and_may_be_written_again(yard: Yard) -> None:
    before = series(yard)
    entry = write(yard, (EIGHT, 12_000), (EIGHT + 60, 11_000)).entry
    yard.do("strike", entry=str(entry))
    assert series(yard) == before
    write(yard, (EIGHT, 2_000), (EIGHT + 60, 1_000))
    assert series(yard)[:2] == [(EIGHT, 2_000, "logger"), (EIGHT + 60, 1_000, "logger")]
    assert checked(yard).findings == ()
    assert reference_chain.faults(yard.path) == []


def test_a_correction_takes_the_place_of_what_it_corrects(yard: Yard) -> None:
    entry = yard.do("readings", reading=["-60=50F", "-50=45F"]).entry
    yard.do("readings", reading=["-60=51F", "-50=45F"], corrects=entry)
    assert [mc for _, mc, source in series(yard) if source == "logger"] == [10_556, 7_222]


def test_readings_typed_off_a_chart_disagree_with_themselves(yard: Yard) -> None:
    with pytest.raises(Refused, match=r"50F and 51F stand at the same instant"):
        yard.do("readings", reading=["-60=51F", "-60=50F"])


TAMPERINGS = {
    "a temperature is changed": "UPDATE reading SET tank_mC = 4_000 WHERE tank_mC = 11_000",
    "an instant is changed": "UPDATE reading SET read_at = read_at + 1 WHERE tank_mC = 11_000",
    "one is taken out": "DELETE FROM reading WHERE tank_mC = 11_000",
    "one is put in": "INSERT INTO reading VALUES (1, 1773000001, 1, 4_000)",
    "one is put into another tank": "INSERT INTO reading VALUES (2, 1773066000, 1, 4_000)",
    "two change places": "UPDATE reading SET tank_mC = 23_000 - tank_mC",
}


@pytest.mark.parametrize("what", TAMPERINGS)
def test_check_tells_when_readings_are_not_those_that_were_written(yard: Yard, what: str) -> None:
    entry = write(yard, (EIGHT, 12_000), (EIGHT + 60, 11_000)).entry
    assert checked(yard).findings == ()
    with closing(sqlite3.connect(yard.path)) as stranger:
        guards = stranger.execute(
            "SELECT name, sql FROM sqlite_schema WHERE tbl_name = 'reading' AND type = 'trigger'"
        )
        kept = guards.fetchall()
        for name, _ in kept:
            stranger.execute(f"DROP TRIGGER {name}")
        stranger.execute(TAMPERINGS[what].replace("_000", "000"))
        for _, sql in kept:
            stranger.execute(sql)
        stranger.commit()
    found = [finding for finding in checked(yard).findings if finding.part == "chain"]
    assert found, what
    assert all(finding.about in (f"entry {entry}", "the readings of loggers") for finding in found)


def test_sifting_gives_back_what_a_set_of_pairs_would(yard: Yard) -> None:
    write(yard, *((EIGHT + 60 * n, 10_000 - 7 * n) for n in range(0, 50, 2)))
    write(yard, *((EIGHT + 60 * n, 10_000 - 7 * n) for n in range(1, 50, 3) if n % 2))
    offered = [(EIGHT + 60 * n, 10_000 - 7 * n + (n == 10)) for n in range(60)]
    known = {(row["read_at"], row["tank_mC"]) for row in yard.rows("SELECT read_at, tank_mC FROM reading")}
    with reading(yard.path) as connection:
        sifted = sift(connection, 1, "logger", Series.of(offered))
    instants = {when for when, _ in known}
    assert list(zip(sifted.new.read_at, sifted.new.tank_mC, strict=True)) == [
        pair for pair in offered if pair[0] not in instants
    ]
    assert sifted.known == len(known & set(offered))
    assert [conflict.read_at for conflict in sifted.conflicts] == [EIGHT + 600]


def test_the_last_profile_of_a_name_counts_until_it_is_struck(yard: Yard) -> None:
    from herdbook.chores.reading_profiles import profile

    yard.do("reading-profile", name="North", unit="C", zone="UTC")
    newer = yard.do("reading-profile", name="North", unit="F").entry
    with reading(yard.path) as connection:
        assert profile(connection, "north")[0].unit == "F"
    yard.do("strike", entry=str(newer))
    with reading(yard.path) as connection:
        given, _ = profile(connection, "North")
        assert (given.unit, given.zone) == ("C", "UTC")
        with pytest.raises(Refused, match=r"no profile called 'South'. The book has North"):
            profile(connection, "South")
