"""A cow seen on the walk comes back until she is closed; nobody having looked is an alert."""

from __future__ import annotations

from typing import Any

import pytest

from herdbook.chores.vet_signs import CALL_NOW
from herdbook.errors import ChoreRefused, Refused
from tests.reports.byre import at, cell, show
from tests.yard import Yard

MON = "2026-03-02"


def due(yard: Yard) -> list[tuple[Any, ...]]:
    lines = show(yard, "today").table("due").lines
    return [
        (one["what"].value, one["what"].says)
        for one in lines
        if str(one["what"].value).startswith("Look at cow")
    ]


def alerts(yard: Yard) -> list[str]:
    lines = show(yard, "today").table("alerts").lines
    return [
        f"{one['about'].value}: {one['says'].value}"
        for one in lines
        if str(one["about"].value).startswith("Cow")
    ]


def test_she_is_due_until_she_is_closed_and_an_alert_when_nobody_looks(byre: Yard) -> None:
    said = at(byre, f"{MON} 07:00").do("walk", cow="412", what="off", words="ears down", again="+4").said
    assert said == "Cow 412: off feed, ears down, look again Mon 2 Mar 11:00."
    assert due(byre) == [("Look at cow 412", "")]
    at(byre, f"{MON} 11:30")
    assert due(byre) == [("Look at cow 412", "late")]
    assert alerts(byre) == []
    at(byre, f"{MON} 12:01")
    assert alerts(byre) == ["Cow 412: off feed, to be looked at again Mon 2 Mar 11:00; nobody has since."]
    byre.do("walk", cow="412", what="off feed", earlier="412", again="1800")
    assert (due(byre), alerts(byre)) == ([("Look at cow 412", "")], [])
    byre.do("walk-close", walk="412", outcome="eats again")
    assert (due(byre), alerts(byre)) == ([], [])
    assert show(byre, "walk").table("walk").lines == ()
    report = show(byre, "walk", days="2")
    assert cell(report, "walk", "412 off feed", "state").value == "closed: eats again"
    assert cell(report, "walk", "412 off feed", "looks").value == 2


def test_days_later_a_cow_nobody_looked_at_is_still_an_alert(byre: Yard) -> None:
    at(byre, f"{MON} 07:00").do("walk", cow="7", what="lame")
    assert alerts(at(byre, "2026-03-03 07:00")) == []
    assert alerts(at(byre, "2026-03-03 07:01")) == ["Cow 7: lame, seen Mon 2 Mar 07:00; nobody has since."]
    assert alerts(at(byre, "2026-03-09 07:00")) != []


def test_a_time_that_has_passed_is_tomorrow_s(byre: Yard) -> None:
    said = at(byre, f"{MON} 19:00").do("walk", cow="7", what="lame", again="0600").said
    assert said.endswith("look again Tue 3 Mar 06:00.")
    with pytest.raises(Refused, match="not after she was seen"):
        byre.do("walk", cow="7", what="lame", again=f"{MON} 18:00")


def test_two_things_of_one_cow_are_told_apart(byre: Yard) -> None:
    at(byre, f"{MON} 07:00").do("walk", cow="41", what="lame")
    byre.do("walk", cow="41", what="slow")
    byre.do("walk", cow="412", what="other")
    with pytest.raises(Refused, match="could be 41 lame, 41 slow"):
        byre.do("walk-close", walk="41", outcome="well")
    byre.do("walk-close", walk="41 slow", outcome="well")
    byre.do("walk-close", walk="41 lame", outcome="trimmed")
    assert [line["cow"].value for line in show(byre, "walk").table("walk").lines] == ["412"]


def test_another_look_is_at_the_same_cow(byre: Yard) -> None:
    at(byre, f"{MON} 07:00").do("walk", cow="41", what="lame")
    with pytest.raises(Refused, match="that is cow 41, not 42"):
        byre.do("walk", cow="42", what="lame", earlier="41")


def test_closed_is_closed_and_a_note_with_looks_on_it_is_not_struck(byre: Yard) -> None:
    first = at(byre, f"{MON} 07:00").do("walk", cow="41", what="lame").entry
    last = byre.do("walk-close", walk="41", outcome="trimmed").entry
    with pytest.raises(Refused, match=f"closed by entry {last}"):
        byre.do("walk-close", walk="41 lame", outcome="again")
    with pytest.raises(ChoreRefused):
        byre.do("strike", entry=str(first), because="typed wrongly")
    byre.do("walk-close", walk="41 lame", outcome="trimmed and bandaged", corrects=last)
    byre.do("strike", entry=str(byre.entries), because="not yet")
    assert due(byre) == [("Look at cow 41", "")]


def test_the_report_says_when_to_call_and_diagnoses_nothing(byre: Yard) -> None:
    (warning,) = show(byre, "walk").warnings
    assert all(sign in warning for sign in CALL_NOW)
    assert "no diagnosis" in warning
