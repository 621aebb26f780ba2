"""The feed store by the book: counts, what came in, what the mixer took, and how long it lasts."""

from __future__ import annotations

import pytest

from tests.reports.byre import at, cell, mix, show
from tests.reports.test_report_today import due
from tests.yard import Yard


def a_week(byre: Yard) -> None:
    """Six days of 300 kg silage and 50 kg grain a day; the seventh nothing was mixed."""
    for day in range(24, 29):
        mix(byre, f"2026-02-{day} 06:00", "High", silage=300, grain=50)
    mix(byre, "2026-03-01 06:00", "High", silage=300, grain=50)


def test_the_store_is_the_count_and_what_came_less_what_was_loaded(byre: Yard) -> None:
    at(byre, "2026-02-23 05:00").do("stock-count", feed="Silage", found="10 t")
    a_week(byre)
    at(byre, "2026-03-01 08:00").do("delivery", feed="Silage", weight="2 t")
    report = show(at(byre, "2026-03-02 05:00"), "stock")
    # 10,000 + 2,000 - 6 x 300; 1,800 kg over the six days mixed on of the seven
    assert cell(report, "feeds", "Silage", "held_kg").value == 10_200
    assert cell(report, "feeds", "Silage", "use_a_day_kg").value == 300
    assert cell(report, "feeds", "Silage", "days_left").value == 34
    assert cell(report, "feeds", "Silage", "worth_cents").value == pytest.approx(10.2 * 5000)
    assert cell(report, "feeds", "Silage", "order").value is None


def test_a_feed_of_which_the_book_has_less_than_nothing_is_worth_nothing_and_not_without_a_price(
    byre: Yard,
) -> None:
    at(byre, "2026-02-23 05:00").do("stock-count", feed="Silage", found="1 t")
    byre.do("stock-count", feed="Grain", found="2 t")
    mix(byre, "2026-02-24 06:00", "High", silage=1200, grain=50)
    report = show(byre, "stock")
    assert cell(report, "feeds", "Silage", "held_kg").value == -200
    assert cell(report, "feeds", "Silage", "worth_cents").value == 0
    assert report.facts["worth_cents"].missing == ()
    byre.do("feed", name="Straw", kind="forage")
    byre.do("stock-count", feed="Straw", found="1 t")
    assert show(byre, "stock").facts["worth_cents"].missing == ("no price of Straw",)


def test_a_count_says_how_far_the_book_was_off_and_counts_from_then(byre: Yard) -> None:
    at(byre, "2026-02-23 05:00").do("stock-count", feed="Grain", found="2000 kg")
    a_week(byre)
    said = at(byre, "2026-03-02 05:00").do("stock-count", feed="Grain", found="1600 kg").said
    assert said == "Grain: 1.60 t counted, 0.10 t less than the book's 1.70 t, 5.0 % of what was put in."
    assert cell(show(byre, "stock"), "feeds", "Grain", "held_kg").value == 1600


def test_a_feed_that_lasts_fewer_days_than_it_takes_to_come_is_an_alert(byre: Yard) -> None:
    at(byre, "2026-02-23 05:00").do("stock-count", feed="Grain", found="600 kg")
    a_week(byre)  # 300 kg left at 50 a day: 6 days, and the farm says nothing: 7
    report = show(at(byre, "2026-03-02 05:00"), "today")
    assert ("Grain", "0.3 t left, 6 days at present use; must last 7. Order.") in [
        (line["about"].value, line["says"].value) for line in report.table("alerts").lines
    ]
    farm = {"name": "Hollow", "zone": "America/Chicago", "system": "metric"}
    byre.do("farm", **farm, feed_days="5")
    assert "Grain" not in [line["about"].value for line in show(byre, "today").table("alerts").lines]


def test_a_load_of_a_mix_without_a_store_takes_from_its_parts(byre: Yard) -> None:
    at(byre, "2026-02-23 05:00").do("feed", name="Premix", kind="premix")
    byre.do("mix", feed="Premix", part=["Grain=75", "Silage=25"])
    byre.do("stock-count", feed="Grain", found="1000 kg")
    at(byre, "2026-02-23 06:00").do("load", pen="High", planned=["Premix=100"], loaded=["Premix=100"])
    assert cell(show(byre, "stock"), "feeds", "Grain", "used_kg").value == pytest.approx(75)
    byre.do("delivery", feed="Premix", weight="200 kg")  # made here, of its parts
    assert cell(show(byre, "stock"), "feeds", "Grain", "used_kg").value == pytest.approx(225)
    byre.do("delivery", feed="Premix", weight="400 kg", supplier="The mill")
    assert cell(show(byre, "stock"), "feeds", "Grain", "used_kg").value == pytest.approx(225)


def test_what_was_struck_is_in_no_store(byre: Yard) -> None:
    at(byre, "2026-02-23 05:00").do("stock-count", feed="Silage", found="10 t")
    wrong = byre.do("delivery", feed="Silage", weight="90 t").entry
    byre.do("strike", entry=str(wrong), because="nine")
    assert cell(show(byre, "stock"), "feeds", "Silage", "held_kg").value == 10_000


def test_rain_since_the_last_test_asks_for_another_and_a_test_clears_it(byre: Yard) -> None:
    at(byre, "2026-02-24 05:00").do("rain", rain="6 mm")
    at(byre, "2026-02-25 05:00").do("weather", air="12", humidity="80", rain="3 mm")
    assert "Test dry matter, Silage" not in due(show(byre, "today"))
    byre.do("rain", rain="8 mm")  # the gauge was read again: the day's newest counts
    words = due(show(byre, "today"))["Test dry matter, Silage"][1]
    assert words == "14 mm rain since the last test, 2026-02-23"
    byre.do("dry-matter", feed="Silage", dry="38")
    assert "Test dry matter, Silage" not in due(show(byre, "today"))


def test_the_farm_says_how_much_rain_asks_for_a_test(byre: Yard) -> None:
    farm = {"name": "Hollow", "zone": "America/Chicago", "system": "metric"}
    byre.do("farm", **farm, rain_step="20 mm")
    at(byre, "2026-02-24 05:00").do("rain", rain="14 mm")
    assert "Test dry matter, Silage" not in due(show(byre, "today"))


def test_a_new_face_asks_for_a_test_until_one_was_made_after_it(byre: Yard) -> None:
    at(byre, "2026-02-24 05:00").do("dry-matter", feed="Silage", dry="39")
    at(byre, "2026-02-24 06:00").do("new-face", feed="Silage", what="bunker 2")
    words = due(show(at(byre, "2026-02-24 07:00"), "today"))["Test dry matter, Silage"][1]
    assert words.startswith("new face (bunker 2) opened")
    at(byre, "2026-02-24 08:00").do("dry-matter", feed="Silage", dry="37")
    assert "Test dry matter, Silage" not in due(show(byre, "today"))


def test_a_suggestion_with_the_store_keeps_to_what_is_there(byre: Yard) -> None:
    # 150 cows, 10 days: 3,000 kg of grain are 2 kg a head; the ration has 5
    byre.do("targets", ration="Milk", target=["dm_intake=15 16 17 kg", "cp=8 10 14"])
    byre.do("price", feed="Grain", price="10")
    byre.do("stock-count", feed="Grain", found="3000 kg")
    free = show(byre, "suggestion", name="Milk")
    assert cell(free, "feeds", "Grain", "suggested_kg").value > 5
    held = show(byre, "suggestion", name="Milk", store="yes", days="10")
    assert cell(held, "feeds", "Grain", "suggested_kg").value == pytest.approx(2.0)
