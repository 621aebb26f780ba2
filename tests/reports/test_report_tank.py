"""The tank as it stands and its deadlines, through real entries, against the ordinance's own words.

The rule is the model ordinance's (Item 18r as repeated in Alabama Admin. Code 420-3-16-.08, Table 1): 50 °F or less
within 4 h of the start of the first milking, 45 °F or less within 2 h after the end of each, blend never above 50 °F.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from herdbook.errors import ChoreRefused, Refused
from herdbook.reports.figures import Figure, Report
from tests.reports.byre import CLOCK, at, cell, show, started
from tests.yard import Yard

MON, TUE = "2026-03-02", "2026-03-03"


def read_at(yard: Yard, when: str, *readings: tuple[str, str]) -> Report:
    """Write readings at their times of Monday and show the tank at a time."""
    for time, degrees in readings:
        at(yard, f"{MON} {time}").do("temperature", reading=degrees)
    at(yard, f"{MON} {when}")
    return show(yard, "tank")


def milked(yard: Yard, start: str, end: str, **texts: str) -> None:
    at(yard, f"{MON} {end}").do("milking", started=f"{MON} {start}", ended=f"{MON} {end}", **texts)


def clause(report: Report, start: str, key: str, column: str) -> Figure:
    return cell(report, "deadlines", f"Mon 2 Mar {start} {key}", column)


def local(time: str, day: str = MON) -> int:
    return at_s(f"{day} {time}")


def at_s(text: str) -> int:
    from herdbook.clock import parse_moment

    return parse_moment(text, clock=CLOCK, now_s=2_000_000_000)


@pytest.mark.parametrize(
    ("end", "due_45", "due_50"), [("07:00", "09:00", "10:00"), ("08:00", "10:00", "10:00")]
)
def test_the_deadlines_of_a_first_milking(byre: Yard, end: str, due_45: str, due_50: str) -> None:
    milked(byre, "06:00", end)
    report = read_at(byre, "08:10")
    assert clause(report, "06:00", "each-45", "deadline").value == local(due_45)
    assert clause(report, "06:00", "first-50", "deadline").value == local(due_50)


def test_a_limit_typed_exactly_is_met_at_its_last_second(byre: Yard) -> None:
    milked(byre, "06:00", "07:00")
    report = read_at(byre, "11:00", ("08:00", "51F"), ("09:00", "45F"))
    assert clause(report, "06:00", "each-45", "state").value == "met"
    assert clause(report, "06:00", "each-45", "margin_min").value == 0
    assert clause(report, "06:00", "each-45", "reached_at").value == local("09:00")
    assert clause(report, "06:00", "first-50", "state").value == "met"
    assert clause(report, "06:00", "first-50", "margin_min").value == 60
    assert report.facts["state"].value == "cold"


def test_a_tenth_above_the_limit_is_missed_and_the_alarm_says_how_far(byre: Yard) -> None:
    milked(byre, "06:00", "07:00")
    report = read_at(byre, "09:05", ("08:00", "51F"), ("09:00", "45.1F"))
    state = clause(report, "06:00", "each-45", "state")
    assert (state.value, state.flag, state.says) == ("missed", "!!", "late")
    # 0.1 °F is a difference of 0.0556 °C; stored to a thousandth
    assert clause(report, "06:00", "each-45", "over_degC").value == pytest.approx(0.1 * 5 / 9, abs=0.001)
    assert report.facts["state"].says == "late"
    assert report.warnings[0].startswith("Too warm: 45 °F")


@pytest.mark.parametrize(
    ("typed", "state"), [("7 C", "met"), ("7.0C", "met"), ("7.01C", "missed"), ("44.6F", "met")]
)
def test_a_limit_in_celsius_is_compared_in_celsius(tmp_path: Path, typed: str, state: str) -> None:
    # 7 °C is 44.6 °F: a rule in °C passes 44.6 °F and fails 44.8 °F, which a rule of 45 °F passes
    yard = started(tmp_path / "robots.book", cooling_rule="us-ordinance-robot")
    milked(yard, "06:00", "07:00")
    report = read_at(yard, "12:30", ("08:00", "9C"), ("12:00", typed))
    assert clause(report, "06:00", "then-7C", "state").value == state
    yard.book.close()


def test_44_8_fahrenheit_passes_45_fahrenheit(byre: Yard) -> None:
    milked(byre, "06:00", "07:00")
    report = read_at(byre, "09:30", ("08:30", "44.8F"))
    assert clause(report, "06:00", "each-45", "state").value == "met"


def test_too_slow_is_said_as_soon_as_the_estimate_passes_the_deadline(byre: Yard) -> None:
    # from 62 °F at 07:15 it falls 2 °F every 15 min: 17 °F more take 127 min or longer, to 09:22 at the earliest
    milked(byre, "06:00", "07:00")
    readings = (("07:15", "62F"), ("07:30", "60F"), ("07:45", "58F"))
    report = read_at(byre, "07:46", *readings)
    state = clause(report, "06:00", "each-45", "state")
    assert (state.value, state.flag, state.says) == ("open", "!", "too slow")
    expected = clause(report, "06:00", "each-45", "expected_at").number
    assert expected is None or expected >= local("09:22")
    assert report.facts["state"].says == "too slow"
    assert [words.startswith("Cooling too slowly: 45 °F") for words in report.warnings][:1] == [True]
    assert "certified technician" in report.warnings[0]


def test_a_tank_that_cools_in_time_is_not_called_slow(byre: Yard) -> None:
    # 12 °F every 15 min: 46 °F at 07:45, more than an hour before the deadline
    milked(byre, "06:00", "07:00")
    report = read_at(byre, "07:46", ("07:15", "70F"), ("07:30", "58F"), ("07:45", "46F"))
    state = clause(report, "06:00", "each-45", "state")
    assert (state.value, state.flag) == ("open", "")
    assert report.facts["state"].value == "cooling"
    assert report.warnings == ()


def test_a_blend_above_50_after_the_second_milking_is_late_at_once(byre: Yard) -> None:
    milked(byre, "04:00", "05:00")
    read_at(byre, "06:30", ("06:00", "38F"))
    milked(byre, "07:00", "08:00")
    assert clause(read_at(byre, "08:01", ("07:50", "50.0F")), "07:00", "blend-50", "state").value == "open"
    report = read_at(byre, "08:03", ("08:02", "50.1F"))
    state = clause(report, "07:00", "blend-50", "state")
    assert (state.value, state.flag) == ("missed", "!!")
    assert any("50 °F" in words for words in report.warnings)


def test_a_struck_reading_no_longer_judges(byre: Yard) -> None:
    milked(byre, "06:00", "07:00")
    read_at(byre, "08:00", ("07:30", "44F"))
    entry = byre.row("SELECT max(number) AS n FROM entry")["n"]
    assert clause(show(byre, "tank"), "06:00", "each-45", "state").value == "met"
    byre.do("strike", entry=str(entry))
    report = show(byre, "tank")
    assert clause(report, "06:00", "each-45", "state").value == "open"
    assert report.facts["tank_degC"].value is None


def test_no_reading_by_the_deadline_is_called_so(byre: Yard) -> None:
    milked(byre, "06:00", "07:00")
    assert clause(read_at(byre, "09:30"), "06:00", "each-45", "state").value == "no reading"


def test_while_milk_flows_the_tank_is_filling_and_the_clock_waits(byre: Yard) -> None:
    at(byre, f"{MON} 06:00").do("milking")
    report = show(at(byre, f"{MON} 06:40"), "tank")
    assert report.facts["state"].value == "filling"
    assert clause(report, "06:00", "each-45", "state").value == "waiting"
    assert clause(report, "06:00", "first-50", "deadline").value == local("10:00")
    held = report.facts["held_kg"]
    assert (held.value, held.missing) == (None, ("1 of 1 milkings not metered",))
    at(byre, f"{MON} 07:00").do("milked", milk="900")
    assert clause(show(byre, "tank"), "06:00", "each-45", "deadline").value == local("09:00")


def test_milk_held_is_what_was_metered_less_what_was_taken_in_part(byre: Yard) -> None:
    milked(byre, "04:00", "05:00", milk="2000")
    milked(byre, "12:00", "13:00", milk="1800")
    at(byre, f"{MON} 14:00").do("pickup", weight="1500", emptied="no")
    report = show(byre, "tank")
    assert report.facts["held_kg"].value == 2300
    assert report.facts["milkings"].value == 2
    at(byre, f"{MON} 15:00").do("pickup", weight="2300")
    report = show(at(byre, f"{MON} 16:30"), "tank")
    assert (report.facts["held_kg"].value, report.facts["state"].value) == (0, "empty")
    assert report.facts["since_emptied_h"].value == pytest.approx(1.5)
    assert report.facts["emptied_at"].value == local("15:00")
    assert report.table("deadlines").lines == ()


def test_a_reading_of_milk_that_is_gone_is_called_so(byre: Yard) -> None:
    milked(byre, "04:00", "05:00", milk="2000")
    read_at(byre, "06:00", ("05:30", "40F"))
    at(byre, f"{MON} 06:00").do("pickup", weight="2000")
    reading = show(byre, "tank").facts["tank_degC"]
    assert reading.value == pytest.approx((40 - 32) * 5 / 9, abs=0.001)
    assert (reading.flag, reading.says) == ("?", "emptied since")
    assert reading.missing == ("the tank was emptied since",)


def test_an_old_reading_asks_to_be_read_again(byre: Yard) -> None:
    milked(byre, "04:00", "05:00")
    report = read_at(byre, "08:31", ("06:30", "40F"))
    assert report.facts["tank_degC"].says == "read it"
    assert read_at(byre, "08:31", ("08:00", "40F")).facts["tank_degC"].flag == ""


def test_a_milking_that_runs_while_the_tank_is_emptied_goes_on_filling_it(byre: Yard) -> None:
    # 05:00 to 07:00 with the tank emptied at 06:00: half of 2,000 kg stand in it, and its 4 h run from 06:00
    milked(byre, "05:00", "07:00", milk="2000")
    at(byre, f"{MON} 07:30").do("pickup", weight="3000", picked=f"{MON} 06:00")
    report = show(byre, "tank")
    assert report.facts["held_kg"].value == 1000
    assert report.facts["milkings"].value == 1
    assert clause(report, "05:00", "first-50", "deadline").value == local("10:00")
    assert clause(report, "05:00", "each-45", "deadline").value == local("09:00")


def test_a_milking_still_running_after_the_pickup_is_not_forgotten(byre: Yard) -> None:
    at(byre, f"{MON} 05:00").do("milking")
    at(byre, f"{MON} 06:00").do("pickup", weight="3000")
    report = show(at(byre, f"{MON} 06:30"), "tank")
    assert report.facts["state"].value == "filling"
    due = show(byre, "today").table("due").lines
    assert any(line["what"].value == "Write the end of the milking" for line in due)


def test_more_on_paper_than_the_tank_holds_is_warned_of(byre: Yard) -> None:
    milked(byre, "04:00", "05:00", milk="7000")
    milked(byre, "12:00", "13:00", milk="7000")
    assert any("14,000 kg on paper, 12,000 kg at most" in words for words in show(byre, "tank").warnings)


def test_which_tank_has_to_be_said_where_there_are_several(byre: Yard, bare_yard: Yard) -> None:
    byre.do("tank", name="Small", holds="5000")
    with pytest.raises(Refused, match="which one"):
        show(byre, "tank")
    assert show(byre, "tank", name="Small").facts["tank"].value == "Small"
    with pytest.raises(ChoreRefused, match="no tank"):
        show(bare_yard, "tank")


def test_the_trend_needs_two_readings_within_two_hours(byre: Yard) -> None:
    milked(byre, "04:00", "05:00")
    assert read_at(byre, "06:31", ("06:00", "50F")).facts["trend"].value is None
    assert read_at(byre, "06:31", ("06:30", "45F")).facts["trend"].value == "falling"
    assert read_at(byre, "07:31", ("07:00", "45F")).facts["trend"].value == "steady"
    assert read_at(byre, "07:31", ("07:30", "46F")).facts["trend"].value == "rising"
    assert read_at(byre, "10:31", ("10:00", "39F")).facts["trend"].value is None


USUAL_F = (
    ("07:15", "62F"),
    ("07:30", "57F"),
    ("07:45", "52F"),
    ("08:00", "48F"),
    ("08:15", "44F"),
    ("08:45", "39F"),
)


def used_to(yard: Yard, days: int = 4) -> Yard:
    """A tank that took 75 minutes from the end of each morning's milking of 1,500 kg, emptied every evening."""
    for day in range(days):
        date = f"2026-02-{24 + day}"
        at(yard, f"{date} 07:00").do("milking", started=f"{date} 06:00", ended=f"{date} 07:00", milk="1500")
        for time, degrees in USUAL_F:
            at(yard, f"{date} {time}").do("temperature", reading=degrees)
        at(yard, f"{date} 18:00").do("pickup", weight="1500")
    return yard


