"""Announced prices come out of the formulas of their month, exactly, and of no mixture of two sets."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.errors import Refused
from herdbook.science.milk_prices import (
    COMPLETE_SETS,
    COMPOSITIONS,
    SETS,
    cell_count_adjustment,
    cell_count_rate,
    class_III_skim,
    class_IV_skim,
    class_price,
    price_per_gallon,
    uniform_price,
)
from herdbook.science.price_formulas import (
    PER_LB,
    announced_prices,
    composition_of,
    compositions,
    price_set_of,
    price_sets,
    rounded,
)
from herdbook.science.producer_value import (
    POOL_JANUARY_2017,
    MilkSold,
    Prices,
    line,
    milk_cheque,
    producer_price_differential,
    promotion,
)

D = Decimal
JANUARY_2017, JUNE_2000, AUGUST_2025 = date(2017, 1, 1), date(2000, 6, 1), date(2025, 8, 1)


def test_june_2000_comes_out_of_the_set_of_2000():
    """Penn State, Lancaster Farming, 22 July 2000."""
    known = price_set_of(JUNE_2000)
    fat = known.butterfat(D("1.2725"))
    assert (fat, known.other_solids(D("0.1794"))) == (D("1.4128"), D("0.0438"))
    assert known.protein(D("1.1137"), fat) == D("1.4278")


def test_january_2017_comes_out_complete():
    """Product prices of Milk Business, 3 February 2017; components of the Mideast pool sheet."""
    known, skim = price_set_of(JANUARY_2017), composition_of(JANUARY_2017)
    fat, solids = known.butterfat(D("2.2568")), known.other_solids(D("0.4421"))
    protein, powder = known.protein(D("1.7011"), fat), known.nonfat_solids(D("1.0229"))
    assert (fat, protein, solids) == (D("2.5253"), D("2.1768"), D("0.2503"))
    assert class_III_skim(protein, solids, skim) == D("8.22")
    assert class_price(D("8.22"), fat) == D("16.77")
    assert D("8.22") * D("0.965") + fat * D("3.5") == D("16.77085")
    assert class_price(class_IV_skim(powder, skim), fat) == D("16.19")
    assert rounded(D("0.8633") * 9, D("0.01")) == D("7.77")
    assert class_price(D("7.77"), fat + D("0.007")) == D("16.36")
    assert cell_count_rate(cheese=1.7011) == 0.00085


def test_august_2025_comes_out_complete():
    """USDA AMS CLS-0825, 4 September 2025: the new formulas with the old composition."""
    known, skim = price_set_of(AUGUST_2025), composition_of(AUGUST_2025)
    assert (known.key, skim.key) == ("2025", "to November 2025")
    fat, solids = known.butterfat(D("2.4778")), known.other_solids(D("0.5779"))
    protein, powder = known.protein(D("1.7529"), fat), known.nonfat_solids(D("1.2820"))
    assert (fat, fat + D("0.007")) == (D("2.7255"), D("2.7325"))
    assert (protein, solids, powder) == (D("1.9646"), D("0.3204"), D("1.0323"))
    assert class_III_skim(protein, solids, skim) == D("7.98")
    assert class_price(D("7.98"), fat) == D("17.24")
    assert class_IV_skim(powder, skim) == D("9.29")
    assert class_price(D("9.29"), fat) == D("18.50")


@pytest.mark.parametrize(
    ("fat_times", "fat_kept", "price"),
    [
        ("1.572", "0.9", "1.9666"),
        ("1.572", "0.91", "1.9347"),
        ("1.589", "0.9", "1.9965"),
        ("1.589", "0.91", "1.9646"),
    ],
)
def test_no_mixture_of_old_and_new_protein_numbers_gives_the_announced_price(fat_times, fat_kept, price):
    mixed = replace(price_sets()["2025"], fat_times=D(fat_times), fat_kept=D(fat_kept))
    assert mixed.protein(D("1.7529"), D("2.7255")) == D(price)


def test_january_2017_under_the_rules_since():
    new = price_sets()["2025"]
    fat, solids = new.butterfat(D("2.2568")), new.other_solids(D("0.4421"))
    protein, powder = new.protein(D("1.7011"), fat), new.nonfat_solids(D("1.0229"))
    assert (fat, protein, solids, powder) == (D("2.4578"), D("2.0817"), D("0.1806"), D("0.7758"))
    old_skim, new_skim = (compositions()[key] for key in COMPOSITIONS)
    assert class_price(class_III_skim(protein, solids, old_skim), fat) == D("15.86")
    assert class_price(class_IV_skim(powder, old_skim), fat) == D("15.34")
    assert class_price(class_III_skim(protein, solids, new_skim), fat) == D("16.27")
    assert class_price(class_IV_skim(powder, new_skim), fat) == D("15.56")


@pytest.mark.parametrize(
    ("month", "formulas", "composition"),
    [
        ("2025-05", "2009", "to November 2025"),
        ("2025-06", "2025", "to November 2025"),
        ("2025-11", "2025", "to November 2025"),
        ("2025-12", "2025", "from December 2025"),
    ],
)
def test_formulas_changed_in_june_and_composition_in_december_2025(month, formulas, composition):
    day = date.fromisoformat(f"{month}-15")
    assert (price_set_of(day).key, composition_of(day).key) == (formulas, composition)


@pytest.mark.parametrize("month", ["1999-12", "2001-05", "2003-01", "2006-06", "2008-06"])
def test_a_month_without_known_formulas_is_refused_and_not_guessed(month):
    with pytest.raises(Refused, match="No price formulas"):
        price_set_of(date.fromisoformat(f"{month}-01"))


@pytest.mark.parametrize("key", sorted(set(SETS) - set(COMPLETE_SETS)))
def test_a_formula_that_was_not_printed_is_refused(key):
    with pytest.raises(Refused, match="was not found in print"):
        price_sets()[key].protein(D("1.5"), D("1.5"))
    with pytest.raises(Refused, match="was not found in print"):
        price_sets()[key].nonfat_solids(D("1.5"))


def test_the_choices_are_the_sets_of_the_table():
    assert tuple(price_sets()) == SETS
    assert tuple(compositions()) == COMPOSITIONS


def test_announced_prices_agree_with_the_formulas_wherever_product_prices_were_printed():
    """Every month of the table: what the formulas make of the product prices is what was announced."""
    compared = 0
    for month, row in announced_prices().items():
        if "butter" not in row:
            continue
        known = price_set_of(date.fromisoformat(f"{month}-01"))
        fat = known.butterfat(row["butter"])
        got = {
            "butterfat": fat,
            "protein": known.protein(row["cheese"], fat),
            "other_solids": known.other_solids(row["dry_whey"]),
        }
        for name, price in got.items():
            assert price == row[name], (month, name)
            compared += 1
    assert compared == 9


@pytest.mark.parametrize(
    ("key", "protein", "solids"), [(COMPOSITIONS[0], "2.9915", "5.6935"), (COMPOSITIONS[1], "3.1845", "5.79")]
)
def test_the_standard_test_behind_a_3_5_percent_price(key, protein, solids):
    skim = compositions()[key]
    assert skim.protein * D("0.965") == D(protein)
    assert skim.other_solids * D("0.965") == D(solids)


def test_halves_are_rounded_away_from_nought():
    assert rounded(D("0.00005"), PER_LB) == D("0.0001")
    assert rounded(D("-0.00005"), PER_LB) == D("-0.0001")


def test_17_55_a_hundredweight_is_1_51_a_gallon():
    """Lynden Tribune, August 2019."""
    assert price_per_gallon(price=17.55) == pytest.approx(1.51, abs=0.005)


@pytest.mark.parametrize(("cheese", "a_day"), [(1.25, 0.05), (2.00, 0.08)])
def test_100_000_fewer_cells_are_worth_cents_a_day_to_an_80_pound_cow(cheese, a_day):
    """Trade article, March 2009; the rate here is before its rounding to five places."""
    rate = cheese * 0.0005
    assert cell_count_adjustment(cells=250_000, rate=rate) * 0.80 == pytest.approx(a_day)


# The pool and the cheque --------------------


def test_the_pool_sheet_of_january_2017_line_by_line():
    """Mideast order: the sheet's own products are off the exact ones by cents only."""
    assert 55_546_575 * D("2.1768") == pytest.approx(D("120913784.45"), abs=D("0.02"))
    assert 100_026_303 * D("0.2503") == pytest.approx(D("25036583.59"), abs=D("0.06"))
    assert 67_681_491 * D("2.5253") == pytest.approx(D("170916069.25"), abs=D("0.05"))
    assert D("327882434.50") + D("131021.27") == D("328013455.77")
    found = producer_price_differential(**POOL_JANUARY_2017, reserve=0.0401894)
    assert found.remainder == 8_556_912.58
    assert found.per_cwt == pytest.approx(0.6201894, abs=5e-8)
    assert found.differential == 0.58
    assert uniform_price(class_III=16.77, differential=found.differential) == 17.35


