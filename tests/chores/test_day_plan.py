"""The day's feeding plan in the book: heads, calls, shares, dry matter and mixers, to what goes on the scale."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from herdbook.book.opening import reading
from herdbook.chores.day_plan import DayPlan, plan_day
from herdbook.errors import ChoreRefused, Refused
from herdbook.reports.catalogue import ground_for_reading
from tests.reports.byre import at, cell, show
from tests.yard import Yard

MON = "2026-03-02"
LB_G = 453.59237

# a 1,450 lb cow's ration, lb as fed, with the dry matter of each feed
RATION = {
    "Corn silage": (55, 35.1, "forage"),
    "Haylage": (18, 42.9, "forage"),
    "Ground corn": (12, 88.1, "grain"),
    "Soybean meal": (7, 89.5, "protein"),
    "Cottonseed": (4, 90.1, "by"),
    "Soy hulls": (3, 90.9, "by"),
    "Limestone": (0.5, 99.8, "mineral"),
}
DRY_LB = [19.305, 7.722, 10.572, 6.265, 3.604, 2.727, 0.499]
"""Dry matter of each a cow and day: pounds as fed times dry matter, by hand."""


@pytest.fixture
def farm(tmp_path: Path) -> Yard:
    """A hundred cows on one ration, in pounds, and a mixer that takes them all, on a scale of one pound."""
    yard = Yard.started(tmp_path / "farm.book", at_s=0 + 1_772_449_200)  # 2 March 2026, 05:00 in Chicago
    yard.do("pen", name="High", head="100")
    for name, (_, dry, kind) in RATION.items():
        yard.do("feed", name=name, kind="wet by-product" if kind == "by" else kind)
        yard.do("analysis", feed=name, dry=str(dry))
    yard.do("ration", name="Milk", item=[f"{name}={lb} lb" for name, (lb, _, _) in RATION.items()])
    yard.do("pen-ration", pen="High", ration="Milk")
    yard.do("mixer", name="Wagon", holds="12000", step="1 lb")
    return yard


def plan_of(yard: Yard, day: str = "") -> DayPlan:
    with reading(yard.path) as connection:
        ground = ground_for_reading(connection, yard.now_s)
        return plan_day(connection, ground, date.fromisoformat(day) if day else None)


def pounds(yard: Yard, load: int = 1) -> dict[str, int]:
    feeds = {number: name for name, number in yard.ground().names["feed"].items()}
    return {feeds[line.feed]: round(line.grams / LB_G) for line in plan_of(yard).find(load).split.lines}


def test_a_ration_of_99_and_a_half_pounds_makes_9950_for_a_hundred_cows(farm: Yard) -> None:
    (load,) = plan_of(farm).loads
    assert load.split.total_g == pytest.approx(9_950 * LB_G, abs=4)
    assert pounds(farm) == {name: round(100 * lb) for name, (lb, _, _) in RATION.items()}


def test_its_dry_matter_is_5069_pounds_and_50_point_9_per_cent(farm: Yard) -> None:
    (load,) = plan_of(farm).loads
    dry = [line.grams / LB_G * load.dry_ppm[line.feed] / 1e6 for line in load.split.lines]
    assert dry == pytest.approx([100 * lb for lb in DRY_LB], abs=0.01)
    assert sum(dry) == pytest.approx(5_069.40, abs=0.02)
    assert 100 * sum(dry) / (load.split.total_g / LB_G) == pytest.approx(50.9487, abs=0.001)


def test_silage_that_falls_to_30_per_cent_dry_matter_is_loaded_at_64_point_35_pounds_a_cow(
    farm: Yard,
) -> None:
    # set as dry matter, 19.305 lb is kept: 19.305 / 0.30 = 64.35
    items = [f"{name}={dry} lb dm" for name, dry in zip(RATION, DRY_LB, strict=True)]
    farm.do("ration", name="Milk", item=items)
    assert pounds(farm)["Corn silage"] == 5_500
    farm.do("dry-matter", feed="Corn silage", dry="30", sure="yes")
    assert pounds(farm)["Corn silage"] == 6_435
    assert pounds(farm)["Haylage"] == 1_800


def test_silage_set_as_fed_is_not_adjusted_and_2_point_8_pounds_of_dry_matter_are_lost(farm: Yard) -> None:
    farm.do("dry-matter", feed="Corn silage", dry="30", sure="yes")
    (load,) = plan_of(farm).loads
    dry = sum(line.grams / LB_G * load.dry_ppm[line.feed] / 1e6 for line in load.split.lines)
    assert dry / 100 == pytest.approx(47.8890, abs=0.001)


@pytest.mark.parametrize(("dry", "as_fed"), [("36", 6_000), ("30", 7_200)])
def test_2160_pounds_of_dry_matter_take_6000_at_36_per_cent_and_7200_at_30(
    farm: Yard, dry: str, as_fed: int
) -> None:
    farm.do("ration", name="Milk", item="Corn silage=21.6 lb dm")
    farm.do("dry-matter", feed="Corn silage", dry=dry, sure="yes")
    assert pounds(farm) == {"Corn silage": as_fed}


@pytest.mark.parametrize(("set_lb", "dry", "as_fed"), [("14", "90", 1_556), ("8", "40", 2_000)])
def test_as_fed_is_dry_matter_over_its_share(farm: Yard, set_lb: str, dry: str, as_fed: int) -> None:
    farm.do("ration", name="Milk", item=f"Ground corn={set_lb} lb dm")
    farm.do("dry-matter", feed="Ground corn", dry=dry, sure="yes")
    assert pounds(farm) == {"Ground corn": as_fed}  # 14 / 0.90 = 15.5556, 8 / 0.40 = 20.0


def test_a_sample_dried_in_the_barn_is_what_the_next_load_is_made_by(farm: Yard) -> None:
    farm.do("ration", name="Milk", item=["Corn silage=3.5 lb dm", "Haylage=1 lb dm"])
    farm.do("dry-matter", feed="Corn silage", sample="100 g=35 g", sure="yes")  # 35 %
    farm.do("dry-matter", feed="Haylage", sample="101 g=85 g", sure="yes")  # 16 % moisture, 84.158 % dry
    assert pounds(farm) == {"Corn silage": 1_000, "Haylage": 119}  # 100 / 0.84158 = 118.8


def test_what_a_pen_ate_is_what_was_dropped_less_what_was_refused(farm: Yard) -> None:
    # 10,000 lb at 50 % less 300 lb at 52 %, over 100 cows: (5,000 - 156) / 100 = 48.44 lb
    farm.do("ration", name="Milk", item="Haylage=100 lb")
    farm.do("dry-matter", feed="Haylage", dry="50", sure="yes")
    farm.do("load", planned_load="1")
    farm.do("weigh", load="1", feed="Haylage", scale="10000")
    farm.do("drop", load="1", pen="High", weight="10000")
    at(farm, "2026-03-03 04:30").do("refusal", pen="High", weight="300", dry="52")
    eaten = cell(show(farm, "intake", of=MON), "pens", f"{MON} High", "dm_eaten_kg")
    assert eaten.value == pytest.approx(48.44 * 0.45359237, abs=0.001)


def test_heads_count_as_they_stood_at_the_instant(farm: Yard) -> None:
    farm.do("head", pen="High", head="50")
    assert plan_of(farm).loads[0].split.head == 50
    assert pounds(farm)["Corn silage"] == 2_750


def test_the_call_and_the_shares_of_the_feedings_say_how_much_of_the_day_a_load_is(farm: Yard) -> None:
    farm.do("pen-ration", pen="High", ration="Milk", call="95", feedings="2")
    assert pounds(farm, 1)["Corn silage"] in (2_612, 2_613)  # 5,500 x 0.95 / 2 = 2,612.5
    assert pounds(farm, 1)["Corn silage"] + pounds(farm, 2)["Corn silage"] == 5_225
    farm.do("feeding-shares", pen="High", share=["1=60", "2=40"])
    assert [pounds(farm, n)["Corn silage"] for n in (1, 2)] == [3_135, 2_090]  # 60 and 40 % of 5,225
    farm.do("load", pen="High", feeding="1")  # begun by its pens, the same share counts
    assert farm.row("SELECT max(planned_g) AS g FROM load_plan_line")["g"] == pytest.approx(
        3_135 * LB_G, abs=2
    )


def test_shares_for_another_number_of_feedings_are_left_aside_and_it_is_said(farm: Yard) -> None:
    farm.do("feeding-shares", pen="High", share=["1=60", "2=40"])
    assert "equal ones are taken" in plan_of(farm).problems[0]
    assert pounds(farm)["Corn silage"] == 5_500


def test_pens_of_one_ration_are_gathered_and_others_get_a_load_of_their_own(farm: Yard) -> None:
    for name in ("Low", "Dry"):
        farm.do("pen", name=name, head="10")
    farm.do("ration", name="Far", item="Haylage=30 lb")
    farm.do("pen-ration", pen="Low", ration="Milk")
    farm.do("pen-ration", pen="Dry", ration="Far")
    pens = farm.ground().names["pen"]
    assert [load.pens for load in plan_of(farm).loads] == [(pens["High"], pens["Low"]), (pens["Dry"],)]
    assert [load.split.head for load in plan_of(farm).loads] == [110, 10]


def test_the_mixers_own_order_goes_before_the_rations(farm: Yard) -> None:
    order = ["Limestone", "Soybean meal", "Ground corn", "Haylage", "Corn silage"]
    farm.do("mixer-order", feed=order)
    assert list(pounds(farm)) == [*order, "Cottonseed", "Soy hulls"]
    farm.do("load", pen="High")
    feeds = {number: name for name, number in farm.ground().names["feed"].items()}
    begun = [feeds[row["feed"]] for row in farm.rows("SELECT feed FROM load_plan_line ORDER BY place")]
    assert begun == [*order, "Cottonseed", "Soy hulls"]
    warnings = show(farm, "plan").warnings
    assert (
        "Wagon has no place in its order for Cottonseed, Soy hulls; what has none goes in last." in warnings
    )


def test_an_order_holds_from_its_day_and_a_struck_one_is_gone(farm: Yard) -> None:
    later = farm.do("mixer-order", feed="Haylage", since="+1").entry
    assert next(iter(pounds(farm))) == "Corn silage"
    at(farm, "2026-03-03 05:00")
    assert next(iter(pounds(farm))) == "Haylage"
    farm.do("strike", entry=str(later))
    assert next(iter(pounds(farm))) == "Corn silage"


def test_a_load_takes_pens_mixer_and_lines_of_the_planned_one(farm: Yard) -> None:
    farm.do("mixer", name="Small", holds="5000", step="1")
    farm.do("pen-ration", pen="High", ration="Milk", feedings="2")
    said = farm.do("load", planned_load="2").said
    assert said == "Load 1, High, 100 cows, 4,975 lb planned."  # 99.5 x 100 / 2
    assert farm.row("SELECT mixer FROM load_plan")["mixer"] == farm.ground().names["mixer"]["Small"]
    plan = plan_of(farm)
    assert [bool(load.begun) for load in plan.loads] == [False, True]
    assert plan.next_one() is plan.loads[0]
    assert plan.others == ()


def test_a_planned_load_is_begun_once_and_corrected_as_often_as_need_be(farm: Yard) -> None:
    farm.now_s += 1_200
    entry = farm.do("load", planned_load="1").entry
    with pytest.raises(ChoreRefused, match="begun already, as load 1"):
        farm.do("load", planned_load="1")
    assert "Load 1, High" in farm.do("load", planned_load="1", started="-10", corrects=entry).said


def test_a_planned_load_there_is_not_is_refused_with_what_there_is(farm: Yard) -> None:
    with pytest.raises(Refused, match=r"has no load 2\. It has 1 to 1"):
        farm.do("load", planned_load="2")


def test_pens_beside_a_planned_load_must_be_its_own(farm: Yard) -> None:
    farm.do("pen", name="Low", head="10")
    with pytest.raises(Refused, match="load 1 of the plan is for High"):
        farm.do("load", planned_load="1", pen="Low")
    with pytest.raises(Refused, match="pen: nothing was given"):
        farm.do("load")


def test_loads_begun_by_their_pens_are_found_in_the_plan(farm: Yard) -> None:
    farm.do("pen", name="Low", head="10")
    farm.do("pen-ration", pen="Low", ration="Milk")
    farm.do("load", pen="Low")
    assert [bool(load.begun) for load in plan_of(farm).loads] == [False]
    assert [other.number for other in plan_of(farm).others] == [1]
    farm.do("load", pen="High")  # together they are the planned load's pens
    assert [one.number for one in plan_of(farm).loads[0].begun] == [1, 2]
    farm.do("load", pen="High")
    assert [other.number for other in plan_of(farm).others] == [3]
    assert "Load 3 (High) was begun beside the plan." in show(farm, "plan").warnings


def _feedings(yard: Yard) -> list[int]:
    return [row["feeding"] for row in yard.rows("SELECT feeding FROM load_plan ORDER BY id")]


def test_a_load_is_written_for_its_feeding_by_the_plan_by_what_is_said_or_as_the_next(farm: Yard) -> None:
    farm.do("pen-ration", pen="High", ration="Milk", feedings="3")
    farm.do("load", planned_load="2")
    farm.do("load", pen="High", feeding="1")
    farm.do("load", pen="High")
    assert _feedings(farm) == [2, 1, 3]
    assert [load.begun[0].number for load in plan_of(farm).loads] == [2, 1, 3]
    assert [line["feeding"].value for line in show(farm, "loads").table("loads").lines] == [2, 1, 3]


def test_ten_times_the_plan_among_weights_given_at_once_is_written_only_by_who_is_sure(farm: Yard) -> None:
    with pytest.raises(ChoreRefused, match="Limestone: 500 lb is 10 times the planned 50 lb"):
        farm.do("load", planned_load="1", loaded=["Limestone=300 lb", "Limestone=200"])
    farm.do("load", planned_load="1", loaded=["Limestone=500 lb"], sure="yes")


def test_the_lot_of_a_bagged_feed_is_kept_with_its_weight(farm: Yard) -> None:
    farm.do("load", planned_load="1")
    farm.do("weigh", load="1", feed="Limestone", weight="50", lot="B 12")
    assert [row["lot"] for row in farm.rows("SELECT lot FROM load_weight")] == ["B 12"]


def test_what_cannot_be_planned_is_said_and_the_rest_is_planned(farm: Yard) -> None:
    farm.do("pen", name="New")
    farm.do("pen-ration", pen="New", ration="Milk")
    assert plan_of(farm).problems == ("New has no head count. Write one: `herdbook write head`.",)
    assert len(plan_of(farm).loads) == 1
    assert show(farm, "plan").warnings[0].startswith("New has no head count.")


def test_a_mixer_that_cannot_hold_what_was_written_is_said_at_once(farm: Yard) -> None:
    card = farm.row("SELECT entry FROM mixer_card")["entry"]
    farm.do(
        "mixer", corrects=card, name="Wagon", holds="12", step="1 lb"
    )  # twelve pounds, where tons were meant
    assert plan_of(farm).problems == ("Wagon would take more than 100 loads. Check what it holds.",)


def test_a_farm_that_has_just_begun_has_an_empty_plan(bare_yard: Yard) -> None:
    report = show(bare_yard, "plan")
    assert report.table("loads").lines == ()
    assert report.table("loads").nothing == "Nothing is planned: no pen has a ration and a head count."
    assert report.warnings == ()


def test_without_a_mixer_nothing_is_planned_and_it_is_said(farm: Yard) -> None:
    mixer = farm.row("SELECT entry FROM mixer_card")["entry"]
    farm.do("strike", entry=str(mixer))
    plan = plan_of(farm)
    assert plan.loads == ()
    assert "There is no mixer." in plan.problems[0]
    with pytest.raises(Refused, match=r"It has none\. There is no mixer"):
        farm.do("load", planned_load="1")


def test_the_report_shows_loads_of_one_feeding_and_tomorrows_too(farm: Yard) -> None:
    farm.do("pen-ration", pen="High", ration="Milk", feedings="2")
    report = show(farm, "plan", feeding="2")
    assert [line.name for line in report.table("loads").lines] == ["load 2"]
    assert cell(report, "feeds", "load 2 Limestone", "add_kg").value == pytest.approx(
        25 * 0.45359237, abs=1e-3
    )
    assert cell(report, "totals", "Corn silage", "planned_kg").value == pytest.approx(
        2_750 * LB_G / 1e3, abs=2e-3
    )
    assert len(show(farm, "plan", of="+1").table("loads").lines) == 2


def test_a_premix_too_small_for_the_scale_is_flagged_with_what_to_weigh_by_hand(farm: Yard) -> None:
    farm.do("feed", name="Premix", kind="premix")
    farm.do("analysis", feed="Premix", dry="95")
    farm.do("ration", name="Milk", item=["Corn silage=55 lb", "Premix=0.03 lb"])
    report = show(farm, "plan")
    hand = cell(report, "feeds", "load 1 Premix", "by_hand_kg")
    assert hand.value == pytest.approx(3 * 0.45359237, abs=1e-3)
    assert (hand.flag, hand.says) == ("!", "weigh by hand")
    assert cell(report, "feeds", "load 1 Corn silage", "by_hand_kg").value is None
    assert "Weigh by hand, Wagon steps by 1 lb: Premix." in report.warnings
    farm.do("load", pen="High")  # begun by its pens, it is not rounded away either
    assert farm.row("SELECT min(planned_g) AS g FROM load_plan_line")["g"] == round(3 * LB_G)
