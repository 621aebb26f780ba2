"""What the alarm row says, worked out from the alarms that stand, the watcher and the outbox."""

from __future__ import annotations

from typing import Any

from herdbook.book.heartbeat import book_of, is_silent, last_beat
from herdbook.book.reading import alarms as read_alarms
from herdbook.book.reading.alarms import AlarmRow, NoticeRow
from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.reports.alarms import unsent_words, watcher_words
from herdbook.screens.tank_strip import AlarmBanner


def banner_of(connection: Any, ground: Ground) -> AlarmBanner:
    """The banner of this moment: what waits for somebody comes before what somebody looks after."""
    standing = read_alarms.open_alarms(connection)
    looked_s = last_beat(book_of(connection))
    silent = is_silent(looked_s, ground.now_s)
    notices = read_alarms.notices_of(connection, [one.alarm for one in standing])
    waits = sorted(
        (one for one in standing if one.state == "waits"), key=lambda one: (not one.late, -one.loud_s)
    )
    loud = frozenset(_loud(waits, notices)) | ({"watcher"} if silent else frozenset())
    if waits:
        words = f"ALARM {ground.shown(waits[0].loud_s)} {plain(waits[0].latest_words)}"
        return AlarmBanner("late" if waits[0].late else "waits", words, len(waits) - 1, loud)
    if silent:
        return AlarmBanner("waits", watcher_words(looked_s, ground)[0], loud=loud)
    unsent = unsent_words(notices, ground)
    if unsent:
        return AlarmBanner("waits", plain(unsent[0]), loud=loud)
    if standing:
        last = standing[-1]
        who = last.acknowledged.who if last.acknowledged else ""
        return AlarmBanner(
            "seen", plain(f"Alarm since {ground.shown(last.raised_s)}, {who} looks after it"), loud=loud
        )
    return AlarmBanner()


def _loud(waits: list[AlarmRow], notices: list[NoticeRow]) -> list[str]:
    """What is worth a bell: each time an alarm is raised, grows worse, is passed on, or is told again."""
    found = []
    for one in waits:
        found.append(f"alarm {one.alarm} {one.loud_s}")
        found += [f"passed on {one.escalated.entry}"] if one.escalated else []
        again = [
            notice.about
            for notice in notices
            if notice.alarm == one.alarm and notice.about.startswith("again")
        ]
        found += again
    return found