def test_a_used_tank_is_foreseen_from_one_reading_with_a_range_a_chance_and_its_heat(byre: Yard) -> None:
    milked(used_to(byre), "06:00", "07:00", milk="1500")
    report = read_at(byre, "07:20", ("07:15", "62F"))
    row = {
        key: clause(report, "06:00", "each-45", key).number
        for key in ("expected_from_at", "expected_at", "expected_until_at", "late_percent")
    }
    assert all(value is not None for value in row.values())
    assert row["expected_from_at"] < row["expected_at"] < row["expected_until_at"]  # type: ignore[operator]
    # as on the mornings before it: 45 °F between 08:00 and 08:15, give or take the range
    assert row["expected_from_at"] < local("08:15")  # type: ignore[operator]
    assert row["expected_until_at"] > local("08:00")  # type: ignore[operator]
    assert row["late_percent"] < 5  # type: ignore[operator]
    # 1,500 kg * 3.894 kJ/kg.K * (62 - 44) °F / 1.8 in an hour are 16.2 kW, give or take the range
    assert report.facts["heat_kW"].number == pytest.approx(16.2, rel=0.3)
    # of the four mornings the first counts for nothing: what stood in the tank before it nobody knows
    assert "3 milkings before it" in str(
        clause(report, "06:00", "each-45", "expected_at").inputs["forecast from"]
    )


