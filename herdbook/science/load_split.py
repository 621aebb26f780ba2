"""From what pens need in a day to loads: fewest, then even ones, on the scale's step, in the mixer's own order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor

FEWEST_STEPS = 5
"""A feed of fewer steps of the scale is weighed by hand: rounding alone could put it out by a tenth or more.

Common practice, no source; scales that step by 10 to 20 lb stand against milligram formulas (Lundquist, AgWeb 2014).
"""
MOST_MADE_UP = 0.5
"""Steps of its scale that a load makes up for what earlier ones left: rounding alone leaves no more."""
NEARLY_EVEN = 0.1
"""Loads may differ by this part of an even one where a pen then stays whole: common practice, no source."""
HAIR = 1e-9
MOST_LOADS = 100
"""More loads than these of one batch mean that what the mixer holds was written wrongly."""


class TooManyLoads(ValueError):  # noqa: N818 (says what happened)
    """A batch would take more than `MOST_LOADS` of the best mixer there is."""

    def __init__(self, mixer: int) -> None:
        super().__init__(f"mixer {mixer} would take more than {MOST_LOADS} loads")
        self.mixer = mixer


@dataclass(frozen=True, slots=True)
class MixerScale:
    """A mixer as a plan sees it: the most it mixes well, its scale's step, the least it mixes well, its own order."""

    key: int
    capacity_g: int
    step_mg: int
    least_g: int = 0
    order: tuple[int, ...] = ()

    def steps_g(self, steps: int) -> int:
        """So many steps of the scale, to the gram; 5 lb is no whole number of grams, so steps are counted first."""
        return round(steps * self.step_mg / 1000)


@dataclass(frozen=True, slots=True)
class PenNeed:
    """A pen at a feeding: its head, and how many cows' feed of a day it gets (head times call times share)."""

    pen: int
    head: int
    cow_days: float


@dataclass(frozen=True, slots=True)
class Batch:
    """What pens of one ration need at one feeding.

    Attributes:
        feeding: which feeding of the day.
        recipe: the ration version.
        per_cow_g: feed -> grams as fed a cow and day, in the ration's order.
        pens: who gets it, in walking order.
    """

    feeding: int
    recipe: int
    per_cow_g: Mapping[int, float]
    pens: tuple[PenNeed, ...]

    @property
    def total_g(self) -> float:
        """Everything these pens need at this feeding."""
        return sum(self.per_cow_g.values()) * sum(pen.cow_days for pen in self.pens)


@dataclass(frozen=True, slots=True)
class PenPart:
    """The part of a pen's feeding that is in a load: head it stands for, share of what the pen gets (0 to 1), grams."""

    pen: int
    head: int
    part: float
    grams: float


@dataclass(frozen=True, slots=True)
class FeedLine:
    """One feed of a load.

    Attributes:
        feed: which.
        grams: what to put in: on the scale's step, or to the gram where it is weighed by hand.
        exact_g: what the ration asks for.
        by_hand: too small for the mixer's scale.
        scale_to_g: what the scale shows once it is in, to its step.
    """

    feed: int
    grams: int
    exact_g: float
    by_hand: bool
    scale_to_g: int


@dataclass(frozen=True, slots=True)
class SplitLoad:
    """One load: which mixer, for which pens, and its feeds in the mixer's own order."""

    feeding: int
    recipe: int
    mixer: MixerScale
    pens: tuple[PenPart, ...]
    lines: tuple[FeedLine, ...]

    @property
    def total_g(self) -> int:
        """Its whole weight."""
        return sum(line.grams for line in self.lines)

    @property
    def head(self) -> int:
        """How many head it stands for."""
        return sum(pen.head for pen in self.pens)

    @property
    def is_under_least(self) -> bool:
        """Whether it is less than the mixer mixes well."""
        return self.total_g < self.mixer.least_g


