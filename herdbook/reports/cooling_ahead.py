"""What is foreseen of a tank's newest milking: its readings, its milk and its last milkings, put to the forecast."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.milk import MilkingRow
from herdbook.reports.fillings import Filling, fillings, share_before
from herdbook.reports.milked import shared
from herdbook.science.cooling_curve import Reading
from herdbook.science.milk_clock import Verdict
from herdbook.science.tank_forecast import TankForecast, Wanted, forecast
from herdbook.science.tank_prior import PRIOR_MILKINGS, PastMilking, TankMilking, tank_prior

LOOK_BACK_MILKINGS = PRIOR_MILKINGS + 8
"""Those the forecast rests on, and as many before them as may stand in the tank with the first of them."""
WATCHED_S = 4 * 3600
"""How long after its end a past milking is looked at: its cooling is over by then."""
HELD_READ_S = 12 * 3600
"""A reading of the milk in the tank says what the next milk meets for so long: common practice, no source."""


def foreseen(
    connection: Any,
    tank: int,
    filling: Filling,
    readings: Sequence[Any],
    verdicts: Sequence[Verdict],
    partial: Sequence[Any],
    now_s: int,
) -> tuple[list[Verdict], TankForecast | None]:
    """Put the forecast into the verdicts that are not reached yet.

    Args:
        connection: the book.
        tank: which tank.
        filling: the milk that stands in it.
        readings: its readings since the first milking of the filling (rows).
        verdicts: what the rule says of the milkings in it.
        partial: pickups of a part of it (rows).
        now_s: UTC seconds.

    Returns:
        The verdicts, and the whole forecast; none where no limit is to be reached any more.
    """
    open_ones = [verdict for verdict in verdicts if verdict.may_be_foreseen]
    if not open_ones or not filling.milkings:
        return list(verdicts), None
    newest = filling.milkings[-1]
    begins_s = filling.begins_s(newest)
    past = past_milkings_of(connection, tank, newest.started_at, PRIOR_MILKINGS)
    prior = tank_prior([one for _, one in past], starts_s=begins_s)
    found = forecast(
        _milking(filling, readings, _taken_g(partial, 0, begins_s), now_s),
        [_reading(row) for row in readings if row["read_at"] >= begins_s],
        [_wanted(verdict) for verdict in open_ones],
        now_s,
        prior=prior,
    )
    ahead = dict(zip(map(id, open_ones), found.limits, strict=True))
    return [replace(one, expected=ahead.get(id(one), one.expected)) for one in verdicts], found


def _wanted(verdict: Verdict) -> Wanted:
    clause = verdict.clause
    after_end_s = clause.within_s if clause.counts_from_end and verdict.state == "waiting" else None
    return Wanted(clause.limit.mC, verdict.deadline_s, after_end_s)


def _taken_g(partial: Sequence[Any], from_s: int, until_s: int) -> int:
    return sum(row["milk_g"] for row in partial if from_s < row["picked_at"] <= until_s)


def _milking(filling: Filling, readings: Sequence[Any], taken_g: int, now_s: int) -> TankMilking:
    """The newest milking as far as the book knows it."""
    newest, before = filling.milkings[-1], filling.milkings[:-1]
    begins_s, since_s = filling.begins_s(newest), filling.since_s or 0
    ended_s = newest.ended_at if newest.ended_at is not None and newest.ended_at <= now_s else None
    parts = [None if m.milk_g is None else round(m.milk_g * (1 - share_before(m, since_s))) for m in before]
    held_g = None if None in parts else max(sum(part for part in parts if part is not None) - taken_g, 0)
    before_it = [row for row in readings if begins_s - HELD_READ_S <= row["read_at"] <= begins_s]
    return TankMilking(
        begins_s,
        ended_s,
        len(before),
        held_g,
        None if ended_s is None else newest.milk_g,
        before_it[-1]["tank_mC"] if before and before_it else None,
    )


def past_milkings_of(
    connection: Any, tank: int, before_s: int, count: int
) -> list[tuple[MilkingRow, PastMilking]]:
    """The last milkings of a tank that are over, with their rows of the book, milk and readings, oldest first.

    Args:
        connection: the book.
        tank: which tank.
        before_s: those that began before this instant.
        count: at most so many.
    """
    milkings = read_milk.milkings_before(
        connection, tank, before_s, count + LOOK_BACK_MILKINGS - PRIOR_MILKINGS
    )
    if not milkings:
        return []
    pickups = read_milk.pickups(connection, milkings[0].started_at, before_s + WATCHED_S, tank)
    grams = {one.milking.milking: one.milk_g for one in shared(milkings, pickups)}
    past = list(_past(milkings, pickups, grams, before_s))
    return [(row, _read(connection, tank, milking, until_s)) for row, milking, until_s in past[-count:]]


def _past(
    milkings: Sequence[MilkingRow], pickups: Sequence[Any], grams: dict[int, float | None], before_s: int
) -> Iterator[tuple[MilkingRow, TankMilking, int]]:
    """Milkings that were whole in one filling whose beginning is known, and until when their milk was the newest."""
    partial = [row for row in pickups if not row["emptied"]]
    for filling in fillings(milkings, [row["picked_at"] for row in pickups if row["emptied"]]):
        if filling.since_s is None:  # how much stood in the tank before is not known
            continue
        held: float | None = 0.0
        for index, one in enumerate(filling.milkings):
            milk_g = grams.get(one.milking)
            after = [filling.milkings[index + 1].started_at] if index + 1 < len(filling.milkings) else []
            until_s = min([*after, filling.until_s or before_s, before_s])
            is_whole = (
                one.started_at >= filling.since_s and one.ended_at is not None and one.ended_at < until_s
            )
            if is_whole and one.ended_at is not None:
                taken_g = _taken_g(partial, filling.since_s, one.started_at)
                held_g = None if held is None else max(round(held) - taken_g, 0)
                added_g = None if milk_g is None else round(milk_g)
                yield one, TankMilking(one.started_at, one.ended_at, index, held_g, added_g), until_s
            held = None if held is None or milk_g is None else held + milk_g


def _read(connection: Any, tank: int, milking: TankMilking, until_s: int) -> PastMilking:
    """A milking with its readings, and that of the milk it came to."""
    assert milking.ended_s is not None
    until_s = min(until_s, milking.ended_s + WATCHED_S)
    found = read_milk.temperatures(connection, tank, milking.started_s, until_s)
    last = (
        read_milk.last_temperature(connection, tank, milking.started_s) if milking.milkings_before else None
    )
    if last is not None and last["read_at"] >= milking.started_s - HELD_READ_S:
        milking = replace(milking, held_mC=last["tank_mC"])
    return PastMilking(milking, tuple(_reading(row) for row in found))


def _reading(row: Any) -> Reading:
    return Reading(row["read_at"], row["tank_mC"], row["entry"])
