"""What a published rule advises on a pen's call from the last days' bunk scores; a person decides."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from herdbook.science.bunk_scores import bunk_score

DAYS_IN_VIEW = 4
"""At least four days of records are kept in view: Boyles, Ohio State University."""
MOST_STEP_PERCENT = 10.0
"""A call is changed by no more than this at one feeding: Boyles, Ohio State University."""
DAIRY_STEP_PERCENT = 5.0
"""Raise by 5 % or more, cut by 5 %: Bolton. Advice is never more than the step itself."""
DAYS_BETWEEN = 1
"""A day lies between two changes: Fluharty, Ohio State University."""
FEEDLOT_DAYS = 7
"""Scores of seven to ten days are judged together: South Dakota State University Extension."""
FEEDLOT_LONGEST = 10
FEEDLOT_CRUMBS = (2, 3)
"""On two or three of those days 0.5 and on the rest 0 is a good balance: South Dakota State University Extension."""

SOURCES = {
    "dairy": ("BOLTON-BUNK", "SDSU-BUNK", "FLUHARTY-BUNK"),
    "feedlot": ("SDSU-BUNK", "FLUHARTY-BUNK"),
}
"""Scale -> keys of the references under its rule."""


class DayScore(NamedTuple):
    """A pen's score of a day: ordinal of the farm day, the scale's name and the score as the scale prints it."""

    day: int
    scale: str
    score: str


class CallAdvice(NamedTuple):
    """What a rule says.

    Attributes:
        rule: the scale whose rule it is.
        change: per cent by which the call would go up (above zero) or down; 0 to leave it; None for no advice.
        says: one sentence.
        cautions: what to look at first, or why there is no advice.
    """

    rule: str
    change: float | None
    says: str
    cautions: tuple[str, ...] = ()


def call_advice(
    *, rule: str, scores: Sequence[DayScore], today: int, last_change_day: int | None = None
) -> CallAdvice:
    """Advise on a pen's call by one published rule.

    Scores of other scales are never read: three scales share their digits.

    Args:
        rule: "dairy" (0 to 5, Penn State and Wisconsin) or "feedlot" (0 to 4, South Dakota State).
        scores: the pen's scores, one a day; the last one of a day where there are several.
        today: ordinal of the farm day.
        last_change_day: ordinal of the farm day the call was last changed on, where it is known.

    Returns:
        Never a change of more than the rule's own step, nor of more than 10 %.

    Raises:
        Refused: there is no scale of that name.

    References:
        .. [1] Bolton, University of Wisconsin and Penn State, Bunk scoring for dairy, Hay & Forage.
        .. [2] Rusche, South Dakota State University; Boyles, Ohio State University (2019), Bunk scoring.
        .. [3] Fluharty, Ohio State University, Bunk scoring in the feedlot.
    """
    its = {one.day: one.score for one in scores if one.scale == rule and one.day <= today}
    for day in its:
        bunk_score(scale=rule, score=its[day])
    advised = _dairy(its, today) if rule == "dairy" else _feedlot(its, today)
    waits = last_change_day is not None and today - last_change_day <= DAYS_BETWEEN
    if advised.change and waits:
        says = f"Wait: the call was changed {_ago(today - (last_change_day or 0))}."
        return CallAdvice(rule, 0.0, says, ("A day lies between two changes.", *advised.cautions))
    return advised


def _dairy(its: dict[int, str], today: int) -> CallAdvice:
    lately = [day for day in sorted(its) if day > today - DAYS_IN_VIEW]
    if not lately or today - lately[-1] > 1:
        return CallAdvice("dairy", None, "No advice: no score of today or yesterday.", ())
    newest = float(its[lately[-1]])
    if newest <= 1:
        again = any(float(its[day]) >= 3 for day in lately)
        cautions = ("Scores swing: look at feeding times and dry matter before the call.",) if again else ()
        return CallAdvice(
            "dairy", DAIRY_STEP_PERCENT, "Raise the call by 5 % until the score is 2.", cautions
        )
    if newest < 3:
        return CallAdvice("dairy", 0.0, "Leave the call; right when fed within the hour.", ())
    if newest < 4:
        says = "Clean out the bunk and cut the call by 5 %."
        why = "Check dry matter first: spoiled feed or a wrong mix leaves feed too."
        return CallAdvice("dairy", -DAIRY_STEP_PERCENT, says, (why,))
    says = "No change by rule: stop, find out why, and ask the nutritionist."
    return CallAdvice("dairy", None, says, ("More than half was left.",))


def _feedlot(its: dict[int, str], today: int) -> CallAdvice:
    made_for = "This scale was made for finishing cattle; an empty bunk is no aim for milking cows."
    lately = [float(its[day]) for day in sorted(its) if day > today - FEEDLOT_LONGEST]
    if len(lately) < FEEDLOT_DAYS:
        says = f"No advice: {len(lately)} of the {FEEDLOT_DAYS} scored days the rule needs."
        return CallAdvice("feedlot", None, says, (made_for,))
    left = sum(score >= 0.5 for score in lately)
    low, high = FEEDLOT_CRUMBS
    span = f"{left} of {len(lately)} days with feed left"
    if left < low:
        says = f"More may be offered: {span}; two or three are a good balance. The rule gives no size."
        return CallAdvice(
            "feedlot", None, says, (f"Never more than {MOST_STEP_PERCENT:g} % at one feeding.", made_for)
        )
    if left > high or max(lately) > 0.5:
        says = f"Less may be offered: {span}; two or three of 0.5 are a good balance. The rule gives no size."
        return CallAdvice(
            "feedlot", None, says, (f"Never more than {MOST_STEP_PERCENT:g} % at one feeding.", made_for)
        )
    return CallAdvice("feedlot", 0.0, f"Leave the call: {span} is a good balance.", (made_for,))


def _ago(days: int) -> str:
    return "today" if days <= 0 else "yesterday" if days == 1 else f"{days} days ago"
