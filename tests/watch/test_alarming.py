"""The watcher's look at a real book: what it raises, writes once, and clears."""

from __future__ import annotations

from pathlib import Path

import pytest

from herdbook.book.heartbeat import beat, last_beat
from herdbook.chores.doing import HAND, Who
from herdbook.settings import CopiesWatched
from herdbook.watch.alarming import Looked, look
from tests.book import reference_chain
from tests.yard import DAY, MINUTE, Yard

CLEO = Who(3, "Cleo", frozenset({HAND}))


def looks(yard: Yard, *, watched: bool = True) -> Looked:
    """A look, as after one a quarter of a minute ago."""
    if watched:
        beat(yard.path, yard.now_s - 15)
    return look(yard.path, yard.now_s, by=CLEO)


def steps(yard: Yard) -> list[str]:
    return [row["step"] for row in yard.rows("SELECT step FROM alarm_step ORDER BY id")]


def raised(yard: Yard) -> list[dict[str, object]]:
    return yard.rows("SELECT kind, late, may_wait, says FROM alarm_raised ORDER BY id")


def test_cold_milk_raises_nothing_and_looking_leaves_the_book_alone(yard: Yard) -> None:
    state = yard.state()
    assert looks(yard) == Looked((), 0)
    assert yard.state() == state
    assert last_beat(yard.path) == yard.now_s


def test_milk_that_warms_again_is_an_alarm_once_and_clears_after_a_while(yard: Yard) -> None:
    yard.do("temperature", reading="47.0 F", by=CLEO)
    assert len(looks(yard).said) == 1
    assert raised(yard) == [
        {
            "kind": "cooling",
            "late": 1,
            "may_wait": 0,
            "says": "North: warm again, above 45 °F, 47.0 °F at 10:00",
        }
    ]
    yard.now_s += MINUTE
    assert looks(yard) == Looked((), 0)
    yard.do("temperature", reading="40 F", by=CLEO)
    assert looks(yard).said == ()
    yard.now_s += 9 * MINUTE
    assert looks(yard).said == ()
    yard.now_s += MINUTE
    assert looks(yard).said == (
        "Alarm 1 has cleared. The cause is gone. Whether the milk may be sold, the buyer and the inspector decide.",
    )
    assert steps(yard) == ["cleared"]
    assert reference_chain.faults(yard.path) == []


def test_a_cause_that_comes_back_meanwhile_begins_the_while_anew(yard: Yard) -> None:
    for reading in ("47 F", "40 F", "47 F", "40 F"):
        yard.do("temperature", reading=reading, by=CLEO)
        looks(yard)
        yard.now_s += 8 * MINUTE
    looks(yard)
    assert steps(yard) == []
    yard.now_s += 10 * MINUTE
    looks(yard)
    assert steps(yard) == ["cleared"]


def test_cooling_too_slowly_is_told_before_the_time_is_up_and_grows_worse_when_it_is(yard: Yard) -> None:
    yard.do("pickup", weight="4310", picked="-1", emptied="yes")
    yard.now_s += 60 * MINUTE
    yard.do("milking", started="-60", ended="-1")
    for minutes, reading in ((5, "80 F"), (15, "79 F"), (15, "78 F"), (15, "77 F")):
        yard.now_s += minutes * MINUTE
        yard.do("temperature", reading=reading, by=CLEO)
    looks(yard)
    (alarm,) = raised(yard)
    assert (alarm["kind"], alarm["late"]) == ("cooling", 0)
    assert "cooling too slowly" in str(alarm["says"])
    yard.do("acknowledge", by=CLEO, words="at the condenser")
    yard.now_s += 120 * MINUTE
    yard.do("temperature", reading="70 F", by=CLEO)
    looks(yard)
    assert steps(yard) == ["acknowledged", "worse"]
    assert yard.row("SELECT says FROM alarm_step WHERE step = 'worse'")["says"].startswith(
        "North: too warm, "
    )


def test_an_alarm_nobody_answers_is_passed_on_by_the_owners_patience(yard: Yard) -> None:
    yard.do("alarm-rules", escalate="15", first=["phone"], later=["boss"], repeat="0")
    yard.do("temperature", reading="47 F", by=CLEO)
    assert looks(yard).notices == 1
    yard.now_s += 14 * MINUTE
    looks(yard)
    assert steps(yard) == []
    yard.now_s += MINUTE
    assert looks(yard).notices == 1
    assert steps(yard) == ["escalated"]
    assert [
        (row["place"], row["about"].split()[0]) for row in yard.rows("SELECT * FROM notice ORDER BY id")
    ] == [
        ("phone", "raised"),
        ("boss", "escalated"),
    ]


def test_a_logger_that_falls_silent_over_milk_is_an_alarm(yard: Yard) -> None:
    yard.do("temperature", reading="38 F", source="logger north", by=CLEO)
    yard.now_s += 30 * MINUTE
    looks(yard)
    assert raised(yard) == []
    yard.now_s += MINUTE
    looks(yard)
    (alarm,) = raised(yard)
    assert alarm["kind"] == "silence"
    assert alarm["says"] == "North: the logger has said nothing since 10:00"


