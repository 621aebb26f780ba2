"""Milk held back: stated hours, a blocked tank nobody gets past, and what frees it."""

from __future__ import annotations

import pytest

from herdbook.book.opening import reading
from herdbook.chores.doing import HAND, OWNER, Who
from herdbook.errors import ChoreRefused, Refused
from herdbook.reports.catalogue import ground_for_reading, make
from tests.rules_said import said_by
from tests.yard import ADA, CLEO, HOUR, Yard

TUBE = {"cow": "412", "drug": "Invented tube", "milk": "96 h", "meat": "10 d", "hours_from": "label"}
BUYER = "Call your buyer"


def pickup(yard: Yard, **texts: str) -> str:
    return yard.do("pickup", **{"weight": "4000", **texts}).said


def held(yard: Yard):
    with reading(yard.path) as connection:
        return make("held", connection, ground_for_reading(connection, yard.now_s), {})


def test_the_end_is_the_last_dose_plus_the_stated_hours(yard: Yard) -> None:
    said = yard.do("treatment", given=["2026-03-08 22:00", "2026-03-09 09:00"], **TUBE).said
    assert "last of 2 given Mon 9 Mar 09:00" in said
    assert "until Fri 13 Mar 09:00 (96 h by the label)" in said
    assert "meat until Thu 19 Mar 09:00" in said


def test_hours_are_elapsed_hours_when_the_clocks_change(yard: Yard) -> None:
    """Chicago's clocks went forward on 8 March 2026 at 02:00: 24 hours after 20:00 it is 21:00."""
    said = yard.do("treatment", given="2026-03-07 20:00", **TUBE | {"milk": "24"}).said
    assert "Sun 8 Mar 21:00" in said


@pytest.mark.parametrize("typed", ["?", "usual", "as last time", "some"])
def test_the_book_never_supplies_the_hours(yard: Yard, typed: str) -> None:
    with pytest.raises(Refused, match="milk: ") as refused:
        yard.do("treatment", **TUBE | {"milk": typed})
    assert "this book never supplies it" in refused.value.remedy


def test_nought_hours_are_written_when_they_are_stated_and_must_not_be_left_out(yard: Yard) -> None:
    with pytest.raises(Refused, match="milk: nothing was given"):
        yard.do("treatment", **{name: text for name, text in TUBE.items() if name != "milk"})
    assert "No hours for milk by the label" in yard.do("treatment", **TUBE | {"milk": "0"}).said
    assert held(yard).facts["cows"].value == 0


def test_hours_from_a_veterinarian_need_a_name(yard: Yard) -> None:
    with pytest.raises(Refused, match="need the veterinarian's name"):
        yard.do("treatment", **TUBE | {"hours_from": "veterinarian"})


def test_while_it_runs_every_milking_and_pickup_says_whose_milk_stays_out(yard: Yard) -> None:
    yard.do("treatment", given="-30", **TUBE)
    assert "Milk stays out: cow 412 until Fri 13 Mar 09:30." in yard.do("milking", started="-5").said
    assert "Milk stays out: cow 412" in yard.do("milked").said
    yard.now_s += HOUR
    assert "Milk stays out: cow 412" in pickup(yard)
    yard.now_s += 96 * HOUR
    assert "stays out" not in yard.do("milking").said


def test_an_end_before_the_stated_hours_needs_a_reason_and_then_counts(yard: Yard) -> None:
    yard.do("treatment", given="-30", **TUBE)
    with pytest.raises(Refused, match="the label's hours run until Fri 13 Mar 09:30"):
        yard.do("milk-back", treatment="412")
    said = yard.do("milk-back", treatment="412", reason="the veterinarian took it back").said
    assert "before the stated end: the veterinarian took it back" in said
    report = held(yard)
    assert report.facts["cows"].value == 0
    assert report.table("over").lines[0]["state"].value == "ended early: the veterinarian took it back"
    with pytest.raises(Refused, match="says already when her milk went back"):
        yard.do("milk-back", treatment="412", reason="again")


