"""The cows of a pen: what a later entry leaves open stays as an earlier one said."""

from __future__ import annotations

import pytest

from herdbook.book.opening import reading
from herdbook.book.reading.pen_cows import CowsOfPen, cows_of_pen_on
from herdbook.errors import Refused
from tests.yard import DAY, Yard


def cows(yard: Yard, day: str = "2026-03-10") -> CowsOfPen | None:
    with reading(yard.path) as connection:
        return cows_of_pen_on(connection, 1, day)


def test_what_is_left_open_stays_as_it_was_said(yard: Yard) -> None:
    first = yard.do(
        "pen-cows", pen="High", weight="1,500 lb", days_in_milk="120", milk="85", condition="3.25"
    ).entry
    yard.now_s += DAY
    second = yard.do("pen-cows", pen="High", milk="88", fat="3.9").entry
    now, before = cows(yard), cows(yard, "2026-03-09")
    assert now is not None
    assert before is not None
    assert (now.body_g, now.days_in_milk, now.condition_hundredths) == (680_389, 120, 325)
    assert (now.milk_g, before.milk_g) == (39_916, 38_555)
    assert (now.fat_ppm, before.fat_ppm) == (39_000, None)
    assert set(now.entries) == {first, second}
    assert cows(yard, "2026-03-08") is None


def test_nothing_at_all_is_refused(yard: Yard) -> None:
    with pytest.raises(Refused, match="nothing was given"):
        yard.do("pen-cows", pen="High")


def test_a_struck_entry_counts_no_more(yard: Yard) -> None:
    entry = yard.do("pen-cows", pen="High", milk="88").entry
    yard.do("strike", entry=str(entry))
    assert cows(yard) is None
