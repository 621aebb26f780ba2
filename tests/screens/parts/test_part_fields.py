"""Fields on a screen: keys, messages, waiting with the read-back, and letters left to the place."""

from __future__ import annotations

import pytest
from parts_stage import HOSTILE, Stage, pounds, rows_of, shown, until
from textual import events

from herdbook.screens.parts.choice_field import ChoiceField, one_of
from herdbook.screens.parts.field import Field
from herdbook.screens.parts.moment_field import MomentField
from herdbook.screens.parts.number_field import NumberField
from herdbook.screens.parts.says import Says
from herdbook.screens.parts.signs import PLAIN
from herdbook.screens.parts.text import Line
from herdbook.screens.parts.text_field import TextField
from herdbook.screens.parts.understood import Understood

PENS = ["Fresh", "High", "Late", "Close-up"]


def scale(**more) -> NumberField:
    return NumberField(
        "Scale reads", **{"unit_word": "lb", "understand": pounds, "hint": "running total"} | more
    )


def entered(app: Stage) -> list[tuple[object, str]]:
    return [(message.value, message.text) for message in app.of(Field.Entered)]


async def test_a_number_is_typed_read_back_and_entered():
    field = scale()
    app = Stage(field)
    async with app.run_test(size=(80, 3)) as pilot:
        assert shown(field) == [f" Scale reads {12 * ' '} lb  running total"]
        await pilot.press(*"750")
        await until(pilot, lambda: field.state == "reads", "the read-back")
        assert shown(field) == [" Scale reads 750          lb  → soy hulls 109 lb  ok"]
        await pilot.press("enter")
        await pilot.pause()
        assert entered(app) == [(750, "750")]
        assert [message.text for message in app.of(Field.Typed)] == ["750"]


async def test_enter_does_not_wait_for_the_read_back():
    field = scale()
    app = Stage(field)
    async with app.run_test(size=(80, 3)) as pilot:
        await pilot.press(*"750", "enter")
        await pilot.pause()
        assert entered(app) == [(750, "750")]


async def test_letters_belong_to_the_place_until_a_digit_is_typed():
    field = scale()
    app = Stage(field)
    async with app.run_test(size=(80, 3)) as pilot:
        await pilot.press("d", "equals_sign", "space", "left", "up")
        assert app.left_keys == ["d", "equals_sign", "space", "left", "up"]
        await pilot.press("1", "l", "b")
        assert field.text == "1lb"
        assert not field.is_empty
        assert field.check_consume_key("d", "d")
        await pilot.press("f4", "down")
        assert app.left_keys[5:] == ["f4", "down"]
        await pilot.press("backspace", "backspace", "backspace")
        assert field.is_empty
        assert not field.check_consume_key("d", "d")


async def test_a_places_letter_works_as_a_binding_only_while_the_field_is_empty():
    class Place(Stage):
        BINDINGS = [("l", "note('drop')", "drop")]

        def action_note(self, word: str) -> None:
            self.title = word

    field = scale()
    app = Place(field)
    async with app.run_test(size=(80, 3)) as pilot:
        await pilot.press("l", "7", "l")
        assert (app.title, app.left_keys) == ("drop", ["l"])
        assert field.text == "7l"
        assert "l" not in app.active_bindings


async def test_wrong_text_stays_as_typed_and_enter_stays():
    field = scale()
    app = Stage(field)
    async with app.run_test(size=(80, 3)) as pilot:
        await pilot.press(*"4o", "enter")
        await pilot.pause()
        assert (field.text, field.state) == ("4o", "wrong")
        assert "! Not a number, kept as typed" in shown(field)[0]
        assert entered(app) == []
        assert [(says.text, says.kind) for says in app.of(Says)] == [
            ("Not a number, kept as typed. Type a weight such as 748.", "wrong")
        ]
        await pilot.press("backspace")
        await pilot.pause()
        assert app.of(Says)[-1].text == ""


async def test_a_doubt_is_asked_about_and_enter_twice_accepts_it():
    field = scale()
    app = Stage(field)
    async with app.run_test(size=(80, 3)) as pilot:
        await pilot.press(*"7500", "enter")
        await pilot.pause()
        assert "! ten times 107?" in shown(field)[0]
        assert entered(app) == []
        assert app.of(Says)[-1].kind == "asks"
        await pilot.press("enter")
        await pilot.pause()
        assert entered(app) == [(7500, "7500")]


async def test_enter_on_nothing_keeps_the_present_value():
    field = scale(present="641")
    app = Stage(field)
    async with app.run_test(size=(80, 3)) as pilot:
        assert "641 now" in shown(field)[0]
        await pilot.press("enter")
        await pilot.pause()
        assert entered(app) == [(None, "")]


async def test_while_writing_keys_do_nothing_and_written_empties():
    field = scale()
    app = Stage(field)
    async with app.run_test(size=(80, 3)) as pilot:
        await pilot.press(*"750")
        field.writing()
        await pilot.press("9", "d", "enter", "backspace")
        assert (field.text, field.state) == ("750", "writing")
        assert app.left_keys == []
        field.written()
        assert (field.text, field.state) == ("", "written")
        await pilot.press("8")
        assert (field.text, field.state) == ("8", "typing")


