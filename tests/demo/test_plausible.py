"""The made-up farm stays within what a farm can do."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

import pytest

from herdbook.book.reading import farm as read_farm
from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import milk as read_milk
from herdbook.book.reading import rations as read_rations
from tests.demo.conftest import MadeUp

LB_G = 453.59237
WHOLE_DAYS = range(1, 10)


def degF(milli: int) -> float:
    return milli / 1000 * 9 / 5 + 32


def test_about_180_cows_are_milked_in_three_pens_beside_dry_and_close_up_cows(ten_days: MadeUp) -> None:
    pens = read_herd.pens(ten_days.connection)
    assert [pen.kind for pen in pens] == ["milking", "milking", "milking", "dry", "close-up"]
    heads = {pen.kind: 0 for pen in pens}
    for pen in pens:
        heads[pen.kind] += read_herd.head_at(ten_days.connection, pen.pen, ten_days.now_s).head
    assert 176 <= heads["milking"] <= 184
    assert 17 <= heads["dry"] <= 23
    assert 7 <= heads["close-up"] <= 13


def test_a_cow_or_two_moved_in_the_last_week_and_none_was_lost(ten_days: MadeUp) -> None:
    pens = [pen.pen for pen in read_herd.pens(ten_days.connection)]
    week_ago = ten_days.now_s - 7 * 86_400
    before = [read_herd.head_at(ten_days.connection, pen, week_ago).head for pen in pens]
    now = [read_herd.head_at(ten_days.connection, pen, ten_days.now_s).head for pen in pens]
    assert before != now
    assert all(abs(was - is_now) <= 2 for was, is_now in zip(before, now, strict=True))
    assert sum(now) == sum(before) == 210


def test_no_load_passes_its_mixer_and_no_more_is_dropped_than_was_loaded(ten_days: MadeUp) -> None:
    mixers = read_rations.mixers(ten_days.connection)
    assert len(mixers) == 2
    loads = read_feeding.loads(ten_days.connection, "2026-01-01", "2026-12-31")
    assert {load.mixer for load in loads} == set(mixers)
    for load in loads:
        assert load.loaded_g <= mixers[load.mixer]["capacity_g"]
        assert 0.99 * load.loaded_g <= load.dropped_g <= load.loaded_g
        assert {row["feed"] for row in load.weighed} == {row["feed"] for row in load.planned}


def test_milking_pens_are_fed_twice_a_day_and_the_others_once(ten_days: MadeUp) -> None:
    pens = {pen.pen: pen for pen in read_herd.pens(ten_days.connection)}
    for days_ago in WHOLE_DAYS:
        day = (ten_days.today - timedelta(days=days_ago)).isoformat()
        fed = [row["pen"] for row in read_feeding.drops(ten_days.connection, day, day)]
        for pen in pens.values():
            assert fed.count(pen.pen) == (2 if pen.kind == "milking" else 1), (day, pen.name)


def test_every_pen_eats_as_such_cows_eat(ten_days: MadeUp) -> None:
    plausible_lb = {
        "High 1": (47, 53),
        "High 2": (40, 53),
        "Low": (41, 47),
        "Dry": (25, 30),
        "Close-up": (23, 29),
    }
    names = {number: name for name, number in read_farm.names(ten_days.connection, "pen").items()}
    for days_ago in WHOLE_DAYS:
        day = ten_days.today - timedelta(days=days_ago)
        noon_s = ten_days.farm.clock.instant(day, 12, 0)
        eaten_g = dict.fromkeys(names, 0.0)
        dry_share = {}
        for load in read_feeding.loads(ten_days.connection, day.isoformat(), day.isoformat()):
            for drop in load.dropped:
                dry_share[drop["pen"]] = load.loaded_dry_g / load.loaded_g
                eaten_g[drop["pen"]] += drop["dropped_g"] * dry_share[drop["pen"]]
        for row in read_feeding.refusals(ten_days.connection, day.isoformat(), day.isoformat()):
            eaten_g[row["pen"]] -= row["refused_g"] * dry_share[row["pen"]]
        for pen, name in names.items():
            head = read_herd.head_at(ten_days.connection, pen, noon_s).head
            low, high = plausible_lb[name]
            assert low < eaten_g[pen] / head / LB_G < high, (day, name)


def test_the_ration_of_high_cows_is_about_100_lb_as_fed(ten_days: MadeUp) -> None:
    high = read_farm.names(ten_days.connection, "ration")["High cows"]
    version = read_rations.version_in_force(ten_days.connection, high, ten_days.today.isoformat())
    as_fed_lb = 0.0
    for item in version.items:
        dry = read_feeds.dry_matter_at(
            ten_days.connection, item["feed"], ten_days.now_s, ten_days.today.isoformat()
        )
        share = dry.dry_ppm / 1e6 if item["basis"] == "dry matter" else 1
        as_fed_lb += item["mg"] / 1000 / LB_G / share
    assert 95 < as_fed_lb < 105


def test_milk_is_75_to_80_lb_a_cow_and_a_day_as_metered(ten_days: MadeUp) -> None:
    for days_ago in WHOLE_DAYS:
        day = ten_days.today - timedelta(days=days_ago)
        begins = ten_days.farm.clock.day_starts(day)
        found = read_milk.milkings(ten_days.connection, 1, begins, begins + 86_400)
        milk_lb = sum(one.milk_g for one in found) / LB_G
        assert 73 < milk_lb / 180 < 80
        assert all(170 < one.cows <= 184 for one in found)


def test_the_lorry_comes_every_other_day_and_takes_what_the_milkings_brought(ten_days: MadeUp) -> None:
    tank = read_milk.tanks(ten_days.connection)[0]
    pickups = read_milk.pickups(ten_days.connection, 0, ten_days.now_s)
    days = [ten_days.farm.clock.farm_day(row["picked_at"]) for row in pickups]
    assert [(later - day).days for day, later in pairwise(days)] == [2] * (len(days) - 1)
    assert len({row["ticket"] for row in pickups}) == len(pickups) == 5
    since = 0
    for row in pickups:
        brought_g = sum(
            one.milk_g for one in read_milk.milkings(ten_days.connection, 1, since, row["picked_at"])
        )
        assert row["milk_g"] <= tank.capacity_g
        assert row["milk_g"] == pytest.approx(brought_g, rel=0.015)
        assert degF(row["tank_mC"]) < 40
        since = row["picked_at"]


def test_the_tank_never_holds_more_than_it_can(ten_days: MadeUp) -> None:
    tank = read_milk.tanks(ten_days.connection)[0]
    assert tank.capacity_g == round(40_000 * LB_G)
    assert 20 <= len(tank.chart) <= 30
    assert tank.chart[-1][1] <= tank.capacity_g
    begins = 0
    for ends in [row["picked_at"] for row in read_milk.pickups(ten_days.connection, 0, ten_days.now_s)]:
        held_g = sum(one.milk_g for one in read_milk.milkings(ten_days.connection, 1, begins, ends))
        assert held_g <= tank.capacity_g
        begins = ends


def test_only_the_first_milking_into_an_empty_tank_passes_50_degF(ten_days: MadeUp) -> None:
    pickups = [0, *(row["picked_at"] for row in read_milk.pickups(ten_days.connection, 0, ten_days.now_s))]
    firsts = [read_milk.milkings(ten_days.connection, 1, since, ten_days.now_s)[0] for since in pickups]
    for row in read_milk.temperatures(ten_days.connection, 1, 0, ten_days.now_s + 1):
        assert 35 < degF(row["tank_mC"]) < 70
        if degF(row["tank_mC"]) > 50:
            assert any(one.started_at <= row["read_at"] <= one.started_at + 4 * 3600 for one in firsts)


def test_every_feed_has_an_analysis_a_price_and_a_dry_matter(ten_days: MadeUp) -> None:
    day = ten_days.today.isoformat()
    feeds = read_feeds.feeds(ten_days.connection)
    assert len(feeds) == 11
    for feed in feeds:
        assert read_feeds.price_on(ten_days.connection, feed.feed, day)["cents_per_t"] > 0
        analysis = read_feeds.analysis_on(ten_days.connection, feed.feed, day)
        assert {"cp", "ndf", "starch", "fat", "ash", "ca", "p", "mg", "k", "na", "cl", "s"} <= set(
            analysis.values
        )
    missing = ten_days.ask("SELECT count(*) FROM analysis_value WHERE millionths IS NULL")[0][0]
    assert missing >= 10


def test_parts_of_an_analysis_add_up_to_no_more_than_the_whole(ten_days: MadeUp) -> None:
    for feed in read_feeds.feeds(ten_days.connection):
        values = read_feeds.analysis_on(ten_days.connection, feed.feed, ten_days.today.isoformat()).values
        assert sum(values[key] for key in ("cp", "ndf", "fat", "ash")) <= 100 + values.get("ndicp", 0)
        assert values["starch"] + values.get("sugar", 0) <= 100 - values["ndf"] - values["ash"]
        assert values.get("adf", 0) <= values["ndf"]
