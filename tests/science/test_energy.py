"""Energy of feeds and cows: published rows, worked steps, and what the two editions must do to each other."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.carbohydrate import component_sum, nfc_ndicp
from herdbook.science.energy_fractions_nrc2001 import (
    de_1x,
    fatty_acids,
    processing_factors,
    td_cp_forage,
    td_ndf,
    td_nfc,
)
from herdbook.science.energy_nasem2021 import ndf_digestibility, ndf_digestibility_fed
from herdbook.science.energy_needs_nasem2021 import nel_lactating_nasem2021, nel_maintenance_nasem2021
from herdbook.science.energy_needs_nrc2001 import (
    milk_crude_protein,
    nel_lactating_nrc2001,
    nel_maintenance_nrc2001,
    nel_milk_nrc2001,
)
from herdbook.science.energy_nrc2001 import feed_energy

LB_KG = 0.45359237
CORN_SILAGE = {
    "kind": "forage", "ndf": 45.0, "ndicp": 1.3, "crude_protein": 8.8, "adicp": 0.8, "fat": 3.2, "ash": 4.3,
    "lignin": 2.6, "processing": 0.94,
}  # fmt: skip
GROUND_CORN = {
    "kind": "concentrate", "ndf": 9.5, "ndicp": 0.7, "crude_protein": 9.4, "adicp": 0.3, "fat": 4.2, "ash": 1.5,
    "lignin": 0.9, "processing": 1.0,
}  # fmt: skip
COTTONSEED = {
    "kind": "concentrate", "ndf": 50.3, "ndicp": 2.4, "crude_protein": 23.5, "adicp": 1.9, "fat": 19.3,
    "ash": 4.2, "lignin": 12.9, "processing": 1.0,
}  # fmt: skip
SOYBEAN_MEAL = {
    "kind": "concentrate", "ndf": 9.8, "ndicp": 0.7, "crude_protein": 53.8, "adicp": 0.4, "fat": 1.1, "ash": 6.4,
    "lignin": 0.7, "processing": 1.0,
}  # fmt: skip
DISTILLERS = {
    "kind": "concentrate", "ndf": 38.8, "ndicp": 8.6, "crude_protein": 29.7, "adicp": 5.0, "fat": 10.0, "ash": 5.2,
    "lignin": 4.3, "processing": 1.0,
}  # fmt: skip


@pytest.mark.parametrize(
    ("feed", "tdn", "within"),
    [
        # NRC 2001 table 15-1, recalled, not read again
        pytest.param(CORN_SILAGE, 68.8, 0.05, id="corn silage"),
        pytest.param(GROUND_CORN, 88.7, 0.05, id="ground corn"),
        # derived
        pytest.param(COTTONSEED, 77.2207, 1e-3, id="cottonseed"),
        pytest.param(SOYBEAN_MEAL, 81.0345, 1e-3, id="soybean meal"),
        pytest.param(DISTILLERS, 79.4838, 1e-3, id="distillers grains"),
    ],
)
def test_tdn_of_feeds(feed, tdn, within):
    assert feed_energy(**feed, diet_tdn=74, level=3).tdn_1x == pytest.approx(tdn, abs=within)


@pytest.mark.parametrize(
    ("feed", "nel"),
    [(CORN_SILAGE, 1.44735), (GROUND_CORN, 2.01231), (COTTONSEED, 1.93837), (SOYBEAN_MEAL, 2.19870),
     (DISTILLERS, 1.97407), (GROUND_CORN | {"processing": 0.95}, 1.91002)],
)  # fmt: skip
def test_net_energy_of_feeds_stays_as_derived(feed, nel):
    assert feed_energy(**feed, diet_tdn=74, level=3).nel_p == pytest.approx(nel, rel=1e-4)


@pytest.mark.parametrize("feed", [CORN_SILAGE, GROUND_CORN, COTTONSEED, SOYBEAN_MEAL, DISTILLERS])
def test_components_of_a_believable_analysis_leave_room_for_carbohydrate(feed):
    parts = {name: feed[name] for name in ("crude_protein", "ndf", "ndicp", "fat", "ash")}
    assert component_sum(**parts) <= 100
    assert component_sum(**parts) + nfc_ndicp(**parts) == pytest.approx(100)


def test_steps_of_corn_silage():
    nfc = nfc_ndicp(ndf=45.0, ndicp=1.3, crude_protein=8.8, fat=3.2, ash=4.3)
    carbohydrate = td_nfc(nfc=nfc, processing=processing_factors()["corn silage"])
    protein = td_cp_forage(crude_protein=8.8, adicp=0.8)
    fibre = td_ndf(ndf=45.0, ndicp=1.3, lignin=2.6)
    fat = fatty_acids(fat=3.2)
    energy = de_1x(td_nfc=carbohydrate, td_ndf=fibre, td_cp=protein, fatty_acids=fat)
    assert (nfc, carbohydrate, protein, fat, fibre, energy) == pytest.approx(
        (40.0, 36.848, 7.89051, 2.2, 26.1316, 2.99381), rel=1e-4
    )
    assert feed_energy(**CORN_SILAGE, diet_tdn=74, level=3).me_p == pytest.approx(2.32787, rel=1e-4)


@given(st.floats(1, 6), st.floats(0.1, 2))
def test_a_feed_is_worth_less_the_more_is_eaten(level, more):
    once, twice = (feed_energy(**CORN_SILAGE, diet_tdn=74, level=one) for one in (level, level + more))
    assert twice.nel_p < once.nel_p
    assert twice.tdn_1x == once.tdn_1x


# Teaching handout on NRC 2001: net energy of the diet (Mcal/kg) printed for a 680 kg cow, milk of 3.5 % fat;
# milk composition not printed, taken as 3.0 % true protein and 4.8 % lactose
@pytest.mark.parametrize(
    ("milk", "intake", "printed"),
    [(25, 20.3, 1.37), (35, 23.6, 1.47), (54.4, 30.0, 1.61), (35, 15.6, 2.23), (35, 18.8, 1.85)],
)
def test_net_energy_per_kilogram_of_diet_as_printed(milk, intake, printed):
    protein = milk_crude_protein(true_protein=3.0)
    need = nel_lactating_nrc2001(body_weight=680, milk=milk, fat=3.5, crude_protein=protein, lactose=4.8)
    assert need / intake == pytest.approx(printed, abs=0.01)


def test_maintenance_at_the_newer_rate_would_not_give_the_printed_figure():
    per_kg = nel_milk_nrc2001(fat=3.5, crude_protein=3.22581, lactose=4.8)
    wrong = nel_maintenance_nasem2021(body_weight=680) + 35 * per_kg
    assert abs(wrong / 23.6 - 1.47) > 0.1


@pytest.mark.parametrize(
    ("body_weight", "milk", "nel_2001", "nel_2021"),
    [
        (650, 25, 27.5786, 30.1294), (650, 35, 34.4906, 37.0319), (650, 45, 41.4026, 43.9344),
        (680, 25, 27.9330, 30.5725), (680, 35, 34.8451, 37.4750), (680, 45, 41.7571, 44.3775),
    ],
)  # fmt: skip
def test_energy_needed_by_both_editions_stays_as_derived(body_weight, milk, nel_2001, nel_2021):
    cow = {"body_weight": body_weight, "milk": milk, "fat": 3.5, "lactose": 4.8}
    assert nel_lactating_nrc2001(**cow, crude_protein=3.0 / 0.93) == pytest.approx(nel_2001, rel=1e-4)
    assert nel_lactating_nasem2021(**cow, true_protein=3.0) == pytest.approx(nel_2021, rel=1e-4)


@given(st.floats(350, 900))
def test_the_newer_edition_asks_more_for_maintenance(body_weight):
    more = nel_maintenance_nasem2021(body_weight=body_weight) - nel_maintenance_nrc2001(
        body_weight=body_weight
    )
    assert more == pytest.approx(0.02 * body_weight**0.75)


@given(st.floats(20, 70), st.floats(0.5, 10), st.floats(0.1, 5))
def test_more_lignin_is_less_digested(ndf, lignin, more):
    assert ndf_digestibility(ndf=ndf, lignin=lignin + more) < ndf_digestibility(ndf=ndf, lignin=lignin)


def test_starch_and_intake_lower_fibre_digestion():
    usual = {"digestibility": 0.55, "starch": 26, "intake": 0.035 * 650, "body_weight": 650}
    assert ndf_digestibility_fed(**usual) == pytest.approx(0.55)
    assert ndf_digestibility_fed(**usual | {"starch": 30}) < 0.55
    assert ndf_digestibility_fed(**usual | {"intake": 27}) < 0.55


def test_energy_units():
    # 0.67 Mcal/lb is 1.47710 Mcal/kg
    mcal_per_kg = 0.67 / LB_KG
    assert mcal_per_kg == pytest.approx(1.47710, rel=1e-5)