def test_a_milking_since_the_first_dose_is_spoken_of(yard: Yard) -> None:
    said = yard.do("treatment", given="-180", **TUBE).said  # the yard's milking ended two hours ago
    assert "if her milk went into a tank, write held-milk-in at once" in said


@pytest.mark.parametrize("who", [ADA, CLEO, Who(1, "Ada", frozenset({OWNER, HAND}))])
def test_a_tank_with_held_milk_in_it_is_not_picked_up_whoever_asks(yard: Yard, who: Who) -> None:
    yard.do("held-milk-in", cow="412", went="-30")
    state = yard.pages()
    with pytest.raises(ChoreRefused, match="North is blocked: held milk of cow 412") as refused:
        yard.do("pickup", weight="4000", by=who)
    assert BUYER in refused.value.remedy
    assert yard.pages() == state


def test_what_left_before_the_held_milk_went_in_can_still_be_written(yard: Yard) -> None:
    yard.do("held-milk-in", cow="412", went="-30")
    assert pickup(yard, picked="-60")


def test_a_clear_result_frees_the_tank_and_one_that_is_not_clear_does_not(yard: Yard) -> None:
    yard.do("held-milk-in", cow="412", went="-30")
    said = yard.do("milk-test", result="not clear", told="the buyer", sampled="-20").said
    assert "stays blocked" in said
    assert BUYER in said
    with pytest.raises(ChoreRefused):
        pickup(yard)
    assert "North is not blocked any more" in yard.do("milk-test", result="clear", told="the buyer").said
    assert pickup(yard)


def test_a_sample_taken_before_the_milk_went_in_frees_nothing(yard: Yard) -> None:
    yard.do("held-milk-in", cow="412", went="-30")
    assert "stays blocked" in yard.do("milk-test", result="clear", told="the laboratory", sampled="-40").said
    with pytest.raises(ChoreRefused):
        pickup(yard)


def test_milk_that_is_not_clear_after_a_clear_sample_blocks_again(yard: Yard) -> None:
    yard.do("held-milk-in", cow="412", went="-30")
    yard.do("milk-test", result="clear", told="the laboratory", sampled="-20")
    yard.do("milk-test", result="not clear", told="the buyer", sampled="-10")
    with pytest.raises(ChoreRefused):
        pickup(yard)


def test_pouring_away_frees_the_tank_only_when_nothing_is_left_in_it(yard: Yard) -> None:
    yard.do("held-milk-in", cow="412", went="-30")
    assert "stays blocked" in yard.do("dump", milk="500", reason="a part", emptied="no").said
    with pytest.raises(ChoreRefused):
        pickup(yard)
    assert "not blocked any more" in yard.do("dump", milk="3810", reason="the rest").said
    yard.now_s += HOUR
    yard.do("milking", started="-30", ended="-5", milk="900")
    assert pickup(yard, weight="900")


def test_milk_that_had_left_before_it_was_poured_away_stays_refused(yard: Yard) -> None:
    yard.do("held-milk-in", cow="412", went="-30")
    yard.do("dump", milk="4310", reason="held milk in it", dumped="-5")
    with pytest.raises(ChoreRefused):
        pickup(yard, picked="-10")


def test_held_milk_written_after_the_lorry_left_says_so(yard: Yard) -> None:
    pickup(yard, picked="-20")
    said = yard.do("held-milk-in", cow="412", went="-60").said
    assert "A pickup left at Mon 9 Mar 09:40 with it" in said
    assert BUYER in said


def test_striking_held_milk_frees_the_tank_and_needs_a_reason(yard: Yard) -> None:
    entry = yard.do("held-milk-in", cow="412", went="-30").entry
    with pytest.raises(Refused, match="because"):
        yard.do("strike", entry=str(entry))
    yard.do("strike", entry=str(entry), because="it was cow 421, not treated")
    assert pickup(yard)


def test_striking_the_clear_result_blocks_the_tank_again(yard: Yard) -> None:
    yard.do("held-milk-in", cow="412", went="-30")
    clear = yard.do("milk-test", result="clear", told="the buyer").entry
    yard.do("strike", entry=str(clear))
    with pytest.raises(ChoreRefused):
        pickup(yard)


