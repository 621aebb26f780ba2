"""Set, mixed, dropped and eaten of a pen, worked out by hand and again by other sums over a farm of ten days."""

from __future__ import annotations

import sqlite3
from datetime import date
from typing import Any

import pytest

from herdbook.book.opening import reading
from herdbook.reports.catalogue import ground_for_reading
from herdbook.reports.fed import over_pens, pen_days
from herdbook.reports.four_rations import CALLED, DROPPED, EATEN, MIXED, SET, FourRations
from tests.demo.conftest import MadeUp, ten_days, ten_days_path  # noqa: F401 (fixtures)
from tests.reports.byre import at, mix
from tests.yard import Yard

MON, TUE, WED = "2026-03-02", "2026-03-03", "2026-03-04"


def rations(yard: Yard, pen: str, first: str, last: str = "") -> FourRations:
    with reading(yard.path) as connection:
        ground = ground_for_reading(connection, yard.now_s)
        days = date.fromisoformat(first), date.fromisoformat(last or first)
        four = FourRations(connection, ground, ground.names["pen"][pen], *days)
        for which in (SET, CALLED, MIXED, DROPPED, EATEN):
            four.ration(which)  # everything is asked while the book is open
        return four


def dry_and_protein(four: FourRations, which: str, yard: Yard) -> tuple[float, float]:
    """Dry matter a head, and crude protein of it."""
    ration = asked(four, which, yard)
    return ration.totals.dry_kg, ration.totals.nutrients["cp"].share or 0.0


def asked(four: FourRations, which: str, yard: Yard) -> Any:
    with reading(yard.path) as connection:
        ground = ground_for_reading(connection, yard.now_s)
        return FourRations(connection, ground, four.pen, four.first, four.last).ration(which)


def one_load_for_two_pens(byre: Yard) -> Yard:
    """A call of 110 %; 3,400 kg of silage and 480 kg of grain go in for 100 and 50 head; High gets 2,600 kg of it."""
    for pen in ("High", "Low"):
        at(byre, f"{MON} 04:00").do("pen-ration", pen=pen, ration="Milk", call="110%")
    number = mix(byre, f"{MON} 06:00", "High", "Low", silage=3400, grain=480)
    byre.do("drop", load=number, pen="High", weight="2600")
    byre.do("drop", load=number, pen="Low", weight="1200")
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="100", dry="50")
    return byre


def test_the_four_rations_of_a_pen_that_shares_a_load(byre: Yard) -> None:
    """Silage is 40 % dry with 8 % CP, grain 80 % with 20 %; the ration is 30 and 5 kg as fed.

    Set: 12 + 4 kg dry, 0.96 + 0.80 kg CP, so 11 %. Called: 1.1 times as much of the same.
    Mixed: two thirds of the load over 100 head: 22.667 kg silage and 3.2 kg grain, 9.0667 + 2.56 = 11.6267 kg dry.
    Dropped: 2,600 of 3,880 kg: 2,278.35 and 321.65 kg; 9.1134 + 2.5732 = 11.6866 kg dry a head.
    Eaten: less 100 kg at 50 %: 11.1866 kg dry and 25 kg as fed, at the protein of what was dropped.
    """
    yard = one_load_for_two_pens(byre)
    four = rations(yard, "High", MON)
    assert dry_and_protein(four, SET, yard) == pytest.approx((16.0, 11.0))
    assert dry_and_protein(four, CALLED, yard) == pytest.approx((17.6, 11.0))
    mixed = 100 * (0.08 * 9.066667 + 0.2 * 2.56) / 11.626667
    assert dry_and_protein(four, MIXED, yard) == pytest.approx((11.626667, mixed))
    assert dry_and_protein(four, DROPPED, yard) == pytest.approx((11.686598, mixed))
    assert dry_and_protein(four, EATEN, yard) == pytest.approx((11.186598, mixed))
    eaten = asked(four, EATEN, yard)
    assert eaten.totals.as_fed_kg == pytest.approx(25.0)
    assert eaten.head == 100
    assert eaten.missing == ()


def test_heads_count_by_the_hours_each_count_held(byre: Yard) -> None:
    # 100 head till noon, 120 after it: 110 that day
    one_load_for_two_pens(byre)
    at(byre, f"{MON} 12:00").do("head", pen="High", head="120")
    at(byre, f"{TUE} 06:00")
    eaten = asked(rations(byre, "High", MON), EATEN, byre)
    assert eaten.head == pytest.approx(110)
    assert eaten.totals.dry_kg == pytest.approx(11.186598 * 100 / 110)


