"""One look at the book: raises, worsens, escalates and clears alarms, and puts notices of them in the outbox."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from herdbook.book.heartbeat import beat, is_silent, last_beat
from herdbook.book.notices import cause_gone, queue
from herdbook.book.opening import reading
from herdbook.book.reading import alarms as read_alarms
from herdbook.book.reading.alarms import AlarmRow, AlarmRules
from herdbook.chores.ground import Ground
from herdbook.clock import span_words
from herdbook.errors import ChoreRefused
from herdbook.reports.alarm_causes import Cause, causes_now
from herdbook.reports.catalogue import ground_for_reading
from herdbook.watch.deciding import TELL_CLEARED_S, Step, next_steps, to_tell
from herdbook.watch.quiet_hours import quiet_until

if TYPE_CHECKING:
    from herdbook.chores.doing import Who
    from herdbook.settings import CopiesWatched

CLEARED_WORDS = {
    "cooling": "The cause is gone. Whether the milk may be sold, the buyer and the inspector decide."
}
"""What is written when an alarm of a kind clears."""


@dataclass(frozen=True, slots=True)
class Looked:
    """What one look led to: sentences for the log, and how many notices are new in the outbox."""

    said: tuple[str, ...]
    notices: int


def look(
    path: Path,
    now_s: int,
    *,
    by: Who,
    copies: CopiesWatched | None = None,
    again: bool = True,
) -> Looked:
    """Look at the book once and do what alarms ask for.

    Every entry it writes has a request key made of what it is about, so that two watchers, or one that was
    killed halfway, write nothing twice.

    Args:
        path: the book's file.
        now_s: UTC seconds.
        by: who the watcher writes as.
        copies: where copies of the book lie.
        again: it will look again soon, and is missed if it does not.
    """
    with reading(path) as connection:
        ground = ground_for_reading(connection, now_s, copies)
        rules = read_alarms.alarm_rules(connection)
        standing = read_alarms.open_alarms(connection)
        newest = read_alarms.newest_alarm(connection)
        causes = causes_now(connection, ground, rules) + _own_silence(path, ground)
    steps = next_steps(standing, causes, rules, now_s)
    known = {one.alarm: one for one in standing}
    said = []
    for step in steps:
        words = _do(path, step, now_s, by, newest=newest, known=known)
        said += [words] * bool(words)
    made = _queue(path, now_s, rules, ground)
    if again:
        beat(path, now_s)
    return Looked(tuple(said), made)


def _own_silence(path: Path, ground: Ground) -> list[Cause]:
    """What the watcher says when it looks again after a while in which nobody watched."""
    looked_s = last_beat(path)
    if looked_s is None or not is_silent(looked_s, ground.now_s):
        return []
    since = ground.shown(looked_s)
    says = (
        f"Nobody watched from {since} on, for {span_words(ground.now_s - looked_s)}: the watcher did not run"
    )
    return [Cause("watcher", None, says, may_wait=True)]


def _do(path: Path, step: Step, now_s: int, by: Who, *, newest: int, known: dict[int, AlarmRow]) -> str:
    """Do one step; return what it wrote, in words, or nothing."""
    if step.act in ("gone", "back"):
        assert step.alarm is not None
        cause_gone(path, step.alarm, now_s if step.act == "gone" else None)
        return ""
    from herdbook.book.writing import Book
    from herdbook.chores.alarms import AlarmDraft, AlarmStepDraft
    from herdbook.chores.doing import find_chore

    cause = step.cause
    if step.act == "raise":
        assert cause is not None
        name, request = "alarm", f"watch raise {cause.kind} {cause.tank or 0} after {newest}"
        draft: AlarmDraft | AlarmStepDraft = AlarmDraft(
            kind=cause.kind, tank=cause.tank, words=cause.says[:500], late=cause.late, may_wait=cause.may_wait
        )
    else:
        assert step.alarm is not None
        name = "alarm-step"
        alarm = known[step.alarm]
        request = f"watch {step.act} {step.alarm} after {alarm.written}"
        words = cause.says[:500] if cause else ""
        if step.act == "cleared":
            words = CLEARED_WORDS.get(alarm.kind, "")
        draft = AlarmStepDraft(alarm=step.alarm, step=step.act, words=words)
    book = Book(path)
    try:
        done = find_chore(name)(
            book, draft, by=by, now=lambda: datetime.fromtimestamp(now_s, UTC), request=request
        )
    except ChoreRefused as refused:  # another watcher, or a person, was quicker
        return f"not written: {refused.message}"
    finally:
        book.close()
    return "" if done.again else done.said


def _queue(path: Path, now_s: int, rules: AlarmRules, ground: Ground) -> int:
    with reading(path) as connection:
        alarms = read_alarms.alarms_since(connection, now_s - TELL_CLEARED_S)
        notices = read_alarms.notices_of(connection, [one.alarm for one in alarms])
    wanted = to_tell(
        alarms,
        [(one.alarm, one.place, one.about, one.state) for one in notices],
        rules,
        now_s,
        lambda at_s: quiet_until(rules, ground.clock, at_s),
    )
    if not wanted:
        return 0
    return queue(path, [(one.alarm, one.place, one.about, one.not_before_s) for one in wanted], now_s=now_s)
