"""Alarms: raising one, what becomes of it, and somebody saying that they look after it."""

from __future__ import annotations

from typing import Annotated

from herdbook.book.reading import alarms as read_alarms
from herdbook.book.reading.alarms import AlarmRow
from herdbook.book.tables import Alarm, AlarmRaised, AlarmStep
from herdbook.chores.asking import Count, Name, Word, Words, YesNo
from herdbook.chores.doing import HAND, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.errors import ChoreRefused

KINDS = ("cooling", "silence", "old milk", "copies", "watcher", "other")
BY_WATCHER = ("worse", "escalated", "cleared")
LONGEST = 500


class AlarmDraft(ChoreDraft):
    """Something that somebody must look at now, or in the morning."""

    words: Annotated[str, Words(label="words", help="what is wrong, in a sentence", least=1, longest=LONGEST)]
    kind: Annotated[
        str, Word(label="kind", help="what it is about; all but other clear by themselves", words=KINDS)
    ] = "other"
    tank: Annotated[int | None, Name(label="tank", help="which tank, if one", thing="tank")] = None
    late: Annotated[bool, YesNo(label="late", help="yes: a limit is broken already")] = False
    may_wait: Annotated[bool, YesNo(label="may wait", help="yes: quiet hours hold it back")] = False


@chore("alarm", "raise an alarm", AlarmDraft, roles=[HAND])
def raise_alarm(doing: Doing, draft: AlarmDraft) -> str:
    """Write an alarm; there is one at a time of a kind and tank, other than those people raise themselves."""
    standing = [one for one in read_alarms.open_alarms(doing.book) if one.entry != doing.corrects]
    if draft.kind != "other" and any((one.kind, one.tank) == (draft.kind, draft.tank) for one in standing):
        raise ChoreRefused(
            f"An alarm of that kind stands already ({draft.kind}).", remedy="See `herdbook show alarms`."
        )
    tank = "" if draft.tank is None else doing.ground.name_of("tank", draft.tank)
    says = f"{tank}: {draft.words}" if tank and not draft.words.startswith(tank) else draft.words
    alarm = doing.identity(Alarm, "alarm_raised")
    doing.add(
        AlarmRaised(
            alarm=alarm,
            raised_at=doing.ground.now_s,
            kind=draft.kind,
            tank=draft.tank,
            late=draft.late,
            may_wait=draft.may_wait,
            says=says,
        )
    )
    return f"Alarm {alarm}, {_ended(says)}"


def _alarm_number(help: str) -> Count:
    return Count(label="alarm", help=help, least=1, most=10**9)


class AlarmStepDraft(ChoreDraft):
    """What became of an alarm: the watcher writes this, and a person that an alarm raised by people is over."""

    alarm: Annotated[int, _alarm_number("its number, see `herdbook show alarms`")]
    step: Annotated[str, Word(label="step", help="what became of it", words=BY_WATCHER)]
    words: Annotated[str, Words(label="words", help="what is to be said of it", longest=LONGEST)] = ""


@chore("alarm-step", "what became of an alarm", AlarmStepDraft, roles=[HAND])
def write_alarm_step(doing: Doing, draft: AlarmStepDraft) -> str:
    """Write that an alarm grew worse, went on to others, or cleared."""
    alarm = _standing(doing, draft.alarm)
    if draft.step == "worse" and alarm.late:
        raise ChoreRefused(f"Alarm {alarm.alarm} is as bad as it gets already.")
    if draft.step == "escalated" and (alarm.escalated or alarm.acknowledged):
        raise ChoreRefused(f"Alarm {alarm.alarm} has been passed on or acknowledged already.")
    _step(doing, alarm.alarm, draft.step, draft.words)
    says = {
        "worse": "is worse",
        "escalated": "was not acknowledged; others are told",
        "cleared": "has cleared",
    }[draft.step]
    return f"Alarm {alarm.alarm} {says}.{f' {_ended(draft.words)}' if draft.words else ''}"


class AcknowledgeDraft(ChoreDraft):
    """Somebody looks after an alarm; it is not told again unless it grows worse."""

    alarm: Annotated[int | None, _alarm_number("its number; every one that waits if not given")] = None
    words: Annotated[str, Words(label="words", help="what is done about it", longest=LONGEST)] = ""


@chore("acknowledge", "look after an alarm", AcknowledgeDraft, roles=[HAND])
def acknowledge(doing: Doing, draft: AcknowledgeDraft) -> str:
    """Write who looks after an alarm, or after all that wait."""
    if draft.alarm is None:
        waiting = [one for one in read_alarms.open_alarms(doing.book) if one.state == "waits"]
        if not waiting:
            raise ChoreRefused("No alarm waits for anybody.", remedy="See `herdbook show alarms`.")
    else:
        waiting = [_standing(doing, draft.alarm)]
        seen = waiting[0].acknowledged
        if seen is not None and seen.entry != doing.corrects:
            raise ChoreRefused(
                f"{seen.who} looks after alarm {draft.alarm} already.", remedy="See `herdbook show alarms`."
            )
    for one in waiting:
        _step(doing, one.alarm, "acknowledged", draft.words)
    numbers = ", ".join(str(one.alarm) for one in waiting)
    doing_it = f" {_ended(draft.words)}" if draft.words else ""
    return f"{doing.who.name} looks after alarm {numbers}: {_ended(waiting[0].latest_words)}{doing_it}"


def _standing(doing: Doing, number: int) -> AlarmRow:
    """The alarm of that number, if it has not been cleared.

    Raises:
        ChoreRefused: there is none, or it has been cleared by another entry than the one this corrects.
    """
    found = read_alarms.alarm_by_number(doing.book, number)
    if found is None:
        raise ChoreRefused(f"There is no alarm {number}.", remedy="See `herdbook show alarms`.")
    if found.cleared is not None and found.cleared.entry != doing.corrects:
        raise ChoreRefused(f"Alarm {number} has cleared already.", remedy="See `herdbook show alarms`.")
    return found


def _step(doing: Doing, alarm: int, step: str, words: str) -> None:
    doing.add(AlarmStep(alarm=alarm, step=step, at=doing.ground.now_s, says=words))


def _ended(words: str) -> str:
    """Words as a sentence."""
    return words if words.endswith((".", "!", "?")) else f"{words}."
