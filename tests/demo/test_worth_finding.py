"""What went wrong on the made-up farm stands in its book and can be found there."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

from herdbook.book.reading import entries as read_entries
from herdbook.book.reading import farm as read_farm
from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import milk as read_milk
from herdbook.book.reading import rations as read_rations
from herdbook.reports.catalogue import ground_for_reading, make
from herdbook.reports.stock import FEED_DAYS
from herdbook.science.cooling_rules import cooling_rules
from herdbook.science.milk_clock import Milking, Reading, judge
from tests.demo.conftest import MadeUp

POINT_PPM = 10_000


def refused_share(made: MadeUp, pen: str, day: date) -> float:
    number = read_farm.names(made.connection, "pen")[pen]
    day_text = day.isoformat()
    dropped = sum(
        row["dropped_g"]
        for row in read_feeding.drops(made.connection, day_text, day_text)
        if row["pen"] == number
    )
    refused = sum(
        row["refused_g"]
        for row in read_feeding.refusals(made.connection, day_text, day_text)
        if row["pen"] == number
    )
    return refused / dropped


def verdicts(made: MadeUp) -> list:
    tank = read_milk.tanks(made.connection)[0].tank
    picked = [row["picked_at"] for row in read_milk.pickups(made.connection, 0, made.now_s + 1)]
    milkings = read_milk.milkings(made.connection, tank, 0, made.now_s + 1)
    firsts, emptied = set(), [0, *picked, made.now_s + 1]
    for begins, ends in pairwise(emptied):
        inside = [one for one in milkings if begins <= one.started_at < ends]
        firsts |= {inside[0].milking} if inside else set()
    return judge(
        cooling_rules()[made.farm.cooling_rule],
        [Milking(one.milking, one.started_at, one.ended_at, one.milking in firsts) for one in milkings],
        [
            Reading(row["read_at"], row["tank_mC"], row["entry"])
            for row in read_milk.temperatures(made.connection, tank, 0, made.now_s + 1)
        ],
        made.now_s,
        emptied_s=picked,
    )


def test_the_corn_silage_got_wet_was_tested_and_dried_again(ten_days: MadeUp) -> None:
    silage = read_farm.names(ten_days.connection, "feed")["Corn silage"]
    found = [
        row["dry_ppm"]
        for row in ten_days.ask("SELECT dry_ppm FROM dry_test WHERE feed = ? ORDER BY tested_at", silage)
    ]
    assert len(found) == 4
    before, wet, drying, now = found
    assert before - wet >= 1.5 * POINT_PPM
    assert drying - wet >= 1 * POINT_PPM
    assert abs(now - before) <= 1 * POINT_PPM


def test_wet_silage_left_bunks_empty_until_it_was_tested(ten_days: MadeUp) -> None:
    wet_days = [ten_days.today - timedelta(days=7)]
    other_days = [ten_days.today - timedelta(days=days_ago) for days_ago in (9, 8)]
    for pen in ("High 1", "Low"):
        assert max(refused_share(ten_days, pen, day) for day in wet_days) < 0.02
        assert min(refused_share(ten_days, pen, day) for day in other_days) > 0.005


def test_one_pen_ate_less_for_three_days_while_its_neighbours_did_not(ten_days: MadeUp) -> None:
    for days_ago in range(1, 10):
        day = ten_days.today - timedelta(days=days_ago)
        apart = refused_share(ten_days, "High 2", day) - refused_share(ten_days, "High 1", day)
        if days_ago <= 3:
            assert apart > 0.08, day
        else:
            assert abs(apart) < 0.06, day


def test_one_load_got_far_too_much_soybean_meal_and_no_other_feed_was_so_far_off(ten_days: MadeUp) -> None:
    loads = read_feeding.loads(ten_days.connection, "2026-01-01", "2026-12-31")
    names = {number: name for name, number in read_farm.names(ten_days.connection, "feed").items()}
    far_off = []
    for load in loads:
        planned = {row["feed"]: row["planned_g"] for row in load.planned}
        for row in load.weighed:
            off = row["loaded_g"] / planned[row["feed"]] - 1
            if abs(off) > 0.2:
                far_off.append((load.farm_day, load.number, names[row["feed"]], round(off, 1)))
    mistake = (ten_days.today - timedelta(days=5)).isoformat()
    assert far_off == [(mistake, 1, "Soybean meal", 0.3)]


def test_one_milking_missed_its_deadline_and_came_under_the_limit_late(ten_days: MadeUp) -> None:
    missed = [verdict for verdict in verdicts(ten_days) if verdict.state == "missed"]
    assert len(missed) == 1
    (verdict,) = missed
    local = ten_days.farm.clock.local(verdict.deadline_s)
    assert local.date() == ten_days.today - timedelta(days=4)
    assert local.hour in (20, 21)
    assert 20 * 60 <= verdict.late_s <= 100 * 60
    assert verdict.reached_s == verdict.deadline_s + verdict.late_s


def test_somebody_wrote_what_was_wrong_with_the_cooler(ten_days: MadeUp) -> None:
    found = ten_days.ask("SELECT farm_day FROM entry WHERE note LIKE '%condenser%'")
    assert [row["farm_day"] for row in found] == [(ten_days.today - timedelta(days=4)).isoformat()]


def test_one_drop_was_written_twice_and_the_second_struck_with_a_reason(ten_days: MadeUp) -> None:
    (strike,) = ten_days.ask("SELECT * FROM entry WHERE chore = 'strike'")
    struck = read_entries.entry(ten_days.connection, strike["strikes"])
    (first,) = ten_days.ask(
        "SELECT * FROM entry WHERE chore = 'drop' AND number < ? ORDER BY number DESC LIMIT 1",
        struck["number"],
    )
    assert struck["chore"] == "drop"
    assert struck["struck_by"] == strike["number"]
    assert struck["said"] == first["said"]
    assert "twice" in strike["note"]


def test_one_temperature_was_corrected_and_the_wrong_one_can_be_read(ten_days: MadeUp) -> None:
    (right,) = ten_days.ask("SELECT * FROM entry WHERE chore = 'temperature' AND strikes IS NOT NULL")
    assert right["note"]
    (now,) = ten_days.ask("SELECT * FROM temperature WHERE entry = ?", right["number"])
    (before,) = ten_days.ask("SELECT * FROM temperature WHERE entry = ?", right["strikes"])
    assert now["read_at"] == before["read_at"]
    assert now["tank_mC"] != before["tank_mC"]
    standing = read_milk.temperatures(ten_days.connection, now["tank"], now["read_at"], now["read_at"] + 1)
    assert [row["entry"] for row in standing] == [right["number"]]


def test_the_nutritionist_wrote_a_second_version_that_took_hold_the_next_day(ten_days: MadeUp) -> None:
    high = read_farm.names(ten_days.connection, "ration")["High cows"]
    first, second = read_rations.versions(ten_days.connection, high)
    assert second.from_day == (ten_days.today - timedelta(days=5)).isoformat()
    assert {row["feed"]: row["mg"] for row in first.items} != {row["feed"]: row["mg"] for row in second.items}


def test_the_newest_milking_is_still_cooling_when_the_book_ends(ten_days: MadeUp) -> None:
    newest = read_milk.milkings(ten_days.connection, 1, 0, ten_days.now_s)[-1]
    assert newest.ended_at is not None
    assert 0 < ten_days.now_s - newest.ended_at < 5400
    after = read_milk.temperatures(ten_days.connection, 1, newest.ended_at, ten_days.now_s + 1)
    assert len(after) >= 2
    assert after[-1]["tank_mC"] < after[0]["tank_mC"]


def test_bunks_are_scored_feed_is_pushed_up_and_one_trough_was_found_empty(ten_days: MadeUp) -> None:
    scored = ten_days.ask("SELECT DISTINCT pen FROM bunk_score")
    assert len(scored) == 3
    (days,) = ten_days.ask("SELECT count(*) AS n FROM push_up")
    assert 9 <= days["n"] <= 10
    (empty,) = ten_days.ask(
        "SELECT pen.name FROM trough_seen JOIN pen_card AS pen ON pen.pen = trough_seen.pen WHERE state = 'empty'"
    )
    assert empty["name"] == "High 2"


def test_a_lame_cow_was_seen_twice_and_closed_and_two_others_are_still_open(ten_days: MadeUp) -> None:
    looks = ten_days.ask("SELECT cow, count(*) AS n FROM walk_note GROUP BY walk ORDER BY cow")
    assert [(row["cow"], row["n"]) for row in looks] == [("118", 2), ("214", 2), ("87", 1)]
    closed = ten_days.ask("SELECT cow FROM walk_closed JOIN walk_note ON walk_note.walk = walk_closed.walk")
    assert {row["cow"] for row in closed} == {"118"}


def test_the_store_was_counted_and_lasts_and_what_the_cows_eat_is_foretold(ten_days: MadeUp) -> None:
    ground = ground_for_reading(ten_days.connection, ten_days.now_s)
    stock = make("stock", ten_days.connection, ground, {})
    days_left = [line["days_left"].number for line in stock.table("feeds").lines]
    assert len(days_left) == 11
    assert all(days is not None and days > FEED_DAYS for days in days_left)
    eaten = make("evaluation", ten_days.connection, ground, {"pen": "High 1", "which": "eaten"})
    foretold = [line["dm_kg"].number for line in eaten.table("intake").lines]
    assert len([kg for kg in foretold if kg is not None]) > 1


def test_every_days_weather_is_written(ten_days: MadeUp) -> None:
    (weather,) = ten_days.ask(
        "SELECT count(DISTINCT farm_day) AS n, max(humidity_ppm) AS most FROM weather_day"
    )
    assert weather["n"] in (9, 10)
    assert weather["most"] <= 980_000
