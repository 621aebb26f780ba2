"""Targets: amounts a head, reasons that stay, history, and a start from bands in print with their sources."""

from __future__ import annotations

from typing import Any

import pytest

from herdbook.book.opening import reading
from herdbook.errors import Refused
from herdbook.reports import catalogue
from herdbook.science.figures import amount_of, ration_figures
from herdbook.science.guidelines import guidelines
from herdbook.science.starting_targets import GROUPS, starting_targets
from tests.yard import DAY, Yard


def targets(yard: Yard) -> dict[str, Any]:
    newest = yard.row("SELECT max(id) AS id FROM target_set")["id"]
    return {row["figure"]: row for row in yard.rows("SELECT * FROM target WHERE target_set = ?", newest)}


def figures(yard: Yard, ration: str = "High 1") -> dict[str, Any]:
    with reading(yard.path) as connection:
        report = catalogue.make("ration", connection, yard.ground(), {"name": ration})
    return {line.name: line for line in report.table("figures").lines}


# teaching handout of NRC 2001 requirements: 680 kg cow with 35 kg of milk, and the dry cow of 751 kg
PRINTED = [
    ("mid", "dm_intake", "aim", 23.6), ("mid", "cp", "low", 15.2), ("mid", "ca", "low", 0.61),
    ("mid", "k", "low", 1.04),
    ("mid", "vit_a_amount", "low", 75_000), ("mid", "nel", "aim", 1.47), ("dry", "dm_intake", "aim", 13.7),
    ("dry", "p", "low", 0.23), ("dry", "vit_e_amount", "low", 1_200), ("late", "s", "low", 0.20),
    # bands in print: Queensland starch 22-25 and Grant 23-30; close-up cation-anion difference -15 to -10 mEq/100 g
    ("high", "ndf", "low", 28), ("high", "ndf", "high", 32), ("late", "ndf", "low", 30), ("late", "cp", "low", 13),
    ("close-up", "dcad", "low", -150), ("close-up", "dcad", "high", -100), ("high", "dcad", "low", 200),
]  # fmt: skip


@pytest.mark.parametrize(("group", "figure", "bound", "expected"), PRINTED)
def test_a_new_group_starts_from_figures_in_print(
    yard: Yard, group: str, figure: str, bound: str, expected: float
) -> None:
    yard.do("targets", ration="High 1", from_guideline=group)
    row = targets(yard)[figure]
    assert row[bound] == round(expected * 1_000_000)


@pytest.mark.parametrize("group", GROUPS)
def test_every_line_says_its_source_and_that_it_is_a_start(group: str) -> None:
    found = starting_targets(group)
    assert found
    for one in found:
        assert one.why.startswith("Starting point, to change: ")
        assert "(" in one.why
        assert one.figure in ration_figures()
        bounds = [bound for bound in (one.low, one.aim, one.high) if bound is not None]
        assert bounds
        assert bounds == sorted(bounds), one


def test_every_printed_band_of_a_figure_reaches_some_group() -> None:
    printed = {one.item for one in guidelines() if one.item in ration_figures()}
    assert printed <= {one.figure for group in GROUPS for one in starting_targets(group)}


def test_typed_targets_go_before_the_printed_ones(yard: Yard) -> None:
    said = yard.do("targets", ration="High 1", from_guideline="high", target="ndf=27 29 31").said
    row = targets(yard)["ndf"]
    assert (row["low"], row["aim"], row["high"], row["why"]) == (27_000_000, 29_000_000, 31_000_000, "")
    assert "a starting point to change" in said


def test_nothing_at_all_is_refused(yard: Yard) -> None:
    with pytest.raises(Refused, match="target: nothing was given"):
        yard.do("targets", ration="High 1")


def test_a_target_that_stays_keeps_its_reason(yard: Yard) -> None:
    yard.do("targets", ration="High 1", from_guideline="high")
    why = targets(yard)["starch"]["why"]
    starch = targets(yard)["starch"]
    typed = f"starch={starch['low'] / 1e6:g} - {starch['high'] / 1e6:g}"
    yard.do("targets", ration="High 1", target=[typed, "cp=16 17 18"])
    assert targets(yard)["starch"]["why"] == why
    yard.do("targets", ration="High 1", target=["starch=24 - 28", "cp=16 17 18"])
    assert targets(yard)["starch"]["why"] == ""
    yard.do("targets", ration="High 1", target=["starch=24 - 28"], why="acidosis last winter")
    assert targets(yard)["starch"]["why"] == "acidosis last winter"


def test_amounts_a_head_and_ratios_can_be_aimed_at(yard: Yard) -> None:
    yard.do("analysis", feed="corn", dry="33.6", value=["cp=10", "ca=0.3", "p=0.2", "vit_a=5000"])
    yard.do("ration", name="High 1", item="Corn silage=20 kg dm")
    yard.do("targets", ration="High 1", target=["cp_amount=1.9 2 2.1 kg", "ca_amount=70 - - g", "vit_a_amount=75000",
                                                "ca_to_p=1.5 - 2.2"])  # fmt: skip
    found = figures(yard)
    assert found["cp_amount"]["value"].number == pytest.approx(2.0)
    assert found["cp_amount"]["unit"].value == "kg"
    assert found["cp_amount"]["verdict"].value == "ok"
    assert (found["ca_amount"]["value"].number, found["ca_amount"]["low"].number) == (
        pytest.approx(0.06),
        0.07,
    )
    assert found["ca_amount"]["verdict"].value == "low"
    assert found["vit_a_amount"]["value"].number == pytest.approx(100_000)
    assert found["ca_to_p"]["value"].number == pytest.approx(1.5)


def test_amounts_stand_only_where_a_target_asks_for_them(yard: Yard) -> None:
    assert not any(amount_of(key) for key in figures(yard))
    assert not any(amount_of(key) for key in ration_figures())
    assert amount_of("cp_amount") == "cp"
    assert "cp_amount" in ration_figures().with_amounts()


@pytest.mark.parametrize("target", ["cp_amount=5 %", "vit_a_amount=5 kg", "ph_amount=3", "ca_to_p=2 g"])
def test_an_amount_takes_its_own_units(yard: Yard, target: str) -> None:
    with pytest.raises(Refused):
        yard.do("targets", ration="High 1", target=target)


def test_history_tells_what_each_set_changed(yard: Yard) -> None:
    yard.now_s += DAY
    yard.do("targets", ration="High 1", target=["cp=16 17 18", "ndf=28 - 32"])
    with reading(yard.path) as connection:
        report = catalogue.make("targets", connection, yard.ground(), {"name": "High 1"})
        yesterday = catalogue.make("targets", connection, yard.ground(), {"name": "High 1", "on": "-1"})
    newest = report.table("history").lines[0]
    assert newest["changed"].value == "CP 15.5/16.5/17.5 to 16/17/18, NDF new, Dry matter out"
    assert newest["set_by"].value == "Ada"
    assert [line.name for line in report.table("targets").lines] == ["cp", "ndf"]
    assert [line.name for line in yesterday.table("targets").lines] == ["cp", "dm_intake"]