def test_a_pickup_of_before_can_be_put_right_but_not_moved_past_the_held_milk(yard: Yard) -> None:
    entry = yard.do("pickup", weight="4000", ticket="T-1", picked="-20").entry
    yard.do("held-milk-in", cow="412", went="-60")
    later = yard.do("pickup", weight="4010", ticket="T-1", picked="-20", corrects=entry).entry
    with pytest.raises(ChoreRefused):
        yard.do("pickup", weight="4010", ticket="T-1", picked="-10", corrects=later)


def test_held_milk_stands_on_today_and_on_its_tank(yard: Yard) -> None:
    yard.do("treatment", given="-30", **TUBE)
    yard.do("held-milk-in", cow="412", went="-10")
    for name in ("today", "tank"):
        with reading(yard.path) as connection:
            report = make(name, connection, ground_for_reading(connection, yard.now_s), {})
        said = [
            *report.warnings,
            *(str(line["says"].value) for t in report.tables if t.key == "alerts" for line in t.lines),
        ]
        assert any("North is blocked" in one and BUYER in one for one in said)
        assert any("Milk stays out: cow 412" in one for one in said)


def test_a_pickup_that_went_with_held_milk_is_found_by_the_check(yard: Yard) -> None:
    pickup(yard, picked="-20")
    assert said_by(yard, "no_pickup_takes_held_milk") == ""
    yard.do("held-milk-in", cow="412", went="-60")
    said = said_by(yard, "no_pickup_takes_held_milk")
    assert "was taken after held milk of cow 412 went in; call the buyer." in said


def test_a_dose_written_twice_is_found_by_the_check(yard: Yard) -> None:
    first = yard.do("treatment", given=["-600", "-30"], **TUBE).entry
    yard.do("treatment", given="-31", **TUBE)
    yard.do("treatment", given="-30", **TUBE | {"cow": "413"})
    assert said_by(yard, "a_dose_is_given_once") == ""
    yard.do("treatment", given="-30", **TUBE | {"drug": "INVENTED tube"})
    (said,) = said_by(yard, "a_dose_is_given_once").splitlines()
    assert said == f"cow 412 2026-03-09 was given INVENTED tube at 2026-03-09 09:30 in entry {first} too."


@pytest.mark.parametrize(
    ("chore", "texts", "says"),
    [
        ("treatment", TUBE | {"given": "+300"}, "given: "),
        ("treatment", TUBE | {"given": ["-30", "-30"]}, "the same time stands twice"),
        ("treatment", TUBE | {"milk": "9601"}, "more than 9600 h"),
        ("milk-back", {"treatment": "412", "back": "-300", "reason": "x"}, "not after it was first given"),
        ("held-milk-in", {"cow": "412", "went": "2031-01-01 10:00"}, "ahead"),
        ("milk-test", {"result": "perhaps", "told": "x"}, "not one of the words"),
        ("dump", {"milk": "30,000", "reason": "x"}, "more than the tank's"),
        ("dump", {"milk": "-5", "reason": "x"}, "milk: "),
    ],
    ids=lambda one: one if isinstance(one, str) else "",
)
def test_what_cannot_be_has_its_sentence(yard: Yard, chore: str, texts: dict, says: str) -> None:
    if chore == "milk-back":
        yard.do("treatment", given="-30", **TUBE)
    with pytest.raises(Refused) as refused:
        yard.do(chore, **texts)
    assert says in refused.value.message
    assert refused.value.remedy


def test_milk_poured_away_leaves_the_tank_empty_and_counts_as_milk_of_its_milkings(yard: Yard) -> None:
    yard.do("dump", milk="4300", reason="held milk in it")
    with reading(yard.path) as connection:
        ground = ground_for_reading(connection, yard.now_s)
        tank = make("tank", connection, ground, {})
        today = make("week", connection, ground, {})
    assert tank.facts["held_kg"].value in (0, None)
    assert tank.facts["milkings"].value == 0
    assert tank.facts["emptied_at"].value == yard.now_s
    assert all(
        line["shipped_kg"].value in (0, None) for line in today.tables[0].lines if "shipped_kg" in line.cells
    )
