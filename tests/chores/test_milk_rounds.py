"""Levels, thermometer checks and washes: what is written, what is refused, and what is said of it."""

from __future__ import annotations

import pytest

from herdbook.book.opening import reading
from herdbook.chores.wash_cautions import NEVER_MIX, wash_caution
from herdbook.errors import ChoreRefused, Refused
from herdbook.reports.catalogue import ground_for_reading, make
from tests.yard import DAY, HOUR, Yard


def report(yard: Yard, key: str, **texts: str):
    with reading(yard.path) as connection:
        return make(key, connection, ground_for_reading(connection, yard.now_s), texts)


def held_lb(yard: Yard) -> float:
    return report(yard, "tank").facts["held_kg"].value / 0.45359237


# the yard's chart: 10 in = 5,000 lb, 20 in = 11,000 lb, 33 1/4 in = 20,000 lb; a metered milking of 4,310 lb is in it
def test_a_stick_reading_between_two_marks_is_on_the_straight_line(yard: Yard) -> None:
    assert "North holds 8,000 lb, stick 15 in" in yard.do("level", stick="15").said
    assert "5,000 lb" in yard.do("level", stick="10 in").said  # a mark itself


@pytest.mark.parametrize(("stick", "read"), [("9.9", "9.9 in"), ("33.5", "33.5 in"), ("0", "0 in")])
@pytest.mark.parametrize("chore", ["level", "pickup"])
def test_a_reading_off_the_chart_is_refused_with_its_ends_in_the_farms_unit(
    yard: Yard, chore: str, stick: str, read: str
) -> None:
    with pytest.raises(Refused, match=f"stick: {read} is off the chart of North.* 10 in to 33.25 in"):
        yard.do(chore, stick=stick)


def test_a_tank_without_a_chart_takes_a_meter_and_no_stick(yard: Yard) -> None:
    yard.do("tank", name="South", holds="5000 lb")
    with pytest.raises(ChoreRefused, match="South has no stick chart"):
        yard.do("level", tank="South", stick="12")
    assert "South holds 2,000 lb, by meter" in yard.do("level", tank="South", milk="2000").said


def test_what_is_held_is_counted_from_the_newest_level_on(yard: Yard) -> None:
    assert held_lb(yard) == pytest.approx(4_310, abs=0.01)
    yard.do("level", stick="10", read="-30")
    assert held_lb(yard) == pytest.approx(5_000, abs=0.01)
    yard.now_s += 2 * HOUR
    yard.do("milking", started="-100", ended="-10", milk="1000")
    assert held_lb(yard) == pytest.approx(6_000, abs=0.01)
    yard.do("pickup", weight="500", emptied="no", picked="-5")
    assert held_lb(yard) == pytest.approx(5_500, abs=0.01)


def test_a_milking_that_was_not_metered_counts_as_the_middle_share_of_the_last_pickups_and_says_so(
    yard: Yard,
) -> None:
    yard.do("pickup", weight="4310", picked="-5")
    for weight in ("4000", "4100", "4200"):
        yard.now_s += DAY
        yard.do("milking", started="-180", ended="-90")
        yard.do("pickup", weight=weight, picked="-30")
    yard.now_s += DAY
    yard.do("milking", started="-180", ended="-90")
    figure = report(yard, "tank").facts["held_kg"]
    # 4,310 lb, 4,000, 4,100 and 4,200 lb: the middle is 4,150
    assert figure.value == pytest.approx(4_150 * 0.45359237, abs=0.01)
    assert figure.flag == "?"
    assert "not metered, an ended one counted as usual" in figure.missing[0]


def test_more_milk_than_the_tank_holds_is_refused_and_what_came_together_is_said(yard: Yard) -> None:
    with pytest.raises(Refused, match="more than the tank's 21,500 lb"):
        yard.do("level", milk="21501")
    yard.do("level", milk="21000", read="-5")
    yard.now_s += HOUR
    yard.do("milking", started="-40", ended="-10", milk="900")
    assert any("holds 21,900 lb on paper, 21,500 lb at most" in one for one in report(yard, "tank").warnings)


def test_two_tanks_are_told_apart(yard: Yard) -> None:
    yard.do("tank", name="South", holds="5000 lb")
    with pytest.raises(Refused, match="tank: which one"):
        yard.do("level", milk="2000")
    yard.do("level", tank="South", milk="2000")
    assert held_lb_of(yard, "South") == pytest.approx(2_000, abs=0.01)
    assert held_lb_of(yard, "North") == pytest.approx(4_310, abs=0.01)


def held_lb_of(yard: Yard, name: str) -> float:
    return report(yard, "tank", name=name).facts["held_kg"].value / 0.45359237


@pytest.mark.parametrize(
    ("shown", "reference", "says"),
    [
        ("38", "38", "reads true"),
        ("39.2", "38", "reads 1.2 °F too warm, checked"),
        ("36.5", "38", "reads 1.5 °F too cold, checked"),
        ("40", "38", "reads 2.0 °F too warm, checked"),  # within 2 °F: Washington WAC 16-125-200(5)
        ("40.1", "38", "more than the 2 °F a recorder may be off"),
    ],
)
def test_a_check_says_how_far_off_and_which_way(yard: Yard, shown: str, reference: str, says: str) -> None:
    assert says in yard.do("thermometer-check", shown=shown, reference=reference).said


def test_the_known_error_stands_beside_the_reading_and_never_in_its_place(yard: Yard) -> None:
    yard.do("thermometer-check", shown="39.2", reference="38")
    found = report(yard, "tank")
    line = found.table("readings").lines[0]
    assert line["tank_degC"].value == pytest.approx(4.0)  # 39.2 °F as read
    assert line["less_error_degC"].value == pytest.approx(4.0 - 1.2 / 1.8, abs=0.001)
    assert "reads 1.2 °F too warm" in found.facts["thermometer"].value


