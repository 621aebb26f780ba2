"""How far a feed in a load may be off, what an error does to the ration, and what could still mend it."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from herdbook.science.figures import AMOUNT, RationFigure, figure_value, ration_figures
from herdbook.science.load_split import on_step
from herdbook.science.ration import Part, totals, verdict

SMALL_SHARE = 0.05
"""A small feed may be 5 % off: convention, from memory."""
LARGE_SHARE = 0.02
"""A large one 2 %: the usual "hit" in loading studies (Barry, abstract W324, 33 herds and 386,011 loadings)."""
MEETS_G = 25_000
"""5 % of 500 kg and 2 % of 1,250 kg; between them the weight is the limit, so that a bigger feed is never allowed less.

Feeders aim at the tolerance instead of the target where it is only a share (Silva-del-Río, UC Davis, 26 herds). The
weight itself is our own, no source.
"""
PREMIX_SHARE = 0.05
"""A premix or mineral: 5 % of it, whatever its weight: convention, from memory."""
PREMIX_KINDS = ("mineral", "premix")

Bounds = tuple[float | None, float | None, float | None]
K = TypeVar("K", bound=Hashable)

WEIGHTS = ("dm_intake", "as_fed")
"""Figures a head that a load by itself does not tell."""
WATCHED = ("cp", "starch", "ndf", "forage_share", "ca")
"""What is looked at where the nutritionist set no target: common practice, no source."""


def tolerance_g(*, planned_g: float, step_g: float = 0.0, kind: str = "") -> float:
    """How many grams a feed of a load may be off before it is said.

    5 % of a small feed, 2 % of a large one, 25 kg between 500 and 1,250 kg; of a premix or mineral always 5 %. One
    step of the scale is never too much, unless the feed is smaller than that step: then it was weighed by hand.

    Args:
        planned_g: what was planned of it, grams.
        step_g: the step of the mixer's scale, grams.
        kind: what sort of feed it is.
    """
    if kind in PREMIX_KINDS:
        allowed = PREMIX_SHARE * planned_g
    else:
        allowed = max(LARGE_SHARE * planned_g, min(SMALL_SHARE * planned_g, MEETS_G))
    return allowed if planned_g < step_g else max(allowed, step_g)


def is_off(*, planned_g: float, loaded_g: float, step_g: float = 0.0, kind: str = "") -> bool:
    """Whether a feed is off by more than it may be; weights are kept to the gram, and so is the comparison.

    Args:
        planned_g, loaded_g: what was planned and what went in, grams.
        step_g: the step of the mixer's scale, grams.
        kind: what sort of feed it is.
    """
    if planned_g <= 0:
        return loaded_g > 0
    allowed = tolerance_g(planned_g=planned_g, step_g=step_g, kind=kind)
    return abs(loaded_g - planned_g) > allowed + ROUNDED_G


ROUNDED_G = 1.0
"""Two weights that were each kept to the gram; a step of 5 lb is 2,267.96 g."""


@dataclass(frozen=True, slots=True)
class FigureMove:
    """What an error does to one figure of the ration.

    Attributes:
        figure: which.
        planned, now: its value as planned and with the error.
        word: how it now stands: "ok", "low", "high", or "no target".
        limit: the limit it passed; none inside.
    """

    figure: RationFigure
    planned: float
    now: float
    word: str
    limit: float | None = None

    @property
    def change(self) -> float:
        """How far it moved, in its own unit."""
        return self.now - self.planned


def figure_moves(
    planned: Sequence[Part], now: Sequence[Part], targets: Mapping[str, Bounds]
) -> list[FigureMove]:
    """What a load's figures do between two fillings: those with a target, else a few that are always looked at.

    Figures that pass a limit come first, then those that moved most against the room the nutritionist left.

    Args:
        planned: the parts as planned.
        now: the parts with the error.
        targets: figure -> low, aim and high.
    """
    was, is_now = totals(planned), totals(now)
    wanted = [key for key in targets if key not in WEIGHTS and not key.endswith(AMOUNT)]
    made = []
    for key in wanted or WATCHED:
        before, after = figure_value(key, was).value, figure_value(key, is_now).value
        if before is None or after is None:
            continue
        figure = ration_figures()[key]
        low, aim, high = targets.get(key, (None, None, None))
        judged = verdict(round(after, figure.decimals + 2), low, aim, high)
        limit = {"low": low, "high": high}.get(judged.word)
        made.append(FigureMove(figure, before, after, judged.word, limit))
    return sorted(made, key=lambda move: (move.limit is None, -_against_room(move, targets)))


def _against_room(move: FigureMove, targets: Mapping[str, Bounds]) -> float:
    low, _, high = targets.get(move.figure.key, (None, None, None))
    room = high - low if low is not None and high is not None and high > low else abs(move.planned)
    return abs(move.change) / room if room else 0.0


@dataclass(frozen=True, slots=True)
class Mend:
    """What could still bring a load back to its recipe.

    Attributes:
        factor: every feed times its plan, 1 where only what is missing is added.
        adds_g: key of a feed -> what to add of it.
        total_g: what the load then weighs.
        still_off: what is left of the error where the mixer holds no more, as a share of the recipe; 0 mends it all.
    """

    factor: float
    adds_g: Mapping[Hashable, int]
    total_g: int
    still_off: float = 0.0

    @property
    def fits(self) -> bool:
        """Whether the recipe can be kept."""
        return self.still_off == 0.0


def mend(
    feed: K, planned_g: Mapping[K, int], loaded_g: Mapping[K, int], *, capacity_g: int, step_mg: int
) -> Mend | None:
    """How to keep the recipe after one feed is off: the others scaled to it if it is over, the rest added if under.

    What is in stays in. Where the mixer does not hold the scaled load, it is filled, and the rest of the error said.

    Args:
        feed: the one that is off.
        planned_g: feed -> planned grams.
        loaded_g: feed -> grams in so far; feeds still to come are left out.
        capacity_g: what the mixer holds.
        step_mg: the step of its scale, milligrams.

    Returns:
        None where nothing can be done: the feed is not in the plan, or the mixer is full.
    """
    if not planned_g.get(feed):
        return None
    wanted = loaded_g.get(feed, 0) / planned_g[feed]
    others_g = sum(planned_g.values()) - planned_g[feed]
    room = (capacity_g - loaded_g.get(feed, 0)) / others_g if others_g else 1.0
    factor = max(1.0, min(wanted, room))
    adds: dict[Hashable, int] = {}
    for one, grams in planned_g.items():
        missing = round(grams * factor) - loaded_g.get(one, 0)
        if missing > 0 and (one != feed or wanted < 1):
            adds[one] = on_step(missing, step_mg)
    total_g = sum(loaded_g.values()) + sum(adds.values())
    while adds and total_g > capacity_g:  # rounding up to the step must not overfill it
        largest = max(adds, key=lambda one: adds[one])
        less = max(1, -(-step_mg // 1000))
        if adds[largest] <= less:
            return None
        adds[largest] -= less
        total_g -= less
    if not adds or (wanted > 1 and factor <= 1.0):
        return None
    return Mend(factor, adds, total_g, wanted / factor - 1 if wanted > factor * (1 + 1e-9) else 0.0)
