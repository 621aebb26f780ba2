"""What is wrong in the milk house now that somebody must hear of, and what to look at first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.alarms import AlarmRules, newest_of_logger
from herdbook.chores.ground import Ground
from herdbook.reports.cooling import TankState, in_words, tank_state
from herdbook.reports.copies_watch import old_copies
from herdbook.reports.tank_rounds import tank_rounds
from herdbook.reports.thermometer_doubt import doubt_of
from herdbook.science.limits_compare import at_or_under
from herdbook.science.milk_clock import Verdict

ROSE_mC = 2_000
"""Milk that was cold and got warmer by so much with no milk let in: common practice, no source."""
WELL_OVER_mC = 500
"""One reading so far above a limit that was met is believed, less needs a second: common practice, no source."""
LOGGER_DAYS = 30
"""A tank with no logger's reading for so long has no logger: common practice, no source."""
OLD_SOON_S = 6 * 3600
"""So long before milk is too old it is said: common practice, no source."""

LOOK_FIRST = {
    "cooling": "Look first: is the compressor running, is the condenser clean and its fan turning, does the agitator "
    "turn, does the pre-cooler have water. ",
    "silence": "Look first: read the tank's own thermometer by hand, then the logger's power and cable. ",
    "old milk": "Look first: when does the hauler come; call the buyer. ",
    "copies": "Look first: is the disk for copies there and not full; run `herdbook copy`. ",
    "watcher": "Look first: is the computer on; see its log for why the watcher stopped. ",
    "other": "",
}
"""What to look at first, by kind of alarm: common practice, no source."""

CAUTIONS = {
    "cooling": "Lock out the agitator before reaching in. The refrigerant circuit is for a certified technician only. "
    "Whether milk that stayed warm may be sold, the buyer and the inspector decide.",
    "silence": "Lock out the agitator before reaching in.",
    "old milk": "Whether milk that is too old may be sold, the buyer and the inspector decide.",
}
"""Cautions by kind: refrigerant, Minnesota Pollution Control Agency on EPA section 608; locking out, from memory."""


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that is wrong: an alarm stands for it as long as it is.

    Args:
        kind, tank: what an alarm is known by; there is one at a time of each.
        says: a sentence, without what to look at first.
        late: a limit is broken already.
        may_wait: quiet hours hold it back.
        keeps: an alarm that stands is kept by it, a new one is not raised: late is likely, not sure.
    """

    kind: str
    tank: int | None
    says: str
    late: bool = False
    may_wait: bool = False
    keeps: bool = False


def advice(kind: str) -> str:
    """What to look at first and what to beware of."""
    return f"{LOOK_FIRST.get(kind, '')}{CAUTIONS.get(kind, '')}".strip()


def causes_now(connection: Any, ground: Ground, rules: AlarmRules) -> list[Cause]:
    """Everything that is wrong at the ground's instant, at most one of a kind and tank.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        rules: how long a logger may be silent.
    """
    found: list[Cause] = []
    for tank in read_milk.tanks(connection):
        state = tank_state(connection, tank, ground.now_s)
        found += [*cooling_causes(state, ground), *_old_milk(connection, state, ground)]
        found += _silence(connection, state, ground, rules.silence_min * 60)
    copies = old_copies(connection, ground)
    if copies is not None:
        found.append(Cause("copies", None, copies.says, may_wait=True))
    return found


def cooling_causes(state: TankState, ground: Ground) -> list[Cause]:
    """The one worst thing about how a tank cools: warm past its time, warm again, or expected to be late."""
    grave = next(_cooling_words(state, ground), None)
    if grave is not None:
        late, words = grave
        return [Cause("cooling", state.tank.tank, f"{state.tank.name}: {words}", late=late)]
    likely = next((one for one in _of_newest(state) if one.state != "missed" and one.warns), None)
    if likely is None:
        return []
    # a chance that goes up and down must not ring, clear and ring again
    words = _slow_words(likely, state, ground)
    return [Cause("cooling", state.tank.tank, f"{state.tank.name}: {words}", keeps=True)]


def _of_newest(state: TankState) -> list[Verdict]:
    """What is said of the newest milking, the rule of the place before the farm's own goals."""
    newest = state.milkings[-1].milking if state.milkings else None
    mine = [one for one in state.verdicts if one.milking_key == newest]
    return sorted(mine, key=lambda one: one.is_own)


def _slow_words(verdict: Verdict, state: TankState, ground: Ground) -> str:
    by = "" if verdict.deadline_s is None else f" by {ground.clock.shown_time(verdict.deadline_s)}"
    words = in_words(verdict, ground.clock, ground.now_s).removeprefix(f"{verdict.state}, ")
    cause = f"; {state.forecast.cause}" if state.forecast is not None and state.forecast.cause else ""
    return f"cooling too slowly for {_whose(verdict)}{verdict.clause.limit}{by}, {words}{cause}; {_last(state, ground)}"


