"""Totals of a ration against a published mix, a ration worked by hand, and what any total must obey."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.nutrients import nutrients
from herdbook.science.ration import Part, totals, verdict

LB_KG = 0.45359237

# PMC5355475 (2017), table 2: three feeds and the mix "TMR CON", g/kg dry matter; dry matter g/kg as fed.
# A dash in the paper ("not determined") is an absent key here. Dry-matter shares 30, 40, 30 %.
GRASS = {"ash": 91, "cp": 140, "fat": 30, "ndf": 542, "adf": 322, "lignin": 15, "sugar": 89}
CORN = {"ash": 41, "cp": 80, "fat": 35, "ndf": 333, "adf": 202, "lignin": 9, "starch": 373}
CONCENTRATE = {
    "ash": 120,
    "cp": 394,
    "fat": 33,
    "ndf": 203,
    "adf": 101,
    "lignin": 17,
    "starch": 18,
    "sugar": 137,
}
PRINTED_MIX = {"ash": 79, "cp": 192, "fat": 33, "ndf": 357, "adf": 208, "lignin": 13}
PRINTED_MIX_DASH_AS_ZERO = {"starch": 154, "sugar": 68}
MJ_PER_MCAL = 4.184


def published_parts() -> list[Part]:
    def part(feed, kind, share, dm_g_per_kg, g_per_kg, ge_mj):
        percent = {key: figure / 10 for key, figure in g_per_kg.items()}
        return Part(
            feed,
            kind,
            as_fed_kg=share / (dm_g_per_kg / 1000),
            dry_fraction=dm_g_per_kg / 1000,
            nutrients=percent | {"gross_energy": ge_mj / MJ_PER_MCAL},
        )

    return [
        part("grass silage", "forage", 30, 554, GRASS, 18.3),
        part("corn silage", "forage", 40, 316, CORN, 18.3),
        part("concentrate", "grain", 30, 878, CONCENTRATE, 18.0),
    ]


@pytest.mark.parametrize(("key", "g_per_kg"), PRINTED_MIX.items())
def test_a_published_mix_comes_out_as_printed(key, g_per_kg):
    assert totals(published_parts()).nutrients[key].share * 10 == pytest.approx(g_per_kg, abs=1)


@pytest.mark.parametrize(("key", "g_per_kg"), PRINTED_MIX_DASH_AS_ZERO.items())
def test_the_published_mix_counts_what_was_not_determined_as_none(key, g_per_kg):
    total = totals(published_parts()).nutrients[key]
    assert total.share_of_all * 10 == pytest.approx(g_per_kg, abs=1)
    assert total.share * 10 > g_per_kg + 20


def test_gross_energy_of_the_published_mix():
    total = totals(published_parts()).nutrients["gross_energy"]
    assert total.share * MJ_PER_MCAL == pytest.approx(18.2, abs=0.02)


def test_dry_matter_of_the_published_mix_is_total_over_total():
    parts = published_parts()
    mean_of_percentages = 0.30 * 0.554 + 0.40 * 0.316 + 0.30 * 0.878
    dry_share = totals(parts).dry_share
    assert dry_share == pytest.approx(0.465, abs=0.001)
    assert abs(dry_share - mean_of_percentages) > 0.08


def test_total_says_which_dry_matter_has_no_analysis():
    starch = totals(published_parts()).nutrients["starch"]
    assert starch.unknown_dry_kg == pytest.approx(30)
    assert starch.unknown_share == pytest.approx(0.30)


# A ration worked by hand for a 1,450 lb cow: pounds as fed, dry matter %, and % of dry matter.
BY_HAND = [
    ("corn silage", "forage", 55, 35.1, {"cp": 8.8, "ndf": 45.0, "ca": 0.28, "p": 0.26, "k": 1.20}),
    ("legume haylage", "forage", 18, 42.9, {"cp": 21.9, "ndf": 43.2, "ca": 1.37, "p": 0.35, "k": 3.03}),
    ("ground corn", "grain", 12, 88.1, {"cp": 9.4, "ndf": 9.5, "ca": 0.04, "p": 0.30, "k": 0.42}),
    ("soybean meal", "protein", 7, 89.5, {"cp": 53.8, "ndf": 9.8, "ca": 0.35, "p": 0.70, "k": 2.41}),
    ("whole cottonseed", "by-product", 4, 90.1, {"cp": 23.5, "ndf": 50.3, "ca": 0.17, "p": 0.60, "k": 1.13}),
    ("soybean hulls", "by-product", 3, 90.9, {"cp": 13.9, "ndf": 60.3, "ca": 0.63, "p": 0.17, "k": 1.51}),
    ("limestone", "mineral", 0.5, 99.8, {"ca": 34.0, "p": 0.02}),
]


def parts_by_hand(corn_silage_dm: float = 35.1) -> list[Part]:
    return [
        Part(feed, kind, lb * LB_KG, (corn_silage_dm if feed == "corn silage" else dm) / 100, figures)
        for feed, kind, lb, dm, figures in BY_HAND
    ]


def test_ration_by_hand_weights():
    total = totals(parts_by_hand())
    assert total.as_fed_kg / LB_KG == pytest.approx(99.5, rel=1e-9)
    assert total.dry_kg / LB_KG == pytest.approx(50.6940, rel=1e-5)
    assert 100 * total.dry_share == pytest.approx(50.9487, rel=1e-5)
    assert 100 * total.forage_share == pytest.approx(53.3140, rel=1e-5)
    dry_lb = [part.as_fed_kg * part.dry_fraction / LB_KG for part in parts_by_hand()]
    assert dry_lb == pytest.approx([19.305, 7.722, 10.572, 6.265, 3.604, 2.727, 0.499], abs=1e-9)


def test_ration_by_hand_nutrients():
    total = totals(parts_by_hand())
    assert total.nutrients["cp"].amount / LB_KG == pytest.approx(8.98029, rel=1e-5)
    assert total.nutrients["cp"].share_of_all == pytest.approx(17.7147, rel=1e-5)
    assert total.nutrients["ndf"].amount / LB_KG == pytest.approx(17.0987, rel=1e-5)
    assert total.nutrients["ndf"].share_of_all == pytest.approx(33.7292, rel=1e-5)
    assert total.nutrients["ca"].share == pytest.approx(0.747561, rel=1e-5)
    assert total.nutrients["p"].share == pytest.approx(0.353396, rel=1e-5)
    assert total.nutrients["k"].share_of_all == pytest.approx(1.46552, rel=1e-5)
    assert total.ca_to_p.value == pytest.approx(0.747561 / 0.353396, rel=1e-5)


def test_ration_by_hand_fibre_from_forage():
    total = totals(parts_by_hand())
    assert total.forage_ndf_kg / LB_KG == pytest.approx(12.0232, rel=1e-5)
    assert total.forage_ndf.value == pytest.approx(23.7171, rel=1e-5)
    assert total.forage_ndf.unknown_dry_kg == 0
    assert 100 * total.forage_ndf_kg / (1450 * LB_KG) == pytest.approx(0.829183, rel=1e-5)


def test_wetter_silage_loaded_at_the_old_weight_carries_less_dry_matter():
    assert totals(parts_by_hand(corn_silage_dm=30.0)).dry_kg / LB_KG == pytest.approx(47.8890, rel=1e-5)


def test_a_missing_analysis_is_not_zero():
    corn = Part("corn", "grain", 10, 0.88, {"cp": 9.4})
    hay = Part("hay", "forage", 5, 0.84, {})
    total = totals([corn, hay])
    assert total.nutrients["cp"].share == pytest.approx(9.4)
    assert total.nutrients["cp"].share_of_all < 9.4
    assert total.nutrients["cp"].unknown_share == pytest.approx(4.2 / 13.0)
    assert "ndf" not in total.nutrients
    assert total.forage_ndf.value is None
    assert total.forage_ndf.unknown_dry_kg == pytest.approx(4.2)


def test_a_measured_zero_is_not_missing():
    urea = Part("urea", "mineral", 1, 0.99, {"ndf": 0.0, "cp": 281.0})
    total = totals([urea])
    assert total.nutrients["ndf"].share == 0
    assert total.nutrients["ndf"].unknown_dry_kg == 0
    assert total.nutrients["cp"].share == pytest.approx(281.0)


def test_soluble_protein_is_weighted_by_protein_and_not_by_dry_matter():
    meal = Part("meal", "protein", 1, 1.0, {"cp": 50.0, "sol_cp": 20.0})
    silage = Part("silage", "forage", 1, 1.0, {"cp": 10.0, "sol_cp": 50.0})
    salt = Part("salt", "mineral", 1, 1.0, {"cp": 0.0})
    soluble = totals([meal, silage, salt]).nutrients["sol_cp"]
    assert soluble.share == pytest.approx((0.5 * 20 + 0.1 * 50) / 0.6)
    assert soluble.unknown_dry_kg == 0  # salt has no protein to be soluble


def test_ph_is_not_averaged():
    assert "ph" not in totals([Part("silage", "forage", 1, 0.35, {"ph": 3.9})]).nutrients


def test_non_fibre_carbohydrate_counts_bound_protein_once_when_it_is_known():
    # Progressive Dairy (2015), "The language of nutrition": 50.49 corrected, and 49.88 without the correction
    figures = {"ndf": 34.42, "cp": 7.43, "fat": 3.05, "ash": 5.22}
    with_bound = totals([Part("silage", "forage", 1, 0.35, figures | {"ndicp": 0.61})]).nfc
    without = totals([Part("silage", "forage", 1, 0.35, figures)]).nfc
    assert (with_bound.rule, with_bound.value) == ("nfc-ndicp", pytest.approx(50.49, abs=0.005))
    assert (without.rule, without.value) == ("nfc-by-difference", pytest.approx(49.88, abs=0.005))


def test_non_fibre_carbohydrate_says_what_it_leaves_out():
    figures = {"ndf": 34.42, "cp": 7.43, "fat": 3.05, "ash": 5.22}
    known = Part("silage", "forage", 10, 0.35, figures)
    nfc = totals([known, Part("corn", "grain", 1, 0.88, {"cp": 9.0})]).nfc
    assert nfc.value == pytest.approx(49.88, abs=0.005)
    assert nfc.unknown_dry_kg == pytest.approx(0.88)


def test_cation_anion_difference_in_both_units():
    # PMC7201084 (2020), table 1, prepartum diet, printed in mEq per 100 g
    diet = Part("diet", "mix", 1, 0.5, {"na": 0.415, "k": 1.05, "cl": 1.98, "s": 0.805})
    total = totals([diet])
    assert total.dcad_meq_per_100g.value == pytest.approx(-61.3, abs=0.5)
    assert total.dcad_meq_per_kg.value == pytest.approx(-613, abs=5)


def test_nothing_fed_has_no_shares():
    total = totals([])
    assert (total.as_fed_kg, total.dry_kg, total.dry_share, total.forage_share) == (0, 0, None, None)
    assert total.nfc.value is None
    assert total.dcad_meq_per_100g.value is None


kilograms = st.floats(0.01, 500)
dry_fractions = st.floats(0.05, 1)
figures = st.dictionaries(
    st.sampled_from([k for k, n in nutrients().items() if n.of == "dm"]), st.floats(0, 300)
)
parts = st.builds(
    Part, st.just("feed"), st.sampled_from(["forage", "grain"]), kilograms, dry_fractions, figures
)


@given(st.lists(parts, min_size=1, max_size=8))
def test_a_share_lies_between_those_of_its_parts(mix):
    total = totals(mix)
    for key, one in total.nutrients.items():
        known = [part.nutrients[key] for part in mix if key in part.nutrients]
        assert min(known) - 1e-6 <= one.share <= max(known) + 1e-6
        assert one.share_of_all <= one.share + 1e-6
        assert -1e-6 <= one.unknown_share <= 1


@given(st.lists(parts, min_size=1, max_size=8))
def test_dry_matter_lies_between_those_of_the_parts(mix):
    fractions = [part.dry_fraction for part in mix]
    assert min(fractions) - 1e-9 <= totals(mix).dry_share <= max(fractions) + 1e-9


@given(st.lists(parts, min_size=1, max_size=5), st.lists(parts, min_size=1, max_size=5))
def test_two_loads_carry_what_each_carries(one, other):
    together, first, second = totals(one + other), totals(one), totals(other)
    for key, total in together.nutrients.items():
        apart = sum(some.nutrients[key].amount for some in (first, second) if key in some.nutrients)
        assert total.amount == pytest.approx(apart, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("value", "low", "aim", "high", "word", "distance", "from_aim"),
    [
        (16.0, 16.5, 17.0, 17.5, "low", -0.5, -1.0),
        (17.25, 16.5, 17.0, 17.5, "ok", 0, 0.25),
        (18.0, 16.5, 17.0, 17.5, "high", 0.5, 1.0),
        (16.5, 16.5, None, None, "ok", 0, None),
        (None, 16.5, 17.0, 17.5, "no value", 0, None),
        (5.0, None, None, None, "no target", 0, None),
        (0.1 + 0.2, None, None, 0.3, "ok", 0, None),
    ],
)
def test_verdict_in_words_and_distance(value, low, aim, high, word, distance, from_aim):
    found = verdict(value, low, aim, high)
    assert (found.word, found.from_aim) == (word, from_aim)
    assert found.distance == pytest.approx(distance)
