"""Intake predictions: which apply, what they lack, and how they behave."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.intake import PREDICTIONS, KnownForIntake, predictions
from herdbook.science.intake_dry import dmi_dry_nasem2021, dmi_dry_nrc2001, dmi_heifer_nasem2021a
from herdbook.science.intake_lactating import dmi_lactating_nasem2021a, dmi_lactating_nrc2001
from herdbook.science.milk_corrections import fcm_4

PEN = KnownForIntake(
    state="lactating", body_weight=650, milk=35, fat=3.5, true_protein=3.0, lactose=4.8, parity=1, condition=3,
    days_in_milk=90, ndf=32, adf=20, forage_ndf=23, ndf_digestibility=50,
)  # fmt: skip


def by_rule(known):
    return {one.rule: one for one in predictions(known)}


@pytest.mark.parametrize(
    ("body_weight", "milk", "in_2001", "in_2021a"),
    [
        (650, 25, 20.1818, 21.2233), (650, 35, 23.4787, 23.3224), (650, 45, 26.7757, 25.4214),
        (680, 25, 20.5927, 21.8814), (680, 35, 23.8897, 23.9804), (680, 45, 27.1866, 26.0795),
    ],
)  # fmt: skip
def test_predictions_of_both_editions_stay_as_derived(body_weight, milk, in_2001, in_2021a):
    known = KnownForIntake(
        state="lactating", body_weight=body_weight, milk=milk, fat=3.5, true_protein=3.0, lactose=4.8, parity=1,
        condition=3, days_in_milk=90,
    )  # fmt: skip
    found = by_rule(known)
    assert found["dmi-lactating-2001"].value == pytest.approx(in_2001, rel=1e-4)
    assert found["dmi-lactating-2021a"].value == pytest.approx(in_2021a, rel=1e-4)


def test_all_predictions_come_back_and_none_is_mixed_with_another():
    found = predictions(PEN)
    assert [one.rule for one in found] == list(PREDICTIONS["lactating"])
    assert all(one.value is not None for one in found)
    assert len({round(one.value, 6) for one in found}) == len(found)


def test_what_is_missing_is_named():
    found = by_rule(KnownForIntake(state="lactating", body_weight=650, milk=35, fat=3.5, days_in_milk=90))
    assert found["dmi-lactating-2001"].value is not None
    assert found["dmi-lactating-2021b"].value is None
    assert "NDF from forage, of dry matter" in found["dmi-lactating-2021b"].missing
    assert "body condition score" in found["dmi-lactating-2021a"].missing


def test_a_fresh_pen_is_outside_what_the_diet_equation_was_made_from():
    fresh = KnownForIntake(
        state="lactating", milk=35, ndf=32, adf=20, forage_ndf=23, ndf_digestibility=50, days_in_milk=12
    )
    found = by_rule(fresh)["dmi-lactating-2021b"]
    assert any("60 to 309" in caution for caution in found.cautions)


def test_a_diet_outside_the_data_is_said_to_be():
    strange = KnownForIntake(
        state="lactating", milk=35, ndf=32, adf=20, forage_ndf=45, ndf_digestibility=50, days_in_milk=120
    )
    found = by_rule(strange)["dmi-lactating-2021b"]
    assert any("range the source covers" in caution for caution in found.cautions)


def test_energy_of_milk_from_fat_alone_is_said_to_be():
    known = KnownForIntake(
        state="lactating", body_weight=650, milk=35, fat=3.5, parity=1, condition=3, days_in_milk=90
    )
    assert any("fat alone" in caution for caution in by_rule(known)["dmi-lactating-2021a"].cautions)


def test_long_before_calving_the_last_weeks_equations_do_not_apply():
    found = by_rule(KnownForIntake(state="dry", body_weight=700, days_to_calving=-45, kind="cow", ndf=45))
    assert found["dmi-dry-2001"].value is None
    assert found["dmi-dry-2001"].cautions
    assert found["dmi-dry-2021"].value == pytest.approx(7 * 1.872, rel=1e-6)


def test_heifers_get_their_own():
    found = by_rule(KnownForIntake(state="heifer", body_weight=300, mature_weight=700, nem=1.4, ndf=45))
    assert found["dmi-heifer-2021a"].value == pytest.approx(7.44049, rel=1e-4)
    assert found["dmi-heifer-2001"].value == pytest.approx(7.04182, rel=1e-4)
    assert found["dmi-heifer-2021b"].from_memory


def test_printed_intakes_fit_a_cow_of_659_kg_to_the_digit():
    # NRC 2001 tables headed 680 kg: 20.3, 23.6, 26.9, 30.0 and, 11 days in milk, 15.6 kg
    for milk, days, printed in (
        (25, 90, 20.3),
        (35, 90, 23.6),
        (45, 90, 26.9),
        (54.4, 90, 30.0),
        (35, 11, 15.6),
    ):
        fcm = fcm_4(milk=milk, fat=3.5)
        fitted = dmi_lactating_nrc2001(fcm=fcm, body_weight=659, week_of_lactation=days / 7)
        assert fitted == pytest.approx(printed, abs=0.05)


@given(st.floats(5, 60), st.floats(0.5, 10), st.floats(400, 800), st.floats(0, 40))
def test_more_milk_means_more_eaten(fcm, more, body_weight, week):
    cow = {"body_weight": body_weight, "week_of_lactation": week}
    assert dmi_lactating_nrc2001(fcm=fcm + more, **cow) > dmi_lactating_nrc2001(fcm=fcm, **cow)


@given(st.floats(0, 1), st.floats(1, 100))
def test_intake_rises_after_calving(parity, day):
    cow = {"parity": parity, "milk_energy": 28, "body_weight": 650, "condition": 3}
    later = dmi_lactating_nasem2021a(**cow, days_in_milk=day + 20)
    assert later > dmi_lactating_nasem2021a(**cow, days_in_milk=day)


@given(st.floats(-20, -1), st.sampled_from(["cow", "heifer"]))
def test_intake_falls_towards_calving(day, kind):
    animal = {"body_weight": 700, "kind": kind}
    assert dmi_dry_nrc2001(**animal, days_to_calving=day + 1) < dmi_dry_nrc2001(**animal, days_to_calving=day)
    week = day / 7
    diet = {"body_weight": 700, "ndf": 45}
    later = dmi_dry_nasem2021(**diet, weeks_to_calving=week + 1 / 7)
    assert later < dmi_dry_nasem2021(**diet, weeks_to_calving=week)


@given(st.floats(80, 600), st.floats(5, 50))
def test_a_heavier_heifer_eats_more(weight, more):
    light = dmi_heifer_nasem2021a(body_weight=weight, mature_weight=700)
    assert dmi_heifer_nasem2021a(body_weight=weight + more, mature_weight=700) > light
