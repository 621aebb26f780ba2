"""Corrected milk, feed efficiency and income over feed cost."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.efficiency import feed_cost_line, feed_efficiency, income_over_feed_cost
from herdbook.science.milk_corrections import (
    ecm_crude_protein,
    ecm_ifcn,
    ecm_true_protein,
    ecm_variant,
    fcm_3_5,
    fcm_3_5_rounded,
    fcm_4,
    milk_energy,
    solids_corrected_milk,
)

LB_KG = 0.45359237
milk = st.floats(5, 70)
fat = st.floats(2.5, 6)
protein = st.floats(2.5, 4.5)


def test_the_published_efficiency_example_from_milk_to_ratio():
    # Virginia Tech, Dairy Pipeline May 2008: 70 lb at 3.8 % fat on 50 lb of dry matter
    corrected = fcm_3_5(milk=70 * LB_KG, fat=3.8)
    assert corrected / LB_KG == pytest.approx(73.4, abs=0.02)
    assert feed_efficiency(corrected_milk=corrected, intake=50 * LB_KG) == pytest.approx(1.47, abs=0.005)


def test_a_second_published_corrected_milk():
    # a fat maker's page: 69 lb at 3.9 % fat is 73 lb
    assert fcm_3_5(milk=69 * LB_KG, fat=3.9) / LB_KG == pytest.approx(73.4729, abs=0.02)


@given(milk, fat)
def test_corrected_milk_grows_with_fat_and_is_itself_at_the_standard(milk, fat):
    assert fcm_4(milk=milk, fat=4.0) == pytest.approx(milk)
    assert fcm_3_5(milk=milk, fat=3.5) == pytest.approx(milk, rel=1e-4)
    assert fcm_4(milk=milk, fat=fat + 0.1) > fcm_4(milk=milk, fat=fat)
    assert fcm_3_5(milk=milk, fat=fat) >= fcm_4(milk=milk, fat=fat)


@given(milk, fat)
def test_the_two_printed_coefficient_pairs_hardly_differ(milk, fat):
    one, other = fcm_3_5(milk=milk, fat=fat), fcm_3_5_rounded(milk=milk, fat=fat)
    assert other == pytest.approx(one, rel=5e-4)
    assert other != one


@given(milk, fat, protein)
def test_energy_corrected_milk_by_true_and_crude_protein_are_two_formulas(milk, fat, protein):
    by_true = ecm_true_protein(milk=milk, fat=fat, true_protein=protein)
    by_crude = ecm_crude_protein(milk=milk, fat=fat, crude_protein=protein)
    assert by_true - by_crude == pytest.approx(0.0045 * milk * protein)


def test_energy_corrected_milk_is_not_the_milk_at_its_own_standard():
    assert ecm_crude_protein(milk=100, fat=3.5, crude_protein=3.2) == pytest.approx(101.065, abs=1e-3)
    assert ecm_true_protein(milk=100, fat=3.5, true_protein=3.0) == pytest.approx(100.975, abs=1e-3)
    assert ecm_variant(milk=100, fat=3.5, crude_protein=3.2) == pytest.approx(99.998, abs=1e-3)
    assert ecm_ifcn(milk=100, fat=4.0, crude_protein=3.3) == pytest.approx(100, abs=0.1)


def test_solids_corrected_milk_by_both_published_routes():
    # Tyrrell and Reid 1965: 340 kcal/lb is the standard
    by_formula = solids_corrected_milk(milk=100, fat=4.0, solids_not_fat=8.9)
    by_energy = 100 * milk_energy(fat=4.0, solids_not_fat=8.9) / 340
    assert by_formula == pytest.approx(100.064, abs=1e-3)
    assert by_energy == pytest.approx(100.047, abs=1e-3)


# Alltech 2016: lb as fed and dollars a ton
FEEDS = ((60, 40), (10, 60), (11.5, 175), (6.5, 445), (3.5, 195), (5, 495))


def test_income_over_feed_cost_adds_unrounded_lines():
    lines = [feed_cost_line(as_fed=lb * LB_KG, price=ton / 2000 / LB_KG) for lb, ton in FEEDS]
    assert sum(lines) == pytest.approx(5.53, abs=0.005)
    assert sum(round(line + 1e-9, 2) for line in lines) == pytest.approx(5.54, abs=1e-9)
    over = income_over_feed_cost(milk=78 * LB_KG, price=15.50 / 100 / LB_KG, feed_cost=sum(lines))
    assert over == pytest.approx(6.56, abs=0.005)
    assert sum(lb for lb, _ in FEEDS) == 96.5
