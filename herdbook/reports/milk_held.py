"""How much milk a tank holds: from its newest level, meters, and for what was not metered its last pickups' shares."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

from herdbook.book.reading import milk_rounds as read_rounds
from herdbook.book.reading.milk import MilkingRow
from herdbook.reports.fillings import Filling, share_before
from herdbook.reports.milked import milk_by_milking

SHARES_S = 14 * 86_400
"""Pickups of so long before the filling say what a milking usually brings: common practice, no source."""
FEWEST = 3
"""Fewer milkings than this say nothing of the usual one: common practice, no source."""


@dataclass(frozen=True, slots=True)
class MilkHeld:
    """Milk in a tank.

    Args:
        grams: none while unknown.
        missing: what is not in it, or only estimated, in words.
        entries: what it rests on.
        rule: how it was counted, in words.
    """

    grams: int | None
    missing: tuple[str, ...]
    entries: tuple[int, ...]
    rule: str


def milk_held(
    connection: Any, tank: int, filling: Filling, partial: Sequence[Any], emptied: Any, now_s: int
) -> MilkHeld:
    """What a tank holds at an instant.

    Args:
        connection: the book.
        tank: which tank.
        filling: its milkings since it was emptied.
        partial: what was taken out since without emptying it (rows).
        emptied: the row that emptied it; none where that is not known.
        now_s: UTC seconds.
    """
    since_s = filling.since_s or 0
    level = read_rounds.last_level(connection, tank, since_s, now_s)
    base_s, base_g = (since_s, 0) if level is None else (int(level["read_at"]), int(level["milk_g"]))
    added = [(one, 1 - share_before(one, base_s)) for one in filling.milkings]
    added = [(one, part) for one, part in added if part > 0]
    unmetered = [one for one, _ in added if one.milk_g is None and one.ended_at is not None]
    usual_g = _usual_g(connection, tank, filling, since_s) if unmetered else None
    known_g = [part * grams for one, part in added if (grams := _grams(one, usual_g)) is not None]
    missing = _missing(added, usual_g)
    under = [number for one, _ in added for number in (one.entry, one.end_entry) if number is not None]
    taken = [row for row in partial if row["picked_at"] > base_s]
    under += [row["entry"] for row in taken]
    under += [emptied["entry"]] if level is None and emptied is not None else []
    under += [] if level is None else [level["entry"]]
    entries = tuple(dict.fromkeys(under))
    rule = _rule(level, usual_g)
    if level is None and added and not known_g:
        return MilkHeld(None, missing, entries, rule)
    return MilkHeld(
        round(base_g + sum(known_g)) - sum(row["milk_g"] for row in taken), missing, entries, rule
    )


def _grams(milking: MilkingRow, usual_g: float | None) -> float | None:
    if milking.milk_g is not None:
        return milking.milk_g
    return None if milking.ended_at is None else usual_g


def _missing(added: Sequence[tuple[MilkingRow, float]], usual_g: float | None) -> tuple[str, ...]:
    lacking = [one for one, _ in added if one.milk_g is None]
    if not lacking:
        return ()
    words = f"{len(lacking)} of {len(added)} milkings not metered"
    if usual_g is not None:
        words += f", an ended one counted as usual, {usual_g / 1000:.0f} kg"
    return (words,)


def _rule(level: Any, usual_g: float | None) -> str:
    begun = "milk" if level is None else "the newest level read, and milk"
    rule = f"{begun} metered since{'' if level is not None else ' the tank was emptied'}, less what was taken in part"
    if usual_g is not None:
        rule += "; a milking that was not metered as the middle share of the pickups of the fortnight before"
    return rule


def _usual_g(connection: Any, tank: int, filling: Filling, since_s: int) -> float | None:
    begins_s = since_s or (filling.milkings[0].started_at if filling.milkings else 0)
    shares = [
        one.milk_g
        for one in milk_by_milking(connection, begins_s - SHARES_S, begins_s)
        if one.milking.tank == tank and one.shipped and one.milk_g
    ]
    return median(shares) if len(shares) >= FEWEST else None
