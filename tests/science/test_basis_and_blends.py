"""As received and dry, and two-part blends: published examples that are not a rule's own check, and properties."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.errors import Refused
from herdbook.science.basis import (
    as_fed_weight_kg,
    dry_matter_factor,
    dry_weight_kg,
    looks_like_moisture,
    mixed_dry_matter,
    share_of_dry_matter_percent,
    share_of_whole_percent,
    to_as_received,
    to_dry_basis,
)
from herdbook.science.blends import blend_figure_percent, pearson_square
from herdbook.science.ration import Part, totals
from herdbook.science.registry import rule

percent = st.floats(1, 100)


@given(st.floats(0, 300), percent)
def test_as_received_to_dry_and_back(figure, dry_matter):
    dry = to_dry_basis(as_received=figure, dry_matter=dry_matter)
    assert to_as_received(dry_basis=dry, dry_matter=dry_matter) == pytest.approx(figure, rel=1e-12)


@given(st.floats(0, 50_000), percent)
def test_a_weight_loaded_for_its_dry_matter_carries_it(dry_kg, dry_matter):
    loaded = as_fed_weight_kg(dry_weight=dry_kg, dry_matter=dry_matter)
    assert dry_weight_kg(as_fed=loaded, dry_matter=dry_matter) == pytest.approx(dry_kg, rel=1e-12)


@given(st.floats(0, 99))
def test_factor_is_the_weight_that_holds_one_of_dry_matter(moisture):
    factor = dry_matter_factor(moisture=moisture)
    assert dry_weight_kg(as_fed=factor, dry_matter=100 - moisture) == pytest.approx(1)


@given(st.floats(0, 100), percent)
def test_a_share_of_protein_and_back(share, whole):
    of_dry = share_of_dry_matter_percent(of_whole=share, whole=whole)
    assert share_of_whole_percent(of_dry_matter=of_dry, whole=whole) == pytest.approx(share, rel=1e-12)


@given(st.floats(0, 100), percent, percent)
def test_dry_matter_of_a_mix_lies_between_the_parts_and_under_the_mean(share, first, second):
    mixed = mixed_dry_matter(first_share=share, first_dry_matter=first, second_dry_matter=second)
    assert min(first, second) - 1e-9 <= mixed <= max(first, second) + 1e-9
    assert mixed <= (share * first + (100 - share) * second) / 100 + 1e-9


def test_nothing_is_lost_in_drying():
    with pytest.raises(Refused, match="does not gain weight"):
        rule("dry-matter-tested").compute(wet=100, dried=120)


def test_moisture_typed_as_dry_matter_is_asked_about():
    # Cornell 2022 prints "10-15 % dry matter" for hay and reckons with 12 % moisture
    asked = looks_like_moisture(dry_matter_percent=12, dry_hay=True)
    assert asked is not None
    assert asked.other_percent == 88
    assert looks_like_moisture(dry_matter_percent=88, dry_hay=True) is None
    assert looks_like_moisture(dry_matter_percent=72, dry_hay=False) is not None
    assert looks_like_moisture(dry_matter_percent=35, dry_hay=False) is None


def test_blend_weights_of_published_squares():
    # Montana State: 20.4 lb dry matter of hay 8.95 and supplement 40 at 9.8: 19.8 and 0.55 lb
    square = pearson_square(first=8.95, second=40, goal=9.8)
    assert 20.4 * square.first_share / 100 == pytest.approx(19.8, abs=0.05)
    assert 20.4 * square.second_share / 100 == pytest.approx(0.55, abs=0.02)
    # Shapiro: 600 lb at 26 % from cottonseed meal 54 % and barley 8 %
    square = pearson_square(first=54, second=8, goal=26)
    assert (6 * square.first_share, 6 * square.second_share) == pytest.approx((234.783, 365.217), rel=1e-5)


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0, 1))
def test_a_square_gives_the_goal_back(first, second, between):
    if abs(first - second) < 1e-3:
        return
    goal = first + between * (second - first)
    square = pearson_square(
        first=first, second=second, goal=min(max(goal, min(first, second)), max(first, second))
    )
    assert square.first_share + square.second_share == pytest.approx(100)
    got = blend_figure_percent(first=first, second=second, first_share=square.first_share)
    assert got == pytest.approx(goal, abs=1e-9)


@pytest.mark.parametrize(("first", "second", "goal"), [(10, 20, 25), (10, 20, 5), (12, 12, 12)])
def test_a_goal_that_cannot_be_had_is_refused(first, second, goal):
    with pytest.raises(Refused):
        rule("pearson-square").compute(first=first, second=second, goal=goal)


# FAO AC149E table 4: kg of distillers grains, soybean meal, bran, corn, dicalcium phosphate, salt, urea in 2,000 kg
SUPPLEMENTS = [
    pytest.param((500, 500, 400, 400, 60, 60, 80), 44, 33.23, id="printed as 32 % protein"),
    pytest.param((400, 500, 400, 350, 100, 100, 150), 44, 40.825, id="printed as 40 % protein"),
    pytest.param((400, 800, 0, 380, 120, 120, 180), 50, 50.69, id="printed as 50 % protein"),
]


@pytest.mark.parametrize(("masses", "meal_protein", "protein"), SUPPLEMENTS)
def test_published_urea_supplements_add_up(masses, meal_protein, protein):
    # the paper prints no ingredient analyses; protein 27, 44 or 50, 16, 9 and urea 262 % are assumed
    analyses = (27.0, float(meal_protein), 16.0, 9.0, 0.0, 0.0, 262.0)
    mix = totals(Part("part", "mix", kg, 1.0, {"cp": cp}) for kg, cp in zip(masses, analyses, strict=True))
    assert mix.as_fed_kg == 2000
    assert mix.nutrients["cp"].share == pytest.approx(protein, rel=1e-4)
