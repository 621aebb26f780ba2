"""Figures are asked for by words: `explain intake High eaten`, `explain loads load 1 off`."""

from __future__ import annotations

import pytest

from herdbook.errors import Refused
from herdbook.reports.figures import Column, Figure, Line, Report, Table, total
from tests.reports.byre import at, feed, show
from tests.yard import Yard

MON = "2026-03-02"


@pytest.fixture
def fed(byre: Yard) -> Yard:
    feed(byre, f"{MON} 06:00", "High", silage=3000, grain=500)
    feed(byre, f"{MON} 07:00", "Low", silage=1500, grain=250)
    return byre


@pytest.mark.parametrize(
    ("report", "words", "label", "value"),
    [
        ("loads", ["load 1", "loaded_kg"], "load 1, Loaded", 3500),
        ("loads", ["load", "1", "loaded_kg"], "load 1, Loaded", 3500),
        ("loads", ["LOAD", "2", "Loaded_kg"], "load 2, Loaded", 1750),
        ("loads", ["load", "1", "grain", "loaded_kg"], "load 1 Grain, Loaded", 500),
        ("loads", ["feeds", "load", "2", "sil", "loaded"], "load 2 Silage, Loaded", 1500),
        ("intake", [MON, "High", "dropped_kg"], f"{MON} High, Dropped", 3500),
        ("intake", [f"{MON} Low", "dropped_kg"], f"{MON} Low, Dropped", 1750),
        ("intake", ["low", "head"], f"{MON} Low, Head", 50),
        ("week", ["complete_days"], "Days complete", 0),
        ("week", [MON, "head"], f"{MON}, Milking", 150),
        ("week", ["high", "complete"], "High, Days", 0),
        ("pens", ["high", "head"], "High, Head", 100),
    ],
)
def test_words_find_a_figure(fed: Yard, report: str, words: list[str], label: str, value: float) -> None:
    found, figure = show(fed, report).find(words)
    assert (found, figure.value) == (label, pytest.approx(value))


def test_a_fact_goes_before_rows_with_the_same_key(fed: Yard) -> None:
    report = show(fed, "week")
    assert report.find(["dm_eaten_kg"]) == ("DM eaten a head", report.facts["dm_eaten_kg"])


def test_words_that_fit_several_figures_are_asked_about(fed: Yard) -> None:
    with pytest.raises(Refused, match="could be several") as refused:
        show(fed, "intake").find(["dropped_kg"])
    assert f"{MON} High" in refused.value.remedy
    assert f"{MON} Low" in refused.value.remedy


@pytest.mark.parametrize("words", [["nothing"], [], ["High", "nothing"], ["Nobody", "head"], ["\x1b[31m"]])
def test_words_that_fit_nothing_are_refused_with_what_there_is(fed: Yard, words: list[str]) -> None:
    with pytest.raises(Refused, match="no figure") as refused:
        show(fed, "intake").find(words)
    assert "pens" in refused.value.remedy
    assert "\x1b" not in str(refused.value)


def test_an_empty_report_says_that_it_is_empty(byre: Yard) -> None:
    with pytest.raises(Refused) as refused:
        show(byre, "intake").find(["head"])
    assert refused.value.remedy == "It is empty so far."


def test_every_figure_of_a_day_can_be_asked_for_by_its_whole_address(fed: Yard) -> None:
    for minutes in ("07:01", "07:01", "07:02"):
        at(fed, f"{MON} {minutes}").do("temperature", reading="5 C")
    at(fed, f"{MON} 07:10").do("milking", started="705")
    for name in ("today", "intake", "loads", "tank", "week", "pens", "feeds", "people", "entries", "pickups"):
        report = show(fed, name)
        addresses = list(report.addresses())
        assert len(addresses) == len(set(addresses))
        for address in addresses:
            assert report.find(address)[1] is not None


def test_rows_of_one_name_are_told_apart() -> None:
    rows = tuple(Line("07:01", {"degC": Figure(degrees)}) for degrees in (5.0, 6.0, 7.0))
    report = Report("x", "X", tables=(Table("readings", "Readings", (Column("degC", "Read"),), rows),))
    assert [line.name for line in report.tables[0].lines] == ["07:01", "07:01 (2)", "07:01 (3)"]
    assert report.find(["07:01", "degC"])[1].value == 5.0
    assert report.find(["07:01", "(3)", "degC"])[1].value == 7.0


def test_a_sum_keeps_what_is_missing_and_every_entry_once() -> None:
    one = Figure(2, "kg", missing=("x",), entries=lambda: (3, 1))
    other = Figure(5, "kg", missing=("x", "y"), entries=lambda: (1, 2))
    whole = total([one, other, Figure(None, "kg")], "kg", "sum")
    assert (whole.value, whole.missing, list(whole.entries())) == (7, ("x", "y"), [1, 2, 3])
    assert total([Figure(None, "kg")], "kg", "sum").value is None


def test_a_word_and_a_yes_are_no_numbers() -> None:
    assert [Figure(value).number for value in (3, 2.5, "3", True, None)] == [3.0, 2.5, None, None, None]
