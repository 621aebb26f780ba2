"""Intake by pen and day, held against arithmetic done by hand in the comments."""

from __future__ import annotations

import pytest

from tests.reports.byre import at, cell, feed, mix, show
from tests.yard import Yard

MON, TUE, WED = "2026-03-02", "2026-03-03", "2026-03-04"


def test_a_pen_ate_what_was_dropped_less_what_was_weighed_back(bare_yard: Yard) -> None:
    """10,000 lb at 50 % dropped, 300 lb refused at 52 %, 100 cows.

    5,000 - 156 = 4,844 lb of dry matter over 100 cows is 48.44 lb a cow; 300 / 10,000 is 3.0 % as fed and
    156 / 5,000 is 3.12 % of the dry matter. In kilograms, 1 lb = 0.45359237 kg.
    """
    at(bare_yard, f"{MON} 05:00")
    bare_yard.do("pen", name="High", head="100")
    bare_yard.do("feed", name="Mix", kind="forage")
    bare_yard.do("analysis", feed="Mix", dry="50")
    bare_yard.do("ration", name="One", item="Mix=100")
    bare_yard.do("pen-ration", pen="High", ration="One")
    bare_yard.do("mixer", name="Wagon", holds="12000", step="1")
    at(bare_yard, f"{MON} 06:00")
    bare_yard.do("load", pen="High", planned="Mix=10000", loaded="Mix=10000")
    bare_yard.do("drop", load="1", pen="High", weight="10000")
    at(bare_yard, f"{TUE} 05:00")
    bare_yard.do("refusal", pen="High", weight="300", dry="52")

    report = show(bare_yard, "intake", of=MON)
    row = f"{MON} High"
    assert cell(report, "pens", row, "dm_eaten_kg").value == pytest.approx(48.44 * 0.45359237, abs=1e-5)
    assert cell(report, "pens", row, "refused_percent").value == pytest.approx(3.0, abs=1e-4)  # whole grams
    refused = cell(report, "pens", row, "dm_refused_kg").number
    dropped = cell(report, "pens", row, "dm_dropped_kg").number
    assert refused
    assert dropped
    assert 100 * refused / dropped == pytest.approx(3.12, abs=1e-4)
    assert cell(report, "pens", row, "dm_eaten_kg").missing == ()


def test_leavings_that_were_not_tested_have_the_dry_matter_of_the_mix(byre: Yard) -> None:
    # 3,000 kg at 40 % and 500 kg at 80 %: 1,200 + 400 = 1,600 kg dry of 3,500 kg; a refusal of 350 kg is a tenth
    # of it, so 160 kg dry: 1,440 / 100 = 14.4 kg a head
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="350")
    report = show(byre, "intake", of=MON)
    assert cell(report, "pens", f"{MON} High", "dm_dropped_kg").value == pytest.approx(16.0)
    assert cell(report, "pens", f"{MON} High", "dm_refused_kg").value == pytest.approx(1.6)
    assert cell(report, "pens", f"{MON} High", "dm_eaten_kg").value == pytest.approx(14.4)
    assert cell(report, "pens", f"{MON} High", "refused_percent").value == pytest.approx(10.0)


def test_a_refusal_belongs_to_the_day_it_was_fed_on(byre: Yard) -> None:
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="350")
    feed(byre, f"{TUE} 06:00", "High", silage=3000, grain=500)
    report = show(byre, "intake", of=TUE, days="2")
    assert cell(report, "pens", f"{MON} High", "refused_kg").value == 350
    assert cell(report, "pens", f"{TUE} High", "refused_kg").value is None
    assert "refusal not written" in cell(report, "pens", f"{TUE} High", "dm_eaten_kg").missing


def test_without_the_refusal_nothing_is_said_of_what_was_eaten_and_why_is_said(byre: Yard) -> None:
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    report = show(byre, "intake", of=MON)
    eaten = cell(report, "pens", f"{MON} High", "dm_eaten_kg")
    assert (eaten.value, eaten.flag, eaten.missing) == (None, "?", ("refusal not written",))
    assert report.warnings == (f"High {MON}: refusal not written",)
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="0")
    assert cell(show(byre, "intake", of=MON), "pens", f"{MON} High", "dm_eaten_kg").value == pytest.approx(16)


