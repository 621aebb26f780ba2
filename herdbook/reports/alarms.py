"""Alarms that stand or cleared lately, who looks after them, and how far the notices of them got."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from herdbook.book.heartbeat import book_of, is_silent, last_beat
from herdbook.book.reading import alarms as read_alarms
from herdbook.book.reading.alarms import AlarmRow, NoticeRow
from herdbook.chores.ground import Ground
from herdbook.clock import span_words
from herdbook.reports.alarm_causes import advice
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of

FACT_COLUMNS = {
    "standing": Column("standing", "Standing"),
    "waiting": Column("waiting", "Wait for somebody"),
    "not_sent": Column("not_sent", "Notices not sent yet"),
    "watched_at": Column("watched_at", "Watcher looked", "time"),
}
ALARM_COLUMNS = (
    Column("alarm", "Alarm"),
    Column("state", "State"),
    Column("kind", "Kind"),
    Column("tank", "Tank"),
    Column("raised_at", "Raised", "time"),
    Column("says", "What"),
    Column("acknowledged_at", "Acknowledged", "time"),
    Column("acknowledged_by", "By"),
    Column("escalated_at", "Passed on", "time"),
    Column("cleared_at", "Cleared", "time"),
    Column("look_first", "Look first"),
)
NOTICE_COLUMNS = (
    Column("notice", "Notice"),
    Column("alarm", "Alarm"),
    Column("place", "Place"),
    Column("about", "About"),
    Column("state", "State"),
    Column("made_at", "Made", "time"),
    Column("sent_at", "Sent", "time"),
    Column("tries", "Tries"),
    Column("next_try_at", "Next try", "time"),
    Column("fault", "Why not"),
)
OUTBOX = "as it stands in the outbox, which is no part of the chain of entries"


def make(connection: Any, ground: Ground, *, days: int = 7) -> Report:
    """Alarms that stand, and those of the last days; newest first."""
    alarms = read_alarms.alarms_since(connection, ground.now_s - days * 86_400)
    notices = read_alarms.notices_of(connection, [one.alarm for one in alarms])
    looked_s = last_beat(book_of(connection))
    standing = [one for one in alarms if one.cleared is None]
    waits = [one for one in standing if one.state == "waits"]
    unsent = [one for one in notices if one.state in ("waiting", "given up")]
    rules = read_alarms.alarm_rules(connection)
    under = entries_of(*(number for one in standing for number in one.entries))
    return Report(
        "alarms",
        f"Alarms, {ground.clock.shown(ground.now_s)}",
        facts={
            "standing": Figure(len(standing), rule="alarms not cleared, counted", entries=under),
            "waiting": Figure(len(waits), rule="of those, the ones nobody looks after", entries=under),
            "not_sent": Figure(len(unsent), rule=OUTBOX),
            "watched_at": Figure(looked_s, "time", rule="the time the watcher wrote beside the book"),
        },
        columns=FACT_COLUMNS,
        tables=(
            Table(
                "alarms",
                "Alarms",
                ALARM_COLUMNS,
                tuple(_alarm_line(one, ground) for one in reversed(alarms)),
                "No alarm stands or stood lately.",
            ),
            Table(
                "notices",
                "Notices",
                NOTICE_COLUMNS,
                tuple(_notice_line(one) for one in reversed(notices)),
                "No notice was made.",
            ),
        ),
        warnings=(
            *watcher_words(looked_s, ground),
            *unsent_words(notices, ground),
            *_nowhere(rules, standing),
        ),
        data=(tuple(standing), tuple(notices)),
    )


def watcher_words(looked_s: int | None, ground: Ground) -> tuple[str, ...]:
    """What is to be said of the watcher itself; nothing while it looks."""
    if looked_s is None:
        return ("No watcher has looked at this book; `herdbook manual alarms` tells how one is started.",)
    if not is_silent(looked_s, ground.now_s):
        return ()
    since = ground.shown(looked_s)
    return (
        f"The watcher has not looked since {since}, {span_words(ground.now_s - looked_s)}: nobody is told.",
    )


def unsent_words(notices: list[NoticeRow], ground: Ground) -> tuple[str, ...]:
    """What could not be sent, place by place; what only waits for its time is not said."""
    said = []
    for place in dict.fromkeys(one.place for one in notices):
        stuck = [
            one
            for one in notices
            if one.place == place and (one.state == "given up" or (one.state == "waiting" and one.fault))
        ]
        if not stuck:
            continue
        last = stuck[-1]
        then = (
            "given up" if last.state == "given up"
            else f"tried again {ground.shown(last.next_try_at)}"
        )  # fmt: skip
        count = f"{len(stuck)} notices" if len(stuck) > 1 else "1 notice"
        said.append(f"{count} could not be sent to {place}: {last.fault}, {then}.")
    return tuple(said)


def _nowhere(rules: read_alarms.AlarmRules, standing: list[AlarmRow]) -> tuple[str, ...]:
    if rules.first or not standing:
        return ()
    return ("Notices go nowhere: the owner has named no place; see `herdbook manual alarms`.",)


def _alarm_line(one: AlarmRow, ground: Ground) -> Line:
    under = entries_of(*one.entries)
    seen, others, cleared = one.acknowledged, one.escalated, one.cleared
    loud = "" if one.state != "waits" else "!!" if one.late else "!"
    cells: Mapping[str, Figure] = {
        "alarm": Figure(one.alarm, entries=under),
        "state": Figure(one.state, entries=under, flag=loud, says="waits for somebody" if loud else ""),
        "kind": Figure(one.kind, entries=under),
        "tank": Figure(None if one.tank is None else ground.name_of("tank", one.tank), entries=under),
        "raised_at": Figure(one.raised_s, "time", entries=under),
        "says": Figure(one.latest_words, entries=under),
        "acknowledged_at": Figure(seen.at_s if seen else None, "time", entries=under),
        "acknowledged_by": Figure(seen.who if seen else None, entries=under),
        "escalated_at": Figure(others.at_s if others else None, "time", entries=under),
        "cleared_at": Figure(cleared.at_s if cleared else None, "time", entries=under),
        "look_first": Figure(
            advice(one.kind) or None, rule="by kind of alarm: common practice; see `herdbook manual cautions`"
        ),
    }
    return Line(f"alarm {one.alarm}", cells)


def _notice_line(one: NoticeRow) -> Line:
    stuck = one.state == "given up" or (one.state == "waiting" and bool(one.fault))
    waits = one.state == "waiting"
    values: Mapping[str, tuple[Any, str]] = {
        "notice": (one.id, ""),
        "alarm": (one.alarm, ""),
        "place": (one.place, ""),
        "about": (one.about.partition(" ")[0], ""),
        "made_at": (one.made_at, "time"),
        "sent_at": (one.ended_at if one.state == "sent" else None, "time"),
        "tries": (one.tries, ""),
        "next_try_at": (one.next_try_at if waits else None, "time"),
        "fault": (one.fault or None, ""),
    }
    cells = {key: Figure(value, unit, rule=OUTBOX) for key, (value, unit) in values.items()}
    cells["state"] = Figure(
        one.state, rule=OUTBOX, flag="!" if stuck else "", says="not sent" if stuck else ""
    )
    return Line(f"notice {one.id}", cells)
