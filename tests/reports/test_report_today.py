"""The day as it stands: what is due and when, what is wrong, and yesterday's figures."""

from __future__ import annotations

import pytest

from herdbook.reports.figures import Report
from tests.reports.byre import at, cell, feed, milk, mix, show
from tests.yard import Yard

SUN, MON, TUE, WED = "2026-03-01", "2026-03-02", "2026-03-03", "2026-03-04"


def due(report: Report) -> dict[str, tuple[str, str, bool]]:
    """What is due -> its local time or nothing, details, and whether it is late."""
    from tests.reports.byre import CLOCK

    found = {}
    for line in report.table("due").lines:
        moment = line["at"].value
        time = "" if moment is None else CLOCK.local(int(moment)).strftime("%a %H:%M")
        found[str(line["what"].value)] = (time, str(line["details"].value), line["what"].says == "late")
    return found


def test_on_the_first_day_the_first_feeding_is_due_without_an_hour(byre: Yard) -> None:
    found = due(show(at(byre, f"{MON} 00:30"), "today"))
    assert found["Mix feeding 1"] == ("", "High, Low", False)


def test_at_night_a_feeding_is_due_at_the_hour_it_was_begun_on_the_last_days(byre: Yard) -> None:
    # begun 05:50, 06:00 and 06:20: the middle is 06:00; an hour later it is late
    for day, time in (("2026-02-27", "05:50"), ("2026-02-28", "06:20"), (SUN, "06:00")):
        for pen in ("High", "Low"):
            feed(byre, f"{day} {time}", pen, silage=300, grain=50)
    assert due(show(at(byre, f"{MON} 00:05"), "today"))["Mix feeding 1"] == ("Mon 06:00", "High, Low", False)
    assert not due(show(at(byre, f"{MON} 07:00"), "today"))["Mix feeding 1"][2]
    assert due(show(at(byre, f"{MON} 07:01"), "today"))["Mix feeding 1"][2]
    mix(byre, f"{MON} 07:02", "High", silage=300, grain=50)
    assert due(show(byre, "today"))["Mix feeding 1"][1] == "Low"


def test_the_second_feeding_comes_after_the_first(byre: Yard) -> None:
    at(byre, f"{MON} 04:00").do("pen-ration", pen="High", ration="Milk", feedings="2")
    feed(byre, f"{MON} 06:00", "High", silage=300, grain=50)
    found = due(show(byre, "today"))
    assert found["Mix feeding 2"][1] == "High"
    assert found["Mix feeding 1"][1] == "Low"
    feed(byre, f"{MON} 15:00", "High", silage=300, grain=50)
    assert "Mix feeding 2" not in due(show(byre, "today"))


def test_a_feeding_that_takes_two_loads_is_due_until_both_are_begun(byre: Yard) -> None:
    # 400 cows at 35 kg are 14,000 kg; the wagon holds 9,000
    at(byre, f"{MON} 04:00").do("head", pen="High", head="400")
    byre.do("head", pen="Low", head="0")
    byre.do("load", planned_load="1")
    assert due(show(byre, "today"))["Mix feeding 1"][1] == "High"
    byre.do("load", planned_load="2")
    assert not [what for what in due(show(byre, "today")) if what.startswith("Mix")]


def test_a_pen_without_cows_or_ration_is_not_fed(byre: Yard) -> None:
    at(byre, f"{MON} 04:00").do("head", pen="Low", head="0")
    assert due(show(byre, "today"))["Mix feeding 1"][1] == "High"


def test_refusals_of_yesterday_are_due_at_their_usual_hour(byre: Yard) -> None:
    feed(byre, f"{SUN} 06:00", "High", silage=300, grain=50)
    at(byre, f"{MON} 05:40").do("refusal", pen="High", weight="0")
    feed(byre, f"{MON} 06:00", "High", silage=300, grain=50)
    feed(byre, f"{MON} 06:30", "Low", silage=300, grain=50)
    assert due(show(at(byre, f"{TUE} 00:05"), "today"))["Weigh back refusals"] == (
        "Tue 05:40",
        "High, Low",
        False,
    )
    at(byre, f"{TUE} 05:40").do("refusal", pen="High", weight="0")
    assert due(show(byre, "today"))["Weigh back refusals"][1] == "Low"
    byre.do("refusal", pen="Low", weight="0")
    assert "Weigh back refusals" not in due(show(byre, "today"))


def test_a_load_is_to_be_finished_then_dropped_to_the_pens_that_wait(byre: Yard) -> None:
    at(byre, f"{MON} 06:00").do("load", pen=["High", "Low"], planned=["Silage=3000", "Grain=500"])
    byre.do("weigh", load="1", feed="Silage", weight="3000")
    assert due(show(byre, "today"))["Finish load 1, High, Low"][1] == "at Grain, 3,000 of 3,500 kg"
    byre.do("weigh", load="1", feed="Grain", weight="500")
    assert "Drop load 1, High, Low" in due(show(byre, "today"))
    byre.do("drop", load="1", pen="High", weight="2300")
    assert due(show(byre, "today"))["Drop load 1, Low"][1] == "1,200 kg in the mixer"
    byre.do("drop", load="1", pen="Low", weight="1180")
    assert not any("load 1" in what for what in due(show(byre, "today")))


