"""Slips on a book: every chore within reach, limits said at once, nothing lost on the way, corrections and strikes."""

from __future__ import annotations

import pytest
from textual.events import Paste

from herdbook.chores.doing import chores
from herdbook.screens.book_place import HANDS, NOT_LISTED
from herdbook.screens.parts.field import Field
from tests.screens.desks import (
    NOBODY,
    go,
    in_a_bunch,
    program,
    rows,
    said,
    settled,
    shown,
    text,
    type_in,
    until,
    write_it,
)
from tests.yard import BEN, CLEO, DOV


def field_labelled(app, label):
    """The text in the slip's field of that label."""
    rows_of_slip = app.place.slip.sheet.rows
    return next(row.answers[0].text for row in rows_of_slip if row.asks[0].label == label)


async def test_every_chore_is_within_reach_of_the_keyboard(yard):
    app = program(yard)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        names = [one.name for one in chores().values() if one.name not in NOT_LISTED]
        lacking = []
        for number, name in enumerate(names):
            up = len(names) - number  # the list goes round
            in_a_bunch(app, "w", *(["down"] * number if number < up else ["up"] * up), "enter")
            what = f"the slip of {name}, or what it lacks"
            await until(pilot, lambda: app.place.slip is not None or "in the book yet" in said(pilot), what)
            if app.place.slip is None:  # what it is about is not in this book
                app.place.say("")
                lacking.append(name)
                continue
            assert app.place.slip.form.chore == name
            await pilot.press("escape")
            await until(pilot, lambda: not app.place.slip_is_open, "the slip to be gone")
    assert len(lacking) < len(names) / 4


@pytest.mark.parametrize("who", [DOV, NOBODY], ids=["a reader", "nobody known"])
async def test_who_only_looks_is_told_so_at_once_and_can_type_nothing(yard, who):
    app, before = program(yard, who), yard.state()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        for place, key in (("feeding", "d"), ("milk", "m"), ("milk", "p"), ("ration", "e"), ("today", "t")):
            await go(pilot, place)
            await pilot.press(key)
            await until(pilot, lambda: "may" in said(pilot), f"{key} to be refused")
            assert not app.place.slip_is_open
        await pilot.press("w")
        await shown(pilot, "You look only")
        for place in ("feeding", "milk"):
            await go(pilot, place)
            assert not list(app.place.query(Field))
            await pilot.press("4", "7", "enter")
    assert yard.state() == before


