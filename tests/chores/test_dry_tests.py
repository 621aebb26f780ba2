"""Dry-matter tests: subsamples, the step that is asked about, and what it does to the rations before it counts."""

from __future__ import annotations

from typing import Any

import pytest

from herdbook.book.opening import reading
from herdbook.book.reading.feeds import dry_matter_at, dry_tests
from herdbook.chores.dry_effect import dry_effects
from herdbook.chores.planning import plan_load
from herdbook.errors import ChoreRefused, Refused
from herdbook.reports import catalogue
from tests.yard import HOUR, Yard

LB_G = 453.59237


def newest(yard: Yard) -> Any:
    return yard.row("SELECT * FROM dry_test ORDER BY id DESC LIMIT 1")


def test_a_published_test_comes_out_as_printed(yard: Yard) -> None:
    yard.do("dry-matter", feed="corn", sample="100 g=35 g")  # Jacobsen's microwave note: 35 %
    assert newest(yard)["dry_ppm"] == 350_000


def test_subsamples_are_kept_and_their_mean_and_spread_said(yard: Yard) -> None:
    said = yard.do("dry-matter", feed="corn", sample=["100 g=34 g", "4 oz=1.4 oz", "200=66 g"]).said
    assert newest(yard)["dry_ppm"] == pytest.approx(340_000, abs=2)  # 1.4 oz is kept in whole milligrams
    assert "3 samples from 33.0 to 35.0 %, standard deviation 1.0" in said
    assert "far apart" not in said
    rows = yard.rows("SELECT wet_mg, dried_mg FROM dry_sample ORDER BY id")
    assert [(row["wet_mg"], row["dried_mg"]) for row in rows] == [
        (100_000, 34_000),
        (113_398, 39_689),
        (200_000, 66_000),
    ]
    with reading(yard.path) as connection:
        assert dry_tests(connection, 1)[-1].subsamples_ppm == (340_000, 349_997, 330_000)


def test_subsamples_far_apart_are_said(yard: Yard) -> None:
    assert "far apart" in yard.do("dry-matter", feed="corn", sample=["100 g=32 g", "100 g=36 g"]).said


def test_a_sample_does_not_gain_weight_in_drying(yard: Yard) -> None:
    with pytest.raises(Refused, match="sample 2: 101 g dried is more than the 100 g before") as refused:
        yard.do("dry-matter", feed="corn", sample=["100 g=34 g", "100 g=101 g"])
    assert refused.value.field == "sample"


def test_moisture_says_the_same_as_dry_matter(yard: Yard) -> None:
    yard.do("dry-matter", feed="corn", moisture="66")
    assert newest(yard)["dry_ppm"] == 340_000
    assert newest(yard)["typed"] == "moisture 66 %"


def test_what_is_said_twice_must_agree(yard: Yard) -> None:
    with pytest.raises(Refused, match=r"the samples make 34\.0 %"):
        yard.do("dry-matter", feed="corn", dry="36", sample="100 g=34 g")


def test_a_small_move_is_no_change_and_a_larger_one_is_told(yard: Yard) -> None:
    assert "within 2 points, what testers differ by" in yard.do("dry-matter", feed="corn", dry="32").said
    assert "3.0 points drier" in yard.do("dry-matter", feed="corn", dry="35", tested="-0").said


def test_a_long_step_governs_only_when_someone_is_sure(yard: Yard) -> None:
    state = yard.pages()
    with pytest.raises(ChoreRefused, match=r"28\.0 % is 5\.6 points from 33\.6 %") as refused:
        yard.do("dry-matter", feed="corn", dry="28")
    assert "Ration High 1: 51.49 to 61.79 lb as fed a head" in refused.value.message
    assert yard.pages() == state
    yard.do("dry-matter", feed="corn", dry="28", sure="yes")
    with reading(yard.path) as connection:
        its = dry_matter_at(connection, 1, yard.now_s, "2026-03-09")
    assert its is not None
    assert its.dry_ppm == 280_000


