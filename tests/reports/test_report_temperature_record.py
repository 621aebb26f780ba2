"""The temperature record: what stands, what was struck, where nobody read, and how it is drawn and printed."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree

import pytest

from herdbook.book.opening import reading
from herdbook.reports.catalogue import ground_for_reading, make
from herdbook.reports.temperature_svg import as_svg, runs
from tests.yard import HOUR, Yard

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def read(yard: Yard) -> Yard:
    """The yard's milking 06:00 to 08:00 and its 39.2 °F of 09:00; a reading corrected, one struck; now 15:00."""
    wrong = yard.do("temperature", reading="83.9", read="-45").entry
    yard.do("temperature", reading="38.9", read="-45", corrects=wrong)
    struck = yard.do("temperature", reading="45", read="-30").entry
    yard.do("strike", entry=str(struck))
    yard.do("temperature", reading="38", read="-15", source="logger", agitator="no")
    yard.now_s += 5 * HOUR
    return yard


def record(yard: Yard):
    with reading(yard.path) as connection:
        ground = ground_for_reading(connection, yard.now_s)
        return make("temperature-record", connection, ground, {"of": "2026-03-09..2026-03-09"}), ground


def test_readings_that_stand_and_those_that_were_struck_are_all_there_with_source_and_state(
    read: Yard,
) -> None:
    found, ground = record(read)
    rows = [
        (ground.clock.shown_time(line["read_at"].value), line["tank_degC"].value, line["state"].value)
        for line in found.table("readings").lines
    ]
    # 39.2 °F is 4.0 °C; 83.9, 38.9, 45 and 38 °F by (F - 32) / 1.8
    assert [(at, pytest.approx(degC, abs=0.001), state) for at, degC, state in rows] == [
        ("09:00", 4.0, ""),
        ("09:15", 28.833, "struck by 22"),
        ("09:15", 3.833, "corrects 21"),
        ("09:30", 7.222, "struck by 24"),
        ("09:45", 3.333, ""),
    ]
    assert found.table("readings").lines[-1]["source"].value == "logger"
    assert found.table("readings").lines[-1]["agitator"].value == "not run"
    assert found.facts["readings"].value == 3
    assert found.facts["struck"].value == 2


def test_stretches_without_a_reading_are_gaps_only_while_milk_is_in_the_tank(read: Yard) -> None:
    found, ground = record(read)
    gaps = [
        (ground.clock.shown_time(line["from_at"].value), ground.clock.shown_time(line["to_at"].value))
        for line in found.table("gaps").lines
    ]
    assert gaps == [("06:00", "09:00"), ("09:45", "15:00")]  # before 06:00 the tank was not in use


def test_an_emptied_tank_has_no_gap(read: Yard) -> None:
    read.do("pickup", weight="4300", picked="1030")
    found, _ = record(read)
    assert [round(line["gap_h"].value, 2) for line in found.table("gaps").lines] == [3.0]


def gaps_on(yard: Yard, day: str) -> list[tuple[str, str]]:
    with reading(yard.path) as connection:
        ground = ground_for_reading(connection, yard.now_s)
        found = make("temperature-record", connection, ground, {"of": f"{day}..{day}"})
    shown = ground.clock.shown_time
    return [(shown(line["from_at"].value), shown(line["to_at"].value)) for line in found.table("gaps").lines]


def test_old_milk_leaves_its_gap_in_a_record_that_begins_days_after_it(read: Yard) -> None:
    read.now_s += 72 * HOUR  # Thursday 15:00; Monday's milk stands in the tank
    read.do("temperature", reading="38", read="-300")
    assert gaps_on(read, "2026-03-12") == [("09:45", "10:00"), ("10:00", "15:00")]  # since Monday


def test_a_tank_emptied_the_evening_before_has_no_gap_until_it_is_milked_into(read: Yard) -> None:
    read.do("pickup", weight="4300", picked="1030")
    read.now_s += 24 * HOUR
    read.do("milking", started="0600", ended="0800", milk="4000")
    assert gaps_on(read, "2026-03-10") == [("06:00", "15:00")]


