"""The bunk report keeps scales apart, days in view, and advises by the rule the farm chose."""

from __future__ import annotations

import pytest

from herdbook.errors import Refused
from tests.reports.byre import at, cell, feed, show
from tests.yard import Yard

MON, TUE = "2026-03-02", "2026-03-03"


def test_a_score_is_kept_with_its_scale_and_said_in_the_scale_s_words(byre: Yard) -> None:
    said = at(byre, f"{MON} 05:00").do("bunk-score", pen="High", score="2").said
    assert said == "High, bunk 2 on the dairy scale: thin layer, 5 to 10 %."
    said = byre.do("bunk-score", pen="High", score="2", scale="feedlot").said
    assert said == "High, bunk 2 on the feedlot scale: 25 to 50 % left."
    assert [row["scale"] for row in byre.rows("SELECT scale FROM bunk_score")] == ["dairy", "feedlot"]
    assert cell(show(byre, "bunk"), "days", f"{MON} High", "scores").value == "2 dairy, 2 feedlot"


@pytest.mark.parametrize(("scale", "score"), [("dairy", "½"), ("feedlot", "5")])
def test_a_score_that_is_not_on_its_scale_is_refused(byre: Yard, scale: str, score: str) -> None:
    with pytest.raises(Refused, match="scale has no score"):
        byre.do("bunk-score", pen="High", score=score, scale=scale)


def test_without_a_chosen_rule_nothing_is_advised(byre: Yard) -> None:
    at(byre, f"{MON} 05:00").do("bunk-score", pen="High", score="0")
    advice = cell(show(byre, "bunk"), "advice", "High", "says")
    assert advice.value == "No rule is chosen: `herdbook write call-advice --rule dairy`."


def test_the_chosen_rule_advises_its_own_step_and_a_person_decides(byre: Yard) -> None:
    at(byre, f"{MON} 05:00").do("call-advice", rule="dairy")
    byre.do("bunk-score", pen="High", score="1")
    report = show(byre, "bunk", pen="High")
    assert cell(report, "advice", "High", "change_percent").value == 5
    assert cell(report, "advice", "High", "call_to_percent").value == pytest.approx(105)
    assert "Bolton" in str(cell(report, "advice", "High", "source").value)
    assert "a person" in report.warnings[0]
    assert byre.row("SELECT count(*) AS n FROM pen_ration WHERE pen = 1")["n"] == 1  # nothing was changed


def test_on_the_day_after_a_change_it_waits(byre: Yard) -> None:
    at(byre, f"{MON} 05:00").do("call-advice", rule="dairy")
    byre.do("pen-ration", pen="High", ration="Milk", call="105%")
    at(byre, f"{TUE} 05:00").do("bunk-score", pen="High", score="1")
    assert cell(show(byre, "bunk"), "advice", "High", "change_percent").value == 0
    assert cell(show(byre, "bunk"), "advice", "High", "since").value == MON
    at(byre, "2026-03-04 05:00").do("bunk-score", pen="High", score="1")
    assert cell(show(byre, "bunk"), "advice", "High", "call_to_percent").value == pytest.approx(110.25)


def test_no_more_advice_after_none_was_chosen(byre: Yard) -> None:
    at(byre, f"{MON} 05:00").do("call-advice", rule="dairy")
    byre.do("bunk-score", pen="High", score="0")
    at(byre, f"{TUE} 05:00").do("call-advice", rule="none")
    assert cell(show(byre, "bunk"), "advice", "High", "change_percent").value is None
    assert cell(show(byre, "bunk", of=MON), "advice", "High", "change_percent").value == 5


def test_push_ups_of_all_pens_count_for_each_and_four_days_are_in_view(byre: Yard) -> None:
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    at(byre, f"{MON} 10:00").do("push-up")
    byre.do("push-up", pen="High", pushed="-30")
    byre.do("push-up", pen="Low", pushed="-30")
    byre.do("trough", pen="High", state="dirty")
    report = show(byre, "bunk")
    assert cell(report, "days", f"{MON} High", "push_ups").value == 2
    assert cell(report, "days", f"{MON} High", "troughs").value == "dirty"
    assert cell(report, "days", f"{MON} Young", "push_ups").value == 1
    at(byre, "2026-03-05 10:00")
    assert any(line["day"].value == MON for line in show(byre, "bunk").table("days").lines)
    at(byre, "2026-03-06 10:00")
    assert not any(line["day"].value == MON for line in show(byre, "bunk").table("days").lines)