def test_a_used_tank_that_hardly_cools_is_called_late_with_minutes_left_heat_and_what_to_look_at(
    byre: Yard,
) -> None:
    milked(used_to(byre), "06:00", "07:00", milk="1500")
    report = read_at(byre, "07:46", ("07:15", "65F"), ("07:30", "64F"), ("07:45", "63F"))
    state = clause(report, "06:00", "each-45", "state")
    assert (state.value, state.flag, state.says) == ("open", "!", "too slow")
    assert clause(report, "06:00", "each-45", "late_percent").number > 50  # type: ignore[operator]
    said = report.warnings[0]
    assert said.startswith("Cooling too slowly: 45 °F by 09:00, 74 min left, for the milking of 06:00")
    assert "the cooler takes out less than usual (" in said
    assert said.index("condenser") < said.index("pre-cooler")
    assert "certified technician" in said
    today = show(byre, "today")
    assert any("74 min left" in str(line["says"].value) for line in today.table("alerts").lines)


def test_a_used_tank_is_foreseen_while_milk_flows_and_its_clock_still_waits(byre: Yard) -> None:
    used_to(byre)
    at(byre, f"{MON} 06:00").do("milking")
    report = show(at(byre, f"{MON} 06:30"), "tank")
    state = clause(report, "06:00", "each-45", "state")
    assert (state.value, state.flag) == ("waiting", "")
    assert clause(report, "06:00", "each-45", "deadline").value is None
    assert clause(report, "06:00", "each-45", "expected_at").number == pytest.approx(local("08:07"), abs=1800)


