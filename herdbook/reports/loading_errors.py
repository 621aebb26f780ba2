"""Feeds of a load that are off by more than they may be: what that does to the ration, and what could still mend it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.feeding import LoadRow
from herdbook.chores.ground import Ground
from herdbook.reports.parts_of import MILLION, FeedFacts
from herdbook.science.load_tolerance import (
    Bounds,
    FigureMove,
    Mend,
    figure_moves,
    is_off,
    mend,
    tolerance_g,
)
from herdbook.science.ration import Part
from herdbook.units import show_number

FEW_MOVES = 2
"""A person at the mixer reads so many figures at once: common practice, no source."""


@dataclass(frozen=True, slots=True)
class LoadingError:
    """One feed of a load, held against its plan.

    Attributes:
        feed, name: which.
        planned_g: none where it is not in the plan.
        loaded_g: what is in of it.
        allowed_g: how far it may be off.
        is_off: whether it is off by more.
        moves: what that does to the ration's figures, those that matter most first; empty where it is not off.
        mend: what could still be done; none where nothing can.
    """

    feed: int
    name: str
    planned_g: int | None
    loaded_g: int
    allowed_g: float
    is_off: bool
    moves: tuple[FigureMove, ...] = ()
    mend: Mend | None = None

    @property
    def off_g(self) -> int:
        """Loaded less planned."""
        return self.loaded_g - (self.planned_g or 0)


class Limits:
    """How far feeds of any load may be off: what sort each is and how each mixer's scale steps, asked once."""

    def __init__(self, connection: Any) -> None:
        self._kinds = {row.feed: row.kind for row in read_feeds.feeds(connection)}
        self._steps_g: dict[int, float] = {
            mixer: card["step_mg"] / 1000 for mixer, card in read_rations.mixers(connection).items()
        }

    def is_off(self, load: LoadRow, feed: int, planned_g: int, loaded_g: int) -> bool:
        """Whether a feed of a load is off by more than it may be."""
        step_g, kind = self.step_g(load), self._kinds.get(feed, "")
        return is_off(planned_g=planned_g, loaded_g=loaded_g, step_g=step_g, kind=kind)

    def step_g(self, load: LoadRow) -> float:
        """The step of the scale a load was weighed on, grams."""
        return self._steps_g.get(load.mixer, 0.0)


class LoadJudge:
    """Judges the weights of one load without asking the book again: made once, asked at every keystroke.

    Args:
        connection: the book; read here and not kept.
        ground: the farm's names.
        load: the load as it stands.
    """

    def __init__(self, connection: Any, ground: Ground, load: LoadRow) -> None:
        card = read_rations.mixers(connection).get(load.mixer)
        self.step_mg: int = card["step_mg"] if card is not None else 1000
        self.capacity_g: int = card["capacity_g"] if card is not None else 0
        self.planned: dict[int, int] = {}
        for row in load.planned:
            self.planned[row["feed"]] = self.planned.get(row["feed"], 0) + row["planned_g"]
        self.loaded: dict[int, int] = {}
        for row in load.weighed:
            self.loaded[row["feed"]] = self.loaded.get(row["feed"], 0) + row["loaded_g"]
        facts = FeedFacts(connection, ground, load.farm_day, load.started_at)
        self._facts = facts
        self._dry = {row["feed"]: row["dry_ppm"] for row in (*load.planned, *load.weighed)}
        self._leaves: dict[int, tuple[Part, ...]] = {}
        self._kinds = {feed: facts.kind(feed) for feed in {*self.planned, *self.loaded}}
        self._names = {feed: facts.name(feed) for feed in {*self.planned, *self.loaded}}
        self._targets: Mapping[str, Bounds] = {
            row["figure"]: (
                _millionths(row["low"]),
                _millionths(row["aim"]),
                _millionths(row["high"]),
            )
            for row in read_rations.targets_on(connection, load.ration, load.farm_day)
        }
        for feed in {*self.planned, *self.loaded}:
            self._of(feed)

    def judge(self, feed: int, loaded_g: int, *, with_moves: bool = True) -> LoadingError:
        """A feed as if so much of it were in.

        Args:
            feed: which.
            loaded_g: all of it that is in, this weight included.
            with_moves: also what it does to the ration and what could mend it.
        """
        planned = self.planned.get(feed)
        step, kind = self.step_mg / 1000, self._kinds.get(feed, "")
        off = is_off(planned_g=planned or 0, loaded_g=loaded_g, step_g=step, kind=kind)
        allowed = tolerance_g(planned_g=planned or 0, step_g=step, kind=kind)
        name = self._names.get(feed) or self._facts.name(feed)
        made = LoadingError(feed, name, planned, loaded_g, allowed, off)
        if not off or not with_moves:
            return made
        loaded = {**self.loaded, feed: loaded_g}
        fix = mend(feed, self.planned, loaded, capacity_g=self.capacity_g, step_mg=self.step_mg)
        return replace(made, moves=tuple(self._moves(feed, loaded_g)), mend=fix)

    def errors(self) -> list[LoadingError]:
        """Every weighed feed that is off, in the order of the plan."""
        feeds = dict.fromkeys([*self.planned, *self.loaded])
        judged = [self.judge(feed, self.loaded[feed]) for feed in feeds if feed in self.loaded]
        return [one for one in judged if one.is_off]

    def _moves(self, feed: int, loaded_g: int) -> list[FigureMove]:
        """The figures of the plan, and of the plan with this one error in it."""
        now = {**self.planned, feed: loaded_g}
        return figure_moves(self._parts(self.planned), self._parts(now), self._targets)

    def _parts(self, weights: Mapping[int, int]) -> list[Part]:
        return [
            replace(leaf, as_fed_kg=leaf.as_fed_kg * grams / 1000)
            for feed, grams in weights.items()
            for leaf in self._of(feed)
        ]

    def _of(self, feed: int) -> tuple[Part, ...]:
        """What a kilogram of a feed is made of, at the dry matter that the load uses."""
        if feed not in self._leaves:
            dry = self._facts.dry(feed)
            ppm = self._dry.get(feed, dry.dry_ppm if dry else 0)
            self._leaves[feed] = self._facts.leaves(feed, 1.0, ppm / MILLION)
        return self._leaves[feed]


