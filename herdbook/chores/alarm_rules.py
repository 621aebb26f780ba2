"""By which rules alarms are told: quiet hours, how often, to whom next, and when a silent logger is an alarm."""

from __future__ import annotations

from typing import Annotated

from herdbook.book.reading.alarms import ESCALATE_MIN, REPEAT_MIN, SILENCE_MIN
from herdbook.book.tables import AlarmRule, AlarmRulePlace
from herdbook.chores.asking import Count, Words, YesNo
from herdbook.chores.doing import OWNER, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.paper_times import TimeOfDay
from herdbook.chores.repeated import Several
from herdbook.errors import Refused

DAY_MIN = 24 * 60


def _places(label: str, help: str) -> Several:
    each = Words(label=label, help="a notice place", least=1, longest=40)
    return Several(label=label, help=help, each=each, most=20)


class AlarmRulesDraft(ChoreDraft):
    """Quiet hours and patience."""

    first: Annotated[list[str], _places("first", "notice places told at once, repeated")] = []  # noqa: RUF012
    later: Annotated[
        list[str], _places("later", "notice places told when nobody has acknowledged, repeated")
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    repeat: Annotated[
        int, Count(label="repeat", help="minutes after which it is told again; 0 for never", most=DAY_MIN)
    ] = REPEAT_MIN
    escalate: Annotated[
        int,
        Count(label="escalate", help="minutes after which the others are told; 0 for never", most=DAY_MIN),
    ] = ESCALATE_MIN
    silence: Annotated[
        int,
        Count(
            label="silence",
            help="minutes without a logger's reading that are an alarm; 0 for never",
            most=7 * DAY_MIN,
        ),
    ] = SILENCE_MIN
    quiet_from: Annotated[
        int | None, TimeOfDay(label="quiet from", help="from when what may wait is held back")
    ] = None
    quiet_to: Annotated[int | None, TimeOfDay(label="quiet to", help="until when")] = None
    quiet_all: Annotated[
        bool,
        YesNo(label="quiet all", help="yes: quiet hours hold back everything, a warming tank too"),
    ] = False


@chore("alarm-rules", "how alarms are told", AlarmRulesDraft, roles=[OWNER])
def set_alarm_rules(doing: Doing, draft: AlarmRulesDraft) -> str:
    """Write the rules as they are from now on."""
    if (draft.quiet_from is None) != (draft.quiet_to is None):
        missing = "quiet to" if draft.quiet_to is None else "quiet from"
        raise Refused(
            f"{missing}: nothing was given.", remedy="Quiet hours have a beginning and an end.", field=missing
        )
    rule = doing.put(
        AlarmRule(
            quiet_from_min=draft.quiet_from,
            quiet_to_min=draft.quiet_to,
            quiet_all=draft.quiet_all,
            repeat_min=draft.repeat,
            escalate_min=draft.escalate,
            silence_min=draft.silence,
        )
    )
    for names, at_once in ((draft.first, True), (draft.later, False)):
        for name in dict.fromkeys(names):
            doing.add(AlarmRulePlace(alarm_rule=rule, place=name, at_once=at_once))
    return " ".join([_told(draft), _quiet(draft, doing)])


def _told(draft: AlarmRulesDraft) -> str:
    first = ", ".join(draft.first) or "no place"
    again = f", again every {draft.repeat} min" if draft.repeat and draft.first else ""
    later = (
        f"; {', '.join(draft.later)} after {draft.escalate} min unacknowledged"
        if draft.later and draft.escalate
        else ""
    )
    return f"Alarms are told to {first} at once{again}{later}."


def _quiet(draft: AlarmRulesDraft, doing: Doing) -> str:
    if draft.quiet_from is None or draft.quiet_to is None:
        return "No quiet hours."
    from_, to = (f"{minute // 60:02}:{minute % 60:02}" for minute in (draft.quiet_from, draft.quiet_to))
    held = (
        "everything is held back, a warming tank too"
        if draft.quiet_all
        else "what may wait is held back, a warming tank never"
    )
    return f"From {from_} to {to} {held}."
