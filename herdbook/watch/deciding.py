"""What becomes of alarms, and which notices go out: decided from what stands and what is wrong, without doing it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from herdbook.book.reading.alarms import AlarmRow, AlarmRules
from herdbook.reports.alarm_causes import Cause

CLEAR_AFTER_S = 10 * 60
"""A cause must be gone for so long before its alarm clears, lest it ring on and off: common practice, no source."""
TELL_CLEARED_S = 24 * 3600
"""Those who were told of an alarm are told that it cleared, unless that was so long ago."""

Act = Literal["raise", "worse", "escalated", "cleared", "gone", "back"]


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do about alarms.

    Args:
        act: `raise` a new one; write a step of one (`worse`, `escalated`, `cleared`); or only remember that its
            cause is `gone`, or `back` again.
        alarm: which, unless it is new.
        cause: what is wrong, for `raise` and `worse`.
    """

    act: Act
    alarm: int | None = None
    cause: Cause | None = None


@dataclass(frozen=True, slots=True)
class ToTell:
    """A notice that has to be in the outbox: each alarm, place and `about` goes out once."""

    alarm: int
    place: str
    about: str
    not_before_s: int


QuietUntil = Callable[[int], int | None]
"""At an instant: until when it is quiet, UTC seconds; none while it is not."""


def next_steps(
    standing: Iterable[AlarmRow], causes: Sequence[Cause], rules: AlarmRules, now_s: int
) -> list[Step]:
    """What to do now, so that each cause has one alarm, and each alarm without one clears in time.

    Args:
        standing: alarms that have not been cleared.
        causes: everything that is wrong now.
        rules: the owner's patience.
        now_s: UTC seconds.
    """
    known = {(one.kind, one.tank): one for one in standing if one.kind != "other"}
    steps: list[Step] = []
    for cause in causes:
        alarm = known.pop((cause.kind, cause.tank), None)
        if alarm is None:
            steps += [] if cause.keeps else [Step("raise", cause=cause)]
            continue
        if alarm.gone_s is not None:
            steps.append(Step("back", alarm.alarm))
        if cause.late and not alarm.late:
            steps.append(Step("worse", alarm.alarm, cause))
        elif _to_others(alarm, rules, now_s):
            steps.append(Step("escalated", alarm.alarm))
    for alarm in known.values():
        if alarm.gone_s is None:
            steps.append(Step("gone", alarm.alarm))
        elif now_s - alarm.gone_s >= CLEAR_AFTER_S:
            steps.append(Step("cleared", alarm.alarm))
    steps += [
        Step("escalated", one.alarm)
        for one in standing
        if one.kind == "other" and _to_others(one, rules, now_s)
    ]
    return steps


def _to_others(alarm: AlarmRow, rules: AlarmRules, now_s: int) -> bool:
    """Nobody has acknowledged it for so long that others are told."""
    if alarm.acknowledged or alarm.escalated or not rules.escalate_min:
        return False
    return now_s - alarm.loud_s >= rules.escalate_min * 60


def to_tell(
    alarms: Iterable[AlarmRow],
    already: Iterable[tuple[int, str, str, str]],
    rules: AlarmRules,
    now_s: int,
    quiet_until: QuietUntil,
) -> list[ToTell]:
    """Every notice that should be in the outbox by now and is not.

    Said of the whole state, not of the last change, so that a watcher that was killed between a step and its
    notices makes up for them when it looks again.

    Args:
        alarms: those that stand, and those cleared lately.
        already: alarm, place, about and state of every notice of theirs.
        rules: places, patience and quiet hours.
        now_s: UTC seconds.
        quiet_until: the farm's quiet hours.
    """
    known = list(already)
    made = {(alarm, place, about) for alarm, place, about, _ in known}
    wanted = (one for alarm in alarms for one in _of(alarm, known, rules, now_s))
    return [
        ToTell(alarm.alarm, place, about, _not_before(alarm, rules, now_s, quiet_until))
        for alarm, place, about in wanted
        if (alarm.alarm, place, about) not in made
    ]


def _of(
    alarm: AlarmRow, known: Sequence[tuple[int, str, str, str]], rules: AlarmRules, now_s: int
) -> Iterator[tuple[AlarmRow, str, str]]:
    mine = [(place, about, state) for number, place, about, state in known if number == alarm.alarm]
    told = {place for place, *_ in mine}
    if alarm.cleared is not None:
        if now_s - alarm.cleared.at_s < TELL_CLEARED_S and alarm.kind != "watcher":
            yield from ((alarm, place, f"cleared {alarm.cleared.entry}") for place in sorted(told))
        return
    loud = "raised" if alarm.worse is None else f"worse {alarm.worse.entry}"
    first = dict.fromkeys(rules.first)
    if not alarm.acknowledged:
        yield from ((alarm, place, loud) for place in first)
        if alarm.escalated is not None:
            about = f"escalated {alarm.escalated.entry}"
            yield from ((alarm, place, about) for place in dict.fromkeys(rules.later) if place not in first)
            yield from ((alarm, place, about) for place in first if place in rules.later)
        yield from _again(alarm, mine, rules, now_s)


def _again(
    alarm: AlarmRow, mine: Sequence[tuple[str, str, str]], rules: AlarmRules, now_s: int
) -> Iterator[tuple[AlarmRow, str, str]]:
    """Told again by the owner's interval; not to a place that the last notice has not reached yet."""
    if not rules.repeat_min:
        return
    turn = (now_s - alarm.loud_s) // (rules.repeat_min * 60)
    waiting = {place for place, _, state in mine if state == "waiting"}
    told = {place for place, *_ in mine}
    if turn >= 1:
        for place in dict.fromkeys((*rules.first, *(rules.later if alarm.escalated else ()))):
            if place in told and place not in waiting:
                yield alarm, place, f"again {alarm.worse.entry if alarm.worse else alarm.entry} {turn}"


def _not_before(alarm: AlarmRow, rules: AlarmRules, now_s: int, quiet_until: QuietUntil) -> int:
    """Now; what may wait waits for the end of the quiet hours, and all else only where the owner chose so.

    That it cleared may wait too, but for those it woke: they want to go back to bed.
    """
    good_news = alarm.cleared is not None and quiet_until(alarm.loud_s) is None
    may_wait = (alarm.may_wait and not alarm.late) or good_news or rules.quiet_all
    until_s = quiet_until(now_s) if may_wait else None
    return now_s if until_s is None else until_s


def back_off_s(tries: int) -> int:
    """How long to wait after so many tries in vain: half a minute, doubled each time, a quarter of an hour at most."""
    return int(min(15 * 60, 30 * 2 ** min(tries - 1, 10)))
