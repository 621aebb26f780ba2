"""The milk clock judges each milking by the rule's own clocks, at one moment, from what was read by then."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.cooling_rules import cooling_rules, default_cooling_rule
from herdbook.science.milk_clock import Milking, Reading, judge

RULE = default_cooling_rule()


def at(clock, day=0):
    """Seconds of a clock time: "06:30"."""
    hours, minutes = clock.split(":")
    return day * 86_400 + int(hours) * 3600 + int(minutes) * 60


def mC(degF):
    return round((degF - 32) * 5000 / 9)


def degF(**by_time):
    """Readings in °F by clock time: t0700=60."""
    return [
        Reading(at(f"{name[1:3]}:{name[3:5]}"), mC(value), key)
        for key, (name, value) in enumerate(by_time.items())
    ]


def degC(**by_time):
    return [
        Reading(at(f"{name[1:3]}:{name[3:5]}"), round(value * 1000), key)
        for key, (name, value) in enumerate(by_time.items())
    ]


def first(start, end):
    return Milking(1, at(start), end and at(end), True)


def later(start, end, key=2):
    return Milking(key, at(start), end and at(end), False)


def verdicts(milkings, readings, now, rule=RULE, **more):
    return {(v.milking_key, v.clause.key): v for v in judge(rule, milkings, readings, at(now), **more)}


# Deadlines -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("end", "due_45", "due_50"),
    [("07:00", "09:00", "10:00"), ("08:00", "10:00", "10:00"), ("09:00", "11:00", "10:00")],
)
def test_four_hours_count_from_the_start_and_two_from_the_end(end, due_45, due_50):
    """A first milking 06:00-07:00: 45 °F due 09:00, 50 °F due 10:00; both together when it lasts 2 h."""
    found = verdicts([first("06:00", end)], [], end)
    assert found[1, "each-45"].deadline_s == at(due_45)
    assert found[1, "first-50"].deadline_s == at(due_50)


@given(minutes=st.integers(1, 600))
def test_the_four_hour_clock_is_the_tighter_one_only_after_more_than_two_hours_of_milking(minutes):
    milking = Milking(1, 0, minutes * 60, True)
    due = {v.clause.key: v.deadline_s for v in judge(RULE, [milking], [], minutes * 60)}
    assert (due["first-50"] < due["each-45"]) == (minutes > 120)


def test_a_later_milking_has_no_four_hour_clock():
    found = verdicts([later("16:00", "18:00")], [], "18:00")
    assert set(found) == {(2, "each-45"), (2, "blend-50")}


def test_before_the_end_of_milking_the_two_hour_clock_waits_and_the_four_hour_clock_runs():
    found = verdicts([first("06:00", None)], degF(t0630=48), "07:00")
    assert (found[1, "each-45"].state, found[1, "each-45"].deadline_s) == ("waiting", None)
    assert (found[1, "first-50"].state, found[1, "first-50"].deadline_s) == ("open", at("10:00"))
    assert found[1, "first-50"].expected.how == "none"


def test_an_end_that_lies_ahead_is_not_known_yet():
    assert verdicts([first("06:00", "08:00")], [], "07:00")[1, "each-45"].state == "waiting"


@pytest.mark.parametrize(
    ("hours", "left"),
    [(1, 2.0), (2, 2.0), (3, 2.0), (4, 2.0), (4.5, 1.5), (5, 1.0), (5.5, 0.5), (6, 0.0)],
)
def test_new_zealands_6_degrees_are_due_at_the_sooner_of_its_two_clocks(hours, left):
    """Hours left after the end, table in "Assessing your milk cooling performance", 1 July 2018."""
    ended = round(hours * 3600)
    found = judge(cooling_rules()["new-zealand"], [Milking(1, 0, ended, True)], [], ended)
    due = next(v.deadline_s for v in found if v.clause.key == "each-6C")
    assert (due - ended) / 3600 == left


def test_as_1187_counts_three_and_a_half_hours_from_first_flow():
    """Milk flow 05:00; 4.0 °C at 08:30 passes, at 08:31 fails."""
    rule, milking = cooling_rules()["as-1187"], first("05:00", "06:30")
    in_time = verdicts([milking], degC(t0700=9.0, t0830=4.0), "09:00", rule)[1, "first-4C"]
    late = verdicts([milking], degC(t0700=9.0, t0829=4.1, t0831=4.0), "09:00", rule)[1, "first-4C"]
    assert (in_time.state, in_time.margin_s) == ("met", 0)
    assert (late.state, late.late_s) == ("missed", 60)


# Met, missed, open -----------------------------------------------------------------------------------------


def test_50_point_0_degrees_at_the_four_hour_mark_pass():
    found = verdicts([first("06:00", "07:00")], degF(t0900=55, t1000=50.0), "10:30")[1, "first-50"]
    assert (found.state, found.reached_s, found.margin_s) == ("met", at("10:00"), 0)


def test_50_point_1_degrees_at_the_four_hour_mark_do_not():
    found = verdicts([first("06:00", "07:00")], degF(t0900=55, t1000=50.1), "10:30")[1, "first-50"]
    assert (found.state, found.why) == ("missed", "above the limit at the deadline")
    assert found.over_mC == pytest.approx(0.1 * 5000 / 9, abs=1)


def test_45_typed_in_fahrenheit_meets_45():
    found = verdicts([first("06:00", "07:00")], degF(t0800=50, t0859=45), "09:30")[1, "each-45"]
    assert (found.state, found.margin_s) == ("met", 60)


def test_a_limit_is_not_met_by_its_look_alike_in_the_other_unit():
    """44.8 °F passes 45 °F and fails 7 °C."""
    seven_C = replace(
        RULE,
        clauses=(replace(RULE.clauses[1], limit=cooling_rules()["us-ordinance-robot"].clauses[1].limit),),
    )
    readings = degF(t0830=44.8)
    assert verdicts([first("06:00", "07:00")], readings, "09:30")[1, "each-45"].state == "met"
    assert verdicts([first("06:00", "07:00")], readings, "09:30", seven_C)[1, "each-45"].state == "missed"


def test_met_late_says_by_how_much():
    found = verdicts([first("06:00", "07:00")], degF(t0800=56, t0905=46, t0920=45), "09:30")[1, "each-45"]
    assert (found.state, found.reached_s, found.late_s) == ("missed", at("09:20"), 20 * 60)
    assert found.over_mC == mC(46) - mC(45)


def test_missed_and_not_cold_yet_counts_on_and_keeps_a_forecast():
    found = verdicts([first("06:00", "07:00")], degF(t0800=60, t0830=56, t0900=52), "09:09")[1, "each-45"]
    assert (found.state, found.reached_s, found.late_s) == ("missed", None, 9 * 60)
    assert found.expected.at_s == pytest.approx(at("09:00") + 7 / 8 * 3600, abs=5)
    assert found.warns


def test_the_last_reading_before_the_deadline_counts_when_none_came_after():
    found = verdicts([first("06:00", "07:00")], degF(t0800=60, t0850=47), "09:01")[1, "each-45"]
    assert (found.state, found.over_mC) == ("missed", mC(47) - mC(45))


def test_crossing_between_two_readings_around_the_deadline_stays_missed_and_says_so():
    found = verdicts([first("06:00", "07:00")], degF(t0855=45.4, t0905=44.8), "09:10")[1, "each-45"]
    assert (found.state, found.late_s) == ("missed", 5 * 60)
    assert "between" in found.why


@pytest.mark.parametrize("readings", [[], degF(t0630=44.0), degF(t0930=44.0)])
def test_no_reading_after_milking_and_before_the_deadline_is_nothing_to_judge_by(readings):
    found = verdicts([first("06:00", "07:00")], readings, "09:40")[1, "each-45"]
    assert found.state == "no reading"


def test_a_first_reading_after_the_deadline_that_is_warm_is_a_miss():
    assert verdicts([first("06:00", "07:00")], degF(t0930=47), "09:40")[1, "each-45"].state == "missed"


def test_three_warm_readings_raise_the_warning_while_the_deadline_is_ahead():
    found = verdicts([first("06:00", "07:00")], degF(t0710=72, t0730=68, t0750=64.5), "07:50")[1, "each-45"]
    assert (found.state, found.deadline_s) == ("open", at("09:00"))
    assert found.expected.at_s > at("09:00")
    assert found.warns


def test_a_tank_that_cools_fast_enough_does_not_warn():
    found = verdicts([first("06:00", "07:00")], degF(t0710=72, t0730=62, t0750=54), "07:50")[1, "each-45"]
    assert found.state == "open"
    assert found.expected.at_s <= at("09:00")
    assert not found.warns


def test_at_the_very_second_of_the_deadline_the_time_still_runs():
    assert verdicts([first("06:00", "07:00")], degF(t0850=47), "09:00")[1, "each-45"].state == "open"


def test_what_was_not_yet_read_changes_nothing():
    readings = degF(t0710=72, t0730=62, t0750=54, t0840=44)
    early = verdicts([first("06:00", "07:00")], readings, "08:00")
    assert early == verdicts([first("06:00", "07:00")], readings[:3], "08:00")


# Milk still coming in --------------------------------------------------------------------------------------


def test_cold_milk_while_filling_does_not_meet_the_four_hour_limit_while_more_may_come():
    found = verdicts([first("06:00", None)], degF(t0700=44), "07:00")[1, "first-50"]
    assert found.state == "open"


def test_a_filling_reading_is_not_taken_for_the_cooled_milk():
    found = verdicts([first("06:00", "08:00")], degF(t0700=44, t0810=60), "08:15")
    assert found[1, "first-50"].state == "open"
    assert found[1, "each-45"].state == "open"
    assert found[1, "each-45"].expected.used == 1


def test_a_milking_of_more_than_four_hours_is_judged_by_the_readings_on_both_sides():
    milking = first("06:00", "11:00")
    met = verdicts([milking], degF(t0955=48, t1005=49), "10:10")[1, "first-50"]
    missed = verdicts([milking], degF(t0955=51, t1005=52), "10:10")[1, "first-50"]
    unsure = verdicts([milking], degF(t0955=49, t1005=51), "10:10")[1, "first-50"]
    alone = verdicts([milking], degF(t0830=49), "10:10")[1, "first-50"]
    exact = verdicts([milking], degF(t1000=50), "10:10")[1, "first-50"]
    assert [v.state for v in (met, missed, unsure, alone, exact)] == [
        "met",
        "missed",
        "not decided",
        "no reading",
        "met",
    ]
    assert missed.over_mC == mC(52) - mC(50)


# The blend -------------------------------------------------------------------------------------------------


def test_50_point_1_after_the_second_milking_fails_the_blend_at_once():
    milkings = [first("06:00", "07:00"), later("16:00", "17:00")]
    cold = degF(t0830=44, t1500=38)
    found = verdicts(milkings, cold + degF(t1630=50.1), "16:30")[2, "blend-50"]
    assert (found.state, found.worst.at_s) == ("missed", at("16:30"))
    assert found.over_mC == pytest.approx(56, abs=1)
    assert found.warns
    assert verdicts(milkings, cold + degF(t1630=50.0), "16:30")[2, "blend-50"].state == "open"


def test_a_blend_that_was_too_warm_stays_missed_when_it_cools():
    milkings = [first("06:00", "07:00"), later("16:00", "17:00")]
    found = verdicts(milkings, degF(t1630=52, t1640=51, t1730=46), "18:00")[2, "blend-50"]
    assert (found.state, found.late_s) == ("missed", 10 * 60)
    assert found.over_mC == mC(52) - mC(50)


def test_warm_first_milk_is_no_blend_failure_while_its_own_four_hours_run():
    found = verdicts([first("06:00", "07:00")], degF(t0710=72, t0730=62), "07:40")[1, "blend-50"]
    assert found.state == "waiting"


def test_once_the_four_hours_are_over_first_milk_above_50_fails_the_blend():
    found = verdicts([first("06:00", "07:00")], degF(t0830=44, t1300=51), "13:10")[1, "blend-50"]
    assert (found.state, found.worst.at_s) == ("missed", at("13:00"))


def test_in_a_rule_without_a_four_hour_clock_the_blend_holds_after_the_two_hours():
    """Virginia: above 50 °F two hours after first milking, or any time later, is a hazard."""
    rule = cooling_rules()["us-virginia"]
    before = verdicts([first("06:00", "07:00")], degF(t0850=51), "08:55", rule)[1, "after-50"]
    after = verdicts([first("06:00", "07:00")], degF(t0905=51), "09:10", rule)[1, "after-50"]
    assert (before.state, after.state) == ("waiting", "missed")


def test_a_reading_at_the_very_start_of_a_milking_is_of_the_milk_before_it():
    milkings = [first("06:00", "07:00"), later("16:00", "17:00")]
    found = verdicts(milkings, degF(t0830=44, t1600=51, t1730=44), "19:30")
    assert found[1, "blend-50"].state == "missed"
    assert found[2, "blend-50"].state == "met" or found[2, "blend-50"].state == "open"


def test_a_closed_blend_with_readings_under_it_is_met_and_without_any_is_not():
    milkings = [first("06:00", "07:00"), later("12:00", "13:00"), later("18:00", "19:00", key=3)]
    found = verdicts(milkings, degF(t0830=44, t1300=49, t1430=44), "19:00")
    assert found[2, "blend-50"].state == "met"
    assert found[1, "blend-50"].state == "no reading"
    assert found[3, "blend-50"].state == "open"


@pytest.mark.parametrize(
    ("readings", "state"),
    [
        (degC(t1800=9.5), "open"),
        (degC(t1800=10.4, t1810=9.8), "open"),
        (degC(t1800=10.4, t1810=10.3, t1816=10.2), "missed"),
        (degC(t1800=10.4, t1810=9.9, t1820=10.4), "open"),
    ],
)
def test_canada_lets_the_blend_be_warm_for_a_quarter_of_an_hour(readings, state):
    found = verdicts([later("17:30", "18:20")], readings, "18:21", cooling_rules()["canada-quality"])
    assert found[2, "blend-10C"].state == state


def test_one_warm_reading_with_none_near_it_does_not_show_fifteen_minutes():
    milkings = [later("17:30", "18:20"), later("22:00", "23:00", key=3)]
    found = verdicts(milkings, degC(t1800=10.4, t1900=5.0), "22:00", cooling_rules()["canada-quality"])
    assert found[2, "blend-10C"].state == "not decided"


# Milkings that crowd each other, pickups, holding ----------------------------------------------------------


def test_a_milking_before_the_last_two_hours_ran_out_leaves_it_undecided():
    milkings = [later("06:00", "12:00"), later("13:00", "19:00", key=3)]
    found = verdicts(milkings, degF(t1230=47), "15:00")
    assert found[2, "each-45"].state == "not decided"
    assert "next milking" in found[2, "each-45"].why
    assert found[2, "blend-50"].state == "met"


def test_unless_it_was_cold_before_that():
    milkings = [later("06:00", "12:00"), later("13:00", "19:00", key=3)]
    assert verdicts(milkings, degF(t1230=44), "15:00")[2, "each-45"].state == "met"


def test_a_milking_whose_end_was_never_written_is_not_decided_once_the_next_began():
    milkings = [later("06:00", None), later("16:00", None, key=3)]
    found = verdicts(milkings, degF(t0900=40), "16:30")
    assert found[2, "each-45"].state == "not decided"
    assert found[3, "each-45"].state == "waiting"


def test_wash_water_after_the_pickup_is_not_milk():
    milkings = [first("06:00", "07:00")]
    found = verdicts(milkings, degF(t0830=44, t1115=38, t1200=150), "12:30", emptied_s=[at("11:30")])
    assert {key: v.state for (_, key), v in found.items()} == {
        "first-50": "met",
        "each-45": "met",
        "blend-50": "met",
    }


def test_a_pickup_before_the_deadline_leaves_it_undecided():
    found = verdicts([later("06:00", "07:00")], degF(t0730=47), "10:00", emptied_s=[at("08:00")])
    assert found[2, "each-45"].state == "not decided"


def test_holding_is_judged_from_the_deadline_to_the_next_milking():
    """Washington: 40 °F within 2 h of the end and held there until pickup; blend not above 50 °F."""
    milkings = [first("06:00", "07:00"), later("16:00", "17:00")]
    rule = cooling_rules()["us-washington"]
    good = verdicts(milkings, degF(t0830=40, t1200=39, t1630=48, t1830=40), "20:00", rule)
    bad = verdicts(milkings, degF(t0830=40, t1200=41, t1630=48, t1830=40), "20:00", rule)
    assert (good[1, "hold-40"].state, bad[1, "hold-40"].state) == ("met", "missed")
    assert (good[2, "hold-40"].state, good[2, "blend-50"].state) == ("open", "open")


def test_a_text_without_hours_is_met_or_open_and_never_missed():
    rule = cooling_rules()["eu-not-daily"]
    warm = verdicts([first("06:00", "07:00")], degC(t0800=12.0, t1100=7.0), "12:00", rule)[1, "each-6C"]
    cold = verdicts([first("06:00", "07:00")], degC(t0800=12.0, t1100=6.0), "12:00", rule)[1, "each-6C"]
    assert (warm.state, warm.deadline_s, cold.state) == ("open", None, "met")


def test_milk_that_may_have_frozen_is_pointed_out():
    rule = cooling_rules()["new-zealand"]
    found = verdicts([first("06:00", "07:00")], degC(t0800=5.5, t0900=-0.1), "09:30", rule)
    assert found[1, "each-6C"].too_cold.at_s == at("09:00")
    assert verdicts([first("06:00", "07:00")], degF(t0830=31), "09:30")[1, "each-45"].too_cold is None


# The published verdicts on a measured tank -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("tank_K", "passes"),
    [(277.3, True), (286.8, False), (277.4, True), (281.9, True)],
)
def test_a_measured_tank_passes_and_fails_the_10_degree_blend_as_published(tank_K, passes):
    """Basiouny & Abdallah, Misr J. Agric. Eng. 24(4):956-977: limit 283 K at the end of the second load."""
    rule = cooling_rules()["czech-daily"]
    reading = Reading(at("17:00"), round(tank_K * 1000 - 273_150), 1)
    found = verdicts([later("16:00", "17:00")], [reading], "17:00", rule)[2, "mix-10C"]
    assert (found.state != "missed") == passes


# Whatever is written ---------------------------------------------------------------------------------------

moments = st.integers(0, 40_000)


@given(
    spans=st.lists(st.tuples(moments, st.none() | st.integers(1, 20_000)), max_size=4),
    read=st.lists(st.tuples(moments, st.integers(-500, 38_000)), max_size=12),
    emptied=st.lists(moments, max_size=2),
    now_s=moments,
    rule=st.sampled_from(list(cooling_rules().values())),
)
def test_every_verdict_keeps_its_word(spans, read, emptied, now_s, rule):
    milkings = [
        Milking(key, start, start + length if length else None, key == 0)
        for key, (start, length) in enumerate(spans)
    ]
    readings = [Reading(at_s, tank_mC, key) for key, (at_s, tank_mC) in enumerate(read)]
    found = judge(rule, milkings, readings, now_s, emptied_s=emptied)
    assert len({(v.milking_key, v.clause.key) for v in found}) == len(found)
    for verdict in found:
        assert verdict.state in ("open", "waiting") or verdict.why
        assert verdict.last is None or verdict.last.at_s <= now_s
        if verdict.state == "met" and verdict.deadline_s is not None:
            assert verdict.reached_s <= verdict.deadline_s
            assert verdict.margin_s == verdict.deadline_s - verdict.reached_s
        if verdict.state == "missed":
            assert verdict.over_mC is not None
            assert verdict.over_mC > 0
            assert verdict.deadline_s is None or verdict.deadline_s <= now_s
        if verdict.state == "open" and verdict.deadline_s is not None:
            assert now_s <= verdict.deadline_s


def test_the_older_and_the_newer_equipment_standard_disagree_on_the_same_tank():
    """90 to 50 °F takes 1.5 h: too slow for the 1 h + 1 h of about 1961, in time for 3-A 13-10."""
    milking, readings = first("06:00", "07:00"), degF(t0700=90, t0800=62, t0830=50, t0900=40)
    older = verdicts([milking], readings, "10:30", cooling_rules()["3a-1961"])
    newer = verdicts([milking], readings, "10:30", cooling_rules()["3a-13-10"])
    assert (older[1, "first-50"].state, newer[1, "first-50"].state) == ("missed", "met")
    assert (older[1, "first-40"].state, newer[1, "each-40"].state) == ("met", "met")


def test_the_exact_1_h_plus_1_h_pace_meets_the_older_standard():
    """90 °F at the end of filling, 50 °F an hour later, 40 °F after two: exactly meets it."""
    readings = degF(t0700=90, t0800=50, t0900=40)
    found = verdicts([first("06:00", "07:00")], readings, "09:30", cooling_rules()["3a-1961"])
    assert [found[1, key].state for key in ("first-50", "first-40")] == ["met", "met"]
    assert [found[1, key].margin_s for key in ("first-50", "first-40")] == [0, 0]


def test_between_the_two_hour_and_the_four_hour_deadline_first_milk_is_no_blend_yet():
    """45 °F was due 09:00 and missed; the same text lets this milk be above 50 °F until 10:00."""
    found = verdicts([first("06:00", "07:00")], degF(t0900=56, t0930=52), "09:40")
    assert found[1, "each-45"].state == "missed"
    assert found[1, "blend-50"].state == "waiting"
    assert found[1, "first-50"].state == "open"


def test_ten_minutes_above_the_canadian_blend_limit_are_not_fifteen():
    readings = degC(t1735=9.0, t1745=10.4, t1755=10.3, t1758=9.9)
    found = verdicts([later("17:30", "18:20")], readings, "18:21", cooling_rules()["canada-quality"])
    assert found[2, "blend-10C"].state == "open"