def test_a_gap_over_midnight_stands_whole_in_the_records_of_both_days(read: Yard) -> None:
    read.now_s += 24 * HOUR  # Tuesday 15:00
    read.do("temperature", reading="38", read="2026-03-09 23:10")
    read.do("temperature", reading="38", read="2026-03-10 01:20")
    read.do("temperature", reading="38", read="2026-03-10 02:00")
    assert ("23:10", "01:20") in gaps_on(read, "2026-03-09")
    assert gaps_on(read, "2026-03-10")[0] == ("23:10", "01:20")


def test_each_reading_is_less_what_its_thermometer_was_off_when_it_was_read(read: Yard) -> None:
    def corrected() -> list[float | None]:
        with reading(read.path) as connection:
            ground = ground_for_reading(connection, read.now_s)
            found = make("temperature-record", connection, ground, {"of": "2026-03-09..2026-03-09"})
        return [
            round(line["tank_degC"].number - line["less_error_degC"].number, 1)
            for line in found.table("readings").lines
            if line["source"].value == "by hand" and not line["state"].value.startswith("struck")
        ]

    read.do("thermometer-check", shown="5C", reference="4C", checked="2026-03-09 12:00")
    read.do("temperature", reading="38", read="2026-03-09 13:00")
    read.do("thermometer-check", shown="4.5C", reference="4C", checked="2026-03-09 14:00")
    read.do("temperature", reading="38", read="2026-03-09 14:30")
    assert corrected() == [1.0, 1.0, 1.0, 0.5]


def test_the_drawing_has_each_run_each_struck_reading_and_each_gap(read: Yard) -> None:
    found, ground = record(read)
    drawing = ElementTree.fromstring(as_svg(found.data, ground))
    assert len(drawing.findall(f"{SVG}polyline")) == 1
    assert len(drawing.findall(f"{SVG}circle")) == 3
    assert len(drawing.findall(f"{SVG}g")) == 2
    words = [text.text for text in drawing.iter(f"{SVG}text")]
    assert words.count("no reading") == 2
    assert "50 °F" in words


def test_gaps_too_narrow_for_words_are_grey_alone(read: Yard) -> None:
    read.now_s += 72 * HOUR  # of ninety hours a gap of three is too narrow, the one until now is not
    with reading(read.path) as connection:
        ground = ground_for_reading(connection, read.now_s)
        found = make("temperature-record", connection, ground, {"of": "2026-03-09..2026-03-12"})
    assert len(found.data.gaps) == 2
    drawing = ElementTree.fromstring(as_svg(found.data, ground))
    assert [text.text for text in drawing.iter(f"{SVG}text")].count("no reading") == 1
    assert [title.text for title in drawing.iter(f"{SVG}title")].count("no reading") == 2


def test_readings_far_apart_are_not_joined() -> None:
    near, far = [(0, 4_000), (7_200, 4_100)], [(14_401, 4_200)]
    assert runs([*near, *far]) == [near, far]


def test_a_warmer_reading_is_drawn_higher(read: Yard) -> None:
    found, ground = record(read)
    drawing = ElementTree.fromstring(as_svg(found.data, ground))
    (line,) = drawing.findall(f"{SVG}polyline")
    heights = [float(point.split(",")[1]) for point in line.attrib["points"].split()]
    assert heights == sorted(heights)  # 39.2, 38.9, 38.0 °F: ever lower on the page
    assert len(set(heights)) == 3


def test_a_long_record_keeps_the_warmest_of_each_half_hour_and_says_so(read: Yard, monkeypatch) -> None:
    monkeypatch.setattr("herdbook.reports.temperature_record.MOST_LINES", 2)
    found, _ = record(read)
    standing = [line["tank_degC"].value for line in found.table("readings").lines if not line["state"].flag]
    assert standing == [pytest.approx(4.0), pytest.approx(3.333, abs=0.001)]  # 09:00 stands for 09:15 too
    assert found.warnings[0].startswith("3 readings: the table keeps the warmest")
    assert len(found.data.points) == 3