def test_the_average_tests_and_cells_of_that_pool():
    milk = 1_742_125_528
    assert 100 * 67_681_491 / milk == pytest.approx(3.885, abs=1e-5)
    assert 100 * 55_546_575 / milk == pytest.approx(3.18844, abs=1e-5)
    assert 100 * 100_026_303 / milk == pytest.approx(5.74162, abs=1e-5)
    assert 350 - 2_590_105.90 / (milk / 100 * 0.00085) == pytest.approx(175.088, abs=1e-3)


def test_a_differential_can_be_below_nought():
    poor = POOL_JANUARY_2017 | {"class_value": 310_000_000.0}
    assert producer_price_differential(**poor, reserve=0.04).differential < 0


MILK = MilkSold(D(100_000), D("3.88"), D("3.19"), D("5.74"), D(200))
PRICES = Prices(D("2.5253"), D("2.1768"), D("0.2503"), D("0.58"), D("0.00085"))


def test_a_cheque_of_100_000_pounds():
    cheque = milk_cheque(MILK, PRICES, [promotion(MILK.milk_lb)])
    assert {item.key: item.amount for item in cheque.earned} == {
        "butterfat": D("9798.16"),
        "protein": D("6943.99"),
        "other_solids": D("1436.72"),
        "differential": D("580.00"),
        "cells": D("127.50"),
    }
    assert (cheque.gross, cheque.taken_off[0].amount, cheque.net) == (
        D("18886.37"),
        D("150.00"),
        D("18736.37"),
    )


