"""Trying a ration: amounts, locks, targets and cost move at once, and what was tried can be written as it stands."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.book.opening import reading
from herdbook.book.reading.rations import version_in_force
from herdbook.chores.ground import Ground
from herdbook.errors import ChoreRefused, Refused
from herdbook.reports.catalogue import ground_for_reading
from herdbook.reports.ration import sheet_of
from herdbook.reports.tried import AS_FED, DRY, Item, TriedFeed
from herdbook.reports.what_if import WhatIf
from herdbook.science.figures import figure_value
from herdbook.science.ration import Part
from tests.reports.byre import at, started
from tests.yard import Yard

DAY = "2026-03-02"


def tried(yard: Yard, name: str = "Milk") -> WhatIf:
    """The book is closed again before anything is tried."""
    with reading(yard.path) as connection:
        ground = ground_for_reading(connection, yard.now_s)
        return WhatIf.of(connection, ground, ground.names["ration"][name])


def number(yard: Yard, feed: str) -> int:
    return int(yard.ground().names["feed"][feed])


def figure(what: WhatIf, key: str) -> Any:
    return next(one for one in what.figures() if one.of.key == key)


@pytest.fixture
def milk(byre: Yard) -> Yard:
    """30 kg of silage (40 % dry, 8 % CP, 5 cents) and 5 kg of grain (80 %, 20 %, 20 cents): 16 kg dry, 11 % CP."""
    at(byre, f"{DAY} 06:00").do("targets", ration="Milk", target=["cp=11 12 13", "dm_intake=15 16 17"])
    return byre


def test_a_changed_amount_moves_every_figure_at_once(milk: Yard) -> None:
    """6 kg of grain: 12 + 4.8 kg dry, 0.96 + 0.96 kg CP, so 11.4286 %; and 20 cents more."""
    what = tried(milk)
    what.change(number(milk, "Grain"), 6_000_000)
    cp = figure(what, "cp")
    assert cp.value == pytest.approx(100 * 1.92 / 16.8)
    assert cp.in_use == pytest.approx(11)
    assert cp.change == pytest.approx(100 * 1.92 / 16.8 - 11)
    assert figure(what, "dm_intake").value == pytest.approx(16.8)
    assert what.cost_cents() == (pytest.approx(30 * 5 + 6 * 20), pytest.approx(30 * 5 + 5 * 20), ())
    row = next(row for row in what.rows() if row.name == "Grain")
    assert (row.as_fed_kg, row.dry_kg, row.in_use_as_fed_kg) == (6, pytest.approx(4.8), 5)


def test_verdicts_follow_and_the_one_in_use_stays_beside(milk: Yard) -> None:
    what = tried(milk)
    what.type_amount(number(milk, "Silage"), "34")  # 13.6 + 4 = 17.6 kg dry
    assert (figure(what, "dm_intake").verdict, figure(what, "dm_intake").in_use_verdict) == ("high", "ok")
    assert figure(what, "dm_intake").off_by == pytest.approx(0.6)
    assert figure(what, "cp").verdict == "low"
    assert [one.of.key for one in what.figures()][:2] == ["dm_intake", "cp"]
    assert figure(what, "ndf").verdict == ""


def test_typed_amounts_are_as_fed_or_dry_matter_and_nothing_takes_a_feed_out(milk: Yard) -> None:
    what, silage, grain = tried(milk), number(milk, "Silage"), number(milk, "Grain")
    what.type_amount(silage, "10 kg dm")
    assert what.totals().dry_kg == pytest.approx(14)
    assert what.items[0] == Item(silage, 10_000_000, DRY)
    for nothing in ("0", "0.0 lb", "0 kg dm", "0,0"):
        what.type_amount(grain, "2")
        what.type_amount(grain, nothing)
        assert [item.feed for item in what.items] == [silage]
    assert [row.mg for row in what.rows()] == [10_000_000, 0]
    what.put_back()
    assert not what.is_changed


@pytest.mark.parametrize("text", ["", "much", "-3", "200", "4 gal"])
def test_what_is_no_amount_is_refused_and_changes_nothing(milk: Yard, text: str) -> None:
    what = tried(milk)
    with pytest.raises(Refused):
        what.type_amount(number(milk, "Grain"), text)
    assert not what.is_changed


def test_a_locked_feed_stays_and_the_rest_is_scaled_round_it(milk: Yard) -> None:
    """Grain's 4 kg dry stay; silage makes up 18 kg: 14 kg dry, 35 kg as fed."""
    what, silage, grain = tried(milk), number(milk, "Silage"), number(milk, "Grain")
    what.lock(grain)
    with pytest.raises(Refused, match="held fast"):
        what.change(grain, 1_000_000)
    what.scale_to(18)
    assert {row.name: row.as_fed_kg for row in what.rows()} == pytest.approx({"Silage": 35, "Grain": 5})
    assert what.totals().dry_kg == pytest.approx(18)
    with pytest.raises(Refused, match="leaves no room"):
        what.scale_to(3.9)
    what.lock(silage)
    with pytest.raises(Refused, match="leaves no room"):
        what.scale_to(18)
    what.lock(grain, locked=False)
    what.change(grain, 1_000_000)
    assert what.items[1].mg == 1_000_000
    assert [item.is_locked for item in what.items] == [True, False]


