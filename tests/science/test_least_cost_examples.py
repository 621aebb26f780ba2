"""Published least-cost problems, solved again by a general library: what is printed is not always the least."""

import pytest
from scipy.optimize import linprog


def test_a_small_dairy_mix_is_printed_right():
    # a teaching page: A at least 80, B 50, C 25, D 5 g/kg; printed 0.5905, 0.1364, 0.2727
    nutrients = [[100, 200, 0], [50, 150, 0], [40, 10, 0], [10, 0, 0]]
    least = [80, 50, 25, 5]
    found = linprog(
        [40, 60, 0], A_ub=[[-v for v in row] for row in nutrients], b_ub=[-v for v in least],
        A_eq=[[1, 1, 1]], b_eq=[1],
    )  # fmt: skip
    assert found.x == pytest.approx([13 / 22, 3 / 22, 6 / 22])
    assert found.fun == pytest.approx(31.8182, rel=1e-5)


def poultry_mix(*, protein_floor=0.22, calcium_ceiling=0.012):
    """Limestone, corn and soybean (a textbook's): calcium, protein, fibre; cents per kg."""
    calcium, protein, fibre = [0.38, 0.001, 0.002], [0, 0.09, 0.50], [0, 0.02, 0.08]
    return linprog(
        [10, 30.5, 90],
        A_ub=[[-v for v in calcium], calcium, [-v for v in protein], fibre],
        b_ub=[-0.008, calcium_ceiling, -protein_floor, 0.05],
        A_eq=[[1, 1, 1]],
        b_eq=[1],
    )


def test_a_cheap_mineral_runs_to_its_ceiling():
    found = poultry_mix()
    assert found.x == pytest.approx([0.0281708, 0.648572, 0.323257], rel=1e-5)
    assert found.fun == pytest.approx(49.1563, rel=1e-5)
    assert 0.38 * found.x[0] + 0.001 * found.x[1] + 0.002 * found.x[2] == pytest.approx(0.012)
    assert 0.02 * found.x[1] + 0.08 * found.x[2] == pytest.approx(0.0388320, rel=1e-5)


def test_what_limits_cost_is_found_by_solving_again():
    base = poultry_mix().fun
    assert poultry_mix(protein_floor=0.23).fun - base == pytest.approx(1.45170, rel=1e-4)
    assert base - poultry_mix(calcium_ceiling=0.013).fun == pytest.approx(0.0196167, rel=1e-4)


def test_alfalfa_and_corn():
    found = linprog([1, 2], A_ub=[[-1, -1], [-3, -1], [-1, -6]], b_ub=[-10, -15, -15])
    assert found.x == pytest.approx([9, 1])
    assert found.fun == pytest.approx(11)


def test_a_printed_least_cost_answer_is_feasible_and_not_the_least():
    # soybean and oat sacks: printed 18/11, 28/11 and 52.18
    needs = [[70, 21], [9, 7], [7, 1]]
    floors = [168, 27, 14]
    printed = [18 / 11, 28 / 11]
    assert all(
        sum(a * x for a, x in zip(row, printed, strict=True)) >= floor - 1e-9
        for row, floor in zip(needs, floors, strict=True)
    )
    found = linprog([21, 7], A_ub=[[-v for v in row] for row in needs], b_ub=[-v for v in floors])
    assert found.fun == pytest.approx(51.2791, rel=1e-5)
    assert found.fun < 21 * printed[0] + 7 * printed[1] - 0.8