def test_what_is_refed_becomes_the_other_pens_feed_of_the_day_it_was_weighed(byre: Yard) -> None:
    # High leaves 350 kg (160 kg dry) of Monday, given to the 20 heifers on Tuesday: 8 kg dry a head;
    # they leave 70 kg, a fifth as fed, so a fifth of the 160 kg: 32 kg; (160 - 32) / 20 = 6.4 kg eaten
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="350", went="re-fed", to="Young")
    at(byre, f"{WED} 05:00").do("refusal", pen="Young", weight="70", fed=TUE)
    report = show(byre, "intake", of=TUE)  # one day alone: the mix of the day before is looked up
    row = f"{TUE} Young"
    assert cell(report, "pens", row, "dm_dropped_kg").value == pytest.approx(8.0)
    assert cell(report, "pens", row, "dm_eaten_kg").value == pytest.approx(6.4)
    assert cell(report, "pens", row, "refused_percent").value == pytest.approx(20.0)
    assert cell(report, "pens", row, "dropped_kg").value is None
    assert cell(show(byre, "intake", of=MON), "pens", f"{MON} High", "dm_eaten_kg").value == pytest.approx(
        14.4
    )


def test_heads_are_the_mean_of_the_day_by_the_hours_each_count_held(byre: Yard) -> None:
    # 100 head until 18:00, 88 for the last quarter of the day: 0.75 * 100 + 0.25 * 88 = 97
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    at(byre, f"{MON} 18:00").do("head", pen="High", head="88")
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="0")
    report = show(byre, "intake", of=MON)
    assert cell(report, "pens", f"{MON} High", "head").value == pytest.approx(97)
    assert cell(report, "pens", f"{MON} High", "dm_eaten_kg").value == pytest.approx(1600 / 97)


def test_a_pen_counts_from_its_first_count_on_its_first_day(byre: Yard) -> None:
    at(byre, f"{MON} 12:00").do("pen", name="Fresh", head="10")
    at(byre, f"{MON} 18:00").do("head", pen="Fresh", head="14")
    byre.do("pen-ration", pen="Fresh", ration="Milk")
    feed(byre, f"{MON} 19:00", "Fresh", silage=300, grain=50)
    at(byre, f"{TUE} 05:00")
    # six hours of 10 and six of 14
    assert cell(show(byre, "intake", of=MON), "pens", f"{MON} Fresh", "head").value == pytest.approx(12)


def test_an_hour_more_in_autumn_counts_in_the_mean_of_heads(byre: Yard) -> None:
    # the clocks go back on 1 November 2026: the day has 25 hours, 19 of them before 18:00
    at(byre, "2026-10-31 05:00")
    feed(byre, "2026-11-01 06:00", "High", silage=3000, grain=500)
    at(byre, "2026-11-01 18:00").do("head", pen="High", head="75")
    at(byre, "2026-11-02 05:00")
    found = cell(show(byre, "intake", of="2026-11-01"), "pens", "2026-11-01 High", "head").value
    assert found == pytest.approx((19 * 100 + 6 * 75) / 25)


def test_without_a_head_count_there_is_no_figure_a_head(byre: Yard) -> None:
    at(byre, f"{MON} 05:00").do("pen", name="Fresh")
    byre.do("pen-ration", pen="Fresh", ration="Milk")
    at(byre, f"{MON} 06:00").do("head", pen="Fresh", head="10")
    feed(byre, f"{MON} 07:00", "Fresh", silage=300, grain=50)
    at(byre, f"{TUE} 05:00").do("refusal", pen="Fresh", weight="0")
    count = byre.row("SELECT max(number) AS n FROM entry WHERE chore = 'head'")["n"]
    byre.do("strike", entry=str(count))
    eaten = cell(show(byre, "intake", of=MON), "pens", f"{MON} Fresh", "dm_eaten_kg")
    assert (eaten.value, eaten.missing) == (None, ("no head count",))


def test_a_struck_drop_no_longer_counts(byre: Yard) -> None:
    number = mix(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    byre.do("drop", load=number, pen="High", weight="2000")
    wrong = byre.do("drop", load=number, pen="High", weight="1500").entry
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="0")
    byre.do("strike", entry=str(wrong))
    report = show(byre, "intake", of=MON)
    assert cell(report, "pens", f"{MON} High", "dropped_kg").value == 2000
    # 2,000 kg of a mix that is 1,600 / 3,500 dry
    assert cell(report, "pens", f"{MON} High", "dm_eaten_kg").value == pytest.approx(2000 * 1600 / 3500 / 100)


