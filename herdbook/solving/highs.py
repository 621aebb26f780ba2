"""The HiGHS solver behind a small typed face: loaded late and without a word, solved, changed, solved again."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from threading import Lock
from types import ModuleType
from typing import TYPE_CHECKING, Literal, NamedTuple

from herdbook.errors import HerdbookError

if TYPE_CHECKING:
    from typing import TypeAlias

    import highspy
    import numpy as np
    import numpy.typing as npt

    Floats: TypeAlias = npt.NDArray[np.float64]
    Truths: TypeAlias = npt.NDArray[np.bool_]

Status = Literal["optimal", "infeasible", "unbounded"]

STDOUT = 1
TOLERANCE = (
    1e-9  # HiGHS takes 1e-7 by itself; rows are scaled to 1, and a limit is to hold to 1e-6 of its unit
)
BY_ROWS, MINIMISE = 2, 1  # MatrixFormat.kRowwise and ObjSense.kMinimize

_loading = Lock()


@cache
def _loaded() -> ModuleType:
    with silent_stdout():
        import highspy

        highspy.Highs()  # type: ignore[no-untyped-call]  # the first of a process prints who it is, before any option can be set
    return highspy


def load() -> ModuleType:
    """The solver's module, loaded on first use with its banner kept off standard output.

    Call it in a thread after the first frame; what else writes to standard output meanwhile (about 60 ms) is
    lost, so a command calls it before it prints.
    """
    with _loading:
        return _loaded()


@contextmanager
def silent_stdout() -> Iterator[None]:
    """Nothing reaches file descriptor 1 inside, not even from compiled code; it is put back as it was."""
    try:
        kept = os.dup(STDOUT)
    except OSError:  # closed by whoever started us
        kept = -1
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        if nowhere != STDOUT:
            os.dup2(nowhere, STDOUT)
            os.close(nowhere)
        yield
    finally:
        if kept < 0:
            os.close(STDOUT)
        else:
            os.dup2(kept, STDOUT)
            os.close(kept)


class CostRange(NamedTuple):
    """Between which costs of a column the amounts stay as they are."""

    low: list[float]
    high: list[float]


class Solver:
    """One linear programme: minimise ``costs @ x`` with x and the rows between bounds.

    Args:
        costs, low, high: one for each column.
        coefficients: rows by columns, dense.
        row_low, row_high: one for each row; infinite where open.
    """

    def __init__(
        self,
        costs: Floats,
        low: Floats,
        high: Floats,
        coefficients: Floats,
        row_low: Floats,
        row_high: Floats,
    ) -> None:
        import numpy as np

        rows, columns = coefficients.shape
        self.model: highspy.Highs = load().Highs()
        for option, value in OPTIONS:
            self.model.setOptionValue(option, value)
        self.model.passModel(
            columns, rows, rows * columns, BY_ROWS, MINIMISE, 0.0, costs, low, high, row_low, row_high,
            np.arange(0, rows * columns + 1, columns, dtype=np.int32),
            np.tile(np.arange(columns, dtype=np.int32), rows),
            coefficients.ravel(),
            np.zeros(columns, dtype=np.int32),
        )  # fmt: skip

    def run(self) -> Status:
        """Solve, from where the last run ended when there was one.

        Raises:
            HerdbookError: the solver gave up.
        """
        found = self._run()
        if found is None:
            self.model.clearSolver()  # a poor starting point is the likeliest reason; begin afresh, once
            found = self._run()
        if found is None:
            said = self.model.modelStatusToString(self.model.getModelStatus())
            raise HerdbookError(
                f"The solver stopped without an answer ({said}).",
                remedy="Look for a figure that is far too large or too small.",
            )
        return found

    def _run(self) -> Status | None:
        statuses = load().HighsModelStatus
        self.model.run()
        words: dict[object, Status] = {
            statuses.kOptimal: "optimal",
            statuses.kInfeasible: "infeasible",
            statuses.kUnbounded: "unbounded",
        }
        return words.get(self.model.getModelStatus())

    @property
    def objective(self) -> float:
        """What the last run got down to."""
        return float(self.model.getObjectiveValue())

    def amounts(self) -> Floats:
        """The columns' values."""
        import numpy as np

        return np.array(self.model.getSolution().col_value)

    def column_duals(self) -> list[float]:
        """What one more unit of each column would add to the objective."""
        return list(self.model.getSolution().col_dual)

    def row_duals(self) -> list[float]:
        """What raising each row's bound by one would add to the objective: from 0 up at a low bound, down at a high."""
        return list(self.model.getSolution().row_dual)

    def cost_ranges(self) -> CostRange | None:
        """Between which costs the answer stands, one column changed at a time; None when HiGHS cannot tell."""
        _, ranging = self.model.getRanging()
        if not ranging.valid:
            return None
        return CostRange(list(ranging.col_cost_dn.value_), list(ranging.col_cost_up.value_))

    def dual_ray(self) -> Floats | None:
        """Multipliers of the rows that prove that nothing fits, after a run that found so; None without a proof."""
        _, exists, ray = self.model.getDualRay()  # type: ignore[attr-defined]  # missing in the stubs
        return ray if exists else None


OPTIONS: tuple[tuple[str, bool | float | str], ...] = (
    ("output_flag", False),
    ("presolve", "off"),  # costs more than it saves at this size, and blurs unbounded with infeasible
    ("solver", "simplex"),  # a vertex, with a basis to start the next run from and to range over
    ("primal_feasibility_tolerance", TOLERANCE),
    ("dual_feasibility_tolerance", TOLERANCE),
)
