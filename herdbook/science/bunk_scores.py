"""Bunk scores: what a score means on its own scale, and what the dairy scale says to do."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from herdbook.errors import Refused
from herdbook.science.tables_as_published import rows


class BunkScore(NamedTuple):
    """One step of a scale; `action` is empty where the scale gives none."""

    scale: str
    score: str
    meaning: str
    action: str


@cache
def bunk_scores() -> tuple[BunkScore, ...]:
    """All steps of the scales that are spelt out in print: "dairy" (0 to 5) and "feedlot" (0, 0.5, 1 to 4).

    A third, with the steps 0-, 0, 0+, 1, 2 and 3, is in use too; what its steps mean was not read.
    """
    return tuple(BunkScore(**row) for row in rows("bunk_scores.csv"))


def bunk_score(*, scale: str, score: str) -> BunkScore:
    """The step of a scale; the same digit means different things on another.

    Raises:
        Refused: the scale or the score is not known.

    References:
        .. [1] Bolton, University of Wisconsin and Penn State, Bunk scoring for dairy.
        .. [2] Rusche, South Dakota State University; Boyles, Ohio State University (2019), Bunk scoring.
    """
    steps = [step for step in bunk_scores() if step.scale == scale]
    if not steps:
        raise Refused(
            f"There is no bunk scale called {scale!r}.", remedy="Use dairy or feedlot.", field="scale"
        )
    for step in steps:
        if step.score == score:
            return step
    known = ", ".join(step.score for step in steps)
    raise Refused(f"The {scale} scale has no score {score!r}.", remedy=f"It has {known}.", field="score")
