"""The week by farm day, from Monday to Sunday, against sums by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from herdbook.clock import FarmClock
from tests.reports.byre import CLOCK, at, cell, feed, milk, show, started
from tests.yard import Yard

SUN, MON, TUE, WED, THU = "2026-03-01", "2026-03-02", "2026-03-03", "2026-03-04", "2026-03-05"


def a_day(yard: Yard, day: str, *, high: float = 3500, low: float = 1750) -> None:
    """Both milking pens fed at six, whole mixes of 1,600 dry in 3,500."""
    for pen, whole in (("High", high), ("Low", low)):
        feed(yard, f"{day} 06:00", pen, silage=whole * 6 / 7, grain=whole / 7)


def refused(yard: Yard, day: str, **kg: float) -> None:
    """Refusals weighed at five on a day, of the day before."""
    at(yard, f"{day} 05:00")
    for pen, weight in kg.items():
        yard.do("refusal", pen=pen, weight=f"{weight:g}")


def test_a_week_begins_on_monday_and_ends_on_sunday(byre: Yard) -> None:
    at(byre, f"{THU} 12:00")
    report = show(byre, "week")
    assert report.title == "Week 10, 2026-03-02 to 2026-03-08"
    assert [line.name for line in report.table("days").lines] == [MON, TUE, WED, THU]
    assert len(show(byre, "week", of=SUN).table("days").lines) == 7
    assert show(byre, "week", of=SUN).facts["week_of"].value == "2026-02-23"


def test_a_day_of_the_herd_is_both_pens_over_all_heads(byre: Yard) -> None:
    # 1,600 kg dry for 100 head and 800 kg for 50; refused 350 kg and 70 kg of 5,250: 8 %;
    # 350 and 70 of 3,500 are a tenth and a fiftieth of 1,600: 160 and 32 kg dry; (2,400 - 192) / 150 = 14.72 kg
    a_day(byre, MON)
    refused(byre, TUE, High=350, Low=70)
    report = show(byre, "week")
    assert cell(report, "days", MON, "head").value == pytest.approx(150)
    assert cell(report, "days", MON, "dm_eaten_kg").value == pytest.approx(14.72)
    assert cell(report, "days", MON, "refused_percent").value == pytest.approx(8)
    # 3,000 kg of silage at 50 and 500 kg of grain at 200 a tonne are 250; half of it for Low: 375 over 150 head
    assert cell(report, "days", MON, "feed_cost_cents").value == pytest.approx(250)


def test_one_pen_without_its_refusal_leaves_the_day_without_an_intake_and_is_named(byre: Yard) -> None:
    a_day(byre, MON)
    refused(byre, TUE, High=350)
    report = show(byre, "week")
    eaten = cell(report, "days", MON, "dm_eaten_kg")
    assert (eaten.value, eaten.flag, eaten.missing) == (None, "?", ("Low: refusal not written",))
    assert cell(report, "days", MON, "refused_percent").value is None
    assert report.facts["complete_days"].value == 0
    assert report.warnings == (f"Not complete: {MON} (Low: refusal not written).",)


def test_one_pen_that_was_not_fed_on_paper_leaves_the_day_incomplete(byre: Yard) -> None:
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    refused(byre, TUE, High=350)
    missing = cell(show(byre, "week"), "days", MON, "dm_eaten_kg").missing
    assert missing == ("Low: no drop written", "Low: refusal not written")


def test_a_pen_that_stands_empty_is_left_out(byre: Yard) -> None:
    at(byre, f"{SUN} 12:00").do("head", pen="Low", head="0")
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    refused(byre, TUE, High=350)
    assert cell(show(byre, "week"), "days", MON, "dm_eaten_kg").value == pytest.approx(14.4)


def test_the_week_is_total_over_total_of_its_complete_days(byre: Yard) -> None:
    # Monday 150 head eat 2,400 kg dry; Low moves out, and on Tuesday 100 head eat 1,280 of 1,600 kg (700 of
    # 3,500 kg refused); Wednesday is not complete. 3,680 / 250 head-days = 14.72; the plain mean of 16 and 12.8
    # would be 14.4. Refused 700 of 8,750 kg is 8 %; the plain mean of 0 and 20 would be 10 %
    a_day(byre, MON)
    refused(byre, TUE, High=0, Low=0)
    at(byre, f"{TUE} 00:00").do("head", pen="Low", head="0", counted=f"{TUE} 00:00")
    feed(byre, f"{TUE} 06:00", "High", silage=3000, grain=500)
    refused(byre, WED, High=700)
    feed(byre, f"{WED} 06:00", "High", silage=3000, grain=500)
    report = show(byre, "week")
    assert cell(report, "days", TUE, "dm_eaten_kg").value == pytest.approx(12.8)
    eaten, share = report.facts["dm_eaten_kg"], report.facts["refused_percent"]
    assert (report.facts["complete_days"].value, eaten.value) == (2, pytest.approx(14.72))
    assert share.value == pytest.approx(8)
    assert (eaten.flag, eaten.missing) == ("?", ("1 of 3 days not complete",))


def test_milk_a_cow_of_the_week_leaves_out_the_day_that_runs(byre: Yard) -> None:
    # Monday 3,000 kg over 150 head is 20 kg; Tuesday's morning alone would drag it down
    milk(byre, f"{MON} 05:00", f"{MON} 07:00", milk="1600")
    milk(byre, f"{MON} 17:00", f"{MON} 19:00", milk="1400")
    milk(byre, f"{TUE} 05:00", f"{TUE} 07:00", milk="1600")
    report = show(byre, "week")
    assert cell(report, "days", MON, "milk_kg").value == pytest.approx(20)
    assert cell(report, "days", TUE, "milk_kg").missing == ("the day is not over",)
    assert report.facts["milk_kg"].value == pytest.approx(20)
    assert report.facts["milk_kg"].missing == ("1 of 2 days not complete",)


def test_shipped_is_the_sum_of_the_pickups_of_each_farm_day(byre: Yard) -> None:
    milk(byre, f"{MON} 05:00", f"{MON} 07:00", milk="1600")
    at(byre, f"{MON} 10:00").do("pickup", weight="1590")
    milk(byre, f"{WED} 05:00", f"{WED} 07:00", milk="1400")
    at(byre, f"{WED} 10:00").do("pickup", weight="1410")
    report = show(byre, "week")
    shipped = [cell(report, "days", day, "shipped_kg").value for day in (MON, TUE, WED)]
    assert shipped == [1590, None, 1410]
    assert report.facts["shipped_kg"].value == 3000


def test_a_day_that_starts_at_four_takes_in_what_happened_before_it(tmp_path: Path) -> None:
    yard, clock = started(tmp_path / "late.book", day_start="240"), FarmClock(CLOCK.zone_name, 240)
    at(yard, f"{TUE} 03:30", clock).do("pickup", weight="500")
    at(yard, f"{TUE} 04:30", clock).do("pickup", weight="70")
    report = show(yard, "week")
    assert cell(report, "days", MON, "shipped_kg").value == 500
    assert cell(report, "days", TUE, "shipped_kg").value == 70
    yard.book.close()


def test_warmest_is_the_warmest_after_the_strictest_deadline_until_the_next_milking(byre: Yard) -> None:
    milk(byre, f"{MON} 06:00", f"{MON} 07:00")
    for time, degrees in (("08:59", "44F"), ("09:00", "43F"), ("12:00", "44.5F"), ("13:00", "40F")):
        at(byre, f"{MON} {time}").do("temperature", reading=degrees)
    milk(byre, f"{MON} 14:00", f"{MON} 15:00")
    at(byre, f"{MON} 15:10").do("temperature", reading="47F")  # the next milking, before its own deadline
    at(byre, f"{MON} 17:10").do("temperature", reading="42F")
    warmest = cell(show(byre, "week"), "days", MON, "warmest_degC")
    assert warmest.value == pytest.approx((44.5 - 32) * 5 / 9, abs=0.001)
    assert warmest.inputs["read"] == "Mon 2 Mar 12:00"


def test_pens_are_told_over_their_own_complete_days(byre: Yard) -> None:
    a_day(byre, MON)
    refused(byre, TUE, High=350)
    report = show(byre, "week")
    assert cell(report, "pens", "High", "complete_days").value == 1
    assert cell(report, "pens", "High", "dm_eaten_kg").value == pytest.approx(14.4)
    assert cell(report, "pens", "High", "head").value == pytest.approx(100)
    assert cell(report, "pens", "High", "feed_cost_cents").value == pytest.approx(250)
    low = report.table("pens").lines[1].cells
    assert (low["complete_days"].value, low["dm_eaten_kg"].value, low["head"].value) == (0, None, None)


def test_a_pen_that_eats_clearly_less_than_lately_is_worth_a_look(byre: Yard) -> None:
    # 16 kg on three days and 15.2 kg (-5 %) on the fourth; at -4.9 % nothing is said
    for day, after in (("2026-02-27", "2026-02-28"), ("2026-02-28", SUN), (SUN, MON)):
        feed(byre, f"{day} 06:00", "High", silage=3000, grain=500)
        refused(byre, after, High=0)
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="175")
    (look,) = show(byre, "week").table("exceptions").lines
    assert look["about"].value == "High"
    assert look["says"].value == "ate -5 % against the middle of its last 3 complete days."
    entry = byre.row("SELECT max(number) AS n FROM entry")["n"]
    byre.do("refusal", corrects=entry, pen="High", weight="171")
    assert show(byre, "week").table("exceptions").lines == ()


def test_two_days_are_too_few_to_say_that_a_pen_fell(byre: Yard) -> None:
    for day, after in (("2026-02-28", SUN), (SUN, MON)):
        feed(byre, f"{day} 06:00", "High", silage=3000, grain=500)
        refused(byre, after, High=0)
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    refused(byre, TUE, High=1750)
    assert show(byre, "week").table("exceptions").lines == ()


def test_a_missed_limit_a_missing_reading_and_a_feed_that_is_off_are_worth_a_look(byre: Yard) -> None:
    milk(byre, f"{MON} 06:00", f"{MON} 07:00")
    at(byre, f"{MON} 09:05").do("temperature", reading="47F")
    milk(byre, f"{MON} 17:00", f"{MON} 18:00")
    loaded = ["Silage=3000", "Grain=530"]
    at(byre, f"{TUE} 06:00").do("load", pen="High", planned=["Silage=3000", "Grain=500"], loaded=loaded)
    report = show(byre, "week")
    looks = [
        (its["day"].value, its["about"].value, its["says"].value) for its in report.table("exceptions").lines
    ]
    assert looks[0][:2] == (MON, "Tank")
    assert looks[0][2].startswith("45 °F limit, milking of 06:00: missed")
    assert (MON, "Tank", "no reading by the deadline, milking of 17:00.") in looks
    assert looks[-1] == (TUE, "Load 1", "Grain +6.0 % (30 kg).")
    assert [cell(report, "days", day, "exceptions").value for day in (MON, TUE)] == [len(looks) - 1, 1]
    assert report.facts["exceptions"].value == len(looks)


def test_a_load_dropped_without_one_of_its_feeds_is_worth_a_look(byre: Yard) -> None:
    at(byre, f"{MON} 06:00").do(
        "load", pen="High", planned=["Silage=3000", "Grain=500"], loaded="Silage=3000"
    )
    assert show(byre, "week").table("exceptions").lines == ()
    byre.do("drop", load="1", pen="High", weight="3000")
    (look,) = show(byre, "week").table("exceptions").lines
    assert look["says"].value == "dropped, but Grain was never weighed in."


def test_cost_of_a_load_that_was_not_weighed_in_is_that_of_its_plan(byre: Yard) -> None:
    at(byre, f"{MON} 06:00").do("load", pen="High", planned=["Silage=3000", "Grain=500"])
    byre.do("drop", load="1", pen="High", weight="3500")
    cost = cell(show(byre, "week"), "days", MON, "feed_cost_cents")
    assert cost.value == pytest.approx(25_000 / 150)
    assert "load 1 was not weighed in; its plan is used" in cost.missing
    assert "Low: no drop written" in cost.missing


def test_a_milking_written_minutes_ahead_does_not_stop_the_week(byre: Yard) -> None:
    at(byre, f"{MON} 06:00").do("milking", started=f"{MON} 06:05")
    assert show(byre, "week").table("days").lines[0].name == MON


def test_a_week_of_an_empty_book_is_there_and_says_nothing(bare_yard: Yard) -> None:
    report = show(bare_yard, "week")
    assert report.facts["dm_eaten_kg"].value is None
    assert report.facts["shipped_kg"].value is None
    assert report.table("exceptions").nothing == "Nothing stood out."
