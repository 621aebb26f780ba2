"""Amounts as chores ask for them: bounds said in the farm's units, units beside figures, prices, doubts."""

from __future__ import annotations

from typing import Any

import pytest

from herdbook.chores.asking import Count, Name, Word
from herdbook.chores.ground import Ground
from herdbook.chores.load_names import LoadName
from herdbook.chores.measures import PricePerWeight, ask_share, ask_stick, ask_warmth, ask_weight
from herdbook.chores.moments import Day, Moment
from herdbook.chores.nutrient_asks import FigureKey, NutrientKey, NutrientValue, TargetBounds
from herdbook.chores.repeated import Pair
from herdbook.clock import FarmClock
from herdbook.errors import Refused
from herdbook.units import FarmUnits
from tests.yard import TEN_O_CLOCK, Yard

US = Ground(FarmUnits("us", ".", "$"), FarmClock("America/Chicago"), TEN_O_CLOCK)
METRIC = Ground(FarmUnits("metric", ",", "€"), FarmClock("Europe/Berlin"), TEN_O_CLOCK)
VALUE = Pair(label="value", first=NutrientKey(label="nutrient"), second=NutrientValue(label="figure"))
TARGET = Pair(label="target", first=FigureKey(label="figure"), second=TargetBounds(label="bounds"))


@pytest.mark.parametrize(
    ("ask", "text", "ground", "kept"),
    [
        (ask_weight("w"), "100", US, 45_359),
        (ask_weight("w"), "100", METRIC, 100_000),
        (ask_weight("w"), "0,5 t", METRIC, 500_000),
        (ask_warmth("t"), "45", US, 7_222),
        (ask_warmth("t"), "4,1", METRIC, 4_100),
        (ask_share("s"), "33.6", US, 336_000),
        (ask_stick("s"), "33 1/4", US, 844_550),
        (ask_stick("s"), "845", METRIC, 845_000),
        (Count(label="c", noun="cows"), "52 cows", US, 52),
        (Count(label="c"), "1,200", US, 1200),
        (Count(label="c"), "1.200", METRIC, 1200),
        # 0.12 $/lb is 0.12 / 0.00045359237 t = 264.5547 $/t
        (PricePerWeight(label="p"), "0.12/lb", US, 26_455),
        (PricePerWeight(label="p"), "$0.12/lb", US, 26_455),
        # 52 $ a short ton is 52 / 0.90718474 = 57.3202 $/t
        (PricePerWeight(label="p"), "52", US, 5_732),
        (PricePerWeight(label="p"), "180,50 €", METRIC, 18_050),
        (PricePerWeight(label="p"), "0", METRIC, 0),
    ],
)
def test_amounts_are_kept_in_whole_parts(ask: Any, text: str, ground: Ground, kept: int) -> None:
    assert ask.understand(text, ground) == kept
    assert ask.understand(ask.typed_again(kept, ground), ground) == kept


@pytest.mark.parametrize(
    ("ground", "text", "message"),
    [
        (US, "147.7F", "temperature: 147.7F is more than 140 °F. It lies from 23 °F to 140 °F."),
        (METRIC, "61", "temperature: 61 is more than 60 °C. It lies from -5 °C to 60 °C."),
        (METRIC, "-5,5", "temperature: -5,5 is less than -5 °C. It lies from -5 °C to 60 °C."),
    ],
)
def test_bounds_are_said_in_the_farms_units(ground: Ground, text: str, message: str) -> None:
    with pytest.raises(Refused) as refused:
        ask_warmth("temperature").understand(text, ground)
    assert str(refused.value) == message


def test_the_bounds_themselves_are_allowed() -> None:
    assert ask_warmth("t").understand("140F", US) == 60_000
    assert ask_warmth("t").understand("23F", US) == -5_000
    assert ask_weight("w").understand("60 t", US) == 60_000_000


def test_a_negative_weight_is_refused_even_where_it_rounds_to_nought() -> None:
    with pytest.raises(Refused, match="less than 0 lb"):
        ask_weight("w", least_g=0).understand("-0.001", US)


def test_an_unlikely_reading_is_doubted_and_a_likely_one_is_not() -> None:
    ask = ask_warmth("t")
    assert ask.doubt(ask.understand("110F", US), US) == "110.0 °F? Usual is 32.0 °F to 104.0 °F."
    assert ask.doubt(ask.understand("38F", US), US) == ""


# 0.72 Mcal/lb x 2.2046226 lb/kg = 1.5873283 Mcal/kg; 450 IU/lb = 992.0802 IU/kg
@pytest.mark.parametrize(
    ("text", "millionths"),
    [
        ("cp=8.8", 8_800_000),
        ("cp=8.8 %", 8_800_000),
        ("cp=88 g/kg", 8_800_000),
        ("cp=nd", None),
        ("nel=1.59", 1_590_000),
        ("nel=0.72 Mcal/lb", 1_587_328),
        ("nel=0.72Mcal/lb", 1_587_328),
        ("zn=45", 45_000_000),
        ("zn=45 ppm", 45_000_000),
        ("zn=0.0045 %", 45_000_000),
    ],
)
def test_a_figures_own_unit_decides_what_was_typed(text: str, millionths: int | None) -> None:
    key, kept, _ = VALUE.understand(text, US)
    assert kept == millionths
    assert VALUE.understand(VALUE.typed_again((key, kept, ""), US), US)[:2] == (key, kept)


