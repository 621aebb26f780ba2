"""Ceilings, nitrate, urea, selenium, monensin and toxins: the strict source first, and the classic slips."""

import pytest

from herdbook.errors import Refused
from herdbook.science.additives import SHORT_TON_KG, grams_per_ton, looks_tenfold
from herdbook.science.limits_feed import over_tolerable, tolerable_levels, toxin_limits
from herdbook.science.nitrate import nitrate_bands, nitrate_forms, nitrate_n
from herdbook.science.nutrients import nutrient
from herdbook.science.registry import rule
from herdbook.science.sources import SOURCES

molmass = pytest.importorskip("molmass")


@pytest.mark.parametrize(("form", "formula"), [("NO3", "NO3"), ("KNO3", "KNO3")])
def test_nitrate_forms_agree_with_an_atomic_weights_library(form, formula):
    factor = molmass.Formula(formula).mass / molmass.Formula("N").mass
    assert nitrate_n(level=factor * 1000, form=form) == pytest.approx(1000, rel=1e-4)


def test_nitrate_forms_come_home():
    forms = nitrate_forms(nitrate_n=1234.0)
    assert nitrate_n(level=forms.nitrate, form="NO3") == pytest.approx(1234)
    assert nitrate_n(level=forms.potassium_nitrate, form="KNO3") == pytest.approx(1234)


def test_nitrate_taken_for_nitrate_nitrogen_changes_the_verdict():
    level = 4000  # as printed on the report, in mg/kg of nitrate
    assert nitrate_bands(nitrate_n(level=level, form="NO3"))[0].open_cows == "safe"
    assert nitrate_bands(level)[0].most_of_ration == 25


@pytest.mark.parametrize(
    ("level", "strictest", "open_cows"),
    [
        (0, "CLEMSON", "safe"),
        (900, "CLEMSON", "safe"),
        (1800, "CLEMSON", "half of the ration"),
        (3000, "CLEMSON", "35-40 % of the ration"),
        (4000, "CLEMSON", "25 % of the ration"),
        (4001, "CLEMSON", "not to be fed"),
    ],
)
def test_nitrate_bands_show_both_sources_strictest_first(level, strictest, open_cows):
    bands = nitrate_bands(level)
    assert {band.source for band in bands} == {"CLEMSON", "DAIRYLAND"}
    assert (bands[0].source, bands[0].open_cows) == (strictest, open_cows)


def test_pregnant_cows_are_never_allowed_more_than_others():
    for level in range(0, 5000, 250):
        for band in nitrate_bands(level):
            if band.open_cows == "not to be fed":
                assert band.pregnant_cows == "not to be fed"


@pytest.mark.parametrize("level", [-1, float("nan")])
def test_an_impossible_nitrate_is_refused(level):
    with pytest.raises(Refused):
        nitrate_bands(level)


def test_a_premix_at_ten_times_the_amount_is_noticed():
    # teaching on mineral tolerance: 100 lb instead of 10 lb of premix
    assert looks_tenfold(typed=100, usual=10)
    assert looks_tenfold(typed=1, usual=10)
    assert not looks_tenfold(typed=20, usual=10)
    assert not looks_tenfold(typed=0, usual=10)


def test_copper_names_both_ceilings_strictest_first():
    levels = tolerable_levels("cu")
    assert [one.low for one in levels] == [20, 40]
    assert [one.source for one in over_tolerable("cu", 25)] == ["WEISS2017"]
    assert over_tolerable("cu", 15) == ()


def test_ceilings_are_in_the_unit_of_the_nutrient_list():
    for key in ("cu", "se", "s", "mg", "k", "fe", "zn", "i", "co", "mn", "mo", "ca", "p", "na", "cl"):
        assert tolerable_levels(key)
        assert all(one.unit == nutrient(key).unit for one in tolerable_levels(key))


def test_sodium_and_chloride_are_held_to_what_salt_at_three_percent_brings():
    # extension.org, Mineral Tolerances of Animals, after NRC 2005: sodium chloride 3 % of dry matter
    for key, element in (("na", "Na"), ("cl", "Cl")):
        (level,) = tolerable_levels(key)
        part = molmass.Formula(element).mass / molmass.Formula("NaCl").mass
        assert level.low == level.high == pytest.approx(3 * part, abs=0.005)


def test_milk_aflatoxin_is_half_a_part_per_billion_with_a_primary_source():
    # one extension table prints 5 ppb
    (limit,) = toxin_limits("aflatoxin_m1")
    assert (limit.low, limit.unit) == (0.5, "ppb")
    assert "Food and Drug Administration" in SOURCES[limit.source].author


def test_vomitoxin_shows_the_stricter_reading_first_and_both():
    limits = toxin_limits("don", of="ration")
    assert [one.low for one in limits] == [2, 5]
    assert len({one.source for one in limits}) == 2


def test_monensin_of_the_label_unit():
    assert grams_per_ton(12.1254) == pytest.approx(11, rel=1e-5)
    assert pytest.approx(2000 * 0.45359237) == SHORT_TON_KG
    warned = rule("monensin-per-head").compute(strength=30, intake=24)
    assert any("range the source covers" in warning for warning in warned.warnings)


def test_urea_over_the_published_ceiling_warns():
    assert rule("urea-of-concentrate").compute(urea=0.2, concentrate=10).warnings
    assert not rule("urea-of-concentrate").compute(urea=0.1, concentrate=10).warnings