def test_a_feed_that_was_not_in_it_comes_last_and_one_without_dry_matter_cannot(milk: Yard) -> None:
    milk.do("feed", name="Salt", kind="mineral", most="0.1", caution="Ten times this is poison.")
    milk.do("analysis", feed="Salt", dry="100", value="na=39")
    milk.do("feed", name="Hay", kind="forage")
    what, salt = tried(milk), number(milk, "Salt")
    what.type_amount(salt, "80 g")
    assert [row.name for row in what.rows()] == ["Silage", "Grain", "Salt"]
    assert what.rows()[2].in_use_as_fed_kg is None
    assert what.cost_cents()[2] == ("Salt",)
    assert what.cautions() == ["Salt: Ten times this is poison."]
    what.type_amount(salt, "1")
    assert what.cautions() == [
        "Salt: 1.00 kg a head is over its own maximum of 0.10 kg. Ten times this is poison."
    ]
    with pytest.raises(Refused, match="no dry matter"):
        what.type_amount(number(milk, "Hay"), "2")
    with pytest.raises(Refused, match="not in the book"):
        what.change(999, 1)
    what.put_back(salt)
    assert [row.name for row in what.rows()] == ["Silage", "Grain"]


def test_the_same_weight_on_another_basis_is_the_same_ration(milk: Yard) -> None:
    what, silage = tried(milk), number(milk, "Silage")
    what.on_basis(silage, DRY)
    assert what.items[0] == Item(silage, 12_000_000, DRY)
    assert what.totals().dry_kg == pytest.approx(16)
    what.on_basis(silage, AS_FED)
    assert not what.is_changed


def test_what_was_changed_is_told_feed_by_feed(milk: Yard) -> None:
    milk.do("feed", name="Salt", kind="mineral")
    milk.do("analysis", feed="Salt", dry="100", value="na=39")
    what = tried(milk)
    what.type_amount(number(milk, "Silage"), "12 kg dm")
    what.type_amount(number(milk, "Grain"), "0")
    what.type_amount(number(milk, "Salt"), "0.05")
    told = {one.name: (one.before and one.before.mg, one.after and one.after.mg) for one in what.changes()}
    assert told == {"Silage": (30_000_000, 12_000_000), "Grain": (5_000_000, None), "Salt": (None, 50_000)}


def test_a_ration_without_a_version_in_force_cannot_be_tried(milk: Yard) -> None:
    milk.do("ration", name="Later", item="Silage=10", since="+3")
    with pytest.raises(ChoreRefused, match="no version in force"):
        tried(milk, "Later")


@pytest.mark.parametrize(
    ("units", "silage", "grain"),
    [
        ({}, "31.7", "4.2 kg dm"),
        ({"system": "us"}, "66.3", "9 1/4 lb dm"),
        ({"decimal": ","}, "31,75", "4,2"),
    ],
)
def test_the_texts_write_a_version_that_is_what_was_tried(
    tmp_path: Any, units: dict[str, str], silage: str, grain: str
) -> None:
    """Written through the chore and read from the book again, the version has the same amounts and figures."""
    changes = {key: value for key, value in units.items() if key != "decimal"}
    yard = started(tmp_path / "farm.book", **changes)
    if "decimal" in units:
        yard.do("farm", name="Hollow Farm", zone="America/Chicago", system="metric", decimal=units["decimal"])
    at(yard, f"{DAY} 06:00")
    what = tried(yard)
    what.type_amount(number(yard, "Silage"), silage)
    what.type_amount(number(yard, "Grain"), grain)
    yard.do("ration", **what.texts())
    with reading(yard.path) as connection:
        ground = ground_for_reading(connection, yard.now_s)
        again = WhatIf.of(connection, ground, ground.names["ration"]["Milk"])
        version = version_in_force(connection, ground.names["ration"]["Milk"], DAY)
        assert version is not None
        sheet = sheet_of(connection, ground, version, ground.clock.farm_day(yard.now_s))
    assert version.version == 2
    assert again.items == what.items
    assert figure_value("cp", sheet.totals).value == pytest.approx(figure(what, "cp").value)
    assert sheet.totals.dry_kg == pytest.approx(what.totals().dry_kg)
    yard.book.close()


def invented(place: int, dry_ppm: int) -> TriedFeed:
    name, kind = f"feed {place}", "forage" if place < 3 else "grain"
    leaf = Part(name, kind, 1.0, dry_ppm / 1e6, {"cp": 3.0 * place, "ndf": 40.0})
    return TriedFeed(place, name, kind, dry_ppm, (leaf,), 100.0 * place, None, "")


DRY_PPM = (350_000, 420_000, 880_000, 900_000, 990_000)
FEEDS = {place: invented(place, dry_ppm) for place, dry_ppm in enumerate(DRY_PPM, start=1)}
steps = st.lists(
    st.tuples(
        st.sampled_from(sorted(FEEDS)),
        st.integers(0, 40_000_000),
        st.sampled_from([AS_FED, DRY]),
        st.booleans(),
    ),
    max_size=12,
)


@given(steps)
def test_whatever_is_tried_in_whatever_order_the_totals_are_those_of_the_items(
    moves: list[tuple[int, int, Any, bool]],
) -> None:
    """Added up again from the items alone; putting all back gives the ration in use to the last bit."""
    what = WhatIf("Any", FEEDS, [Item(1, 20_000_000, AS_FED), Item(4, 3_000_000, DRY)], {}, Ground())
    in_use = what.totals()
    for feed, mg, basis, locks in moves:
        try:
            what.change(feed, mg, basis)
        except Refused:
            assert any(item.feed == feed and item.is_locked for item in what._items.values())
        if locks:
            what.lock(feed)
    dry = {
        item.feed: item.mg / 1e6 * (1 if item.basis == DRY else (FEEDS[item.feed].dry_ppm or 0) / 1e6)
        for item in what.items
    }
    whole = sum(dry.values())
    assert what.totals().dry_kg == pytest.approx(whole)
    if whole:
        protein = sum(kg * 3.0 * feed for feed, kg in dry.items()) / whole
        assert figure_value("cp", what.totals()).value == pytest.approx(protein)
    what.put_back()
    assert what.totals() == in_use
    assert not what.is_changed