def _millionths(value: int | None) -> float | None:
    return None if value is None else value / MILLION


def in_words(error: LoadingError, ground: Ground) -> str:
    """`Soybean meal +9.0 % (63 lb): CP +0.5 % of DM, within the nutritionist's range.`"""
    units = ground.units
    if error.planned_g is None or not error.planned_g:
        lead = f"{error.name}, {units.mass(error.loaded_g)}, is not in the plan"
    else:
        percent = 100 * error.off_g / error.planned_g
        sign = "+" if error.off_g >= 0 else ""
        lead = f"{error.name} {off_in_words(percent)} ({sign}{units.mass(error.off_g)})"
    moves = moves_in_words(error.moves, ground)
    return f"{lead}: {moves}." if moves else f"{lead}."


def off_in_words(percent: float) -> str:
    """`+30 %`, `-5.3 %`: near a tolerance a decimal shows on which side of it."""
    return f"{percent:+.0f} %" if abs(percent) >= 10 else f"{percent:+.1f} %"


def moves_in_words(moves: Sequence[FigureMove], ground: Ground) -> str:
    """What the figures do, those that matter most, and whether they stay in the nutritionist's range."""
    seen = [move for move in moves if _visible(move)]
    out = [move for move in seen if move.limit is not None][:FEW_MOVES]
    if out:
        return "; ".join(_past(move, ground) for move in out)
    if not seen:
        return "no figure of the ration moves that can be seen" if moves else ""
    first = seen[0]
    if first.word == "no target":
        return f"{_moved(first, ground)}; no target is set"
    return f"{_moved(first, ground)}, within the nutritionist's range"


def _visible(move: FigureMove) -> bool:
    return round(abs(move.change), _decimals(move)) > 0


def _decimals(move: FigureMove) -> int:
    return max(move.figure.decimals, 1 if move.figure.unit == "%" else 0)


def _unit(move: FigureMove) -> str:
    return " % of DM" if move.figure.unit == "%" else f" {move.figure.unit}" if move.figure.unit else ""


def _moved(move: FigureMove, ground: Ground) -> str:
    change = show_number(abs(move.change), _decimals(move), decimal=ground.units.decimal)
    return f"{move.figure.label} {'+' if move.change >= 0 else '-'}{change}{_unit(move)}"


def _past(move: FigureMove, ground: Ground) -> str:
    assert move.limit is not None
    now = show_number(move.now, _decimals(move), decimal=ground.units.decimal)
    limit = show_number(move.limit, _decimals(move), decimal=ground.units.decimal)
    side = "over" if move.word == "high" else "under"
    return f"{_moved(move, ground)} to {now}, {side} the nutritionist's {limit}"


def mend_in_words(error: LoadingError, ground: Ground) -> str:
    """What could still be done, in one sentence; empty where nothing can."""
    if not error.is_off or error.mend is None:
        return ""
    units, fix = ground.units, error.mend
    if error.off_g < 0:
        add = fix.adds_g.get(error.feed)
        return f"{units.mass(add)} more of it makes it right." if add else ""
    size = f"{units.mass(fix.total_g)}"
    if fix.fits:
        more = off_in_words(100 * (fix.factor - 1))
        return f"Every other feed at {more} keeps the recipe; the load is then {size}."
    left = off_in_words(100 * fix.still_off)
    return f"The mixer cannot hold what would keep the recipe: filled to {size} it is still {left}."
