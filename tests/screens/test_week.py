"""The week: totals by day, other weeks, the days and pens behind a line, and what is worth a look."""

from __future__ import annotations

from tests.screens.desks import HOME, LARGE, SMALL, go, program, rows, settled, shown, text
from tests.yard import DAY, DOV


async def test_shipped_milk_is_shown_in_thousands_by_day_and_whole_for_the_week(yard):
    yard.do("pickup", weight="16,710", tank="North")
    app = program(yard, DOV)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "week")
        line = next(row for row in rows(app) if "Shipped" in row)
        assert line.split()[:2] == ["Shipped", "16.7k"]
        assert "16,710" in line


async def test_a_small_window_shows_the_last_three_days_that_have_begun(yard):
    yard.now_s += 3 * DAY  # Thursday
    app = program(yard, DOV)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        await go(pilot, "week")
        titles = rows(app)[3].split()
        assert titles[:4] == ["Tue", "Wed", "Thu", "Week"]
        await pilot.press("p")
        await shown(pilot, "PENS mean of complete days")
        await shown(pilot, "High")


async def test_arrows_go_to_other_weeks_and_not_into_the_future(yard):
    app = program(yard, DOV)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "week")
        await shown(pilot, "Week 11  9 Mar to 15 Mar 2026")
        await pilot.press("right")
        await shown(pilot, "That week has not begun.")
        await pilot.press("left")
        await shown(pilot, "Week 10  2 Mar to 8 Mar 2026")
        await pilot.press("right")
        await shown(pilot, "Week 11")


async def test_enter_shows_the_days_behind_a_line_with_what_is_missing(yard):
    app = program(yard, DOV)
    async with app.run_test(size=LARGE) as pilot:
        await settled(pilot)
        await go(pilot, "week")
        await pilot.press("enter")
        await shown(pilot, "DM EATEN by farm day")
        await shown(pilot, "refusal not written")


async def test_what_is_worth_a_look_is_whole_behind_its_key(yard):
    app = program(yard, DOV)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        await go(pilot, "week")
        assert "this week" in text(app)
        await pilot.press("l")
        await shown(pilot, "WORTH A LOOK Esc closes")
        await shown(pilot, "Load 1")
