"""Manure nitrogen and phosphorus: the balance, the regressions beside it, and what does not fit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.manure_balance import (
    manure_nitrogen,
    manure_phosphorus,
    milk_nitrogen,
    milk_nitrogen_efficiency,
    milk_phosphorus,
    milk_protein_efficiency,
    nitrogen_intake,
    phosphorus_intake,
)
from herdbook.science.manure_regressions import (
    manure_lactating_kg,
    manure_nitrogen_lactating,
    manure_phosphorus_from_intake,
    manure_phosphorus_from_milk,
    urinary_nitrogen,
    urinary_nitrogen_field,
)
from herdbook.science.registry import rules

LB_KG = 0.45359237


@given(st.floats(15, 30), st.floats(12, 20), st.floats(10, 60), st.floats(2.5, 4))
def test_nitrogen_eaten_is_milk_and_manure_together(intake, protein, milk, milk_protein):
    eaten = nitrogen_intake(intake=intake, crude_protein=protein)
    in_milk = milk_nitrogen(milk=milk, protein=milk_protein)
    left = manure_nitrogen(nitrogen_intake=eaten, milk_nitrogen=in_milk, retained=0)
    assert left + in_milk == pytest.approx(eaten)
    share = milk_nitrogen_efficiency(milk_nitrogen=in_milk, nitrogen_intake=eaten)
    assert share == pytest.approx(100 - 100 * left / eaten)


def test_efficiency_of_one_herd_by_which_protein_is_meant():
    # Hoard's Dairyman 30844: 50 lb at 16.5 %, 75 lb at 3.1 % true or 3.3 % crude protein
    diet = {"intake": 50 * LB_KG, "crude_protein": 16.5}
    eaten = nitrogen_intake(**diet)
    quick = {p: milk_protein_efficiency(milk=75 * LB_KG, protein=p, **diet) for p in (3.1, 3.3)}
    strict = {
        p: milk_nitrogen_efficiency(
            milk_nitrogen=milk_nitrogen(milk=75 * LB_KG, protein=p), nitrogen_intake=eaten
        )
        for p in (3.1, 3.3)
    }
    assert (quick[3.1], quick[3.3]) == pytest.approx((28.2, 30.0), abs=0.05)
    assert (strict[3.1], strict[3.3]) == pytest.approx((27.6076, 29.3887), rel=1e-5)
    assert quick[3.1] / strict[3.1] == pytest.approx(6.38 / 6.25)


@pytest.mark.parametrize(("phosphorus", "difference"), [(0.35, 51.1), (0.40, 62.9)])
def test_phosphorus_forms_lie_close_to_each_other(phosphorus, difference):
    eaten = phosphorus_intake(intake=23.6, phosphorus=phosphorus)
    forms = (
        manure_phosphorus(phosphorus_intake=eaten, milk_phosphorus=milk_phosphorus(milk=35)),
        manure_phosphorus_from_intake(phosphorus_intake=eaten),
        manure_phosphorus_from_milk(phosphorus_intake=eaten, milk=35),
    )
    assert eaten - 0.9 * 35 == pytest.approx(difference)
    assert max(forms) / min(forms) < 1.12


def test_phosphorus_balance_in_the_source_s_pounds():
    # Buckeye Dairy News 2003: 52 lb at 0.38 %, 75 lb milk; 2.2 lb in its kilogram
    eaten = phosphorus_intake(intake=52 / 2.2, phosphorus=0.38)
    left = manure_phosphorus(phosphorus_intake=eaten, milk_phosphorus=30.75)
    assert left / 454 == pytest.approx(0.121516, rel=1e-5)


def test_the_recalled_phosphorus_equation_that_contradicts_three_others_is_not_here():
    recalled = 560.7 * 23.6 * 0.35 / 100 + 21.1
    eaten = phosphorus_intake(intake=23.6, phosphorus=0.35)
    assert recalled > 1.3 * manure_phosphorus_from_intake(phosphorus_intake=eaten)
    formulas = " ".join(one.formula for one in rules().values())
    assert "560.7" not in formulas


@pytest.mark.parametrize(("intake", "protein", "balance"), [(23.6, 16.5, 458.463), (27, 17, 515.748)])
def test_the_recalled_nitrogen_regression_agrees_with_the_balance(intake, protein, balance):
    recalled = manure_nitrogen_lactating(intake=intake, crude_protein=protein, body_weight=680)
    assert recalled == pytest.approx(balance, rel=0.05)


def test_urinary_nitrogen_of_two_forms_meets_at_one_weight():
    assert urinary_nitrogen(body_weight=679.5, mun=12) == pytest.approx(
        urinary_nitrogen_field(mun=12), rel=1e-4
    )


def test_recalled_manure_weight_agrees_with_what_was_measured():
    # about 150 lb a day (Weiss 2007; Lundquist 2009), at a milk yield near 34 kg
    assert manure_lactating_kg(milk=34) == pytest.approx(150 * LB_KG, rel=0.05)
