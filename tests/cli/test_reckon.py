"""Published rules worked out by command, in any sensible unit."""

from __future__ import annotations

import re

import pytest

from herdbook.cli.reckon import example_words
from herdbook.errors import Refused
from herdbook.reports.reckoning import reckon, split_words, understand_argument
from herdbook.science.registry import Argument, numbers, rules
from tests.cli.conftest import Keyboard

LB_KG = 0.45359237  # NIST Handbook 44, appendix C


def test_the_list_has_every_rule_under_its_subject(keyboard: Keyboard) -> None:
    answer = keyboard.bare("reckon")
    assert answer.status == 0
    for rule in rules().values():
        assert f"  {rule.key}: " in answer.out
        assert f"\n{rule.subject}\n" in answer.out


def test_a_rule_alone_is_shown_in_full(keyboard: Keyboard) -> None:
    out = keyboard.bare("reckon", "fcm-4").out
    assert "FCM = 0.4*milk + 15*milk*fat/100" in out
    assert "milk: milk yield, 5 to 70 kg/day" in out
    assert "Source: Gaines" in out
    assert "herdbook reckon fcm-4 " in out


def test_a_rule_from_memory_says_so(keyboard: Keyboard) -> None:
    key = next(rule.key for rule in rules().values() if rule.from_memory)
    words = [word.strip('"') for word in example_words(rules()[key], rules()[key].checks[0])]
    assert "! from memory" in keyboard.bare("reckon", key).out
    assert "! from memory" in keyboard.bare("reckon", key, *words).out
    assert keyboard.bare("reckon", key, *words, "--as", "json").json["from_memory"] is True


def test_it_is_worked_out_in_the_units_that_were_typed(keyboard: Keyboard) -> None:
    """0.4 * 70 lb + 15 * 70 lb * 3.8 % = 28 + 39.9 = 67.9 lb."""
    answer = keyboard.bare("reckon", "fcm-4", "milk=70 lb", "fat=3.8%", "--in", "lb/day", "--as", "json")
    made = answer.json
    assert set(made) == {"rule", "value", "unit", "inputs", "source", "from_memory", "warnings"}
    assert made["value"] == pytest.approx(67.9, abs=1e-9)
    assert (made["rule"], made["unit"], made["from_memory"], made["warnings"]) == (
        "fcm-4",
        "lb/day",
        False,
        [],
    )
    assert made["inputs"]["milk"] == {"typed": "70 lb", "value": pytest.approx(70 * LB_KG), "unit": "kg/day"}


def test_a_blend_is_told_in_the_degrees_asked_for(keyboard: Keyboard) -> None:
    """Equal weights at 37 and 90 °F give 63.5 °F."""
    words = ("held=1000lb", "held_at=37F", "added=1000 lb", "added_at=90 °F", "--in", "F")
    answer = keyboard.bare("reckon", "blend-temperature", *words)
    assert answer.out.startswith("63.5 °F\n")
    assert "held_at = 2.7778 °C  (typed 37F)" in answer.out


def test_a_value_outside_the_range_is_warned_of(keyboard: Keyboard) -> None:
    made = keyboard.bare("reckon", "fcm-4", "milk=90 kg", "fat=3.8%", "--as", "json").json
    assert made["warnings"]
    assert "milk is 90 kg/day, outside" in made["warnings"][0]


def test_one_message_names_everything_that_is_wrong(keyboard: Keyboard) -> None:
    answer = keyboard.bare("reckon", "ecm-true-protein", "mlk=70 lb", "fat=3 kg", "true_protein=x", "cows=3")
    assert answer.status == 2
    assert len(answer.err.splitlines()) == 1
    for says in (
        "mlk is not an argument, did you mean milk?",
        "milk is missing",
        "fat is given in kg, which cannot be turned into %",
        "true_protein is 'x', which is not a number",
        "cows is not an argument",
    ):
        assert says in answer.err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["fcm4"], "There is no rule called fcm4. Nearest: fcm-4"),
        (["fcm-4", "milk"], "'milk' is not name=quantity"),
        (["fcm-4", "milk=70 lb", "milk=71 lb", "fat=3%"], "milk is given twice"),
        (["fcm-4", "milk=70", "fat=3%"], "milk has no unit (such as kg/day or lb/day)"),
        (["fcm-4", "milk=70 pund", "fat=3%"], "which is not a unit known here"),
        (["fcm-4", "milk=70 lb", "fat=3%", "--in", "degF"], "cannot be turned into degF"),
        (["fcm-4", "milk=70 lb", "fat=3%", "--in", "pund"], "--in: 'pund' is not a unit known here"),
        (["fcm-4", "--in", "lb"], "there is nothing to work out"),
        (["fcm-4", "milk=", "fat=3%"], "milk is '', which is not a number"),
        (["fcm-4", "milk=1e999 lb", "fat=3%"], "milk"),
        (["fcm-4", "milk=-70 lb", "fat=3%"], "milk"),
    ],
)
def test_what_cannot_be_worked_out_is_refused_in_words(
    keyboard: Keyboard, words: list[str], says: str
) -> None:
    answer = keyboard.bare("reckon", *words)
    assert answer.status == 2
    assert says in answer.err
    assert answer.out == ""