async def test_what_was_not_written_comes_back_as_typed():
    field = scale()
    app = Stage(field)
    async with app.run_test(size=(80, 3)) as pilot:
        await pilot.press(*"750", "enter")
        field.writing()
        field.not_written("Someone else is writing in the book. Try again in a moment.")
        await pilot.pause()
        assert (field.text, field.state) == ("750", "wrong")
        assert app.of(Says)[-1].text.startswith("Someone else")
        await pilot.press("enter")
        await pilot.pause()
        assert len(entered(app)) == 2


async def test_the_same_field_asks_for_the_next_feed():
    field = scale()
    async with Stage(field).run_test(size=(80, 3)) as pilot:
        await pilot.press(*"750")
        field.ask("Corn silage", pounds, unit_word="lb", present="54.5")
        await pilot.pause()
        assert shown(field) == [f" Corn silage {12 * ' '} lb  54.5 now"]


async def test_escape_empties_the_field_first_and_then_belongs_to_the_place():
    field = scale()
    app = Stage(field)
    async with app.run_test(size=(80, 3)) as pilot:
        await pilot.press(*"750", "escape")
        assert field.is_empty
        await pilot.press("escape")
        assert app.left_keys == ["escape"]


async def test_a_pasted_weight_is_read_without_its_codes():
    field = scale()
    async with Stage(field).run_test(size=(80, 3)) as pilot:
        field.post_message(events.Paste("\x1b[31m750\x1b[0m\nsecond line"))
        await until(pilot, lambda: field.state == "reads", "the pasted text to be read")
        assert field.text == "750"


async def test_a_moment_may_begin_with_a_letter():
    def moment(text: str) -> Understood:
        return Understood(text, "Tue 10 Mar 07:06  ok")

    field = MomentField("Ended", understand=moment)
    app = Stage(field)
    async with app.run_test(size=(80, 3)) as pilot:
        await pilot.press(*"now", "enter")
        await pilot.pause()
        assert entered(app) == [("now", "now")]


async def test_a_note_takes_letters_and_blanks_and_moves_along():
    field = TextField("Note")
    app = Stage(field)
    async with app.run_test(size=(60, 3)) as pilot:
        await pilot.press(*"ears cold", "enter")
        await pilot.pause()
        assert entered(app) == [("ears cold", "ears cold")]
        field.put("standing back, ears cold, not seen yet")
        await pilot.press("!")
        assert "not seen yet!" in shown(field)[0]


async def test_a_name_is_picked_by_a_part_or_by_down():
    field = ChoiceField("Pen", PENS)
    app = Stage(field)
    async with app.run_test(size=(80, 3)) as pilot:
        await pilot.press(*"up")
        await until(pilot, lambda: "Close-up" in shown(field)[0], "the suggestion")
        await pilot.press("enter")
        await pilot.pause()
        assert entered(app) == [("Close-up", "Close-up")]
        await pilot.press("escape", "down", "down", "enter")
        await pilot.pause()
        assert entered(app)[-1] == ("High", "High")


async def test_a_name_nobody_knows_is_refused_with_the_names_there_are():
    field = ChoiceField("Pen", PENS)
    app = Stage(field)
    async with app.run_test(size=(80, 3)) as pilot:
        await pilot.press(*"barn", "enter")
        await pilot.pause()
        assert entered(app) == []
        assert "Fresh, High, Late, Close-up" in app.of(Says)[-1].text
    assert one_of([])("x").error == "No names yet."


async def test_hostile_words_from_the_book_are_shown_as_text():
    fields = [
        NumberField(
            text, unit_word="lb", hint=text, present=text, understand=lambda _, it=text: Understood(1, it, it)
        )
        for text in HOSTILE
    ]
    app = Stage(*fields)
    async with app.run_test(size=(80, 10)):
        assert all(row.isprintable() for row in rows_of(app))
        for field in fields:
            field.put("1")
            assert field.state == "asks"
        assert all(row.isprintable() for row in rows_of(app))


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (40, 10), (20, 4)])
async def test_the_number_stays_in_sight_at_any_width(size):
    field = scale()
    async with Stage(field, signs=PLAIN).run_test(size=size) as pilot:
        await pilot.press(*"748")
        field.read_now()
        assert "748" in shown(field)[0]
        assert len(shown(field)[0]) <= size[0]


async def test_the_terminals_own_cursor_follows_the_place_typed_in():
    field = scale()
    app = Stage(Line("above"), field)
    async with app.run_test(size=(80, 3)) as pilot:
        field.focus()
        await pilot.press(*"75")
        await pilot.pause()
        assert app.cursor_position == (len(" Scale reads 75"), 1)


async def test_a_digit_touches_only_its_own_cells(monkeypatch):
    field = scale()
    async with Stage(field).run_test(size=(80, 3)) as pilot:
        await pilot.press("7")
        await until(pilot, lambda: field.state == "reads", "the read-back")
        touched = []
        refresh = NumberField.refresh
        monkeypatch.setattr(
            NumberField, "refresh", lambda self, *r, **m: (touched.extend(r), refresh(self, *r, **m))[1]
        )
        field._edited(field._answer.line.type("5"))
        assert [(region.x, region.width) for region in touched] == [(14, 2)]