def test_another_thermometers_check_says_nothing_of_this_one(yard: Yard) -> None:
    yard.do("thermometer-check", shown="39.2", reference="38", thermometer="logger")
    assert report(yard, "tank").table("readings").lines[0]["less_error_degC"].value is None


def test_a_thermometer_far_off_is_warned_of(yard: Yard) -> None:
    yard.do("thermometer-check", shown="42", reference="38")
    assert any("reads 4.0 °F too warm" in one for one in report(yard, "tank").warnings)


@pytest.mark.parametrize(
    ("steps", "chemicals", "warns"),
    [
        (["detergent", "acid"], ["Chlorinated soap", "x"], True),
        (["detergent", "rinse", "acid"], ["Chlorinated soap", "x"], False),
        (["acid", "sanitizer"], [], True),
        (["acid", "rinse", "sanitizer"], [], False),
        (["rinse", "detergent"], ["soap"], False),
        ([], ["Invented acid", "Bleach"], True),
    ],
)
def test_acid_and_chlorine_in_one_wash_are_spoken_of_unless_a_rinse_stands_between(
    steps: list[str], chemicals: list[str], warns: bool
) -> None:
    assert (wash_caution(steps, chemicals) == NEVER_MIX) == warns


def test_a_wash_is_due_once_the_tank_was_emptied_after_the_last_one(yard: Yard) -> None:
    yard.do("wash", what="tank", steps=["rinse"], washed="-300")
    yard.do("pickup", weight="4310", picked="-20")
    due = [line["what"].value for line in report(yard, "today").table("due").lines]
    assert "Wash North" in due
    yard.do("wash", what="tank", steps=["rinse", "detergent"], washed="-5")
    due = [line["what"].value for line in report(yard, "today").table("due").lines]
    assert "Wash North" not in due


def test_emptying_is_due_by_the_hours_of_the_chosen_place(yard: Yard) -> None:
    """Last emptied Monday 07:00, now Thursday 07:00: 72 h are used (South Dakota 12:17:04:14)."""
    yard.do("pickup", weight="4310", picked="-5")
    emptied = yard.now_s - 300
    yard.do("milking", started="-2", ended="-1")
    facts = report(yard, "tank").facts
    assert facts["empty_by"].value == emptied + 72 * HOUR
    yard.do("emptying-rule", rule="us-new-york")
    assert report(yard, "tank").facts["empty_by"].value == emptied + 48 * HOUR
    yard.now_s = emptied + 51 * HOUR
    found = report(yard, "today")
    assert any("Empty North" in line["what"].value for line in found.table("due").lines)
    assert any("should have been empty 3 h ago" in one for one in report(yard, "tank").warnings)


def test_a_check_older_than_six_months_is_due(yard: Yard) -> None:
    yard.do("thermometer-check", shown="38", reference="38")
    yard.now_s += 183 * DAY
    due = [line["what"].value for line in report(yard, "today").table("due").lines]
    assert "Check the North thermometer" in due


@pytest.mark.parametrize(
    ("chore", "texts", "says"),
    [
        ("level", {}, "neither was given"),
        ("level", {"stick": "15", "milk": "8000"}, "both a stick reading and a weight"),
        ("level", {"stick": "15", "read": "+300"}, "read: "),
        ("level", {"milk": "-1"}, "milk: "),
        ("thermometer-check", {"shown": "38", "reference": "200"}, "reference: "),
        ("thermometer-check", {"shown": "100", "reference": "38"}, "more than 20 °C (36 °F) apart"),
        ("thermometer-check", {"shown": "38", "reference": "38", "checked": "2031-01-01 10:00"}, "ahead"),
        ("wash", {"what": "tank", "begins": "120", "ends": "160"}, "warmer at the end"),
        ("wash", {"what": "tank", "begins": "300"}, "begins: "),
        ("wash", {"what": "pipeline", "tank": "North"}, "of no tank"),
        ("wash", {"what": "tank", "washed": "1999-01-01 10:00"}, "washed: "),
        ("milking", {"started": "-10", "ended": "-20"}, "ended: "),
        ("milking", {"started": "2026-03-05 06:00", "ended": "2026-03-07 08:00"}, "a milking of"),
        ("milking", {"started": "2031-01-01 10:00"}, "ahead"),
        ("temperature", {"reading": "200"}, "more than 140 °F"),
        ("temperature", {"reading": "38", "read": "+60"}, "read: "),
        ("temperature", {"reading": "38", "read": "25:00"}, "read: "),
        ("pickup", {"weight": "21501"}, "more than the tank's"),
        ("pickup", {"weight": "4000", "picked": "2031-01-01 10:00"}, "ahead"),
        ("pickup", {"weight": "4000", "temperature": "-40"}, "temperature: "),
        ("pickup", {}, "neither a weight nor a stick"),
        ("tank", {"name": "X", "holds": "5000", "mark": ["10 in=500", "12 in=400"]}, "must both rise"),
        ("tank", {"name": "North", "holds": "5000"}, "already a tank"),
    ],
    ids=lambda one: one if isinstance(one, str) else "",
)
def test_what_cannot_be_has_its_sentence_and_nothing_is_written(
    yard: Yard, chore: str, texts: dict, says: str
) -> None:
    state = yard.pages()
    with pytest.raises(Refused) as refused:
        yard.do(chore, **texts)
    assert says in refused.value.message
    assert refused.value.remedy
    assert yard.pages() == state
