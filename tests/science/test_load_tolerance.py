"""How far a feed may be off, what an error does to a ration, and how it is mended."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.load_tolerance import figure_moves, is_off, mend, tolerance_g
from herdbook.science.ration import Part

KG = 1_000


@pytest.mark.parametrize(
    ("planned_kg", "kind", "allowed_kg"),
    [
        (100, "grain", 5),  # 5 % of a small feed
        (500, "grain", 25),
        (800, "forage", 25),  # between 500 and 1,250 kg the weight is the limit
        (1_250, "forage", 25),
        (3_000, "forage", 60),  # 2 % of a large one
        (800, "mineral", 40),  # a mineral is 5 % whatever it weighs
        (800, "premix", 40),
    ],
)
def test_a_tolerance_goes_by_the_size_of_the_feed(planned_kg: int, kind: str, allowed_kg: float) -> None:
    assert tolerance_g(planned_g=planned_kg * KG, kind=kind) == pytest.approx(allowed_kg * KG)


@given(st.floats(1, 2e7), st.floats(1, 2e7))
def test_a_bigger_feed_is_never_allowed_less(one: float, other: float) -> None:
    small, big = sorted((one, other))
    assert tolerance_g(planned_g=small) <= tolerance_g(planned_g=big) + 1e-9


@given(planned=st.floats(1, 2e7), step=st.floats(1, 20_000), kind=st.sampled_from(["grain", "premix"]))
def test_one_step_of_the_scale_is_never_an_error(planned: float, step: float, kind: str) -> None:
    for loaded in (planned + step, planned - step):
        if planned >= step:
            assert not is_off(planned_g=planned, loaded_g=loaded, step_g=step, kind=kind)


def test_five_pounds_more_on_a_scale_of_five_pounds_is_no_error() -> None:
    lb = 453.59237
    assert not is_off(planned_g=round(40 * lb), loaded_g=round(45 * lb), step_g=2_267.962, kind="mineral")
    assert is_off(planned_g=round(40 * lb), loaded_g=round(50 * lb), step_g=2_267.962, kind="mineral")


def test_what_is_smaller_than_the_step_was_weighed_by_hand_and_is_held_to_its_share() -> None:
    assert is_off(planned_g=1_000, loaded_g=3_000, step_g=5_000, kind="premix")
    assert not is_off(planned_g=1_000, loaded_g=1_050, step_g=5_000, kind="premix")


def test_a_feed_that_was_not_planned_is_off_as_soon_as_it_is_in() -> None:
    assert is_off(planned_g=0, loaded_g=10, step_g=5_000)
    assert not is_off(planned_g=0, loaded_g=0, step_g=5_000)


def parts(silage: float, meal: float) -> list[Part]:
    return [
        Part("Silage", "forage", silage, 0.4, {"cp": 8.0, "ndf": 45.0}),
        Part("Meal", "protein", meal, 0.9, {"cp": 50.0, "ndf": 10.0}),
    ]


def test_an_error_moves_the_figures_by_what_it_carries() -> None:
    # as planned: 400 kg dry at 8 % and 90 kg at 50 %: 77 / 490 = 15.714 %; 10 kg meal more: 81.5 / 499 = 16.333 %
    (cp,) = figure_moves(parts(1_000, 100), parts(1_000, 110), {"cp": (15.5, 16.5, 17.5)})
    assert (cp.planned, cp.now) == (pytest.approx(15.7143, abs=1e-4), pytest.approx(16.3327, abs=1e-4))
    assert (cp.word, cp.limit) == ("ok", None)


def test_a_figure_that_passes_its_limit_comes_first() -> None:
    targets = {"cp": (10.0, None, 30.0), "ndf": (39.0, None, 45.0)}
    # NDF as planned (180 + 9) / 490 = 38.571 is low already; with less meal (180 + 4.5) / 445 = 41.461
    moves = figure_moves(parts(1_000, 50), parts(1_000, 100), targets)
    assert [(move.figure.key, move.word) for move in moves] == [("ndf", "low"), ("cp", "ok")]
    assert moves[0].limit == 39.0
    assert moves[0].now == pytest.approx(38.5714, abs=1e-4)


def test_without_targets_what_is_always_watched_is_told() -> None:
    moves = figure_moves(parts(1_000, 100), parts(1_000, 110), {"dm_intake": (20.0, None, 25.0)})
    assert {move.figure.key for move in moves} == {"cp", "ndf", "forage_share"}
    assert {move.word for move in moves} == {"no target"}


PLANNED = {"silage": 3_000_000, "grain": 500_000, "meal": 250_000}


def test_others_are_scaled_to_a_feed_that_is_over_and_what_is_in_stays_in() -> None:
    fix = mend(
        "silage", PLANNED, {"silage": 3_300_000, "grain": 500_000}, capacity_g=5_000_000, step_mg=1_000
    )
    assert fix is not None
    assert fix.factor == pytest.approx(1.1)
    assert fix.adds_g == {"grain": 50_000, "meal": 275_000}
    assert (fix.total_g, fix.fits) == (4_125_000, True)


def test_a_mixer_that_cannot_hold_it_is_filled_and_the_rest_is_told() -> None:
    # 800 kg fit beside the silage, where 750 were planned: 1.0667 of the recipe; the silage is 1.1 of it, 3.125 % over
    fix = mend("silage", PLANNED, {"silage": 3_300_000}, capacity_g=4_100_000, step_mg=1_000)
    assert fix is not None
    assert not fix.fits
    assert fix.still_off == pytest.approx(0.03125)
    assert fix.total_g == 4_100_000


def test_a_full_mixer_cannot_be_mended() -> None:
    assert (
        mend("silage", PLANNED, {**PLANNED, "silage": 3_300_000}, capacity_g=3_750_000, step_mg=1_000) is None
    )


def test_a_feed_that_is_under_gets_what_is_missing() -> None:
    fix = mend("silage", PLANNED, {"silage": 2_700_000}, capacity_g=5_000_000, step_mg=1_000)
    assert fix is not None
    assert (fix.factor, fix.adds_g["silage"], fix.total_g) == (1.0, 300_000, 3_750_000)


def test_a_feed_beside_the_plan_has_no_recipe_to_keep() -> None:
    assert mend("hay", PLANNED, {"hay": 50}, capacity_g=5_000_000, step_mg=1) is None


loads = st.fixed_dictionaries({name: st.integers(0, 4_000_000) for name in PLANNED})


@given(loaded=loads, feed=st.sampled_from(sorted(PLANNED)), step=st.sampled_from([1, 1_000_000, 2_267_962]))
def test_a_mended_load_never_overfills_the_mixer_and_takes_nothing_out(
    loaded: dict[str, int], feed: str, step: int
) -> None:
    fix = mend(feed, PLANNED, loaded, capacity_g=9_000_000, step_mg=step)
    if fix is not None:
        assert fix.total_g <= 9_000_000
        assert all(grams > 0 for grams in fix.adds_g.values())
        assert fix.total_g == sum(loaded.values()) + sum(fix.adds_g.values())
