"""Slips: going on by Enter, the question, drafts, rounds of feed and amount, and small screens."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from parts_stage import HOSTILE, Ask, Stage, pounds, rows_of, shown, until

from herdbook.screens.parts.says import Says
from herdbook.screens.parts.signs import PLAIN
from herdbook.screens.parts.slip import Slip
from herdbook.screens.parts.slip_sheet import SlipSheet
from herdbook.screens.parts.understood import Understood

FEEDS = ["Corn silage", "Haylage", "Dry hay"]


def pickup() -> list[Ask]:
    return [
        Ask("weight", "Weight", "lb", required=True, reads=pounds),
        Ask("ticket", "Ticket", required=True),
        Ask("note", "Note", hint="anything odd"),
    ]


def load() -> list[Ask]:
    return [
        Ask("pen", "Pen", required=True, names=["Fresh", "High"]),
        Ask("feed", "Feed", required=True, repeated=True, names=FEEDS),
        Ask("amount", "Amount", "lb", required=True, repeated=True, reads=pounds),
        Ask("note", "Note"),
    ]


def said(app: Stage) -> str:
    return app.of(Says)[-1].text if app.of(Says) else ""


async def test_enter_is_enough_it_goes_on_asks_and_writes():
    slip = Slip("Pickup", pickup())
    app = Stage(slip)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"750", "enter", *"40731", "enter")
        assert slip.stage == "fields"
        await pilot.press("enter")
        await pilot.pause()
        assert slip.stage == "asking"
        assert said(app) == "Write?  Pickup soy hulls 109 lb, ticket 40731.   Enter yes   Esc back"
        assert app.of(Slip.Written) == []
        await pilot.press("enter")
        await pilot.pause()
        assert [m.texts for m in app.of(Slip.Written)] == [{"weight": "750", "ticket": "40731", "note": ""}]
        await pilot.press("enter", "escape", "5")
        await pilot.pause()
        assert len(app.of(Slip.Written)) == 1
        assert app.of(Slip.Left) == []


async def test_the_question_can_be_put_in_the_places_own_words():
    slip = Slip(
        "Pickup", pickup(), texts={"weight": "750", "ticket": "1"}, confirm=lambda t: f"{t['weight']} lb."
    )
    app = Stage(slip)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter", "enter", "enter")
        await pilot.pause()
        assert said(app) == "Write?  750 lb.   Enter yes   Esc back"


async def test_escape_takes_back_the_question_then_leaves_with_the_draft():
    slip = Slip("Pickup", pickup(), texts={"weight": "750", "ticket": "1"})
    app = Stage(slip)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter", "enter", "enter", "escape")
        assert slip.stage == "fields"
        await pilot.press("escape")
        await pilot.pause()
        assert [m.texts for m in app.of(Slip.Left)] == [{"weight": "750", "ticket": "1", "note": ""}]


async def test_ctrl_s_writes_at_once_when_nothing_is_wrong():
    slip = Slip("Pickup", pickup())
    app = Stage(slip)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"750", "tab", *"4", "ctrl+s")
        await pilot.pause()
        assert [m.texts["ticket"] for m in app.of(Slip.Written)] == ["4"]


async def test_ctrl_s_goes_to_what_is_wrong_instead():
    slip = Slip("Pickup", pickup())
    app = Stage(slip)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"7o", "tab", "tab", "ctrl+s")
        await pilot.pause()
        assert app.of(Slip.Written) == []
        assert said(app).startswith("Not a number")
        await pilot.press("backspace", "ctrl+s")
        await pilot.pause()
        assert said(app) == "Ticket is needed."
        assert [m.texts["weight"] for m in app.of(Slip.Changed)][-1] == "7"


async def test_a_doubt_must_be_accepted_before_anything_is_written():
    slip = Slip("Pickup", pickup(), texts={"weight": "7500", "ticket": "1"})
    app = Stage(slip)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert (slip.stage, app.of(Slip.Written)) == ("fields", [])
        assert "ten times 107?" in said(app)
        await pilot.press("enter", "ctrl+s")
        await pilot.pause()
        assert len(app.of(Slip.Written)) == 1


async def test_a_careful_slip_is_answered_by_y_only():
    slip = Slip("Throw milk away", pickup(), texts={"weight": "750", "ticket": "1"}, careful=True)
    app = Stage(slip)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+s", "enter", "ctrl+s")
        await pilot.pause()
        assert (slip.stage, app.of(Slip.Written)) == ("asking", [])
        assert "Y yes" in said(app)
        await pilot.press("y")
        await pilot.pause()
        assert len(app.of(Slip.Written)) == 1


async def test_what_is_typed_becomes_a_draft_once_typing_pauses():
    slip = Slip("Pickup", pickup())
    app = Stage(slip)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"75")
        await until(pilot, lambda: bool(app.of(Slip.Changed)), "the draft")
        assert app.of(Slip.Changed)[-1].texts["weight"] == "75"
        assert "→ soy hulls -566 lb  ok" in shown(slip)[1]


async def test_a_refused_entry_comes_back_with_the_cursor_in_the_field():
    slip = Slip("Pickup", pickup(), texts={"weight": "750", "ticket": "1"})
    app = Stage(slip)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+s")
        slip.not_written("Ticket 1 is in the book already. Look at the paper again.", name="ticket")
        await pilot.pause()
        assert shown(slip)[2].startswith(" ▸ Ticket")
        assert "! Ticket 1 is in the book already" in shown(slip)[2]
        await pilot.press("2", "ctrl+s")
        await pilot.pause()
        assert [m.texts["ticket"] for m in app.of(Slip.Written)] == ["1", "12"]


async def test_letters_are_text_and_places_keep_their_keys():
    slip = Slip("Pickup", pickup())
    app = Stage(slip)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d", "=", "/", "f4", "f1")
        assert slip.texts["weight"] == "d=/"
        assert app.left_keys == ["f4", "f1"]
        assert slip.check_consume_key("d", "d")


# -- rounds --


async def test_feed_and_amount_are_asked_again_until_a_round_is_left_empty():
    slip = Slip("Load", load())
    app = Stage(slip)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*"hi", "enter")
        await pilot.press(*"sil", "enter", *"1393", "enter")
        await pilot.press(*"hay", "down", "enter", *"54", "enter")
        await pilot.press("enter")  # the third round stays empty
        await pilot.press("enter")  # no note
        await pilot.pause()
        assert slip.stage == "asking"
        await pilot.press("enter")
        await pilot.pause()
        assert app.of(Slip.Written)[0].texts == {
            "pen": "High",
            "feed": ["Corn silage", "Dry hay"],
            "amount": ["1393", "54"],
            "note": "",
        }


async def test_a_draft_with_rounds_comes_back_as_it_was():
    texts = {"pen": "High", "feed": ["Corn silage", "Haylage"], "amount": ["1393", "455"], "note": ""}
    slip = Slip("Load", load(), texts=texts)
    async with Stage(slip).run_test(size=(80, 24)):
        assert slip.texts == texts
        assert [line.split()[:2] for line in shown(slip)[2:4]] == [["Feed", "Corn"], ["Feed", "Haylage"]]


def test_at_least_one_round_is_needed_when_the_first_question_is():
    sheet = SlipSheet(load(), {"pen": "High"})
    assert sheet.first_unsettled() == ("Feed is needed.", "wrong")
    assert sheet.answer.label == "Feed"


def test_a_round_begun_must_be_finished():
    sheet = SlipSheet(load(), {"pen": "High", "feed": ["Haylage"]})
    assert sheet.first_unsettled() == ("Amount is needed.", "wrong")
    other = SlipSheet(load(), {"pen": "High", "amount": ["54"]})
    assert other.first_unsettled() == ("Feed is needed.", "wrong")


def test_a_slip_that_ends_in_rounds_ends_at_an_empty_one():
    sheet = SlipSheet(load()[:3], {"pen": "High", "feed": ["Haylage"], "amount": ["455"]})
    sheet.row, sheet.cell = len(sheet.rows) - 1, 0
    assert sheet.ends_here
    assert sheet.go_on()[0]
    assert sheet.first_unsettled() is None


def test_moving_up_and_down_goes_through_rows_and_tab_through_fields():
    sheet = SlipSheet(load(), {"feed": ["Haylage"], "amount": ["455"]})
    seen = []
    while sheet.step(1):
        seen.append((sheet.row, sheet.cell))
    assert seen == [(1, 0), (1, 1), (2, 0), (2, 1), (3, 0)]
    assert sheet.step_rows(-1)
    assert (sheet.row, sheet.cell) == (2, 0)


def test_what_one_field_means_may_hang_on_another():
    asks = pickup()
    sheet = SlipSheet(asks, {"weight": "750"})
    asks[1].reads = lambda text: Understood(text, f"for {sheet.texts()['weight']} lb")
    sheet.go_to("ticket")
    sheet.answer.put("1")
    sheet.leave()
    assert sheet.answer.understood.shown == "for 750 lb"


KEYS = ["go on", "tab", "shift+tab", "up", "down", "pick up", "pick down", "check", "backspace", *"7hso"]


@given(st.lists(st.sampled_from(KEYS), max_size=40))
def test_whatever_is_pressed_the_cursor_is_in_a_field_and_the_draft_brings_everything_back(keys):
    sheet = SlipSheet(load(), {"feed": ["Haylage"], "amount": ["455"]})
    for key in keys:
        if len(key) == 1:
            sheet.answer.line.type(key)
            sheet.answer.changed()
        elif key == "backspace":
            sheet.answer.line.press(key)
            sheet.answer.changed()
        else:
            {
                "go on": sheet.go_on,
                "tab": lambda: sheet.step(1),
                "shift+tab": lambda: sheet.step(-1),
                "up": lambda: sheet.step_rows(-1),
                "down": lambda: sheet.step_rows(1),
                "pick up": lambda: sheet.answer.pick(-1),
                "pick down": lambda: sheet.answer.pick(1),
                "check": sheet.first_unsettled,
            }[key]()
        assert (sheet.row, sheet.cell) in sheet.places
        texts = sheet.texts()
        assert list(texts) == ["pen", "feed", "amount", "note"]
        assert len(texts["feed"]) == len(texts["amount"])
        assert SlipSheet(load(), texts).texts() == texts


def test_a_slip_without_questions_is_a_mistake_of_the_program():
    with pytest.raises(ValueError, match="at least one"):
        SlipSheet([])


# -- looks --


def many() -> list[Ask]:
    return [Ask(f"q{number}", f"Question {number}", hint="no hurry") for number in range(20)]


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (40, 14)])
async def test_more_fields_than_rows_scroll_and_say_so(size):
    slip = Slip("Long", many(), notes=["Never mix acid and chlorine cleaner."])
    app = Stage(slip)
    async with app.run_test(size=size) as pilot:
        assert slip.size.height < size[1] - 6
        assert "more below" in shown(slip)[0]
        assert "Never mix acid and chlorine" in shown(slip)[1]
        for _ in range(19):
            slip.sheet.step(1)
        slip.freshen()
        await pilot.pause()
        assert "Question 19" in shown(slip)[-1]
        assert "above" in shown(slip)[0]


async def test_the_slip_grows_with_its_rounds():
    slip = Slip("Load", load(), texts={"pen": "High", "feed": ["Haylage"], "amount": [""]})
    async with Stage(slip).run_test(size=(80, 24)) as pilot:
        before = slip.size.height
        slip.sheet.go_to("amount")
        slip.sheet.row = 1
        await pilot.press(*"54", "enter")
        await pilot.pause()
        assert slip.size.height == before
        await pilot.press(*"dry", "enter", *"9", "enter")
        await until(pilot, lambda: slip.size.height == before + 1, "one more row")


async def test_hostile_labels_texts_and_readings_are_shown_as_text():
    asks = [
        Ask(text, text, hint=text, reads=lambda _, it=text: Understood(1, it, ask=it)) for text in HOSTILE
    ] + [Ask("names", "Names", names=HOSTILE)]
    slip = Slip(HOSTILE[0], asks, texts={text: text for text in HOSTILE}, notes=HOSTILE[:2])
    app = Stage(slip)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter", "enter", "down")
        assert all(row.isprintable() for row in rows_of(app))
        for y in (0, 1, 3, 4):
            await pilot.click(offset=(10, y))
        assert app.is_running


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (40, 12), (16, 6)])
async def test_a_slip_survives_any_size_in_plain_signs(size):
    slip = Slip("Load", load(), texts={"pen": "Hi", "feed": ["Corn silage"], "amount": ["9999"]})
    async with Stage(slip, signs=PLAIN).run_test(size=size) as pilot:
        await pilot.press("tab", "tab", "enter", "up", "ctrl+s")
        assert all(len(line) <= size[0] and line.isascii() for line in shown(slip))
