"""A tank's fillings: the milkings between two emptyings, where one that runs meanwhile belongs to both."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from herdbook.book.reading.milk import MilkingRow

SAME_MOMENT_S = 10 * 60
"""Two clocks on one farm differ by minutes: a milking that overlaps an emptying by less does not overlap it."""
LONGEST_MILKING_S = 24 * 3600
"""One without an end that began longer ago was forgotten, it does not run any more."""


@dataclass(frozen=True, slots=True)
class Filling:
    """Milk that stands in a tank together.

    Args:
        since_s: when the tank was emptied before it; none where that is not known.
        until_s: when it was emptied; none while the milk stands in it.
        milkings: oldest first.
    """

    since_s: int | None
    until_s: int | None
    milkings: tuple[MilkingRow, ...]

    def begins_s(self, milking: MilkingRow) -> int:
        """From when a milking's milk is part of this filling."""
        return milking.started_at if self.since_s is None else max(milking.started_at, self.since_s)


def share_before(milking: MilkingRow, at_s: int) -> float:
    """Which share of a milking's milk was in the tank at an instant, by time; a running one counts whole."""
    before_s = at_s - milking.started_at
    if before_s <= 0:
        return 0.0
    after_s = SAME_MOMENT_S + 1 if milking.ended_at is None else milking.ended_at - at_s
    if after_s <= SAME_MOMENT_S:
        return 1.0
    if before_s <= SAME_MOMENT_S:
        return 0.0
    return 1.0 if milking.ended_at is None else before_s / (before_s + after_s)


def runs_on(milking: MilkingRow, emptied_s: int) -> bool:
    """Whether milk of a milking that began before an emptying flowed after it too."""
    if milking.started_at >= emptied_s:
        return False
    if milking.ended_at is None:
        return emptied_s - milking.started_at <= LONGEST_MILKING_S
    return share_before(milking, emptied_s) < 1


def fillings(milkings: Sequence[MilkingRow], emptied_s: Sequence[int]) -> Iterator[Filling]:
    """Part a tank's milkings by its emptyings, oldest first; the last filling may be empty.

    Args:
        milkings: oldest first.
        emptied_s: UTC seconds of each emptying, oldest first.
    """
    rest, since_s = list(milkings), None
    for at_s in emptied_s:
        inside = [one for one in rest if share_before(one, at_s) > 0]
        yield Filling(since_s, at_s, tuple(inside))
        rest = [one for one in rest if one.started_at >= at_s or runs_on(one, at_s)]
        since_s = at_s
    yield Filling(since_s, None, tuple(rest))