def _whose(verdict: Verdict) -> str:
    return "the farm's own " if verdict.is_own else ""


def _cooling_words(state: TankState, ground: Ground) -> Iterator[tuple[bool, str]]:
    if not state.milkings:
        return
    mine = _of_newest(state)
    by_rule = [verdict for verdict in mine if not verdict.is_own]
    for verdict in by_rule:
        if verdict.state == "missed" and _still_warm(verdict, state):
            yield True, f"too warm, {verdict.clause.limit} {_words(verdict, state, ground)}"
    for verdict in by_rule:
        if verdict.state == "met" and verdict.deadline_s is not None and _warm_again(verdict, state):
            yield True, f"warm again, above {verdict.clause.limit}, {_last(state, ground)}"
    for verdict in mine:
        if verdict.is_own and verdict.state == "missed" and _still_warm(verdict, state):
            yield (
                False,
                f"not yet at {_whose(verdict)}{verdict.clause.limit}, {_words(verdict, state, ground)}",
            )
        if verdict.state != "missed" and verdict.alarms:
            yield False, _slow_words(verdict, state, ground)
    lowest = _rose_from(state)
    if lowest is not None:
        yield (
            False,
            f"getting warmer with no milk let in, was {ground.units.temperature(lowest)}, {_last(state, ground)}",
        )


def _words(verdict: Verdict, state: TankState, ground: Ground) -> str:
    when = "" if verdict.deadline_s is None else f"was due {ground.clock.shown_time(verdict.deadline_s)}; "
    return f"{when}{_last(state, ground)}"


def _last(state: TankState, ground: Ground) -> str:
    last = state.readings[-1]
    return f"{ground.units.temperature(last['tank_mC'])} at {ground.shown(last['read_at'])}"


def _still_warm(verdict: Verdict, state: TankState) -> bool:
    """A missed limit that is not reached yet; of a limit never to be passed, one that the milk is above now."""
    if not state.readings or verdict.reached_s is not None:
        return False
    return not at_or_under(state.readings[-1]["tank_mC"], verdict.clause.limit)


def _warm_again(verdict: Verdict, state: TankState) -> bool:
    """Whether milk that was at its limit in time is above it now: well above once, or twice in a row."""
    after = [row["tank_mC"] for row in state.readings if row["read_at"] > (verdict.reached_s or 0)]
    if not after or at_or_under(after[-1], verdict.clause.limit):
        return False
    if after[-1] - verdict.clause.limit.mC > WELL_OVER_mC:
        return True
    return len(after) > 1 and not at_or_under(after[-2], verdict.clause.limit)


def _rose_from(state: TankState) -> int | None:
    """The lowest reading since all milk was in, where the last two are well above it; it must have been cold once."""
    ended = state.milkings[-1].ended_at
    if ended is None:
        return None
    since = [row["tank_mC"] for row in state.readings if row["read_at"] >= ended]
    if len(since) < 3 or not any(v.reached_s is not None for v in state.verdicts):
        return None
    lowest = min(since[:-2])
    return lowest if min(since[-2:]) - lowest >= ROSE_mC else None


def _old_milk(connection: Any, state: TankState, ground: Ground) -> list[Cause]:
    rounds = tank_rounds(connection, state.tank, state.emptied_at, state.milkings, ground)
    rule, due_s = rounds.rule, rounds.empty_by_s
    if due_s is None or ground.now_s < due_s - OLD_SOON_S:
        return []
    late = ground.now_s > due_s
    when = ground.shown(due_s)
    was = "should have been empty" if late else "must be empty"
    says = f"{state.tank.name} {was} by {when}, {rule.within_h} h from {rule.clock}"
    return [Cause("old milk", state.tank.tank, says, late=late, may_wait=not late)]


def _silence(connection: Any, state: TankState, ground: Ground, silence_s: int) -> list[Cause]:
    """A logger that has read this tank lately and does not any more, or readings in doubt, while milk is in it."""
    if not state.milkings:
        return []
    last_s = newest_of_logger(connection, state.tank.tank, ground.now_s - LOGGER_DAYS * 86_400)
    if silence_s and last_s is not None and ground.now_s - last_s > silence_s:
        says = f"{state.tank.name}: the logger has said nothing since {ground.shown(last_s)}"
        return [Cause("silence", state.tank.tank, says)]
    doubt = doubt_of(state, ground)
    says = f"{state.tank.name}: its thermometer is in doubt, {doubt}; read the milk with a second one"
    return [Cause("silence", state.tank.tank, says)] if doubt else []
