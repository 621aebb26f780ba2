"""What every registered rule must be: sourced, bounded, checked, readable, and moved by each of its inputs."""

import math
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herdbook.errors import Refused
from herdbook.science.registry import Argument, Check, numbers, published, rule, rules, shown_unit
from herdbook.science.sources import SOURCES

RULES = rules()
EACH = pytest.mark.parametrize("one", RULES.values(), ids=list(RULES))
CHECKS = [
    pytest.param(one, check, id=f"{one.key}: {check.where}") for one in RULES.values() for check in one.checks
]


def expected_numbers(check):
    return check.expected if isinstance(check.expected, dict) else {"value": check.expected}


@pytest.mark.parametrize(("one", "check"), CHECKS)
def test_a_worked_check_comes_out(one, check):
    got = numbers(one.compute(**check.inputs).value)
    for name, value in expected_numbers(check).items():
        assert got[name] == pytest.approx(value, abs=check.tolerance, rel=0), name


@pytest.mark.parametrize(("one", "check"), CHECKS)
def test_a_tolerance_is_tight(one, check):
    """A tolerance so wide that anything passes is no check."""
    for name, value in expected_numbers(check).items():
        assert 0 < check.tolerance <= max(0.05 * abs(value), 1e-6), name


@pytest.mark.parametrize(("one", "check"), CHECKS)
def test_worked_checks_lie_in_the_range(one, check):
    assert one.compute(**check.inputs).warnings == ()


def other_values(argument, value):
    """Values near the one checked, to see whether the answer moves."""
    if argument.choices:
        return [choice for choice in argument.choices if choice != value]
    step = abs(value) * 0.1 or 1.0
    fits = [
        moved
        for moved in (value + step, value - step)
        if (argument.floor is None or moved >= argument.floor)
        and (argument.ceiling is None or moved <= argument.ceiling)
    ]
    return fits


EVERY_ARGUMENT = [
    pytest.param(one, name, id=f"{one.key}({name})") for one in RULES.values() for name in one.arguments
]


@pytest.mark.parametrize(("one", "name"), EVERY_ARGUMENT)
def test_every_argument_matters(one, name):
    moved = False
    for check in one.checks:
        if name not in check.inputs:
            continue
        usual = numbers(one.function(**check.inputs))
        for value in other_values(one.arguments[name], check.inputs[name]):
            try:
                moved = moved or numbers(one.function(**{**check.inputs, name: value})) != usual
            except (ValueError, ArithmeticError):
                continue
    assert moved


@EACH
def test_every_rule_names_its_sources(one):
    assert one.sources
    assert all(source in SOURCES for source in one.sources)


@EACH
def test_a_rule_from_a_book_names_its_edition_and_others_do_not_claim_one(one):
    assert one.edition in {"", "NRC 2001", "NASEM 2021"}
    if one.edition:
        year = one.edition.split()[1]
        assert one.key.endswith(year) or f"-{year}" in one.key, "the key tells the editions apart"


@EACH
def test_every_numeric_argument_has_a_range_and_a_meaning(one):
    for name, argument in one.arguments.items():
        assert argument.meaning, name
        bounds = (argument.low, argument.high, argument.floor, argument.ceiling)
        assert argument.choices or any(bound is not None for bound in bounds), name


@EACH
def test_every_check_says_where_it_is_from(one):
    assert one.checks
    assert all(check.where for check in one.checks)


@EACH
def test_docstring_names_arguments_units_range_and_references(one):
    doc = one.function.__doc__
    assert one.formula in doc
    assert "Valid for" in doc
    assert "References:" in doc
    for name, argument in one.arguments.items():
        assert name in doc
        assert (argument.unit or "plain number") in doc or argument.choices, name
    first_line = doc.splitlines()[0]
    assert first_line.endswith(".")
    assert len(first_line) > 15


@EACH
def test_results_are_plain_numbers_in_named_units(one):
    got = numbers(one.compute(**one.checks[0].inputs).value)
    if isinstance(one.unit, str):
        assert set(got) == {"value"}
        assert math.isfinite(got["value"])
    else:
        assert set(got) == set(one.unit)
        for name, unit in one.unit.items():
            assert isinstance(got[name], str) if unit == "text" else math.isfinite(got[name])


def possible_values(argument):
    """Any value that is not refused outright, the edges with preference."""
    if argument.choices:
        return st.sampled_from(argument.choices)
    low = argument.floor if argument.floor is not None else argument.low if argument.low is not None else -1e4
    high = (
        argument.ceiling
        if argument.ceiling is not None
        else argument.high
        if argument.high is not None
        else 1e6
    )
    return st.floats(low, high, allow_nan=False)


@EACH
@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_any_possible_input_gives_a_number_or_a_refusal_in_words(one, data):
    inputs = {name: data.draw(possible_values(argument), name) for name, argument in one.arguments.items()}
    try:
        got = numbers(one.compute(**inputs).value)
    except Refused as refusal:
        refused = refusal
    else:
        assert all(isinstance(value, str) or value is None or math.isfinite(value) for value in got.values())
        return
    assert refused.remedy


@EACH
def test_not_a_number_is_refused(one):
    inputs = dict(one.checks[0].inputs)
    name = next(name for name in inputs if not one.arguments[name].choices)
    with pytest.raises(Refused, match="not a number"):
        one.compute(**{**inputs, name: float("nan")})


def test_the_package_imports_nothing_heavy():
    code = (
        "from herdbook.science.registry import rules\nrules()\nimport sys\n"
        "print(*(m for m in ('textual', 'sqlmodel', 'sqlalchemy', 'pint', 'numpy') if m in sys.modules))"
    )
    seen = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert seen.stdout.split() == []


def test_asking_for_one_rule_by_a_wrong_name_offers_near_ones():
    with pytest.raises(Refused) as refused:
        rule("dry-bassis")
    assert "dry-basis" in refused.value.remedy


def test_everything_wrong_is_told_at_once():
    with pytest.raises(Refused) as refused:
        rule("dry-basis").compute(as_recieved=8)
    assert "did you mean as_received" in str(refused.value)
    assert "dry_matter is missing" in str(refused.value)


def test_a_value_outside_the_plausible_range_warns_and_an_impossible_one_is_refused():
    odd = rule("dry-basis").compute(as_received=8, dry_matter=3)
    assert "dry_matter is 3 %" in odd.warnings[0]
    with pytest.raises(Refused) as refused:
        rule("dry-basis").compute(as_received=8, dry_matter=0)
    assert refused.value.field == "dry_matter"


def test_a_registration_that_does_not_fit_its_function_is_refused():
    with pytest.raises(ValueError, match="do not fit"):

        @published(
            "misfit",
            title="t",
            subject="s",
            formula="f",
            unit="",
            source="ARITHMETIC",
            arguments={"other": Argument("x", low=0)},
            check=Check({"other": 1}, 1, 0.1, "derived"),
        )
        def misfit(*, one: float) -> float:
            return one


@pytest.mark.parametrize(
    ("unit", "shown"), [("mEq/hg", "mEq/100 g"), ("degC", "°C"), ("lb/ft**3", "lb/ft³"), ("kg/day", "kg/day")]
)
def test_units_are_shown_as_people_write_them(unit, shown):
    assert shown_unit(unit) == shown
