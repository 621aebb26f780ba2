"""The nutrient list, and figures going between as received and dry."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.errors import Refused
from herdbook.science.nutrients import AMOUNT_OF, nutrient, nutrients

WHOLES = {"dm", "cp", "ndf", "starch", "none"}


@pytest.mark.parametrize("one", nutrients().values(), ids=lambda one: one.key)
def test_every_nutrient_is_complete(one):
    assert one.of in WHOLES
    assert (one.unit in AMOUNT_OF) == (one.of != "none")
    assert 0 <= one.decimals <= 3
    assert one.label
    assert len(one.label) <= 12
    assert one.scales == (one.of == "dm")  # only a share of dry matter is diluted by water


def test_a_share_of_protein_is_not_diluted_by_water():
    assert nutrient("sol_cp").to_dry_basis(50.0, dry_fraction=0.35) == 50.0
    assert nutrient("ph").to_dry_basis(3.9, dry_fraction=0.35) == 3.9


def test_a_toxin_as_fed_is_more_on_dry_matter():
    # Ontario: 1 ppm at 30 % dry matter is 3.3 ppm of dry matter
    assert nutrient("don").to_dry_basis(1.0, dry_fraction=0.30) == pytest.approx(3.3, abs=0.05)


def test_protein_equivalents_over_100_are_kept():
    assert nutrient("cp").to_dry_basis(281.25, dry_fraction=1.0) == 281.25


@given(st.sampled_from(list(nutrients())), st.floats(0, 1e4), st.floats(0.01, 1))
def test_as_received_to_dry_and_back_comes_home(key, figure, dry_fraction):
    one = nutrient(key)
    dry = one.to_dry_basis(figure, dry_fraction=dry_fraction)
    assert one.to_as_received(dry, dry_fraction=dry_fraction) == pytest.approx(figure, rel=1e-12)


@pytest.mark.parametrize("dry_fraction", [0, -0.1, 1.2, 35, float("nan")])
def test_an_impossible_dry_fraction_is_refused(dry_fraction):
    with pytest.raises(Refused, match="dry-matter fraction"):
        nutrient("cp").to_dry_basis(8.0, dry_fraction=dry_fraction)


def test_an_unknown_nutrient_is_refused_with_those_known():
    with pytest.raises(Refused, match="no nutrient called 'protien'"):
        nutrient("protien")