def split_day(batches: Iterable[Batch], mixers: Sequence[MixerScale]) -> tuple[SplitLoad, ...]:
    """Every load of a day.

    Each batch goes into one mixer: one that need not run under its least load, then the one that takes the fewest
    loads, then the smallest that does. The loads are even; a load ends with a pen where that leaves them even to a
    tenth. What rounding to the scale's step leaves over goes into the next load of that feed, so that each feed's
    total of the day is right to within a step.

    Args:
        batches: in the order they are fed.
        mixers: at least one.

    Returns:
        The loads in the same order; none for a batch that needs nothing.

    Raises:
        ValueError: there is no mixer.
        TooManyLoads: what the mixer holds cannot be right.
    """
    if not mixers:
        raise ValueError("without a mixer there is no load")
    left_g: dict[int, float] = {}
    loads: list[SplitLoad] = []
    for batch in batches:
        if batch.total_g > 0:
            made, left_g = _split(batch, choose_mixer(batch.total_g, mixers), left_g)
            loads += made
    return tuple(loads)


def choose_mixer(total_g: float, mixers: Sequence[MixerScale]) -> MixerScale:
    """The mixer for so much feed: not under its least load if any can, then fewest loads, then the smallest."""

    def rank(mixer: MixerScale) -> tuple[bool, int, int, int]:
        count = fewest_loads(total_g, mixer.capacity_g)
        return total_g / count < mixer.least_g, count, mixer.capacity_g, mixer.key

    return min(mixers, key=rank)


def fewest_loads(total_g: float, capacity_g: float) -> int:
    """How many loads so much feed takes at least."""
    return max(1, ceil(total_g / capacity_g - HAIR))


def too_small_for_scale(grams: float, step_mg: int) -> bool:
    """Whether a feed has to be weighed by hand, because the mixer's scale steps too widely for it."""
    return grams * 1000 < FEWEST_STEPS * step_mg


def on_step(grams: float, step_mg: int) -> int:
    """The nearest weight the scale can show; one too small for it is kept to the gram, and never becomes nothing."""
    if too_small_for_scale(grams, step_mg):
        return by_hand_g(grams)
    return round(floor(grams * 1000 / step_mg + 0.5) * step_mg / 1000)


def by_hand_g(grams: float) -> int:
    """A weight by hand, to the gram; what is asked for is never nothing."""
    return max(round(grams), 1) if grams > 0 else 0


def in_order(feeds: Iterable[int], order: Sequence[int]) -> list[int]:
    """Feeds in a mixer's own order; those it does not name come last, as the ration has them."""
    place = {feed: number for number, feed in enumerate(order)}
    return sorted(feeds, key=lambda feed: place.get(feed, len(place)))


def _split(
    batch: Batch, mixer: MixerScale, left_g: Mapping[int, float]
) -> tuple[list[SplitLoad], dict[int, float]]:
    """A batch's loads and what rounding leaves; one load more where rounding would overfill one."""
    count = fewest_loads(batch.total_g, mixer.capacity_g)
    while count <= MOST_LOADS:
        made, left = _in_so_many(batch, mixer, count, dict(left_g))
        if made is not None:
            return made, left
        count += 1
    raise TooManyLoads(mixer.key)


def _in_so_many(
    batch: Batch, mixer: MixerScale, count: int, left_g: dict[int, float]
) -> tuple[list[SplitLoad] | None, dict[int, float]]:
    loads = []
    for pens in _shared_out(batch, mixer.capacity_g, count):
        whole = sum(pen.grams for pen in pens) / sum(batch.per_cow_g.values())
        exact_g = {
            feed: batch.per_cow_g[feed] * whole for feed in in_order(batch.per_cow_g, mixer.order)
        }  # fmt: skip
        given = _weighed(exact_g, mixer, left_g)
        if given is None:
            return None, left_g
        loads.append(SplitLoad(batch.feeding, batch.recipe, mixer, pens, _lines(exact_g, given, mixer)))
    return loads, left_g


