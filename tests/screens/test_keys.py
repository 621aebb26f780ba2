"""The table of keys is whole: free keys, no doubles, an id and a sentence for each."""

from __future__ import annotations

import importlib
import importlib.util

import pytest

from herdbook.screens import keys
from tests.screens import demo_places

SAME_AS_ANOTHER_KEY = {"ctrl+h", "ctrl+i", "ctrl+j", "ctrl+m"}  # backspace, tab, line feed, enter
TAKEN_OUTSIDE = {"ctrl+a", "ctrl+b", "ctrl+z"}  # screen, tmux, suspend
LETTERS_OF_TEXT = {f"shift+{letter}" for letter in "abcdefghijklmnopqrstuvwxyz"}


def place_classes():
    """Every place that stands in the table and exists, and the two made for tests."""
    classes = []
    for place in keys.PLACES + demo_places.PLACES:
        module, _, name = place.module.partition(":")
        full = module if "." in module else f"herdbook.screens.{module}"
        if importlib.util.find_spec(full) is not None:
            classes.append(pytest.param(getattr(importlib.import_module(full), name), id=full))
    return classes


def pressed(bindings):
    return [key for binding in bindings for key in binding.key.split(",")]


def test_keys_of_the_program_are_free_and_not_doubled():
    presses = pressed(keys.app_bindings())
    assert len(presses) == len(set(presses))
    assert not set(presses) & (SAME_AS_ANOTHER_KEY | TAKEN_OUTSIDE | LETTERS_OF_TEXT)


@pytest.mark.parametrize("place", place_classes())
def test_keys_of_a_place_are_free_and_not_doubled(place):
    own = pressed(keys.bindings(place.KEYS))
    everywhere = pressed(keys.app_bindings())
    assert len(own) == len(set(own))
    assert not set(own) & (SAME_AS_ANOTHER_KEY | TAKEN_OUTSIDE | LETTERS_OF_TEXT)
    assert not set(own) & set(everywhere) - {"ctrl+s"}


@pytest.mark.parametrize("place", place_classes())
def test_every_key_of_a_place_does_something(place):
    for key in place.KEYS:
        assert not key.action or hasattr(place, f"action_{key.action.partition('(')[0]}"), key.id


def test_every_binding_has_an_id_and_a_sentence():
    bindings = keys.app_bindings()
    ids = [binding.id for binding in bindings]
    assert all(ids)
    assert len(ids) == len(set(ids))
    assert all(binding.tooltip.endswith(".") for binding in bindings)


def test_the_keys_that_are_the_same_everywhere_are_told_on_the_list_of_all_keys():
    told = {key.id for key in keys.EVERYWHERE}
    bound = {binding.id for binding in keys.app_bindings() if not binding.id.startswith("go.")}
    assert bound - told == {"all.habit"}


def test_no_place_is_shown_before_it_exists():
    assert [place.press for place in keys.PLACES] == ["f2", "f3", "f4", "f5", "f7"]


def test_only_function_keys_and_a_few_with_ctrl_act_inside_a_field():
    through = {binding.key for binding in keys.app_bindings() if binding.priority}
    assert through == {"f1", "f2", "f3", "f4", "f5", "f7", "ctrl+q", "ctrl+l", "ctrl+c"}


@pytest.mark.parametrize(
    ("press", "label"), [("f1", "F1"), ("ctrl+s", "Ctrl+S"), ("m", "M"), ("space", "Space")]
)
def test_keys_are_written_as_people_say_them(press, label):
    assert keys.Key("x.y", press, "go", "go", "Goes.").label == label
