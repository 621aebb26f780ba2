"""Refusals on a screen name keys and fields, not commands."""

from __future__ import annotations

import pytest

from herdbook.screens import keys
from herdbook.screens.ration import Ration
from herdbook.screens.remedies import KEYS_OF, on_screen
from tests.screens.desks import HOME, go, program, settled, shown
from tests.yard import BEN


@pytest.mark.parametrize(
    ("said", "shown_as"),
    [
        ("Write one first: `herdbook write feed`.", "Write one first: F5, then F."),
        ("The nutritionist sets it: `herdbook write pen-ration`.", "The nutritionist sets it: F5, then P."),
        ("Write one: `herdbook write head`.", "Write one: W, then head."),
        ("Correct it with `herdbook write ration --corrects 12`.", "Correct it with C on entry 12."),
        ("It takes none. See `herdbook show plan`.", "It takes none. See F3."),
        ("Test again; give `sure yes` if it is right.", "Test again; give yes in Sure if it is right."),
        ("give the reason in words with `despite`; it goes in the book.",
         "give the reason in words with Despite; it goes in the book."),
        ("There is no feed called 'herdbook write feed'.", "There is no feed called 'herdbook write feed'."),
    ],
)  # fmt: skip
def test_a_remedy_names_the_key_or_the_field(said: str, shown_as: str) -> None:
    assert on_screen(said) == shown_as


def test_the_keys_named_are_those_of_the_ration_desk() -> None:
    named = {words.removeprefix("F5, then ").lower() for words in KEYS_OF.values()}
    assert keys.place_key("ration").press == "f5"
    assert named <= {key.press for key in Ration.KEYS}


async def test_a_step_too_long_asks_for_the_field_by_its_name(yard) -> None:
    app = program(yard, BEN)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "ration")
        await pilot.press("d", *"corn", "enter", *"52", "ctrl+s")
        await shown(pilot, "yes in Sure")
