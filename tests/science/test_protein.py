"""Metabolizable protein of the two editions, and where their terms come from."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.protein_nasem2021 import mp_lactating_nasem2021, mp_milk_nasem2021, target_efficiencies
from herdbook.science.protein_nrc2001 import (
    mp_fecal_nrc2001,
    mp_lactating_nrc2001,
    mp_milk_nrc2001,
    mp_scurf_nrc2001,
    mp_urinary_nrc2001,
)


def test_maintenance_terms_go_back_to_measured_nitrogen_losses():
    # Swanson 1977 (abstract): urinary 0.44 g nitrogen per kg^0.5, fecal 4.7 g per kg of dry matter
    assert mp_urinary_nrc2001(body_weight=1) == pytest.approx(0.44 * 6.25 / 0.67, abs=0.005)
    assert mp_scurf_nrc2001(body_weight=1) == pytest.approx(0.2 / 0.67, abs=0.002)
    assert mp_fecal_nrc2001(intake=1, microbial_mp=0) == pytest.approx(4.7 * 6.25, abs=0.7)


def test_parts_of_the_2001_need_stay_as_derived():
    need = mp_lactating_nrc2001(body_weight=680, milk=35, true_protein=3.0, intake=23.6, microbial_mp=1331.2)
    assert need.fecal == pytest.approx(541.6, rel=1e-6)
    assert need.endogenous == pytest.approx(167.313, rel=1e-5)
    assert need.maintenance == pytest.approx(830.847, rel=1e-5)
    assert need.total == pytest.approx(2398.01, rel=1e-5)


@pytest.mark.parametrize(
    ("body_weight", "milk", "intake", "target"),
    [
        (650, 25, 21.2233, 1671.61), (650, 35, 23.3224, 2141.72), (650, 45, 25.4214, 2611.83),
        (680, 25, 21.8814, 1692.95), (680, 35, 23.9804, 2163.06), (680, 45, 26.0795, 2633.17),
    ],
)  # fmt: skip
def test_the_2021_target_stays_as_derived(body_weight, milk, intake, target):
    cow = mp_lactating_nasem2021(body_weight=body_weight, milk=milk, true_protein=3.0, intake=intake, ndf=32)
    assert cow.total == pytest.approx(target, rel=1e-5)


@given(st.floats(5, 60), st.floats(2.5, 4))
def test_milk_asks_less_protein_in_the_newer_edition(milk, true_protein):
    milk_of = {"milk": milk, "true_protein": true_protein}
    assert mp_milk_nasem2021(**milk_of) < mp_milk_nrc2001(**milk_of)


def test_target_efficiency_of_amino_acids_as_printed():
    # NASEM 2021 table 6-4, as printed by Erickson and others 2023
    assert target_efficiencies()["Lys"] == 0.72
    assert target_efficiencies()["Met"] == 0.73
    assert len(target_efficiencies()) == 9