def test_a_load_begun_before_midnight_is_still_to_be_dropped_after_it(byre: Yard) -> None:
    mix(byre, f"{MON} 23:40", "High", silage=3000, grain=500)
    assert "Drop load 1, High" in due(show(at(byre, f"{TUE} 00:10"), "today"))
    assert "Drop load 1, High" not in due(show(at(byre, f"{TUE} 12:00"), "today"))


def test_a_cooling_tank_is_read_every_quarter_of_an_hour_until_it_is_cold_even_when_late(byre: Yard) -> None:
    milk(byre, f"{MON} 06:00", f"{MON} 07:00")
    assert due(show(byre, "today"))["Read the Tank temperature"] == (
        "Mon 07:15",
        "every 15 min until 45 °F",
        False,
    )
    at(byre, f"{MON} 07:20").do("temperature", reading="70F")
    assert due(show(at(byre, f"{MON} 07:36"), "today"))["Read the Tank temperature"][::2] == (
        "Mon 07:35",
        True,
    )
    at(byre, f"{MON} 09:01").do("temperature", reading="46F")
    assert "Read the Tank temperature" in due(show(byre, "today"))
    at(byre, f"{MON} 09:20").do("temperature", reading="44F")
    assert "Read the Tank temperature" not in due(show(byre, "today"))


def test_a_wet_feed_is_to_be_tested_after_seven_days_and_a_dry_one_not(byre: Yard) -> None:
    # the silage (40 % dry) was analysed on 23 February; grain is no forage
    assert "Dry-matter test" not in due(show(at(byre, f"{SUN} 12:00"), "today"))
    assert due(show(at(byre, f"{MON} 12:00"), "today"))["Dry-matter test"][1] == "Silage (7 days)"
    byre.do("dry-matter", feed="Silage", dry="39")
    assert "Dry-matter test" not in due(show(byre, "today"))


def test_late_things_stand_first(byre: Yard) -> None:
    milk(byre, f"{MON} 06:00", f"{MON} 07:00")
    first = show(at(byre, f"{MON} 08:00"), "today").table("due").lines[0]
    assert (first["what"].value, first["what"].flag) == ("Read the Tank temperature", "!")


def test_yesterday_is_told_when_it_is_complete(byre: Yard) -> None:
    # as in the week: 14.72 kg eaten, 8 % refused, 250 cents a cow
    for pen, whole in (("High", 3500), ("Low", 1750)):
        feed(byre, f"{MON} 06:00", pen, silage=whole * 6 / 7, grain=whole / 7)
    milk(byre, f"{MON} 05:00", f"{MON} 07:00", milk="1600")
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="350")
    facts = show(byre, "today").facts
    assert (facts["dm_eaten_kg"].value, facts["dm_eaten_kg"].missing) == (None, ("Low: refusal not written",))
    byre.do("refusal", pen="Low", weight="70")
    facts = show(byre, "today").facts
    assert facts["dm_eaten_kg"].value == pytest.approx(14.72)
    assert facts["refused_percent"].value == pytest.approx(8)
    assert facts["feed_cost_cents"].value == pytest.approx(250)
    assert facts["milk_yesterday_kg"].value == pytest.approx(1600)


def test_a_day_without_a_milking_says_so(byre: Yard) -> None:
    milk_yesterday = show(at(byre, f"{TUE} 05:00"), "today").facts["milk_yesterday_kg"]
    assert (milk_yesterday.value, milk_yesterday.missing) == (None, ("no milking written",))


def test_a_tank_that_cools_too_slowly_is_the_first_alert(byre: Yard) -> None:
    at(byre, f"{MON} 05:00").do("load", pen="High", planned=["Silage=3000", "Grain=500"], loaded="Grain=600")
    milk(byre, f"{MON} 06:00", f"{MON} 07:00")
    for time, degrees in (("07:15", "62F"), ("07:30", "60F"), ("07:45", "58F")):
        at(byre, f"{MON} {time}").do("temperature", reading=degrees)
    report = show(byre, "today")
    first, second = report.table("alerts").lines
    assert (first["about"].value, second["about"].value) == ("Tank", "Load 1")
    assert str(first["says"].value).startswith("Cooling too slowly")
    assert cell(report, "tanks", "Tank", "state").says == "too slow"
    assert cell(report, "tanks", "Tank", "limit").value == "45 °F"


def test_nothing_due_and_nothing_wrong_is_said_in_words(bare_yard: Yard) -> None:
    report = show(bare_yard, "today")
    assert [report.table(key).lines for key in ("due", "alerts", "tanks")] == [(), (), ()]
    assert report.table("due").nothing == "Nothing is due."
