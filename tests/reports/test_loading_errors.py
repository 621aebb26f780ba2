"""What is said of a feed that is off: by how much, what it does to the ration, and what could still mend it."""

from __future__ import annotations

import pytest

from herdbook.book.opening import reading
from herdbook.book.reading.feeding import load_by_id
from herdbook.reports.catalogue import ground_for_reading
from herdbook.reports.loading_errors import LoadJudge
from tests.reports.byre import at, cell, show
from tests.yard import Yard

MON = "2026-03-02"
PLAN = ["Silage=3000", "Grain=500"]


@pytest.fixture
def begun(byre: Yard) -> Yard:
    """A load of 3,000 kg of silage and 500 of grain: 1,200 and 400 kg dry, CP 96 + 80 of 1,600 = 11.0 %."""
    at(byre, f"{MON} 06:00").do("targets", ration="Milk", target=["cp=10 11 12", "ndf=30 - 40"])
    byre.do("load", pen="High", planned=PLAN)
    return byre


def test_an_error_within_the_tolerance_is_said_as_ever(begun: Yard) -> None:
    assert (
        begun.do("weigh", load="1", feed="Silage", scale="3060").said == "Load 1, Silage, 3,060 kg, +60 kg."
    )


def test_too_much_is_said_with_what_it_does_and_what_mends_it(begun: Yard) -> None:
    begun.do("weigh", load="1", feed="Silage", scale="3000")
    # grain 600: 480 kg dry; CP (96 + 96) / 1,680 = 11.43 %, +0.4; 3,500 x 1.2 = 4,200 kg of 9,000
    assert begun.do("weigh", load="1", feed="Grain", weight="600").said == (
        "Load 1, Grain, 600 kg, +100 kg. Grain +20 % (+100 kg): CP +0.4 % of DM, within the nutritionist's range. "
        "Every other feed at +20 % keeps the recipe; the load is then 4,200 kg."
    )


def test_a_figure_past_its_limit_is_said_with_the_limit(begun: Yard) -> None:
    # grain 900: 720 kg dry; CP (96 + 144) / 1,920 = 12.5 %, over 12; NDF (540 + 72) / 1,920 = 31.9, within
    said = begun.do("weigh", load="1", feed="Grain", weight="900").said
    assert "Grain +80 % (+400 kg): CP +1.5 % of DM to 12.5, over the nutritionist's 12.0." in said


def test_too_little_is_mended_by_the_rest(begun: Yard) -> None:
    assert begun.do("weigh", load="1", feed="Silage", weight="2700").said.endswith(
        "300 kg more of it makes it right."
    )
    # the rest then makes it whole, and nothing more is said
    assert (
        begun.do("weigh", load="1", feed="Silage", weight="300").said == "Load 1, Silage, 300 kg, -2,700 kg."
    )


def test_a_corrected_weight_is_judged_without_the_wrong_one(begun: Yard) -> None:
    wrong = begun.do("weigh", load="1", feed="Grain", weight="600").entry
    said = begun.do("weigh", load="1", feed="Grain", weight="505", corrects=wrong).said
    assert said == "Load 1, Grain, 505 kg, +5 kg."


def test_a_load_that_is_dropped_is_not_mended_any_more(begun: Yard) -> None:
    begun.do("weigh", load="1", feed="Silage", weight="3000")
    begun.do("weigh", load="1", feed="Grain", weight="600")
    assert "keeps the recipe" in show(begun, "loads").warnings[0]
    begun.do("drop", load="1", pen="High", weight="3600")
    assert show(begun, "loads").warnings == (
        "Load 1, Grain +20 % (+100 kg): CP +0.4 % of DM, within the nutritionist's range.",
    )


def test_a_large_feed_is_said_earlier_than_a_small_one(begun: Yard) -> None:
    begun.do("weigh", load="1", feed="Silage", weight="3062")  # 2 % is 60 kg, and the scale steps by 1 kg
    begun.do("weigh", load="1", feed="Grain", weight="520")  # 5 % is 25 kg
    report = show(begun, "loads")
    assert cell(report, "feeds", "load 1 Silage", "off_percent").flag == "!"
    assert cell(report, "feeds", "load 1 Grain", "off_percent").flag == ""


def test_one_step_of_the_scale_is_no_exception_of_the_week(begun: Yard) -> None:
    begun.do("mixer", name="Coarse", holds="9000", step="40")
    begun.do("load", pen="High", mixer="Coarse", planned=["Silage=2000", "Grain=400"])
    begun.do("weigh", load="2", feed="Silage", weight="2000")
    grain = begun.do("weigh", load="2", feed="Grain", weight="440")  # +10 %, one step
    assert grain.said == "Load 2, Grain, 440 kg, +40 kg."
    week = show(begun, "week")
    assert not [line for line in week.table("exceptions").lines if "Grain" in str(line["says"].value)]
    assert cell(show(begun, "loads"), "feeds", "load 2 Grain", "off_percent").flag == ""
    begun.do("weigh", load="2", feed="Grain", weight="40")  # two steps
    assert cell(show(begun, "loads"), "feeds", "load 2 Grain", "off_percent").flag == "!"
    week = show(begun, "week")
    assert [line for line in week.table("exceptions").lines if "Grain +20 %" in str(line["says"].value)]


def test_a_judge_answers_at_every_keystroke_without_the_book(begun: Yard) -> None:
    begun.do("weigh", load="1", feed="Silage", weight="3000")
    with reading(begun.path) as connection:
        ground = ground_for_reading(connection, begun.now_s)
        load = load_by_id(connection, 1)
        assert load is not None
        judge = LoadJudge(connection, ground, load)
    grain = ground.names["feed"]["Grain"]
    assert not judge.judge(grain, 520_000).is_off
    error = judge.judge(grain, 600_000)
    assert error.is_off
    assert error.allowed_g == 25_000
    assert error.moves[0].change == pytest.approx(0.4286, abs=1e-4)
    assert error.mend is not None
    assert error.mend.fits
