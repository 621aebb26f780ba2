"""The table of cooling rules says what the texts say, in their own units."""

from decimal import Decimal

import pytest

from herdbook.science import cooling_rules as module
from herdbook.science.cooling_rules import cooling_rules, default_cooling_rule

# Limits, hours and clocks typed from the texts named in each rule's source.
PRINTED = [
    ("us-model-ordinance", [(50, "degF", 4), (45, "degF", 2), (50, "degF", None)]),
    ("us-washington", [(40, "degF", 2), (40, "degF", None), (50, "degF", None)]),
    ("us-virginia", [(40, "degF", 2), (50, "degF", None)]),
    ("us-massachusetts", [(40, "degF", 2), (50, "degF", None)]),
    ("us-new-york", [(45, "degF", 2), (50, "degF", None)]),
    ("us-new-york-not-grade-a", [(55, "degF", 2)]),
    ("us-federal-plants", [(40, "degF", 2), (45, "degF", None)]),
    ("3a-1961", [(50, "degF", 1), (40, "degF", 2), (50, "degF", None)]),
    ("3a-13-10", [(50, "degF", 4), (40, "degF", 2), (50, "degF", None)]),
    ("as-1187", [(4, "degC", 3.5), (4, "degC", None)]),
    ("new-zealand", [(10, "degC", 4), (6, "degC", 2), (6, "degC", None), (10, "degC", None)]),
    ("canada-quality", [(10, "degC", 1), (4, "degC", 2), (4, "degC", 1), (10, "degC", None)]),
    ("ontario", [(10, "degC", 1), (4, "degC", 2), (4, "degC", None)]),
    ("australia", [(5, "degC", 3.5)]),
    ("australia-buyers", [(4, "degC", 3)]),
    ("eu-daily", [(8, "degC", None)]),
    ("eu-not-daily", [(6, "degC", None)]),
    ("eu-2h-daily", [(8, "degC", 2)]),
    ("czech-daily", [(8, "degC", 3), (10, "degC", None)]),
    ("switzerland-daily", [(8, "degC", 2)]),
    ("us-illinois", [(45, "degF", 2), (50, "degF", None)]),
    ("us-south-dakota", [(45, "degF", 2), (50, "degF", None)]),
    ("us-michigan", [(45, "degF", 2), (50, "degF", None)]),
    ("us-trade-target", [(40, "degF", 0.5), (45, "degF", 4), (45, "degF", None)]),
    ("us-ordinance-robot", [(10, "degC", 4), (7, "degC", 6), (7, "degC", None)]),
    ("eu-2h-not-daily", [(6, "degC", 2)]),
    ("new-zealand-before-2018", [(18, "degC", 0), (13, "degC", 0), (7, "degC", 3)]),
    ("southern-africa", [(5, "degC", 3), (5, "degC", None)]),
    ("czech-not-daily", [(6, "degC", 3), (10, "degC", None)]),
    ("switzerland-not-daily", [(8, "degC", 2), (6, "degC", None)]),
    ("france-raw", [(4, "degC", None)]),
]


@pytest.mark.parametrize(("key", "clauses"), PRINTED, ids=[key for key, _ in PRINTED])
def test_a_rule_has_the_printed_limits_and_hours(key, clauses):
    found = [
        (clause.limit.value, clause.limit.unit, clause.within_s and clause.within_s / 3600)
        for clause in cooling_rules()[key].clauses
    ]
    assert found == [(Decimal(value), unit, hours) for value, unit, hours in clauses]


def test_every_rule_is_typed_here_from_its_text():
    assert {key for key, _ in PRINTED} == set(cooling_rules())


# Key of the rule and of the clause, its clock, and the coldest it allows where a text prints one.
CLOCKS = [
    ("us-model-ordinance", "first-50", "start of first milking", None),
    ("us-model-ordinance", "each-45", "end of milking", None),
    ("us-model-ordinance", "blend-50", "first milking onwards", None),
    ("as-1187", "first-4C", "start of first milking", None),
    ("canada-quality", "first-4C", "end of first milking", (0, True)),  # "above 0 and up to 4"
    ("canada-quality", "later-4C", "end of later milking", None),  # printed without a lower end
    ("canada-quality", "blend-10C", "later milkings", None),
    ("ontario", "hold-4C", "after cooling", (1, False)),
    ("southern-africa", "hold-5C", "after cooling", (1, False)),
    ("france-raw", "each-4C", "end of milking", (0, False)),
    ("australia", "start-5C", "start of milking", None),
    ("czech-daily", "start-8C", "start of milking", None),
]


@pytest.mark.parametrize(("key", "clause", "clock", "coldest"), CLOCKS)
def test_a_clause_counts_from_the_printed_moment_and_has_the_printed_lower_end(key, clause, clock, coldest):
    (found,) = [one for one in cooling_rules()[key].clauses if one.key == clause]
    low = None if found.low is None else (int(found.low.value), found.low_open)
    assert (found.clock, low) == (clock, coldest)


def test_the_default_is_the_model_ordinance_and_was_read():
    rule = default_cooling_rule()
    assert (rule.key, rule.read, len(rule.clauses)) == ("us-model-ordinance", True, 3)
    assert "Alabama" in rule.source
    assert "California" in rule.source


def test_its_two_clocks_start_differently():
    first, each, blend = default_cooling_rule().clauses
    assert first.clock == "start of first milking"
    assert each.clock == "end of milking"
    assert blend.never_above


def test_a_rule_from_memory_may_not_be_the_default(monkeypatch):
    table = module._table() | {"default": "us-ordinance-robot"}
    monkeypatch.setattr(module, "_table", lambda: table)
    with pytest.raises(ValueError, match="from memory"):
        default_cooling_rule.__wrapped__()


@pytest.mark.parametrize("rule", cooling_rules().values(), ids=lambda rule: rule.key)
def test_every_rule_names_source_date_and_at_least_one_clause(rule):
    assert rule.clauses
    assert rule.source
    assert rule.date_read.isoformat() == "2026-11-25"
    assert rule.read is ("from memory" not in rule.source)
    assert len({clause.key for clause in rule.clauses}) == len(rule.clauses)


def test_no_limit_was_converted_from_another_unit():
    """45 °F is printed beside 7 °C as if equal; a limit converted from either would have decimals."""
    for rule in cooling_rules().values():
        for clause in rule.clauses:
            assert clause.limit.value == clause.limit.value.to_integral_value(), (rule.key, clause.key)


def test_canada_allows_a_quarter_of_an_hour_above_the_blend_limit_and_the_ordinance_none():
    assert cooling_rules()["canada-quality"].clauses[3].grace_s == 15 * 60
    assert default_cooling_rule().clauses[2].grace_s == 0


def test_virginia_and_new_zealand_say_not_frozen_and_the_ordinance_does_not():
    assert cooling_rules()["us-virginia"].clauses[0].not_frozen
    assert cooling_rules()["new-zealand"].clauses[1].not_frozen
    assert not any(clause.not_frozen for clause in default_cooling_rule().clauses)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [({"clock": "noon"}, "clock"), ({"unit": "K"}, "unit")],
)
def test_a_clause_with_an_unknown_word_is_refused(wrong, says):
    row = {"key": "k", "says": "s", "limit": 45, "unit": "degF", "clock": "end of milking"} | wrong
    with pytest.raises(ValueError, match=says):
        module._clause("rule", row)