def test_a_logger_that_a_reading_by_hand_contradicts_is_an_alarm_until_they_agree_again(yard: Yard) -> None:
    for minutes in (-20, 0):
        yard.do("temperature", reading="38 F", source="logger north", read=str(minutes or "now"), by=CLEO)
    yard.do("temperature", reading="41.5 F", read="-10", by=CLEO)
    looks(yard)
    (alarm,) = raised(yard)
    assert (alarm["kind"], alarm["may_wait"]) == ("silence", 0)
    assert alarm["says"] == (
        "North: its thermometer is in doubt, logger north reads 3.5 °F too cold beside the reading by hand of 09:50; "
        "read the milk with a second one"
    )
    yard.now_s += 20 * MINUTE
    for minutes in (-10, 0):
        yard.do("temperature", reading="38 F", source="logger north", read=str(minutes or "now"), by=CLEO)
    yard.do("temperature", reading="38.5 F", read="-5", by=CLEO)
    looks(yard)
    yard.now_s += 20 * MINUTE
    looks(yard)
    assert len(yard.rows("SELECT alarm FROM alarm_gone")) == 1


def test_milk_is_too_old_by_the_rule_that_the_farm_chose(yard: Yard) -> None:
    yard.do("emptying-rule", rule="us-new-york")
    yard.do("pickup", weight="4310", picked="-1", emptied="yes")
    yard.now_s += 60 * MINUTE
    yard.do("milking", started="-30", ended="-10")
    yard.do("temperature", reading="40 F", by=CLEO)
    yard.now_s += 2 * DAY - 5 * 60 * MINUTE
    looks(yard)
    (alarm,) = raised(yard)
    assert alarm["says"] == "North must be empty by 09:59, 48 h from last emptied"  # 1 NYCRR 2.17


def test_a_tank_read_by_hand_is_never_silent(yard: Yard) -> None:
    yard.now_s += 8 * 60 * MINUTE
    looks(yard)
    assert raised(yard) == []


def test_milk_near_its_limit_waits_for_the_morning_and_past_it_does_not(yard: Yard) -> None:
    yard.do("pickup", weight="4310", picked="-1", emptied="yes")
    yard.now_s += 60 * MINUTE
    yard.do("milking", started="-30", ended="-10")
    yard.do("temperature", reading="40 F", by=CLEO)
    yard.now_s += 3 * DAY - 5 * 60 * MINUTE
    looks(yard)
    assert [(one["kind"], one["late"], one["may_wait"]) for one in raised(yard)] == [("old milk", 0, 1)]
    yard.now_s += 5 * 60 * MINUTE
    looks(yard)
    assert steps(yard) == ["worse"]


def test_a_watcher_that_was_away_says_so_when_it_is_back(yard: Yard) -> None:
    beat(yard.path, yard.now_s - 47 * MINUTE)
    looks(yard, watched=False)
    (alarm,) = raised(yard)
    assert alarm["kind"] == "watcher"
    assert "from 09:13 on, for 47 min" in str(alarm["says"])


def test_two_watchers_that_look_at_once_raise_one_alarm(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second has read the book before the first wrote: the same request is written once."""
    from herdbook.watch import alarming

    yard.do("temperature", reading="47 F", by=CLEO)
    whole = alarming.next_steps

    def meanwhile(*given: object) -> object:
        monkeypatch.setattr(alarming, "next_steps", whole)
        looks(yard)
        return whole(*given)

    monkeypatch.setattr(alarming, "next_steps", meanwhile)
    looks(yard)
    assert len(raised(yard)) == 1
    assert steps(yard) == []


def test_an_alarm_struck_by_the_owner_is_raised_anew_while_its_cause_lasts(yard: Yard) -> None:
    yard.do("temperature", reading="47 F", by=CLEO)
    looks(yard)
    yard.do("strike", entry=str(yard.entries), because="wrong thermometer")
    looks(yard)
    assert len(raised(yard)) == 2


def test_milk_that_gets_warmer_with_none_let_in_is_told_before_any_limit_is_passed(yard: Yard) -> None:
    for reading in ("37 F", "37.2 F", "40.7 F"):
        yard.now_s += 15 * MINUTE
        yard.do("temperature", reading=reading, by=CLEO)
        looks(yard)
    assert raised(yard) == []  # one reading may be of the foam
    yard.now_s += 15 * MINUTE
    yard.do("temperature", reading="41 F", by=CLEO)
    looks(yard)
    (alarm,) = raised(yard)
    assert (alarm["kind"], alarm["late"], alarm["may_wait"]) == ("cooling", 0, 0)
    assert alarm["says"] == "North: getting warmer with no milk let in, was 37.0 °F, 41.0 °F at 11:00"


def test_copies_that_are_too_old_are_an_alarm_for_the_morning(yard: Yard, tmp_path: Path) -> None:
    yard.do("pickup", weight="4310", picked="-1", emptied="yes")
    yard.now_s += 10 * DAY
    beat(yard.path, yard.now_s - 15)
    look(yard.path, yard.now_s, by=CLEO, copies=CopiesWatched(tmp_path / "copies", 36 * 3600))
    assert [(one["kind"], one["may_wait"]) for one in raised(yard)] == [("copies", 1)]


def test_an_empty_tank_raises_nothing_whatever_its_thermometer_says(yard: Yard) -> None:
    yard.do("pickup", weight="4310", picked="-1", emptied="yes")
    yard.now_s += 30 * MINUTE
    yard.do("temperature", reading="70 F", by=CLEO)
    looks(yard)
    assert raised(yard) == []