@pytest.mark.parametrize(
    "text", ["cp=8.8 lb", "cp=8.8 Mcal/kg", "nel=1.6 %", "nel=1.6 Mcal", "zn=4 IU/kg", "cp=8.8 % %"]
)
def test_a_unit_that_does_not_measure_the_figure_is_refused(text: str) -> None:
    with pytest.raises(Refused) as refused:
        VALUE.understand(text, US)
    assert refused.value.field == "value"
    assert refused.value.message.startswith("value ")


@pytest.mark.parametrize(
    ("text", "ground", "bounds"),
    [
        ("cp=15.5 16.5 17.5", US, [15_500_000, 16_500_000, 17_500_000]),
        ("cp=15,5 16,5 17,5 %", METRIC, [15_500_000, 16_500_000, 17_500_000]),
        ("cp=16.5", US, [None, 16_500_000, None]),
        ("cp=15 17", US, [15_000_000, None, 17_000_000]),
        ("cp=- 16 17", US, [None, 16_000_000, 17_000_000]),
        ("dm_intake=50", US, [None, 22_679_618, None]),  # 50 lb, as a bare weight on this farm is in pounds
        ("dm_intake=50 lb", METRIC, [None, 22_679_618, None]),
        ("dm_intake=22,5", METRIC, [None, 22_500_000, None]),
        ("dcad=-20 250 400", US, [-20_000_000, 250_000_000, 400_000_000]),
    ],
)
def test_targets_take_the_farms_unit(text: str, ground: Ground, bounds: list[int | None]) -> None:
    key, kept, _ = TARGET.understand(text, ground)
    assert kept == bounds
    for other in (US, METRIC):
        assert TARGET.understand(TARGET.typed_again((key, kept, ""), other), other)[1] == bounds


def test_what_was_typed_is_typed_again_as_it_was() -> None:
    assert TARGET.typed_again(TARGET.understand("dm_intake=48 50 53 lb", US), US) == "dm_intake=48 50 53 lb"
    assert VALUE.typed_again(VALUE.understand("cp=8.80", US), US) == "cp=8.80"


def test_figures_typed_on_a_comma_farm_are_not_a_thousand_times_too_much() -> None:
    """8.123 means eight thousand where the point separates thousands."""
    assert NutrientValue(label="figure").typed_again(8_123_000, METRIC) == "8,123"
    assert VALUE.understand(VALUE.typed_again(("cp", 8_123_000, ""), METRIC), METRIC)[1] == 8_123_000


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("now", "now"),
        ("-30", "09:30, 30 min ago"),
        ("-0", "now"),
        ("1005", "10:05, 5 min ahead"),
        ("y 1810", "Sun 18:10, 15 h 50 min ago"),
    ],
)
def test_a_moment_is_read_back_with_its_distance(text: str, shown: str) -> None:
    ask = Moment(label="read")
    assert ask.shown(ask.understand(text, US), US) == shown


def test_what_lies_ahead_is_refused_but_for_the_difference_of_two_clocks() -> None:
    ask = Moment(label="read")
    assert ask.understand("1010", US) == TEN_O_CLOCK + 600
    with pytest.raises(Refused, match="is 11 min ahead"):
        ask.understand("1011", US)


def test_a_day_ahead_is_refused_unless_the_field_plans() -> None:
    with pytest.raises(Refused, match="lies ahead"):
        Day(label="fed").understand("+1", US)
    assert Day(label="since", ahead_days=60).understand("+1", US).isoformat() == "2026-03-10"


def test_an_old_load_is_typed_again_by_its_number_in_the_book(yard: Yard) -> None:
    """Its bare number would be taken for a load of today."""
    ask, load = LoadName(label="load"), yard.ground().names["load"]["2026-03-09 1"]
    assert ask.typed_again(load, yard.ground()) == "2026-03-09 1"
    yard.now_s += 20 * 86_400
    assert ask.typed_again(load, yard.ground()) == f"#{load}"
    assert ask.understand(f"#{load}", yard.ground()) == load
    with pytest.raises(Refused, match="there is no load '1'"):
        ask.understand("1", yard.ground())


def test_words_are_taken_by_any_beginning_that_fits_one_alone() -> None:
    ask = Word(label="went", words=("thrown", "re-fed", "re-mixed"))
    assert ask.understand("THR", US) == "thrown"
    for text in ("re", "", "x"):
        with pytest.raises(Refused, match=r"Use thrown, re-fed or re-mixed"):
            ask.understand(text, US)


def test_every_ask_says_its_kind_and_unit() -> None:
    assert ask_weight("w").unit_word(FarmUnits("us")) == "lb"
    assert VALUE.kind == "nutrientkey=nutrientvalue"
    assert Name(label="pen", thing="pen").choices(Ground(names={"pen": {"High": 1}})) == ["High"]