async def test_a_hand_hears_at_the_first_key_that_rations_are_not_theirs(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await go(pilot, "ration")
        await pilot.press("e")
        await until(pilot, lambda: said(pilot).startswith("!"), "the refusal")
        assert not app.place.slip_is_open
        await pilot.press("w")
        await shown(pilot, "A load")
        assert "A ration version" not in text(app)


async def test_a_nutritionist_reads_the_tank_and_writes_no_temperature(yard):
    app = program(yard, BEN)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        milk = await go(pilot, "milk")
        assert not list(milk.query(Field))
        before = milk.ledger.chosen
        await pilot.press("down")
        assert milk.ledger.chosen != before


def test_the_fields_of_row_22_are_there_for_those_who_may_do_their_chore():
    for name in ("weigh", "temperature"):
        assert chores()[name].roles == HANDS | {"owner"}


async def test_what_is_offered_is_replaced_by_typing_and_stays_with_enter(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await go(pilot, "feeding")
        await pilot.press("d")
        await until(pilot, lambda: app.place.slip is not None, "the slip")
        offered = field_labelled(app, "Weight")
        assert offered == "90"  # 2,690 lb loaded, 2,600 dropped
        await type_in(pilot, "", "")  # load and pen as offered
        await pilot.press("8", "8")
        assert field_labelled(app, "Weight") == "88"
        assert field_labelled(app, "Pen") == "High"


async def test_what_is_offered_is_replaced_by_pasting(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await go(pilot, "feeding")
        await pilot.press("d")
        await until(pilot, lambda: app.place.slip is not None, "the slip")
        await type_in(pilot, "", "")
        app.place.slip.post_message(Paste("88"))
        await until(pilot, lambda: field_labelled(app, "Weight") != "90", "the paste")
        assert field_labelled(app, "Weight") == "88"


async def test_a_correction_opens_filled_strikes_the_old_entry_and_is_edited_not_replaced(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        milk = await go(pilot, "milk")
        wrong = yard.row("SELECT max(entry) AS entry FROM temperature")["entry"]
        milk.ledger.choose(str(wrong))
        await pilot.press("c")
        await until(pilot, lambda: app.place.slip is not None, "the slip")
        assert field_labelled(app, "Temperature") == "39.2 °F"
        assert f"CORRECTS ENTRY {wrong}" in text(app)
        await pilot.press("ctrl+u")
        await type_in(pilot, "40.1")
        assert "40.1 °F" in await write_it(pilot)
        line = next(line for line in rows(app) if " c 10:00" in line)
        assert "40.1 °F at 09:00, was 39.2 °F" in line
    new = yard.row("SELECT number, strikes FROM entry ORDER BY number DESC LIMIT 1")
    assert new["strikes"] == wrong
    assert yard.row("SELECT struck_by FROM entry WHERE number = ?", wrong)["struck_by"] == new["number"]
    assert yard.row("SELECT read_at FROM temperature WHERE entry = ?", new["number"]) == yard.row(
        "SELECT read_at FROM temperature WHERE entry = ?", wrong
    )


async def test_x_strikes_the_chosen_line_and_says_which(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        milk = await go(pilot, "milk")
        number = milk.ledger.chosen
        await pilot.press("x")
        await shown(pilot, "Strikes North 39.2 °F")
        await type_in(pilot, "wrong tank")
        assert f"Struck entry {number}" in await write_it(pilot)
        struck = next(line for line in rows(app) if "39.2 °F" in line and "×" in line)
        assert struck
        milk.ledger.choose(number)
        await pilot.press("x")
        await shown(pilot, "does not stand any more")
    assert yard.row("SELECT note FROM entry ORDER BY number DESC LIMIT 1")["note"] == "wrong tank"


async def test_stepping_back_keeps_what_was_typed_and_stepping_back_again_throws_it_away(yard):
    app, entries = program(yard, CLEO), yard.entries
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        await pilot.press("p", *"4300", "escape")
        await shown(pilot, "Kept as typed")
        await pilot.press("p")
        await shown(pilot, "Back as you left it")
        assert field_labelled(app, "Weight") == "4300"
        await pilot.press("escape")
        await shown(pilot, "Thrown away")
        await pilot.press("p")
        await until(pilot, lambda: app.place.slip is not None, "a fresh slip")
        assert field_labelled(app, "Weight") == ""
    assert yard.entries == entries


async def test_keys_that_come_in_one_bunch_reach_the_slip_they_were_meant_for(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        feeding = await go(pilot, "feeding")
        in_a_bunch(app, "d", "enter", "enter", *"75", "ctrl+s")
        await shown(pilot, "Written: High got 75 lb")
        assert feeding.scale.text == ""


async def test_keys_typed_ahead_of_a_place_that_is_still_opening_are_not_lost(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        in_a_bunch(app, "f4", *"38.1", "enter")
        await shown(pilot, "Written: North 38.1 °F")


async def test_a_refusal_puts_the_cursor_in_the_field_that_is_wrong_and_keeps_the_rest(yard):
    app, entries = program(yard, CLEO), yard.entries
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        await pilot.press("p")
        await type_in(pilot, "99999", "", "", "T 1")
        await pilot.press("ctrl+s")
        await shown(pilot, "is more than the tank's 21,500 lb")
        sheet = app.place.slip.sheet
        assert sheet.rows[sheet.row].asks[0].label == "Weight"
        assert field_labelled(app, "Ticket") == "T 1"
    assert yard.entries == entries


async def test_a_question_left_behind_in_another_place_is_asked_again_before_enter_means_yes(yard):
    app, entries = program(yard, CLEO), yard.entries
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        milk = await go(pilot, "milk")
        await pilot.press("m")
        await until(pilot, lambda: milk.slip is not None, "the slip")
        while milk.slip.stage != "asking":
            await pilot.press("enter")
        await go(pilot, "feeding")
        await go(pilot, "milk")
        await pilot.press("enter")
        await shown(pilot, "Write?")
        assert yard.entries == entries
        await pilot.press("enter")
        await shown(pilot, "Written: Milking from")


async def test_what_a_chore_is_about_and_is_not_in_the_book_is_said_before_the_form(bare_yard):
    app = program(bare_yard)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        for place, key, missing in (
            ("feeding", "l", "no mixer in the book yet"),
            ("feeding", "d", "no load in the book yet"),
            ("milk", "p", "no tank in the book yet"),
            ("ration", "e", "no feed in the book yet"),
            ("ration", "g", "no ration in the book yet"),
        ):
            await go(pilot, place)
            await pilot.press(key)
            await shown(pilot, missing)
            assert not app.place.slip_is_open


async def test_the_farms_settings_open_as_they_stand(yard):
    app = program(yard)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press("w", "enter")
        await until(pilot, lambda: app.place.slip is not None, "the slip")
        assert field_labelled(app, "Name") == "Hollow Farm"
        assert field_labelled(app, "Time zone") == "America/Chicago"


async def test_a_note_can_be_written_from_every_place(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        for place in ("today", "feeding", "milk", "ration", "week"):
            await go(pilot, place)
            await pilot.press("n")
            await type_in(pilot, f"seen from {place}")
            assert f"seen from {place}" in await write_it(pilot)
