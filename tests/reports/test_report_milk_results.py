"""Laboratory results of milk: written as laboratories print them, how they go, and where the counts stand."""

from __future__ import annotations

import pytest

from herdbook.errors import ChoreRefused, Refused
from herdbook.reports.figures import Report
from tests.reports.byre import at, cell, show, started
from tests.yard import CLEO, Yard


@pytest.fixture
def dairy(tmp_path) -> Yard:
    return at(started(tmp_path / "farm.book"), "2026-06-01 12:00")


def result(yard: Yard, day: str, **figures: str) -> int:
    return yard.do("milk-result", sampled=f"{day} 08:00", **figures).entry


def stands(report: Report) -> dict[str, tuple[str, str]]:
    return {line.name: (line["stands"].value, line["says"].value) for line in report.table("limits").lines}


@pytest.mark.parametrize(("typed", "kept"), [
    ({"fat": "3.9"}, ("fat_ppm", 39_000)),
    ({"protein": "3.25 %"}, ("protein_ppm", 32_500)),
    ({"cells": "180"}, ("cells_mL", 180_000)),
    ({"cells": "180000/mL"}, ("cells_mL", 180_000)),
    ({"bacteria": "4.5"}, ("bacteria_mL", 4_500)),
    ({"urea": "11.8"}, ("urea_n_ug_dL", 11_800)),
    ({"freezing": "-0.525"}, ("freezing_udegC", -506_880)),  # cryoscope handbook: -0.525 °H is -0.50688 °C
    ({"freezing": "0.525 H"}, ("freezing_udegC", -506_880)),
    ({"freezing": "-0.521 C"}, ("freezing_udegC", -521_000)),
])  # fmt: skip
def test_figures_are_taken_as_laboratories_print_them(
    dairy: Yard, typed: dict[str, str], kept: tuple[str, int]
) -> None:
    result(dairy, "2026-05-30", **typed)
    (row,) = dairy.rows(f"SELECT {kept[0]} AS kept FROM milk_result")
    assert row["kept"] == kept[1]


@pytest.mark.parametrize(("typed", "field"), [
    ({}, "fat"),
    ({"cells": "many"}, "cells"),
    ({"cells": "180000"}, "cells"),  # that would be 180 million in a mL
    ({"cells": "180 kg"}, "cells"),
    ({"bacteria": "0"}, "bacteria"),  # the lowest a laboratory reports has a number
    ({"freezing": "4 C"}, "freezing point"),
    ({"freezing": "cold"}, "freezing point"),
    ({"fat": "39"}, "fat"),
    ({"fat": "3.9", "reported": "2026-05-29"}, "reported"),
])  # fmt: skip
def test_what_cannot_be_is_refused_by_its_field(dairy: Yard, typed: dict[str, str], field: str) -> None:
    state = dairy.state()
    with pytest.raises(Refused) as told:
        result(dairy, "2026-05-30", **typed)
    assert told.value.field == field
    assert dairy.state() == state


def test_what_is_said_to_be_written_has_every_decimal_that_was_typed(dairy: Yard) -> None:
    said = dairy.do(
        "milk-result", sampled="2026-05-30 08:00", fat="3.85", cells="180", freezing="-0.521 C"
    ).said
    assert (
        said
        == "Tank, sample of Sat 30 May 08:00: fat 3.85 %, cells 180 thousand/mL, freezing point -0.5210 °C."
    )


def test_the_same_sample_is_not_written_twice_but_a_second_number_is(dairy: Yard) -> None:
    result(dairy, "2026-05-30", fat="3.9", number="A1")
    with pytest.raises(Refused, match="is in the book"):
        result(dairy, "2026-05-30", fat="3.9", number="A1")
    result(dairy, "2026-05-30", fat="3.8", number="A2")
    assert show(dairy, "milk-results").facts["results"].value == 2


def test_each_result_stands_with_its_cell_score_and_its_laboratory(dairy: Yard) -> None:
    result(dairy, "2026-05-30", cells="200", laboratory="County lab", number="77", reported="2026-05-31")
    line = show(dairy, "milk-results").table("results").lines[0]
    assert line["cell_score"].number == pytest.approx(4)  # newsletter of May 1997: 200,000 is score 4
    assert line["cells_thousand_per_mL"].number == 200
    assert (line["laboratory"].value, line["number"].value) == ("County lab", "77")


def test_a_figure_goes_beside_those_before_it(dairy: Yard) -> None:
    for day, fat in enumerate(("3.80", "3.82", "3.78", "3.80", "4.40"), 25):
        result(dairy, f"2026-05-{day}", fat=fat)
    report = show(dairy, "milk-results")
    change = cell(report, "trends", "Fat", "change")
    assert change.number == pytest.approx(4.40 - 3.80)
    assert change.flag == "!"  # more than twice what single results lie apart


def test_two_of_the_last_four_bring_a_notice_and_three_of_five_suspend(dairy: Yard) -> None:
    # Alabama Administrative Code 420-3-16-.08: 750,000 cells; notice at 2 of the last 4, suspension at 3 of the last 5
    dairy.do("milk-limits", cells="us-cells")
    for day, cells in (("2026-04-01", "400"), ("2026-04-20", "800"), ("2026-05-05", "300")):
        result(dairy, day, cells=cells)
    assert stands(show(dairy, "milk-results"))["us-cells"] == ("kept", "newest not over it")
    result(dairy, "2026-05-20", cells="751")
    word, says = stands(show(dairy, "milk-results"))["us-cells"]
    assert (word, says) == (
        "notice",
        "2 of the last 4 over it: two bring a notice; the next sample counts from 2026-05-23 to 2026-06-10",
    )
    assert any("notice" in line["says"].value for line in show(dairy, "today").table("alerts").lines)
    result(dairy, "2026-05-30", cells="900")
    assert stands(show(dairy, "milk-results"))["us-cells"][0] == "suspended"


def test_a_rolling_mean_is_of_whole_months_and_says_what_is_missing(dairy: Yard) -> None:
    # Irish Veterinary Journal 2017, table 2: 395.62, 460.49 and 377.65 thousand a month give 409.759
    dairy.do("milk-limits", cells="eu-cells")
    for day, cells in (("2026-03-10", "395.62"), ("2026-04-10", "460.49")):
        result(dairy, day, cells=cells)
    word, says = stands(show(dairy, "milk-results"))["eu-cells"]
    assert word == "over"
    assert "2026-05 has 0 of 1 samples" in says
    result(dairy, "2026-05-10", cells="377.65")
    report = show(dairy, "milk-results")
    assert cell(report, "limits", "eu-cells", "mean_thousand_per_mL").number == pytest.approx(
        409.759, abs=0.01
    )
    assert stands(report)["eu-cells"][0] == "over"


def test_milk_that_freezes_too_warm_is_told_and_judged_by_nobody_here(dairy: Yard) -> None:
    result(dairy, "2026-05-29", freezing="-0.525")
    assert show(dairy, "milk-results").warnings == ()
    result(dairy, "2026-05-30", freezing="-0.519")
    (warning,) = show(dairy, "milk-results").warnings
    assert "warmer than milk without water" in warning
    assert warning.endswith("The buyer and the inspector decide what follows.")


def test_limits_are_the_owners_to_choose(dairy: Yard) -> None:
    with pytest.raises(ChoreRefused, match="may not"):
        dairy.do("milk-limits", cells="us-cells", by=CLEO)
    assert show(dairy, "milk-results").table("limits").lines == ()
