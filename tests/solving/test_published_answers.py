"""Published least-cost problems, through the same door as a farm's: what is printed is not always the least.

The problems are stated in parts per thousand or per cent of arbitrary nutrients, so a nutrient of our list that is
kept in the same unit stands in for each; every feed is dry.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from herdbook.solving.answers import Answer
from herdbook.solving.least_cost import LeastCost, least_cost
from herdbook.solving.programme import Feed, Limit, Programme


def dry_feed(name: str, price: float, kind: str = "grain", **figures: float) -> Feed:
    return Feed(name, kind, 1.0, figures, price)


def solved(programme: Programme) -> Answer:
    answer = least_cost(programme)
    assert isinstance(answer, Answer)
    return answer


def kilograms(answer: Answer) -> list[float]:
    return [feed.as_fed_kg for feed in answer.feeds]


# a teaching page on least-cost feed mixes: A at least 80, B 50, C 25, D 5 g/kg; A, B, C, D as mg/kg here
DAIRY_MIX = Programme(
    (
        dry_feed("ingredient 1", 40, fe=100, cu=50, zn=40, mn=10),
        dry_feed("ingredient 2", 60, fe=200, cu=150, zn=10, mn=0),
        dry_feed("filler", 0, fe=0, cu=0, zn=0, mn=0),
    ),
    (
        Limit("dm_intake", 1, 1),
        Limit("fe", low=80),
        Limit("cu", low=50),
        Limit("zn", low=25),
        Limit("mn", low=5),
    ),
)

# a textbook's problem: limestone, corn and soybean; calcium 0.8 to 1.2 %, protein at least 22 %, fibre at most 5 %
POULTRY_MIX = Programme(
    (
        dry_feed("limestone", 10, "mineral", ca=38, cp=0, adf=0),
        dry_feed("corn", 30.5, ca=0.1, cp=9, adf=2),
        dry_feed("soybean", 90, "protein", ca=0.2, cp=50, adf=8),
    ),
    (Limit("dm_intake", 1, 1), Limit("ca", 0.8, 1.2), Limit("cp", low=22), Limit("adf", high=5)),
)
CALCIUM, PROTEIN, FIBRE = 1, 2, 3

# alfalfa x, corn y: min x + 2y; x + y >= 10, 3x + y >= 15, x + 6y >= 15
ALFALFA_AND_CORN = Programme(
    (dry_feed("alfalfa", 1, fe=3, cu=1), dry_feed("corn", 2, fe=1, cu=6)),
    (Limit("dm_intake", low=10), Limit("fe", 15, counted="amount"), Limit("cu", 15, counted="amount")),
)

# soybean and oat sacks: min 21x + 7y; 70x + 21y >= 168, 9x + 7y >= 27, 7x + y >= 14
SACKS = Programme(
    (dry_feed("soybean", 21, fe=70, cu=9, zn=7), dry_feed("oats", 7, fe=21, cu=7, zn=1)),
    tuple(Limit(key, low, counted="amount") for key, low in (("fe", 168), ("cu", 27), ("zn", 14))),
)
PRINTED_SACKS, PRINTED_COST = (18 / 11, 28 / 11), 52.18


def test_the_dairy_mix_comes_out_as_printed() -> None:
    answer = solved(DAIRY_MIX)
    assert kilograms(answer) == pytest.approx([13 / 22, 3 / 22, 6 / 22])
    assert kilograms(answer) == pytest.approx([0.5905, 0.1364, 0.2727], abs=5e-4)
    assert answer.cost_cents == pytest.approx(31.8182, abs=5e-5)
    assert {one.limit.figure for one in answer.binding} == {"dm_intake", "cu", "zn"}


def test_the_poultry_mix_holds_the_calcium_ceiling_and_the_protein_floor() -> None:
    answer = solved(POULTRY_MIX)
    assert kilograms(answer) == pytest.approx([0.0281708, 0.648572, 0.323257], rel=2e-6)
    assert kilograms(answer) == pytest.approx([0.028, 0.649, 0.323], abs=5e-4)  # as the text prints them
    assert answer.cost_cents == pytest.approx(49.1563, abs=5e-5)
    assert answer.limits[CALCIUM].side == "high"
    assert answer.limits[PROTEIN].side == "low"
    assert answer.limits[FIBRE].side == ""
    assert answer.limits[FIBRE].worth == 0
    assert answer.limits[FIBRE].value == pytest.approx(3.88320, abs=5e-6)


def test_what_a_limit_is_worth_is_what_solving_again_finds() -> None:
    answer = solved(POULTRY_MIX)
    assert answer.limits[PROTEIN].worth == pytest.approx(1.45170, abs=5e-6)  # cents for one per cent
    assert answer.limits[CALCIUM].worth == pytest.approx(0.196167, abs=5e-6)
    kept = LeastCost(POULTRY_MIX)
    kept.limit(PROTEIN, low=23, high=None)
    dearer = kept.solve()
    kept.limit(PROTEIN, low=22, high=None)
    kept.limit(CALCIUM, low=0.8, high=1.3)
    cheaper = kept.solve()
    assert isinstance(dearer, Answer)
    assert isinstance(cheaper, Answer)
    assert dearer.cost_cents - answer.cost_cents == pytest.approx(1.45170, abs=5e-6)
    assert answer.cost_cents - cheaper.cost_cents == pytest.approx(0.0196167, abs=5e-7)


def test_a_cheap_mineral_that_runs_to_its_ceiling_is_told() -> None:
    assert any(
        "limestone runs up to a ceiling: Calcium at most 1.2 %" in one for one in solved(POULTRY_MIX).cautions
    )


def test_a_mineral_without_a_ceiling_is_told() -> None:
    uncapped = replace(
        POULTRY_MIX, limits=(*POULTRY_MIX.limits[:CALCIUM], Limit("ca", low=0.8), *POULTRY_MIX.limits[2:])
    )
    answer = solved(uncapped)
    assert answer.limits[CALCIUM].side == ""
    assert answer.limits[CALCIUM].value > 1.2
    assert any(one.startswith("Calcium has no high limit and nothing holds it") for one in answer.cautions)
    unlimited = replace(POULTRY_MIX, limits=(Limit("dm_intake", 1, 1), Limit("cp", low=22)))
    assert any("limestone brings most of the calcium" in one for one in solved(unlimited).cautions)


def test_alfalfa_and_corn() -> None:
    answer = solved(ALFALFA_AND_CORN)
    assert kilograms(answer) == pytest.approx([9, 1])
    assert answer.cost_cents == pytest.approx(11)


def test_a_printed_least_cost_answer_is_kept_to_and_beaten() -> None:
    needs = ((70, 21, 168), (9, 7, 27), (7, 1, 14))
    ours = kilograms(solved(SACKS))
    for x, y in (PRINTED_SACKS, ours):
        assert all(a * x + b * y >= least - 1e-9 for a, b, least in needs)
    assert 21 * PRINTED_SACKS[0] + 7 * PRINTED_SACKS[1] == pytest.approx(PRINTED_COST, abs=5e-3)
    assert ours == pytest.approx([87 / 43, 54 / 43])
    assert solved(SACKS).cost_cents == pytest.approx(51.2791, abs=5e-5)
    assert solved(SACKS).cost_cents < PRINTED_COST - 0.8