def test_a_clock_shows_the_milk_that_flows_in_and_not_the_limit_that_the_last_milking_met(byre: Yard) -> None:
    milked(used_to(byre), "06:00", "07:00", milk="1500")
    read_at(byre, "08:45", *USUAL_F)
    at(byre, f"{MON} 12:00").do("milking")
    in_view = show(at(byre, f"{MON} 12:20"), "tank").data.in_view
    began = byre.row("SELECT max(milking) AS newest FROM milking_start")["newest"]
    assert (in_view.milking_key, in_view.state, in_view.clause.key) == (began, "waiting", "each-45")
    assert in_view.expected.at_s > local("12:20")


def test_today_says_of_what_is_expected_the_same_as_the_tank_does_and_how_it_was_forecast(
    byre: Yard,
) -> None:
    def said(start: str, when: str, *readings: tuple[str, str]) -> str:
        ahead = clause(read_at(byre, when, *readings), start, "each-45", "expected_at")
        today = cell(show(byre, "today"), "tanks", "Tank", "expected_at")
        assert ahead.value is not None
        assert (ahead.value, ahead.rule, ahead.inputs) == (today.value, today.rule, today.inputs)
        return ahead.rule

    milked(byre, "03:00", "04:00")  # not metered, and nothing is known of earlier milkings
    readings = (("04:15", "70F"), ("04:30", "58F"))
    assert said("03:00", "04:31", *readings).startswith("a straight line or a curve")
    at(byre, f"{MON} 05:00").do("pickup", weight="1500")
    milked(byre, "06:00", "07:00", milk="1500")
    assert said("06:00", "07:31", ("07:15", "70F"), ("07:30", "58F")).startswith("the heat balance")


def test_a_cold_tank_has_nothing_to_foresee(byre: Yard) -> None:
    milked(used_to(byre), "06:00", "07:00", milk="1500")
    report = read_at(byre, "08:30", ("08:00", "43F"))
    assert clause(report, "06:00", "each-45", "expected_at").value is None
    assert report.facts["heat_kW"].value is None


def test_a_milking_across_the_doubled_hour_of_autumn_keeps_its_clock(byre: Yard) -> None:
    # 1 November 2026 in Chicago: 01:59 CDT is followed by 01:00 CST. Milked from 00:30 to 01:30 CDT; two hours
    # after its end the wall says 02:30 CST, one hour later than it was.
    from herdbook.clock import FarmClock

    start = int(FarmClock("UTC").instant(_date("2026-11-01"), 5, 30))  # 00:30 CDT
    end = start + 3600
    byre.now_s = end
    byre.do("milking", started="2026-11-01T05:30:00Z", ended="2026-11-01T06:30:00Z")
    byre.now_s = end + 7200
    byre.do("temperature", reading="45F")
    report = show(byre, "tank")
    (line,) = [one for one in report.table("deadlines").lines if one.name.endswith("each-45")]
    assert line["deadline"].number == end + 7200
    assert (line["state"].value, line["margin_min"].value) == ("met", 0)
    assert CLOCK.shown_time(end + 7200) == "02:30"


def _date(text: str) -> date:
    return date.fromisoformat(text)
