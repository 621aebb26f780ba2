"""What keys do to typed text, and what an answer makes of it, without a screen."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from parts_stage import HOSTILE, pounds

from herdbook.errors import Refused
from herdbook.screens.parts.answer import Answer, matching
from herdbook.screens.parts.field_drawing import draw_field, first_sentence, read_back
from herdbook.screens.parts.typed_line import LONGEST, TypedLine
from herdbook.screens.parts.understood import Understood

FEEDS = ["Corn silage", "Haylage", "Dry hay", "Ground corn", "Soybean meal", "Soy hulls"]

# -- typing --


def test_editing_keys_do_what_people_expect():
    line = TypedLine()
    line.type("1940 lb")
    for key in ("left", "left", "left", "backspace"):
        line.press(key)
    assert (line.text, line.cursor) == ("194 lb", 3)
    line.press("home")
    line.press("delete")
    assert line.text == "94 lb"
    line.press("end")
    line.press("ctrl+w")
    assert line.text == "94 "
    line.press("ctrl+u")
    assert (line.text, line.cursor) == ("", 0)
    assert line.press("f4") is None


@given(
    st.lists(
        st.sampled_from(["left", "right", "home", "end", "backspace", "delete", "ctrl+w", "7", "é", "牛"])
    )
)
def test_the_cursor_never_leaves_the_text_and_stays_in_view(keys):
    line = TypedLine()
    for key in keys:
        if len(key) == 1:
            line.type(key)
        else:
            line.press(key)
        assert 0 <= line.cursor <= len(line.text)
        text, cursor = line.view(6)
        assert 0 <= cursor <= len(text)


@pytest.mark.parametrize("text", HOSTILE)
def test_pasted_and_typed_text_carries_no_terminal_codes(text):
    line = TypedLine()
    line.paste(text)
    line.type(text)
    assert line.text.isprintable()
    assert "\u202e" not in line.text


def test_text_does_not_grow_without_end():
    line = TypedLine()
    line.paste("9" * 5_000)
    line.type("9" * 5_000)
    assert len(line.text) == LONGEST


# -- states --


def answer(text: str = "", **more) -> Answer:
    made = Answer(**{"label": "Scale reads", "unit_word": "lb", "understand": pounds} | more)
    made.put(text)
    made.read()
    return made


@pytest.mark.parametrize(
    ("text", "state", "beside"),
    [
        ("", "empty", "running total"),
        ("750", "reads", "→ soy hulls 109 lb  ok"),
        ("7500", "asks", "! ten times 107?  6,859 lb soy hulls"),
        ("4o", "wrong", "! Not a number, kept as typed"),
    ],
)
def test_each_state_says_something_of_its_own_beside_the_field(text, state, beside):
    made = answer(text, hint="running total")
    assert made.state == state
    assert read_back(made).plain == beside
    assert made.text == text


def test_the_present_value_stands_beside_the_empty_field():
    assert read_back(answer(present="54.5", hint="lb a cow")).plain == "54.5 now  lb a cow"


def test_enter_goes_on_only_with_something_that_can_be_used():
    assert answer("750").press_enter()[0]
    goes_on, words, kind = answer("4o").press_enter()
    assert (goes_on, kind) == (False, "wrong")
    assert words == "Not a number, kept as typed. Type a weight such as 748."


def test_a_doubt_needs_enter_twice_and_typing_takes_the_yes_back():
    made = answer("7500")
    goes_on, words, kind = made.press_enter()
    assert (goes_on, kind) == (False, "asks")
    assert "ten times 107?" in words
    assert made.press_enter()[0]
    made.line.type("0")
    made.changed()
    assert not made.press_enter()[0]


def test_empty_is_refused_only_where_something_is_needed_and_none_is_present():
    assert answer().press_enter()[0]
    assert answer(required=True, present="54.5").press_enter()[0]
    goes_on, words, kind = answer(required=True).press_enter()
    assert (goes_on, words, kind) == (False, "Scale reads is needed.", "wrong")


def test_an_error_of_ours_is_words_about_the_text():
    def refuse(text: str) -> Understood:
        raise Refused("No such pen.", remedy="Pens are Fresh, High.")

    assert answer("x", understand=refuse).press_enter() == (
        False,
        "No such pen. Pens are Fresh, High.",
        "wrong",
    )


def test_a_point_in_a_number_does_not_end_the_sentence():
    assert first_sentence("Calcium 0.62 is low. Add lime.") == "Calcium 0.62 is low"


# -- names --


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("corn", ["Corn silage", "Ground corn"]),
        ("hay", ["Haylage", "Dry hay"]),
        ("SOY", ["Soybean meal", "Soy hulls"]),
        ("sil", ["Corn silage"]),
        ("hulls soy", ["Soy hulls"]),
        ("xyz", []),
        ("", FEEDS),
    ],
)
def test_any_part_of_a_name_finds_it_the_best_fit_first(typed, found):
    assert matching(FEEDS, typed) == found


def choice(text: str = "") -> Answer:
    made = Answer(label="Feed", choices=lambda: FEEDS)
    made.put(text)
    made.read()
    return made


def test_a_part_of_a_name_is_shown_with_what_else_fits_and_enter_takes_it():
    made = choice("soy")
    assert read_back(made).plain.split("  ")[:2] == ["→ Soybean meal", "1 more ↑↓"]
    assert made.pick(1)
    assert made.suggested == "Soy hulls"
    assert made.press_enter()[0]
    assert (made.text, made.resolved) == ("Soy hulls", "Soy hulls")


def test_up_and_down_choose_from_all_names_while_the_field_is_empty():
    made = choice()
    assert made.pick(1)
    assert read_back(made).plain.startswith("→ Corn silage  5 more ↑↓")
    made.pick(-1)
    assert made.suggested == "Soy hulls"
    assert made.stop_picking()
    assert (made.state, made.resolved) == ("empty", "")


def test_a_name_taken_before_is_not_changed_by_moving_past_it():
    made = choice("Haylage")
    assert not made.pick(1)
    assert made.text == "Haylage"


# -- drawing --


@given(
    text=st.text(max_size=60),
    width=st.integers(12, 120),
    focused=st.booleans(),
    label=st.sampled_from(["", "Temperature", "A label much longer than the place it has been given"]),
)
def test_the_place_typed_in_is_always_in_the_line(text, width, focused, label):
    made = answer(text, label=label)
    line = draw_field(made, width, cells=9, focused=focused)
    assert line.cell_len >= 9
    if focused:
        assert any("cursor" in str(span.style) and span.start < width for span in line.spans)