def test_an_order_without_cell_adjustment_has_no_such_line():
    """The Northeast, 7 CFR 1001.73."""
    cheque = milk_cheque(MILK._replace(cells_thousand=None), PRICES)
    assert [item.key for item in cheque.earned] == ["butterfat", "protein", "other_solids", "differential"]
    assert cheque.gross == D("18758.87")


def test_many_cells_and_a_negative_differential_take_money_off():
    cheque = milk_cheque(MILK._replace(cells_thousand=D(500)), PRICES._replace(differential=D("-1.10")))
    amounts = {item.key: item.amount for item in cheque.earned}
    assert (amounts["cells"], amounts["differential"]) == (D("-127.50"), D("-1100.00"))


money = st.decimals(-5, 5, places=4)
tests = st.decimals(0, 8, places=2)


@given(
    milk=st.integers(0, 10_000_000), fat=tests, protein=tests, solids=tests, cells=st.integers(0, 2000),
    prices=st.tuples(money, money, money, money, st.decimals(0, D("0.003"), places=5)),
)  # fmt: skip
def test_a_cheque_adds_up_to_the_cent(milk, fat, protein, solids, cells, prices):
    off = [promotion(D(milk)), line("hauling", "Hauling", D(milk) / 100, "cwt", D("0.83"))]
    cheque = milk_cheque(MilkSold(D(milk), fat, protein, solids, D(cells)), Prices(*prices), off)
    assert sum(item.amount for item in cheque.earned) == cheque.gross
    assert cheque.gross - sum(item.amount for item in cheque.taken_off) == cheque.net
    for item in cheque.earned + cheque.taken_off:
        assert item.amount == item.amount.quantize(D("0.01"))
        assert abs(item.amount - item.quantity * item.price) <= D("0.005")