def test_a_load_corrected_to_another_day_takes_its_drops_with_it(byre: Yard) -> None:
    at(byre, f"{TUE} 06:00")
    loaded = ["Silage=3000", "Grain=500"]
    load = byre.do("load", pen="High", planned=loaded, loaded=loaded).entry
    byre.do("drop", load="1", pen="High", weight="3500")
    byre.do("load", corrects=load, pen="High", planned=loaded, loaded=loaded, started="y 0600")
    report = show(byre, "intake", of=TUE, days="2")
    assert cell(report, "pens", f"{MON} High", "dropped_kg").value == 3500
    assert [line.name for line in report.table("pens").lines] == [f"{MON} High"]


def test_a_load_that_was_not_weighed_in_counts_as_planned_and_says_so(byre: Yard) -> None:
    at(byre, f"{MON} 06:00").do("load", pen="High", planned=["Silage=3000", "Grain=500"])
    byre.do("drop", load="1", pen="High", weight="3500")
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="0")
    eaten = cell(show(byre, "intake", of=MON), "pens", f"{MON} High", "dm_eaten_kg")
    assert eaten.value == pytest.approx(16.0)
    assert eaten.missing == ("load 1 was not weighed in; its planned dry matter is used",)


def test_a_feed_that_was_planned_and_never_weighed_in_is_said(byre: Yard) -> None:
    at(byre, f"{MON} 06:00").do(
        "load", pen="High", planned=["Silage=3000", "Grain=500"], loaded="Silage=3000"
    )
    byre.do("drop", load="1", pen="High", weight="3000")
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="0")
    eaten = cell(show(byre, "intake", of=MON), "pens", f"{MON} High", "dm_eaten_kg")
    assert eaten.value == pytest.approx(12.0)
    assert eaten.missing == ("load 1: not every planned feed was weighed in",)


def test_more_refused_than_fed_is_flagged(byre: Yard) -> None:
    feed(byre, f"{MON} 06:00", "High", silage=300, grain=50)
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="3500")
    eaten = cell(show(byre, "intake", of=MON), "pens", f"{MON} High", "dm_eaten_kg")
    assert eaten.number is not None
    assert eaten.number < 0
    assert (eaten.flag, eaten.says) == ("!", "more refused than fed")


def test_dry_matter_of_a_load_is_that_of_its_day_not_of_today(byre: Yard) -> None:
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="0")
    at(byre, f"{TUE} 05:30").do("dry-matter", feed="Silage", dry="30", sure="yes")
    assert cell(show(byre, "intake", of=MON), "pens", f"{MON} High", "dm_eaten_kg").value == pytest.approx(16)


def test_what_is_set_follows_the_version_and_the_dry_matter_of_each_day(byre: Yard) -> None:
    # Monday 30 kg at 40 % and 5 kg at 80 %: 16 kg; Tuesday the silage is tested at 30 %: 9 + 4 = 13 kg;
    # Wednesday version 2 sets 12.5 kg dry matter of silage and 5 kg of grain: 12.5 + 4 = 16.5 kg
    for day in (MON, TUE, WED):
        if day == TUE:
            at(byre, f"{TUE} 04:00").do("dry-matter", feed="Silage", dry="30", sure="yes")
        if day == WED:
            at(byre, f"{WED} 04:00").do("ration", name="Milk", item=["Silage=12.5 kg dm", "Grain=5"])
        feed(byre, f"{day} 06:00", "High", silage=3000, grain=500)
    report = show(byre, "intake", of=WED, days="3")
    sets = [cell(report, "pens", f"{day} High", "dm_set_kg").value for day in (MON, TUE, WED)]
    assert sets == pytest.approx([16.0, 13.0, 16.5])


def test_a_pen_without_a_ration_has_nothing_set(byre: Yard) -> None:
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="350", went="re-fed", to="Young")
    young = cell(show(byre, "intake", of=TUE), "pens", f"{TUE} Young", "dm_set_kg")
    assert (young.value, young.missing) == (None, ("no ration in force",))