def test_what_is_re_fed_carries_what_lay_before_the_other_pen(byre: Yard) -> None:
    """High's 100 kg of leavings at 50 % go to Low on Tuesday, which is dropped 1,000 kg silage and nothing else.

    Leavings are of High's Monday mix: 9.1134 of 11.6866 kg dry are silage, so of 50 kg dry 38.99 are, 11.01 grain.
    """
    for pen in ("High", "Low"):
        at(byre, f"{MON} 04:00").do("pen-ration", pen=pen, ration="Milk", call="110%")
    number = mix(byre, f"{MON} 06:00", "High", "Low", silage=3400, grain=480)
    byre.do("drop", load=number, pen="High", weight="2600")
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="100", dry="50", went="re-fed", to="Low")
    number = mix(byre, f"{TUE} 06:00", "Low", silage=1000, grain=1)
    byre.do("drop", load=number, pen="Low", weight="1001")
    at(byre, f"{WED} 05:00").do("refusal", pen="Low", weight="0")
    eaten = asked(rations(byre, "Low", TUE), EATEN, byre)
    dry = {one.part.feed: one.part.as_fed_kg * one.part.dry_fraction * 50 for one in eaten.parts}
    assert dry["Silage"] == pytest.approx(400 + 50 * 9.113402 / 11.686598, rel=1e-5)
    assert dry["Grain"] == pytest.approx(0.8 + 50 * 2.573196 / 11.686598, rel=1e-5)
    assert eaten.totals.as_fed_kg == pytest.approx(1101 / 50)
    refusal = byre.row("SELECT entry FROM refusal WHERE fed_to IS NOT NULL")["entry"]
    assert refusal in eaten.entries


def test_the_version_in_force_at_each_feeding_makes_up_what_is_set(byre: Yard) -> None:
    # 30 + 5 kg in the morning, 20 + 10 kg from the second of two feedings on: 25 kg silage and 7.5 kg grain a day
    at(byre, f"{MON} 04:00").do("pen-ration", pen="High", ration="Milk", feedings="2")
    byre.do("ration", name="Milk", item=["Silage=20", "Grain=10"], feeding="2")
    at(byre, f"{TUE} 04:00")
    set_ = asked(rations(byre, "High", MON), SET, byre)
    assert {one.part.feed: one.part.as_fed_kg for one in set_.parts} == pytest.approx(
        {"Silage": 25, "Grain": 7.5}
    )
    assert [version.version for version in rations(byre, "High", MON).versions] == [1, 2]
    tuesday = asked(rations(byre, "High", TUE), SET, byre)
    assert {one.part.feed: one.part.as_fed_kg for one in tuesday.parts} == pytest.approx(
        {"Silage": 20, "Grain": 10}
    )


def test_feedings_of_unequal_shares_count_by_their_shares(byre: Yard) -> None:
    # 70 % of the day by 30 + 5 kg, 30 % by 20 + 10 kg: 27 kg silage and 6.5 kg grain
    at(byre, f"{MON} 04:00").do("pen-ration", pen="High", ration="Milk", feedings="2")
    byre.do("feeding-shares", pen="High", share=["1=70%", "2=30%"])
    byre.do("ration", name="Milk", item=["Silage=20", "Grain=10"], feeding="2")
    at(byre, f"{TUE} 04:00")
    set_ = asked(rations(byre, "High", MON), SET, byre)
    assert {one.part.feed: one.part.as_fed_kg for one in set_.parts} == pytest.approx(
        {"Silage": 27, "Grain": 6.5}
    )


def test_a_feed_analysed_anew_is_judged_on_each_day_by_what_was_known(byre: Yard) -> None:
    # Monday's silage has 8 % CP, Tuesday's 10 %: 12 kg dry of each at 100 head
    at(byre, f"{TUE} 04:00").do("analysis", feed="Silage", dry="40", value=["cp=10", "ndf=45"], sampled=TUE)
    at(byre, f"{WED} 04:00")
    set_ = asked(rations(byre, "High", MON, TUE), SET, byre)
    silage = sorted(one.part.nutrients["cp"] for one in set_.parts if one.part.feed == "Silage")
    assert silage == [8, 10]
    assert set_.totals.dry_kg == pytest.approx(16)
    assert set_.totals.nutrients["cp"].share == pytest.approx(100 * (12 * 0.09 + 4 * 0.2) / 16)


def test_what_is_not_written_is_said_by_day_and_left_out(byre: Yard) -> None:
    one_load_for_two_pens(byre)
    at(byre, f"{WED} 05:00")
    four = rations(byre, "High", MON, TUE)
    assert four.common_days == (date.fromisoformat(MON),)
    assert asked(four, EATEN, byre).missing == (
        "no drop written: Tue 3 Mar",
        "refusal not written: Tue 3 Mar",
    )
    assert asked(four, MIXED, byre).missing == ("no load written: Tue 3 Mar",)
    low = asked(rations(byre, "Low", MON), EATEN, byre)
    assert low.parts == ()
    assert low.missing == ("refusal not written: Mon 2 Mar",)
    heifers = asked(rations(byre, "Young", MON), SET, byre)
    assert heifers.missing == ("no ration in force: Mon 2 Mar",)


def test_more_refused_than_fed_is_no_ration(byre: Yard) -> None:
    one_load_for_two_pens(byre)
    at(byre, f"{TUE} 05:30").do("refusal", pen="High", weight="2700", fed=MON)
    assert asked(rations(byre, "High", MON), EATEN, byre).missing == ("more refused than fed: Mon 2 Mar",)


