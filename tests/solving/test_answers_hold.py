"""What any answer must obey, whatever the feeds: limits kept, duality, slackness, and another solver's agreement."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from herdbook.science.figures import figure_value
from herdbook.solving.answers import Answer, ChangeAnswer
from herdbook.solving.highs import Solver
from herdbook.solving.least_cost import LeastCost, least_cost
from herdbook.solving.matrix import matrix_of
from herdbook.solving.programme import Programme
from herdbook.solving.smallest_change import smallest_change
from tests.solving.rations import can_be_met, totals_of

seeds = st.integers(0, 10_000_000)
few = hypothesis_settings(max_examples=40)


def solved(programme: Programme) -> Answer:
    answer = least_cost(programme)
    assert isinstance(answer, Answer), str(answer)
    return answer


def worst_violation(programme: Programme, as_fed_kg: list[float]) -> float:
    """The farthest any bound is passed, in its own unit or as a part of it when that is over 1, by the science."""
    found = totals_of(programme.feeds, as_fed_kg)
    beyond = [0.0]
    for limit in programme.limits:
        value = figure_value(limit.figure, found).value
        assert value is not None, limit.figure
        size = max(1.0, abs(value))
        beyond += [(limit.low - value) / size] if limit.low is not None else []
        beyond += [(value - limit.high) / size] if limit.high is not None else []
    for feed, kg in zip(programme.feeds, as_fed_kg, strict=True):
        own = kg if feed.basis == "as fed" else kg * feed.dry_fraction
        beyond += [-kg, feed.least_kg - own]
        beyond += [own - feed.most_kg] if feed.most_kg is not None else []
        if feed.stock_kg is not None:
            beyond.append(kg - feed.stock_kg / (programme.heads * programme.days))
    return max(beyond)


def test_two_hundred_rations_keep_to_every_bound() -> None:
    worst = 0.0
    for seed in range(200):
        programme = can_be_met(seed, feeds=6 + seed % 15, limits=4 + seed % 14)
        worst = max(worst, worst_violation(programme, [one.as_fed_kg for one in solved(programme).feeds]))
    assert worst <= 1e-6


def test_the_check_of_bounds_sees_a_bound_passed() -> None:
    programme = can_be_met(3)
    amounts = [one.as_fed_kg for one in solved(programme).feeds]
    assert worst_violation(programme, [kg * 1.2 for kg in amounts]) > 1e-3


@given(seed=seeds)
@few
def test_the_cheapest_costs_no_more_than_today(seed: int) -> None:
    answer = solved(can_be_met(seed))
    assert answer.present_cents is not None
    assert answer.cost_cents <= answer.present_cents * (1 + 1e-9)
    assert answer.saves_cents == pytest.approx(answer.present_cents - answer.cost_cents)


@given(seed=seeds)
@few
def test_another_solver_finds_the_same_cost_from_limits_written_anew(seed: int) -> None:
    programme = can_be_met(seed)
    ours = solved(programme).cost_cents
    theirs = by_scipy(programme)
    assert ours == pytest.approx(theirs, rel=1e-7)


def by_scipy(programme: Programme) -> float:
    """The same problem set up in dry kilograms, each share straight from the feed's own figure by the science."""
    feeds = programme.feeds
    alone = [totals_of((feed,), [1 / feed.dry_fraction]) for feed in feeds]
    above: list[list[float]] = []
    at_most: list[float] = []
    for limit in programme.limits:
        for bound, sign in ((limit.low, -1.0), (limit.high, 1.0)):
            if bound is None:
                continue
            row, right = [], 0.0
            for feed, one in zip(feeds, alone, strict=True):
                figures = feed.nutrients
                value = figure_value(limit.figure, one).value or 0.0
                weight = {
                    "ca_to_p": figures["p"],
                    "rup_cp": figures["cp"],
                    "dm_share": 1 / feed.dry_fraction,
                }.get(limit.figure, 1.0)
                if limit.figure == "dm_intake":
                    row.append(sign)
                    right = sign * bound
                elif limit.figure == "as_fed":
                    row.append(sign / feed.dry_fraction)
                    right = sign * bound
                else:
                    row.append(sign * (value - bound) * weight)
            size = max(map(abs, row)) or 1.0
            above.append([v / size for v in row])
            at_most.append(right / size)
    bounds = []
    for feed in feeds:
        dry = feed.dry_fraction if feed.basis == "as fed" else 1.0
        most = np.inf if feed.most_kg is None else feed.most_kg * dry
        if feed.stock_kg is not None:
            most = min(most, feed.stock_kg / (programme.heads * programme.days) * feed.dry_fraction)
        bounds.append((feed.least_kg * dry, most))
    found = linprog([f.price_cents_per_kg / f.dry_fraction for f in feeds], above, at_most, bounds=bounds)
    assert found.status == 0
    return float(found.fun)