def test_the_farm_sets_its_own_step(yard: Yard) -> None:
    yard.do("farm", name="Hollow Farm", zone="America/Chicago", dry_step="2")
    with pytest.raises(ChoreRefused, match="more than 2"):
        yard.do("dry-matter", feed="corn", dry="31")
    yard.do("farm", name="Hollow Farm", zone="America/Chicago", dry_step="9")
    assert yard.do("dry-matter", feed="corn", dry="26").entry == yard.entries


def test_a_first_test_that_looks_like_moisture_is_asked_about(yard: Yard) -> None:
    yard.do("feed", name="Grass hay", kind="forage")
    with pytest.raises(ChoreRefused, match="is that its moisture"):
        yard.do("dry-matter", feed="Grass hay", dry="13")
    yard.do("dry-matter", feed="Grass hay", moisture="13")


def test_the_published_silage_needs_so_much_more_as_it_gets_wetter(yard: Yard) -> None:
    """19.305 lb of dry matter from corn silage at 30 % dry matter are 64.35 lb as fed."""
    yard.do("ration", name="High 1", item="Corn silage=19.305 lb dm")
    with reading(yard.path) as connection:
        (effect,) = dry_effects(connection, yard.ground(), 1, 300_000, at_s=yard.now_s)
    assert effect.by_dry_matter
    assert effect.after_g / LB_G == pytest.approx(64.35, abs=1e-4)
    assert effect.before_g / LB_G == pytest.approx(19.305 / 0.336, abs=1e-4)


def test_items_set_as_fed_tell_what_dry_matter_is_eaten(yard: Yard) -> None:
    yard.do("ration", name="High 1", item="Corn silage=55 lb")
    said = yard.do("dry-matter", feed="corn", dry="30").said
    assert "Ration High 1: 18.48 to 16.50 lb dry matter a head, as fed stays." in said


def test_a_mix_that_holds_the_feed_is_told_too(yard: Yard) -> None:
    yard.do("feed", name="Wet blend", kind="forage")
    yard.do("mix", feed="Wet blend", part=["Corn silage=90", "Mineral mix=10"])
    yard.do("ration", name="High 1", item="Wet blend=20 lb dm", despite="a trial of ours")
    said = yard.do("dry-matter", feed="corn", dry="31").said
    assert (
        "Wet blend 50.08 to 53.19 lb as fed a head" in said
    )  # 20/0.39936... by 0.9*33.6+0.1*97 = 39.94 and 37.6 %


def test_the_newest_test_governs_from_the_next_load_on(yard: Yard) -> None:
    with reading(yard.path) as connection:
        before = plan_load(connection, yard.ground(), [1], at_s=yard.now_s)
    yard.do("dry-matter", feed="corn", dry="30")
    with reading(yard.path) as connection:
        after = plan_load(connection, yard.ground(), [1], at_s=yard.now_s)
        earlier = plan_load(connection, yard.ground(), [1], at_s=yard.now_s - HOUR)
    assert before.lines[0].planned_g / after.lines[0].planned_g == pytest.approx(30 / 33.6, rel=1e-4)
    assert earlier.lines == before.lines


def test_the_report_tells_which_change_matters(yard: Yard) -> None:
    yard.do("dry-matter", feed="corn", dry="33", method="oven")
    yard.now_s += HOUR
    yard.do("dry-matter", feed="corn", sample=["100 g=29.8 g", "100 g=30.2 g"])
    yard.now_s += HOUR
    yard.do("dry-matter", feed="corn", dry="36", sure="yes")
    with reading(yard.path) as connection:
        report = catalogue.make("dry-matter", connection, yard.ground(), {"feed": "corn"})
    rows = [
        (
            row["dm_percent"].number,
            row["change_percent"].number,
            row["matters"].value,
            row["spread_percent"].number,
        )
        for row in report.table("tests").lines
    ]
    assert rows == [
        (36, pytest.approx(6), "long step", None),
        (30, pytest.approx(-3), "yes", pytest.approx(0.4)),
        (33, pytest.approx(-0.6), "no", None),
        (33.6, None, None, None),
    ]
    assert report.facts["dm_percent"].number == 36
    assert any("Ration High 1" in word for word in report.warnings)
