"""Loading errors by feed, person, mixer and load, as sums by hand."""

from __future__ import annotations

import pytest

from tests.reports.byre import at, cell, feed, show
from tests.yard import ADA, CLEO, Who, Yard

MON, TUE = "2026-03-02", "2026-03-03"


@pytest.fixture
def two_loads(byre: Yard) -> Yard:
    """Planned 3,000 and 500 kg twice. Monday in order, 3,060 and 490 kg; Tuesday grain first, 525, then 3,000 kg."""
    byre.do("person", name="Cleo", roles="hand")
    cleo = Who(byre.row("SELECT person FROM person_card WHERE name = 'Cleo'")["person"], "Cleo", CLEO.roles)
    load(byre, MON, cleo, [("06:05", "Silage", 3060), ("06:12", "Grain", 490)])
    load(byre, TUE, ADA, [("06:05", "Grain", 525), ("06:15", "Silage", 3000)])
    return byre


def load(yard: Yard, day: str, by: Who, weights: list[tuple[str, str, int]]) -> None:
    at(yard, f"{day} 06:00").do("load", pen="High", planned=["Silage=3000", "Grain=500"])
    for time, name, kg in weights:
        at(yard, f"{day} {time}").do("weigh", load="1", feed=name, weight=str(kg), by=by)
    total = sum(kg for _, _, kg in weights)
    at(yard, f"{day} 06:45").do("drop", load="1", pen="High", weight=str(total))


def test_bias_error_shares_and_money_by_feed(two_loads: Yard) -> None:
    report = show(two_loads, "accuracy")
    # silage +2 and 0 %, grain -2 and +5 %
    for row, bias, error, within_2 in (("Silage", 1.0, 1.0, 100), ("Grain", 1.5, 3.5, 50)):
        assert cell(report, "groups", row, "bias_percent").value == pytest.approx(bias)
        assert cell(report, "groups", row, "error_percent").value == pytest.approx(error)
        assert cell(report, "groups", row, "within_2_percent").value == pytest.approx(within_2)
        assert cell(report, "groups", row, "within_5_percent").value == 100
    # silage 60 kg too much at 50 a tonne: 3.00; grain 25 kg too much at 200: 5.00, less 10 kg too little: 2.00
    assert cell(report, "groups", "Silage", "over_cents").value == pytest.approx(300)
    assert cell(report, "groups", "Grain", "over_cents").value == pytest.approx(500)
    assert cell(report, "groups", "Grain", "net_cents").value == pytest.approx(300)
    assert cell(report, "groups", "Grain", "over_kg").value == 25
    assert cell(report, "groups", "Grain", "under_kg").value == 10
    assert report.facts["over_cents"].value == pytest.approx(800)
    assert report.facts["within_2_percent"].value == 75


def test_order_and_minutes_of_each_load(two_loads: Yard) -> None:
    report = show(two_loads, "accuracy")
    assert cell(report, "loads", f"{MON} load 1", "order").value == "kept"
    assert cell(report, "loads", f"{TUE} load 1", "order").value == "not kept"
    assert cell(report, "loads", f"{MON} load 1", "minutes_min").value == 40
    assert report.facts["order_kept_percent"].value == 50
    assert report.facts["minutes_min"].value == 40


def test_by_person_whoever_wrote_the_weight(two_loads: Yard) -> None:
    report = show(two_loads, "accuracy", by="person")
    assert {line.name for line in report.table("groups").lines} == {"Ada", "Cleo"}
    assert cell(report, "groups", "Cleo", "bias_percent").value == pytest.approx(0)  # +2 and -2 %
    assert cell(report, "groups", "Ada", "bias_percent").value == pytest.approx(2.5)  # 0 and +5 %
    assert "not a score of people" in report.warnings[0]


@pytest.mark.parametrize(("by", "rows"), [("mixer", {"Wagon"}), ("load", {f"{MON} load 1", f"{TUE} load 1"})])
def test_by_mixer_and_by_load(two_loads: Yard, by: str, rows: set[str]) -> None:
    assert {line.name for line in show(two_loads, "accuracy", by=by).table("groups").lines} == rows


def test_a_load_written_in_one_go_has_no_order_and_no_time(byre: Yard) -> None:
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    report = show(byre, "accuracy")
    order = cell(report, "loads", f"{MON} load 1", "order")
    assert (order.value, order.missing) == (None, ("the weights were written in one go",))
    assert report.facts["order_kept_percent"].value is None


def test_one_loading_tells_no_bounds(byre: Yard) -> None:
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    low = cell(show(byre, "accuracy"), "groups", "Grain", "bias_low_percent")
    assert (low.value, low.missing) == (None, ("one loading has no spread",))


def test_intake_from_day_to_day(byre: Yard) -> None:
    for day, after, left in (
        ("2026-02-27", "2026-02-28", 0),
        ("2026-02-28", "2026-03-01", 350),
        ("2026-03-01", MON, 0),
    ):
        feed(byre, f"{day} 06:00", "High", silage=3000, grain=500)
        at(byre, f"{after} 05:00").do("refusal", pen="High", weight=str(left), fed=day)
    report = show(byre, "accuracy")
    # 16, 14.4 and 16 kg: steps of 1.6 over a mean of 15.467, one inner day and it turns
    assert cell(report, "pens", "High", "step_percent").value == pytest.approx(100 * 1.6 / (46.4 / 3))
    assert cell(report, "pens", "High", "turns_percent").value == 100


def test_nothing_fed_is_an_empty_report(byre: Yard) -> None:
    report = show(byre, "accuracy")
    assert report.facts["loads"].value == 0
    assert report.table("groups").lines == ()