def _lines(exact_g: Mapping[int, float], given: Mapping[int, int], mixer: MixerScale) -> tuple[FeedLine, ...]:
    lines, running_g = [], 0
    for feed, exact in exact_g.items():
        running_g += given[feed]
        shows_g = mixer.steps_g(floor(running_g * 1000 / mixer.step_mg + 0.5))
        lines.append(FeedLine(feed, given[feed], exact, too_small_for_scale(exact, mixer.step_mg), shows_g))
    return tuple(lines)


def _weighed(
    exact_g: Mapping[int, float], mixer: MixerScale, left_g: dict[int, float]
) -> dict[int, int] | None:
    """Amounts as the scale can show them, with what earlier loads left over; none where they overfill the mixer.

    A load makes up for at most half a step of its own scale: what a coarser mixer gave too much of is worked off bit
    by bit, and no small batch of other cows pays for it.
    """
    by_hand = {
        feed: by_hand_g(exact) for feed, exact in exact_g.items() if too_small_for_scale(exact, mixer.step_mg)
    }
    wanted = {
        feed: exact * 1000 / mixer.step_mg
        + min(max(left_g.get(feed, 0.0) * 1000 / mixer.step_mg, -MOST_MADE_UP), MOST_MADE_UP)
        for feed, exact in exact_g.items()
        if feed not in by_hand
    }
    fewest = ceil(1000 / mixer.step_mg)  # a gram at least
    steps = {feed: max(fewest, floor(exactly + 0.5)) for feed, exactly in wanted.items()}
    room_g = mixer.capacity_g - sum(by_hand.values())
    for feed in sorted(steps, key=lambda feed: wanted[feed] - floor(wanted[feed])):
        if fewest < steps[feed] > wanted[feed] and sum(map(mixer.steps_g, steps.values())) > room_g:
            steps[feed] -= 1
    if sum(map(mixer.steps_g, steps.values())) > room_g:
        return None
    for feed in steps:
        left_g[feed] = left_g.get(feed, 0.0) + exact_g[feed] - steps[feed] * mixer.step_mg / 1000
    return {feed: mixer.steps_g(steps[feed]) if feed in steps else by_hand[feed] for feed in exact_g}


def _shared_out(batch: Batch, capacity_g: int, count: int) -> list[tuple[PenPart, ...]]:
    """The pens of each of so many loads, in walking order; a pen may end in one load and go on in the next."""
    per_cow = sum(batch.per_cow_g.values())
    ends_g = [0.0]
    for pen in batch.pens:
        ends_g.append(ends_g[-1] + pen.cow_days * per_cow)
    cuts_g = _cuts(ends_g, capacity_g, count)
    loads: list[tuple[PenPart, ...]] = []
    counted = dict.fromkeys((pen.pen for pen in batch.pens), 0)
    for low, high in pairwise(cuts_g):
        parts = []
        for pen, (begins, ends) in zip(batch.pens, pairwise(ends_g), strict=True):
            inside = min(high, ends) - max(low, begins)
            if inside <= HAIR * max(ends, 1.0):
                continue
            done = floor(pen.head * (min(high, ends) - begins) / (ends - begins) + 0.5)
            head, counted[pen.pen] = done - counted[pen.pen], done
            parts.append(PenPart(pen.pen, head, inside / (ends - begins), inside))
        loads.append(tuple(parts))
    return loads


def _cuts(ends_g: Sequence[float], capacity_g: int, count: int) -> list[float]:
    """Where one load ends and the next begins: even, moved to a pen's end nearby while every load still fits."""
    total_g = ends_g[-1]
    cuts = [total_g * number / count for number in range(count)] + [total_g]
    most_g = NEARLY_EVEN * total_g / count
    moves = []
    for number in range(1, count):
        near = min(ends_g[1:-1], key=lambda end: abs(end - cuts[number]), default=None)
        if near is not None and abs(near - cuts[number]) <= most_g:
            moves.append((abs(near - cuts[number]), number, near))
    for _, number, near in sorted(moves):
        moved = [*cuts[:number], near, *cuts[number + 1 :]]
        if all(high - low <= capacity_g for low, high in pairwise(moved)):
            cuts = moved
    return cuts
