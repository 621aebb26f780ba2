"""Somatic cells: score, losses, the tank's count."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.science.cell_score import (
    cell_score,
    cells_from_score,
    score_loss_lb_per_day,
    tank_cells,
    udder_state,
)
from herdbook.science.registry import rule


@given(score=st.floats(-2, 11))
def test_score_and_cells_come_home(score):
    assert cell_score(cells=cells_from_score(score=score)) == pytest.approx(score)


@given(cells=st.floats(1_000, 1e7))
def test_each_doubling_is_one_step(cells):
    assert cell_score(cells=2 * cells) - cell_score(cells=cells) == pytest.approx(1)
    assert score_loss_lb_per_day(before=cells, after=2 * cells) == pytest.approx(1.5)


def test_the_mean_of_scores_is_not_the_score_of_the_mean_count():
    counts = [50_000, 800_000]
    mean_score = sum(cell_score(cells=cells) for cells in counts) / 2
    assert mean_score == 4
    assert cell_score(cells=sum(counts) / 2) == pytest.approx(5.0875, abs=1e-3)


def test_a_tank_count_is_weighted_by_milk():
    assert tank_cells([(90, 100_000), (10, 1_100_000)]) == pytest.approx(200_000)
    with pytest.raises(ValueError, match="no milk"):
        tank_cells([])


@pytest.mark.parametrize(
    ("before", "now", "state"),
    [(4.9, 5.0, "new"), (5.0, 5.0, "chronic"), (6, 4.9, "cleared"), (4, 4, "clear")],
)
def test_a_score_of_5_and_over_counts_as_infected(before, now, state):
    """Virginia Tech, Dairy Pipeline, May 1997."""
    assert udder_state(last_month_score=before, this_month_score=now) == state


def test_75_cows_losing_120_000_pounds_lose_1600_each():
    """University of Nebraska-Lincoln, NebGuide G1656."""
    assert 120_000 / 75 == 1600
    assert rule("herd-cell-loss-value").compute(cows=75, loss_per_cow=1600, price=11).value == 13_200


def test_what_is_recalled_says_so():
    assert rule("tank-count-loss").from_memory
    assert rule("growth-relative").from_memory
    assert rule("hortvet-to-celsius-older").from_memory
    assert not rule("cell-score").from_memory