@given(seed=seeds)
@few
def test_duals_price_the_whole_ration_and_a_slack_limit_is_worth_nothing(seed: int) -> None:
    programme = can_be_met(seed)
    matrix = matrix_of(programme)
    costs = np.array([feed.price_cents_per_kg for feed in programme.feeds])
    solver = Solver(costs, matrix.low, matrix.high, matrix.coefficients, matrix.row_low, matrix.row_high)
    assert solver.run() == "optimal"
    x, y, d = solver.amounts(), np.array(solver.row_duals()), np.array(solver.column_duals())
    size = max(1.0, float(costs @ x))
    assert costs - matrix.coefficients.T @ y == pytest.approx(d, abs=1e-7 * size)  # dual feasibility
    active = matrix.coefficients @ x
    for value, dual, low, high in (
        *zip(active, y, matrix.row_low, matrix.row_high, strict=True),
        *zip(x, d, matrix.low, matrix.high, strict=True),
    ):
        if dual > 1e-7:
            assert value == pytest.approx(low, abs=1e-6)
        if dual < -1e-7:
            assert value == pytest.approx(high, abs=1e-6)
    sides = [
        (dual * (low if dual > 0 else high))
        for dual, low, high in (
            *zip(y, matrix.row_low, matrix.row_high, strict=True),
            *zip(d, matrix.low, matrix.high, strict=True),
        )
        if abs(dual) > 1e-12
    ]
    assert sum(sides) == pytest.approx(float(costs @ x), rel=1e-6)  # strong duality


def saved_and_promised(programme: Programme) -> list[tuple[float, float]]:
    """For each binding limit: what easing it by a small step saves, and its worth times the step."""
    answer, found = solved(programme), []
    for at, one in enumerate(answer.limits):
        bound = one.limit.bound(one.side) if one.side else None
        if bound is None or one.limit.low == one.limit.high:
            continue
        step = 1e-5 * max(abs(bound), 1e-3)
        eased = replace(one.limit, **{one.side: bound - step if one.side == "low" else bound + step})
        limits = (*programme.limits[:at], eased, *programme.limits[at + 1 :])
        saved = answer.cost_cents - solved(replace(programme, limits=limits)).cost_cents
        found.append((saved, one.worth * step))
    return found


@given(seed=seeds)
@few
def test_easing_a_limit_never_saves_more_than_it_is_worth(seed: int) -> None:
    for saved, promised in saved_and_promised(can_be_met(seed)):
        assert -1e-7 <= saved <= promised * (1 + 1e-3) + 1e-7


def test_easing_a_limit_saves_what_it_is_worth_where_no_other_limit_is_met_on_the_way() -> None:
    steps = [pair for seed in range(30) for pair in saved_and_promised(can_be_met(seed))]
    worth_something = [pair for pair in steps if pair[1] > 1e-6]
    kept = sum(saved == pytest.approx(promised, rel=1e-2) for saved, promised in worth_something)
    assert len(worth_something) > 50
    assert kept > 0.9 * len(worth_something)


@given(seed=seeds)
@few
def test_an_unused_feed_comes_in_just_under_its_price_and_not_just_over(seed: int) -> None:
    programme = can_be_met(seed)
    kept = LeastCost(programme)
    base = solved(programme)
    for one, feed in zip(base.feeds, programme.feeds, strict=True):
        if one.at != "none" or one.adds_cents < 1e-3:
            continue
        assert one.comes_in_below_cents == pytest.approx(feed.price_cents_per_kg - one.adds_cents)
        assert one.stands_from_cents == pytest.approx(one.comes_in_below_cents)
        kept.price(one.feed, one.comes_in_below_cents + 1e-3)
        over = kept.solve()
        assert isinstance(over, Answer)
        assert over.cost_cents == pytest.approx(base.cost_cents, rel=1e-9)
        kept.price(one.feed, one.comes_in_below_cents - 5)
        under = kept.solve()
        assert isinstance(under, Answer)
        assert under.cost_cents <= base.cost_cents + 1e-9
        kept.price(one.feed, feed.price_cents_per_kg)


@given(seed=seeds)
@few
def test_amounts_stand_between_the_prices_told_and_move_beyond_one_of_them(seed: int) -> None:
    programme = can_be_met(seed)
    kept = LeastCost(programme)
    base = solved(programme)
    amounts = [one.as_fed_kg for one in base.feeds]
    for one, feed in zip(base.feeds, programme.feeds, strict=True):
        for edge, inward in ((one.stands_from_cents, 1e-4), (one.stands_to_cents, -1e-4)):
            if edge is None or one.at == "left out":
                continue
            kept.price(one.feed, edge + inward)
            inside = kept.solve()
            assert isinstance(inside, Answer)
            if (one.stands_to_cents or 1e9) - (one.stands_from_cents or -1e9) > 1e-3:
                assert [other.as_fed_kg for other in inside.feeds] == pytest.approx(amounts, abs=1e-5)
        kept.price(one.feed, feed.price_cents_per_kg)


