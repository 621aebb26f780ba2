"""The list of alarms: from any place, for those who may look after one and for those who only look."""

from __future__ import annotations

import pytest

from herdbook.book.heartbeat import beat
from herdbook.watch.alarming import look
from tests.screens.desks import HOME, SMALL, go, program, rows, settled, shown, text, until
from tests.yard import CLEO, DOV, MINUTE, Yard


def warm_again(yard: Yard) -> None:
    yard.do("temperature", reading="47 F")
    look(yard.path, yard.now_s, by=CLEO)


@pytest.mark.parametrize("size", [SMALL, HOME], ids=["60x20", "80x24"])
async def test_from_the_milk_house_with_its_field_in_use_the_list_is_one_key_away(yard, size):
    warm_again(yard)
    app = program(yard, CLEO)
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        await shown(pilot, "ALARM 10:00 North: warm again")
        await pilot.press("exclamation_mark")
        await shown(pilot, "Look after alarm 1")
        await shown(pilot, "It waits for somebody.")
        assert all(len(row) <= size[0] for row in rows(app))
        await pilot.press("escape")
        await until(pilot, lambda: "Look after" not in text(app), "the list to close")
        assert yard.rows("SELECT 1 FROM alarm_step") == []


async def test_somebody_who_only_looks_sees_the_alarm_and_cannot_answer_it(yard):
    warm_again(yard)
    app = program(yard, DOV)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await shown(pilot, "ALARM 10:00")
        await pilot.press("exclamation_mark")
        await shown(pilot, "Alarm 1  North: warm again")
        assert "Look after" not in text(app)
        await pilot.press("enter")
        await pilot.pause()
    assert yard.rows("SELECT 1 FROM alarm_step") == []


async def test_an_alarm_that_people_raised_is_answered_and_then_over_by_key(yard):
    yard.do("alarm", words="The north gate is open.", by=CLEO)
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        for choice, written in (
            ("Look after alarm 1", "Written: Cleo looks after alarm 1"),
            ("It is over, alarm 1", "Written: Alarm 1 has cleared."),
        ):
            await pilot.press("exclamation_mark")
            await shown(pilot, choice)
            await pilot.press("enter")
            await shown(pilot, written)
            await settled(pilot)
        await until(pilot, lambda: "north gate" not in rows(app)[2], "the row to go")
    assert [row["step"] for row in yard.rows("SELECT step FROM alarm_step ORDER BY id")] == [
        "acknowledged",
        "cleared",
    ]


async def test_of_several_alarms_the_worst_is_told_and_the_others_counted(yard):
    yard.do("alarm", words="Salt is out.", by=CLEO)
    warm_again(yard)
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await shown(pilot, "and 1 more, ! opens")
        assert rows(app)[2].startswith(" !! ALARM 10:00 North")


async def test_without_an_alarm_there_is_no_row_and_the_list_says_so(yard):
    beat(yard.path, yard.now_s - MINUTE)
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        assert rows(app)[2].startswith(" Monday")
        await pilot.press("exclamation_mark")
        await shown(pilot, "No alarm stands.")