def test_a_load_that_was_not_weighed_in_counts_as_planned_and_says_so(byre: Yard) -> None:
    at(byre, f"{MON} 06:00").do("load", pen="High", planned=["Silage=3000", "Grain=500"])
    byre.do("drop", load="1", pen="High", weight="3500")
    at(byre, f"{TUE} 05:00").do("refusal", pen="High", weight="0")
    eaten = asked(rations(byre, "High", MON), EATEN, byre)
    assert eaten.totals.dry_kg == pytest.approx(16)
    assert any("was not weighed in" in word for word in eaten.missing)


def test_a_day_that_is_not_over_counts_only_when_asked_for_alone(byre: Yard) -> None:
    one_load_for_two_pens(byre)
    at(byre, f"{TUE} 08:00")
    four = rations(byre, "High", MON, TUE)
    assert list(four.days) == [date.fromisoformat(MON)]
    assert four.unfinished == date.fromisoformat(TUE)
    assert list(rations(byre, "High", TUE).days) == [date.fromisoformat(TUE)]


def test_cost_is_at_the_prices_of_the_days(byre: Yard) -> None:
    # 22.784 kg silage at 5 cents and 3.2165 kg grain at 20 cents a kilogram, less a fiftieth-and-more refused
    one_load_for_two_pens(byre)
    at(byre, f"{TUE} 06:00")
    dropped = asked(rations(byre, "High", MON), DROPPED, byre)
    cents = {one.part.feed: one.cost_cents for one in dropped.parts}
    assert cents == pytest.approx({"Silage": 22.783505 * 5, "Grain": 3.216495 * 20}, rel=1e-5)


# ten days of a made-up farm, added up again by other sums


def again(book: sqlite3.Connection, pen: int, first: str, last: str) -> dict[str, dict[str, float]]:
    """Grams dry by feed as mixed, dropped and eaten, by SQL over the tables, knowing nothing of the program."""
    book.row_factory = sqlite3.Row
    stands = "JOIN entry e ON e.number = {0}.entry AND e.struck_by IS NULL"
    drops = book.execute(
        f"SELECT load, pen, feed_drop.farm_day AS day, sum(dropped_g) AS g FROM feed_drop {stands.format('feed_drop')} "
        "WHERE feed_drop.farm_day BETWEEN ? AND ? GROUP BY load, pen, day",
        (first, last),
    ).fetchall()
    dropped: dict[str, float] = {}
    eaten: dict[str, float] = {}
    for day in sorted({row["day"] for row in drops}):
        mix_g: dict[str, float] = {}
        fed_g = 0.0
        for row in (row for row in drops if row["day"] == day and row["pen"] == pen):
            lines = book.execute(
                "SELECT name, sum(loaded_g) AS g, sum(loaded_g * dry_ppm) / 1e6 AS dry FROM load_weight "
                f"{stands.format('load_weight')} JOIN feed_card USING (feed) WHERE load = ? GROUP BY name",
                (row["load"],),
            ).fetchall()
            whole = sum(line["g"] for line in lines)
            fed_g += row["g"]
            for line in lines:
                mix_g[line["name"]] = mix_g.get(line["name"], 0.0) + line["dry"] * row["g"] / whole
        (left_g,) = book.execute(
            f"SELECT sum(refused_g) FROM refusal {stands.format('refusal')} WHERE pen = ? AND fed_on = ?",
            (pen, day),
        ).fetchone()
        for name, dry in mix_g.items():
            dropped[name] = dropped.get(name, 0.0) + dry
            eaten[name] = eaten.get(name, 0.0) + dry * (1 - left_g / fed_g)
    return {DROPPED: dropped, EATEN: eaten}


@pytest.mark.parametrize("pen", ["High 1", "Low", "Close-up"])
def test_ten_days_add_up_to_the_same_by_other_sums(ten_days: MadeUp, pen: str) -> None:  # noqa: F811
    ground = ground_for_reading(ten_days.connection, ten_days.now_s)
    first, last = date(2026, 6, 2), date(2026, 6, 9)
    number = ground.names["pen"][pen]
    four = FourRations(ten_days.connection, ground, number, first, last)
    expected = again(ten_days.connection, number, first.isoformat(), last.isoformat())
    for which in (DROPPED, EATEN):
        ration = four.ration(which)
        heads = (ration.head or 0.0) * len(ration.days)
        got: dict[str, float] = {}
        for one in ration.parts:
            got[one.part.feed] = got.get(one.part.feed, 0.0) + one.dry_kg * heads * 1000
        assert got == pytest.approx(expected[which], rel=1e-9)


def test_what_was_eaten_is_what_the_intake_report_says(ten_days: MadeUp) -> None:  # noqa: F811
    ground = ground_for_reading(ten_days.connection, ten_days.now_s)
    first, last = date(2026, 6, 2), date(2026, 6, 9)
    days = pen_days(ten_days.connection, ground, first, last)
    for pen in ground.names["pen"].values():
        four = FourRations(ten_days.connection, ground, pen, first, last)
        whole = over_pens([days[pen, day] for day in four.common_days])
        assert four.ration(EATEN, four.common_days).totals.dry_kg == pytest.approx(whole.eaten.number)
        assert four.ration(DROPPED, four.common_days).totals.dry_kg == pytest.approx(whole.dropped.number)
