"""Advice on a call keeps to its own scale, its step, its day of waiting, and says where it ends."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.errors import Refused
from herdbook.science.call_rules import DayScore, call_advice

TODAY = 740_000


def dairy(*scores: str, last_change_day: int | None = None) -> tuple[float | None, str]:
    """Advice on dairy scores of the last days, the last one today's."""
    days = [DayScore(TODAY - len(scores) + 1 + place, "dairy", score) for place, score in enumerate(scores)]
    found = call_advice(rule="dairy", scores=days, today=TODAY, last_change_day=last_change_day)
    return found.change, found.says


@pytest.mark.parametrize(
    ("score", "change"), [("0", 5), ("1", 5), ("2", 0), ("3", -5), ("4", None), ("5", None)]
)
def test_the_dairy_rule_is_bolton_s(score: str, change: float | None) -> None:
    assert dairy("2", "2", "2", score)[0] == change


def test_four_and_five_send_to_the_nutritionist() -> None:
    assert "nutritionist" in dairy("5")[1]


def test_a_day_lies_between_two_changes() -> None:
    assert dairy("1", last_change_day=TODAY) == (0.0, "Wait: the call was changed today.")
    assert dairy("1", last_change_day=TODAY - 1)[0] == 0.0
    assert dairy("1", last_change_day=TODAY - 2)[0] == 5


def test_an_old_score_gives_no_advice() -> None:
    found = call_advice(rule="dairy", scores=[DayScore(TODAY - 2, "dairy", "0")], today=TODAY)
    assert found.change is None


def test_a_score_of_another_scale_is_never_read() -> None:
    found = call_advice(rule="dairy", scores=[DayScore(TODAY, "feedlot", "0")], today=TODAY)
    assert found.change is None
    assert found.says.startswith("No advice")


@pytest.mark.parametrize(
    ("scores", "word"),
    [
        (["0"] * 5 + ["0.5"] * 2, "Leave"),
        (["0"] * 7 + ["0.5"] * 3, "Leave"),
        (["0"] * 9 + ["0.5"], "More"),
        (["0"] * 3 + ["0.5"] * 4, "Less"),
        (["0"] * 5 + ["0.5", "2"], "Less"),
        (["0"] * 6, "No advice"),
    ],
)
def test_the_feedlot_rule_wants_two_or_three_days_of_crumbs_in_seven_to_ten(
    scores: list[str], word: str
) -> None:
    days = [DayScore(TODAY - place, "feedlot", score) for place, score in enumerate(scores)]
    found = call_advice(rule="feedlot", scores=days, today=TODAY)
    assert found.says.startswith(word)
    assert not found.change  # it gives no size of a step
    assert any("finishing cattle" in one for one in found.cautions)


@given(
    st.lists(st.sampled_from("012345"), min_size=1, max_size=10),
    st.none() | st.integers(TODAY - 5, TODAY),
)
def test_no_advice_is_ever_more_than_its_step(scores: list[str], changed: int | None) -> None:
    change, says = dairy(*scores, last_change_day=changed)
    assert change is None or abs(change) <= 5
    assert says


def test_what_is_on_no_scale_is_refused() -> None:
    with pytest.raises(Refused):
        call_advice(rule="dairy", scores=[DayScore(TODAY, "dairy", "0.5")], today=TODAY)
