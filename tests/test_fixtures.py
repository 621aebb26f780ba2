"""Worked examples typed as published come out of the calculator as printed."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from herdbook.science.ration import Part, totals

ROOT = Path(__file__).parents[1]
TOLERANCE_G_PER_KG = 1.0  # the table is printed to whole g/kg


def rows() -> list[dict[str, str]]:
    lines = (ROOT / "fixtures" / "mix_of_grass_and_maize.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def part(row: dict[str, str]) -> Part:
    dry_fraction = float(row["dm"]) / 1000
    figures = {key: float(text) / 10 for key, text in row.items() if key not in NAMES and text}
    return Part(row["feed"], "", float(row["share_percent"]) / dry_fraction, dry_fraction, figures)


NAMES = ("feed", "share_percent", "dm")
NUTRIENTS = ("ash", "cp", "fat", "ndf", "adf", "lignin", "starch", "sugar")


def test_dry_matter_of_the_mix_is_total_over_total() -> None:
    *feeds, printed = rows()
    mix = totals([part(row) for row in feeds])
    assert mix.dry_share is not None
    assert 1000 * mix.dry_share == pytest.approx(float(printed["dm"]), abs=TOLERANCE_G_PER_KG)


@pytest.mark.parametrize("nutrient", NUTRIENTS)
def test_a_nutrient_of_the_mix_comes_out_as_printed(nutrient: str) -> None:
    *feeds, printed = rows()
    mix = totals([part(row) for row in feeds])
    # the paper's dashes behave as zero in its own mix: what analysed feeds bring, over all dry matter
    share = mix.nutrients[nutrient].share_of_all
    assert share is not None
    assert 10 * share == pytest.approx(float(printed[nutrient]), abs=TOLERANCE_G_PER_KG)


def test_what_was_not_determined_is_named_and_not_taken_for_nothing() -> None:
    *feeds, _ = rows()
    mix = totals([part(row) for row in feeds])
    assert mix.nutrients["starch"].unknown_share == pytest.approx(0.30)
    assert mix.nutrients["sugar"].unknown_share == pytest.approx(0.40)