def test_a_used_feed_moves_when_its_price_leaves_the_range() -> None:
    programme = can_be_met(11)
    base, kept = solved(programme), LeastCost(programme)
    moved = 0
    for one, feed in zip(base.feeds, programme.feeds, strict=True):
        if one.at == "" and one.stands_to_cents is not None:
            kept.price(one.feed, one.stands_to_cents + 1)
            beyond = kept.solve()
            kept.price(one.feed, feed.price_cents_per_kg)
            now = next(other for other in beyond.feeds if other.feed == one.feed)
            moved += now.as_fed_kg < one.as_fed_kg - 1e-6
    assert moved > 0


@given(seed=seeds)
@few
def test_a_problem_kept_and_changed_answers_like_one_made_anew(seed: int) -> None:
    chance = Random(seed)
    programme = can_be_met(seed)
    kept = LeastCost(programme)
    kept.solve()
    for _ in range(6):
        feed = chance.choice(kept.programme.feeds)
        match chance.choice(("price", "bounds", "limit", "stock")):
            case "price":
                kept.price(feed.name, chance.uniform(1, 90))
            case "bounds":
                kept.bounds(feed.name, least_kg=0, most_kg=chance.uniform(0, 3) * feed.present_kg)
            case "stock":
                kept.stock(
                    feed.name, chance.choice((None, feed.present_kg * 90 * 30 * chance.uniform(0.5, 2)))
                )
            case "limit":
                at = chance.randrange(len(kept.programme.limits))
                one = kept.programme.limits[at]
                kept.limit(at, low=one.low and one.low - abs(one.low) * chance.uniform(0, 0.1), high=one.high)
        warm, cold = kept.solve(), least_cost(kept.programme)
        assert type(warm) is type(cold)
        if isinstance(warm, Answer) and isinstance(cold, Answer):
            assert warm.cost_cents == pytest.approx(cold.cost_cents, rel=1e-7)
            assert worst_violation(kept.programme, [one.as_fed_kg for one in warm.feeds]) <= 1e-6


@given(seed=seeds)
@few
def test_todays_ration_is_left_alone_when_it_keeps_to_every_limit(seed: int) -> None:
    answer = smallest_change(can_be_met(seed))
    assert isinstance(answer, ChangeAnswer)
    assert answer.change == pytest.approx(0, abs=1e-6)
    assert answer.cost_cents == pytest.approx(answer.present_cents)


@given(seed=seeds)
@few
def test_the_smallest_change_keeps_every_limit_and_no_other_ration_changes_less(seed: int) -> None:
    programme = moved_away(can_be_met(seed), seed)
    answer = smallest_change(programme)
    assert isinstance(answer, ChangeAnswer)
    amounts = [one.as_fed_kg for one in answer.feeds]
    assert worst_violation(programme, amounts) <= 1e-6
    assert answer.change == pytest.approx(sum(abs(one.change) for one in answer.feeds))
    assert answer.change == pytest.approx(change_by_scipy(programme), rel=1e-6, abs=1e-7)


def moved_away(programme: Programme, seed: int) -> Programme:
    """The same limits, but today something else is fed: some feeds not at all."""
    chance = Random(seed + 1)
    return replace(
        programme,
        feeds=tuple(
            replace(
                feed, present_kg=0.0 if chance.random() < 0.2 else feed.present_kg * chance.uniform(0.5, 2)
            )
            for feed in programme.feeds
        ),
    )


def change_by_scipy(programme: Programme) -> float:
    """The other common way to write it: t_i at least x_i - p_i and at least p_i - x_i, minimise sum(w_i * t_i)."""
    matrix = matrix_of(programme)
    n = len(programme.feeds)
    present = np.array([feed.present_kg for feed in programme.feeds])
    weights = [1 / f.present_kg if f.present_kg else f.dry_fraction / 1.0 for f in programme.feeds]
    rows, rights = [], []
    for row, low, high in zip(matrix.coefficients, matrix.row_low, matrix.row_high, strict=True):
        for sign, bound in ((-1.0, low), (1.0, high)):
            if np.isfinite(bound):
                rows.append(np.concatenate([sign * row, np.zeros(n)]))
                rights.append(sign * bound)
    unit = np.eye(n)
    rows += [*np.hstack([unit, -unit]), *np.hstack([-unit, -unit])]
    rights += [*present, *-present]
    bounds = [*zip(matrix.low, matrix.high, strict=True), *[(0, None)] * n]
    found = linprog([*[0.0] * n, *weights], np.array(rows), rights, bounds=bounds)
    assert found.status == 0
    return float(found.fun)
