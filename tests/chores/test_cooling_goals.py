"""The rule for cooling from a day on, and the farm's own goals: held against milkings of their days, told as own."""

from __future__ import annotations

from contextlib import closing

import pytest

from herdbook.book.opening import connect
from herdbook.book.reading import milk as read_milk
from herdbook.errors import Refused
from herdbook.reports.alarm_causes import cooling_causes
from herdbook.reports.cooling import TankState, tank_state
from herdbook.reports.tank import cooling_figure
from herdbook.screens.deadlines import deadline_of
from herdbook.screens.parts.deadline_clock import badge_of
from tests.reports.byre import at, show
from tests.yard import Yard


def state_of(yard: Yard) -> TankState:
    with closing(connect(yard.path, "ro")) as connection:
        (tank,) = read_milk.tanks(connection)
        return tank_state(connection, tank, yard.now_s)


def clauses(yard: Yard) -> list[tuple[str, str, bool]]:
    """Limit, state and whether it is the farm's own, of the newest milking."""
    state = state_of(yard)
    newest = state.milkings[-1].milking
    return [(str(v.clause.limit), v.state, v.is_own) for v in state.verdicts if v.milking_key == newest]


@pytest.fixture
def milked(bare_yard: Yard) -> Yard:
    """A tank that was filled from 05:00 to 06:00 today; it is 06:00 (first milking, US rule)."""
    yard = bare_yard
    yard.do("tank", name="North", holds="20,000 lb")
    at(yard, "2026-03-09 06:00")
    yard.do("milking", started="05:00")
    yard.do("milked", ended="06:00")
    return yard


def read(yard: Yard, when: str, reading: str) -> None:
    at(yard, f"2026-03-09 {when}")
    yard.do("temperature", reading=reading)


def test_a_goal_of_the_farms_own_is_a_clause_beside_the_rule(milked: Yard) -> None:
    said = milked.do("cooling-goal", limit="39F", within="60").said
    assert said == "From 2026-03-09 the farm's own goal: 39 °F or less, within 60 min of the end of milking."
    read(milked, "06:50", "38.9F")
    assert ("39 °F", "met", True) in clauses(milked)
    report = show(milked, "cooling", of="2026-03-09..2026-03-09")
    assert "39 °F own" in [line["clause"].value for line in report.table("verdicts").lines]


def test_a_missed_goal_is_told_as_own_and_the_tank_is_not_called_late(milked: Yard) -> None:
    milked.do("cooling-goal", limit="39F", within="60")
    read(milked, "06:30", "48F")
    read(milked, "07:05", "44F")  # the rule's 45 °F within 2 h of the end is met
    assert ("39 °F", "missed", True) in clauses(milked)
    assert ("45 °F", "met", False) in clauses(milked)
    state, ground = state_of(milked), milked.ground()
    assert cooling_figure(state, ground).flag == "!"
    (cause,) = cooling_causes(state, ground)
    assert (cause.late, "the farm's own 39 °F" in cause.says) == (False, True)
    own = next(one for one in state.verdicts if one.is_own)
    assert badge_of(deadline_of(own, state, ground)).plain == "! not yet"
    read(milked, "07:20", "38.8F")  # reached late: it asks for nothing any more
    state = state_of(milked)
    own = next(one for one in state.verdicts if one.is_own)
    assert badge_of(deadline_of(own, state, ground)).plain == "reached 07:20"
    assert cooling_causes(state_of(milked), milked.ground()) == []
    assert cooling_figure(state_of(milked), milked.ground()).flag == ""
    read(milked, "09:10", "46F")  # warmer than the rule allows by now: that comes first, and is loud
    state = state_of(milked)
    (cause,) = cooling_causes(state, ground)
    assert "warm again, above 45 °F" in cause.says


def test_milkings_before_its_day_stay_judged_as_they_were(milked: Yard) -> None:
    read(milked, "06:50", "44F")
    milked.do("cooling-goal", limit="39F", within="60", since="+1")
    milked.do("cooling-rule", rule="us-virginia", since="+1")
    before = clauses(milked)
    assert all(not own for _, _, own in before)
    assert state_of(milked).rule.key == "us-model-ordinance"
    at(milked, "2026-03-10 06:00")
    milked.do("milking", started="05:00")
    milked.do("milked", ended="06:00")
    state = state_of(milked)
    assert state.rule.key == "us-virginia"
    assert {v.rule.key for v in state.verdicts if v.rule and not v.is_own} == {
        "us-model-ordinance",
        "us-virginia",
    }
    assert ("39 °F", "open", True) in clauses(milked)


def test_the_farms_settings_change_the_rule_from_today_only(milked: Yard) -> None:
    read(milked, "06:50", "44F")
    at(milked, "2026-03-10 12:00")
    milked.do("farm", name="Farm", zone="America/Chicago", cooling_rule="us-virginia")
    assert {v.rule.key for v in state_of(milked).verdicts if v.rule} == {"us-model-ordinance"}


def test_a_goal_is_over_from_its_day(milked: Yard) -> None:
    milked.do("cooling-goal", limit="39F", within="60")
    said = milked.do("cooling-goal", limit="39F", over="yes").said
    assert said.startswith("The farm's own goal of 39 °F, within 60 min of the end of milking, is over from")
    assert all(not own for _, _, own in clauses(milked))


def test_a_limit_that_is_never_passed_is_held_against_later_milkings(milked: Yard) -> None:
    milked.do("cooling-goal", limit="45F", counted="never")
    read(milked, "07:30", "40F")
    at(milked, "2026-03-09 17:00")
    milked.do("milking", started="16:00")
    read(milked, "16:30", "46F")
    assert ("45 °F", "missed", True) in clauses(milked)


@pytest.mark.parametrize(("texts", "field", "words"), [
    ({"limit": "45F", "within": "120"}, "limit", "asks for that already: 45 °F or less within 2 h"),
    ({"limit": "45F", "within": "180"}, "limit", "asks for that already"),
    ({"limit": "50F", "counted": "never"}, "limit", "asks for that already"),
    ({"limit": "39F"}, "within", "in how many minutes"),
    ({"limit": "39F", "within": "60", "counted": "never"}, "within", "has no minutes"),
    ({"limit": "32F", "within": "60"}, "limit", "next to freezing"),
    ({"limit": "39F", "over": "yes"}, "limit", "there is no goal of 39 °F"),
])  # fmt: skip
def test_what_is_no_goal_is_refused_with_a_sentence(
    milked: Yard, texts: dict[str, str], field: str, words: str
) -> None:
    state = milked.pages()
    with pytest.raises(Refused) as told:
        milked.do("cooling-goal", **texts)
    assert (told.value.field, words in str(told.value)) == (field, True)
    assert milked.pages() == state


def test_a_rule_from_memory_is_not_offered(milked: Yard) -> None:
    with pytest.raises(Refused):
        milked.do("cooling-rule", rule="us-ordinance-robot")
