"""Any report can be read from any place: chosen from a list, made as the command makes it, set in lines that fit."""

from __future__ import annotations

import pytest

from herdbook.book.opening import reading
from herdbook.plain import plain
from herdbook.reports.catalogue import SPECS, ground_for_reading, make
from herdbook.screens.report_sheet import report_lines
from tests.screens.desks import HOME, SMALL, program, settled, shown
from tests.yard import DOV

NAMED = {"name": "High 1", "pen": "High", "feed": "Corn silage"}


async def test_i_lists_the_reports_and_what_one_is_about_is_asked_and_shown(yard):
    app = program(yard, DOV)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        await pilot.press("i", "a")
        await shown(pilot, "▸ 8  accuracy")
        await pilot.press("enter")
        await shown(pilot, "ACCURACY: BY")
        await pilot.press("1")
        await shown(pilot, "Loading by person")
        await pilot.press("i")
        await shown(pilot, "REPORTS")
        await pilot.press("escape")
        await shown(pilot, "Milk a cow")


async def test_a_report_of_a_thing_lists_the_things_to_choose_from(yard):
    app = program(yard)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await pilot.press("i", "2")
        await shown(pilot, "RATION: RATION")
        await pilot.press("enter")
        await shown(pilot, "Dry matter")


async def test_a_report_is_turned_to_the_days_before_and_to_others_from_a_list(yard):
    app = program(yard, DOV)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        app.place.read_report("cooling", {})
        await shown(pilot, "2026-03-03 to 2026-03-09")
        await pilot.press("left")
        await shown(pilot, "2026-02-24 to 2026-03-02")
        await pilot.press("right")
        await shown(pilot, "2026-03-03 to 2026-03-09")
        await pilot.press("d")
        await shown(pilot, "COOLING: DAYS")
        await pilot.press("t", "enter")
        await shown(pilot, "2026-03-09")
        await pilot.press("right")
        await shown(pilot, "lies ahead")
        await pilot.press("escape")
        app.place.read_report("treatments", {})  # of sixty days as it comes, so sixty before them
        await shown(pilot, "2026-01-09 to 2026-03-09")
        await pilot.press("left")
        await shown(pilot, "2025-11-10 to 2026-01-08")
        app.place.read_report("loads", {})
        await shown(pilot, "2026-03-09")
        await pilot.press("left")
        await shown(pilot, "2026-03-08")
        app.place.read_report("people", {})
        await shown(pilot, "I lists all reports")


@pytest.mark.parametrize("wide", [56, 78])
def test_every_report_is_whole_and_fits_its_lines(yard, wide):
    for name, spec in SPECS.items():
        with reading(yard.path) as connection:
            ground = ground_for_reading(connection, yard.now_s)
            report = make(name, connection, ground, {option: NAMED[option] for option in spec.needed})
        lines = [str(line) for line in report_lines(report, ground, wide)]
        assert max(map(len, lines)) <= wide + 1, name
        words = " ".join(" ".join(lines).split())
        assert " ".join(plain(report.title).split()) in words
        assert all(plain(table.title).split()[0] in words for table in report.tables)
