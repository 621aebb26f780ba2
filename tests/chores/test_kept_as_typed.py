"""A reading that can be argued over is kept word for word, in the unit it was typed in."""

from __future__ import annotations

import pytest

from tests.yard import Yard


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("44.5F", "44.5F"), ("44.5", "44.5 °F"), ("7 °C", "7 °C"), ("44,5", "44,5 °F")],
)
def test_a_temperature_is_kept_as_it_was_typed(yard: Yard, typed: str, kept: str) -> None:
    written = yard.do("temperature", reading=typed)
    assert yard.rows(f"SELECT typed FROM temperature WHERE entry = {written.entry}") == [{"typed": kept}]
