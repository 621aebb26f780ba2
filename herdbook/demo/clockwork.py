"""What comes next on the made-up farm: people's rounds wait for their instant and are taken in order of time."""

from __future__ import annotations

from collections.abc import Iterator
from heapq import heappop, heappush
from itertools import count

Round = Iterator[int]
"""Somebody's round: it yields the instant (UTC seconds) it waits for, and does its work when that has come."""


class Clockwork:
    """Runs rounds side by side, always the one whose instant comes first."""

    def __init__(self) -> None:
        self._waiting: list[tuple[int, int, Round]] = []
        self._numbers = count()

    def begin(self, at_s: int, work: Round) -> None:
        """Let a round begin at an instant (UTC seconds)."""
        heappush(self._waiting, (at_s, next(self._numbers), work))

    def run(self, until_s: int) -> None:
        """Do everything due up to an instant (UTC seconds), that instant included; the rest never happens."""
        while self._waiting and self._waiting[0][0] <= until_s:
            at_s, number, work = heappop(self._waiting)
            waits_for_s = next(work, None)
            if waits_for_s is not None:
                # a round that asks for an instant gone by goes on at once: time never runs back
                heappush(self._waiting, (max(waits_for_s, at_s), number, work))
