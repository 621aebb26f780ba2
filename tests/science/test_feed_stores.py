"""Stores: geometry, density and units against scipy's constants."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from herdbook.errors import Refused
from herdbook.science.feed_store_tables import bulk_densities_kg_m3, shrink
from herdbook.science.feed_stores import (
    FT_M,
    LB_FT3,
    LB_KG,
    bunker_volume,
    daily_volume,
    days_left,
    face_removal,
    pile_volume,
    round_silo_volume,
    upright_silo_dry_matter_tons,
)
from herdbook.science.registry import rule

size = st.floats(0.5, 50)


def test_unit_factors_agree_with_a_constants_library():
    assert pytest.approx(constants.pound) == LB_KG
    assert pytest.approx(constants.foot) == FT_M
    assert pytest.approx(constants.pound / constants.foot**3) == LB_FT3


def test_a_silo_is_an_area_times_a_depth():
    # a printed rule multiplies diameter by depth
    assert round_silo_volume(diameter=6, length=20) == pytest.approx(math.pi * 9 * 20)
    assert round_silo_volume(diameter=12, length=20) == pytest.approx(
        4 * round_silo_volume(diameter=6, length=20)
    )


@given(size, size, size)
def test_a_pile_with_upright_sides_is_a_block(width, length, height):
    pile = pile_volume(
        bottom_width=width, top_width=width, bottom_length=length, top_length=length, height=height
    )
    assert pile == pytest.approx(width * length * height)
    assert bunker_volume(bottom_width=width, top_width=width, height=height, length=length) == pytest.approx(
        pile
    )


@given(size, size, size)
def test_a_pile_to_a_point_is_a_pyramid(width, length, height):
    pile = pile_volume(bottom_width=width, top_width=0, bottom_length=length, top_length=0, height=height)
    assert pile == pytest.approx(width * length * height / 3)


def test_face_goes_back_by_what_is_fed():
    volume = daily_volume(dry_matter_fed=3000 * LB_KG, density=14 * LB_FT3)
    assert volume == pytest.approx(214.3 * FT_M**3, abs=0.05 * FT_M**3)
    centimetres = face_removal(daily_volume=volume, width=30 * FT_M, height=10 * FT_M)
    assert centimetres == pytest.approx(214.286 / 300 * 30.48, rel=1e-5)


def test_wet_tons_in_an_upright_silo():
    # Iowa State C6-82: tons of dry matter over (1 - moisture), at 65 % moisture
    for diameter, depth, wet_tons in ((20, 50, 347.819), (24, 60, 659.196)):
        dry_tons = upright_silo_dry_matter_tons(feed="corn silage", diameter=diameter, depth=depth)
        assert dry_tons / 0.35 == pytest.approx(wet_tons, rel=1e-4)


def test_more_than_thirty_pounds_of_dry_matter_in_a_cubic_foot_is_refused():
    # a source prints "tons of dry matter per cubic foot" where it means pounds
    with pytest.raises(Refused, match="density"):
        rule("daily-volume").compute(dry_matter_fed=1000, density=31 * LB_FT3)


@given(st.floats(100, 1e6), st.floats(0, 50), st.floats(1, 5000))
def test_loss_shortens_what_is_left(stored, loss, fed):
    assert days_left(stored=stored, loss=loss, fed=fed) <= days_left(stored=stored, loss=0, fed=fed)


def test_bulk_density_of_corn():
    # Alabama: 45 lb in a cubic foot
    assert bulk_densities_kg_m3()["shelled corn"] == pytest.approx(720.8, abs=0.1)


def test_losses_have_a_low_and_a_high():
    assert all(0 <= one.low_percent < one.high_percent <= 40 for one in shrink())