@pytest.mark.parametrize("key", list(rules()))
def test_the_worked_example_of_every_rule_can_be_typed_as_it_is_shown(keyboard: Keyboard, key: str) -> None:
    """What the page of a rule tells people to type gives what its source says."""
    rule = rules()[key]
    check = rule.checks[0]
    words = [word.strip('"') for word in example_words(rule, check)]
    answer = keyboard.bare("reckon", key, *words, "--as", "json")
    assert answer.status == 0, answer.err
    expected = check.expected if not isinstance(check.expected, int | float) else {"value": check.expected}
    value = answer.json["value"]
    got = value if isinstance(value, dict) else {"value": value}
    for name, wanted in expected.items():
        # the example is printed to six decimals
        assert got[name] == pytest.approx(wanted, abs=check.tolerance + 1e-5 * abs(wanted))


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("70 lb", "kg/day", 70 * LB_KG),
        ("70 lb/day", "kg/day", 70 * LB_KG),
        ("70 lb / d", "kg/day", 70 * LB_KG),
        ("490 lb/week", "kg/day", 70 * LB_KG),
        ("1,000 lb", "kg", 1000 * LB_KG),
        ("12 cwt", "kg", 1200 * LB_KG),
        ("39.2F", "degC", 4),
        ("39.2 °F", "degC", 4),
        ("18 F", "delta_degC", 10),  # a difference, not a temperature
        ("3.8", "%", 3.8),
        ("38 g/kg", "%", 3.8),
        ("40 ppm", "mg/kg", 40),
        ("45 Mcal", "Mcal/day", 45),
        ("0.8 Mcal/lb", "Mcal/kg", 0.8 / LB_KG),
        ("200 thousand/mL", "1/mL", 200_000),
        ("0.2 million/mL", "1/mL", 200_000),
        ("200000/mL", "1/mL", 200_000),
        ("200000 1/mL", "1/mL", 200_000),
        ("33 1/4 in", "in", 33.25),
        ("80", "day", 80),
        ("12 weeks", "day", 84),
        ("60 gal/min", "L/min", 60 * 3.785411784),
    ],
)
def test_a_quantity_is_understood_in_any_sensible_unit(text: str, unit: str, value: float) -> None:
    assert understand_argument("x", text, Argument("x", unit)).value == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("unit", ["kg", "kg/day", "degC", "delta_degC", "in", "gal", "kg/L", "L/min"])
def test_a_bare_number_of_what_has_two_systems_is_refused(unit: str) -> None:
    with pytest.raises(Refused, match="has no unit"):
        understand_argument("x", "70", Argument("x", unit))


@pytest.mark.parametrize(
    "unit",
    [
        "kg**9999999",
        "kg**2**3**3**3",
        "2**2**2",
        "__import__('os')",
        "kg;lb",
        "(((((",
        "*",
        "1/",
        "()" * 20,
    ],
)
def test_what_is_no_unit_never_reaches_the_registry(unit: str) -> None:
    with pytest.raises(Refused):
        understand_argument("x", f"7 {unit}", Argument("x", "kg"))


def test_every_result_that_fits_is_turned_and_the_others_stay() -> None:
    rule = rules()["plate-cooler"]
    typed = split_words([word.strip('"') for word in example_words(rule, rule.checks[0])])
    plain, turned = reckon(rule, typed), reckon(rule, typed, wanted="°F")
    celsius = plain.results["water_out_degC"][0]
    assert turned.results["water_out_degC"] == (pytest.approx(celsius * 1.8 + 32), "degF")
    # 11.2 °C above the water are 20.16 °F above it
    assert turned.results["approach_degC"][0] == pytest.approx(plain.results["approach_degC"][0] * 1.8)
    assert turned.results["heat_kW"] == plain.results["heat_kW"]


def test_the_list_can_be_read_by_a_program(keyboard: Keyboard) -> None:
    listed = keyboard.bare("reckon", "--as", "json").json
    assert [one["rule"] for one in listed] == list(rules())
    assert all(one["source"] and one["arguments"] for one in listed)


def test_a_page_folds_to_eighty_columns(keyboard: Keyboard) -> None:
    for key in rules():
        assert max(map(len, keyboard.bare("reckon", key).out.splitlines())) <= 80, key


def test_a_comma_is_a_decimal_mark_when_asked_for(keyboard: Keyboard) -> None:
    made = keyboard.bare("reckon", "fcm-4", "milk=31,5 kg", "fat=3,8%", "--decimal", ",", "--as", "json").json
    # 0.4 * 31.5 + 15 * 31.5 * 0.038 = 12.6 + 17.955
    assert made["value"] == pytest.approx(30.555, abs=1e-9)


def test_numbers_of_a_record_have_names() -> None:
    rule = rules()["pearson-square"]
    assert set(numbers(rule.compute(**rule.checks[0].inputs).value)) == {"first_share", "second_share"}
    assert re.fullmatch(r"[a-z_0-9]+", next(iter(rule.arguments)))
