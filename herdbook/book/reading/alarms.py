"""Alarms as they stand, the rules they go by, and the notices of them."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass

from herdbook.book.reading.logged import last_logged
from herdbook.book.reading.rows import first, rows, stands

REPEAT_MIN, ESCALATE_MIN, SILENCE_MIN = 10, 20, 30
"""What holds until the owner says otherwise: common practice, no source."""


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step of an alarm, with who wrote it."""

    step: str
    at_s: int
    says: str
    who: str
    entry: int


@dataclass(frozen=True, slots=True)
class AlarmRow:
    """An alarm with everything that became of it, oldest step first.

    Args:
        written: how many steps were ever written, struck ones counted.
        gone_s: since when its cause is not seen any more.
    """

    alarm: int
    entry: int
    raised_s: int
    kind: str
    tank: int | None
    was_late: bool
    may_wait: bool
    says: str
    steps: tuple[StepRow, ...]
    written: int
    gone_s: int | None

    def _last(self, *names: str) -> StepRow | None:
        return next((step for step in reversed(self.steps) if step.step in names), None)

    def _since_loud(self, name: str) -> StepRow | None:
        """A step that came after the alarm was raised or last grew worse."""
        for step in reversed(self.steps):
            if step.step == name:
                return step
            if step.step == "worse":
                return None
        return None

    @property
    def cleared(self) -> StepRow | None:
        """The step that cleared it."""
        return self._last("cleared")

    @property
    def worse(self) -> StepRow | None:
        """The step at which it last grew worse."""
        return self._last("worse")

    @property
    def loud_s(self) -> int:
        """When it was raised, or last grew worse."""
        return self.worse.at_s if self.worse else self.raised_s

    @property
    def late(self) -> bool:
        """Whether a limit is broken already."""
        return self.was_late or self.worse is not None

    @property
    def acknowledged(self) -> StepRow | None:
        """The step by which somebody looks after it as it is now."""
        return self._since_loud("acknowledged")

    @property
    def escalated(self) -> StepRow | None:
        """The step by which others were told of it as it is now."""
        return self._since_loud("escalated")

    @property
    def latest_words(self) -> str:
        """What it says now."""
        return self.worse.says if self.worse and self.worse.says else self.says

    @property
    def state(self) -> str:
        """`cleared`, `acknowledged`, or `waits` for somebody."""
        return "cleared" if self.cleared else "acknowledged" if self.acknowledged else "waits"

    @property
    def entries(self) -> tuple[int, ...]:
        """The entries under it."""
        return (self.entry, *(step.entry for step in self.steps))


@dataclass(frozen=True, slots=True)
class AlarmRules:
    """How patient the alarms are, and where notices go.

    Args:
        quiet_from_min, quiet_to_min: quiet hours, minutes after the farm's midnight; none where there are none.
        quiet_all: quiet hours hold back everything, a warming tank too.
        repeat_min: told again after so many minutes, while nobody has acknowledged; 0 for never.
        escalate_min: the others are told after so many minutes; 0 for never.
        silence_min: a logger that says nothing for so long is an alarm; 0 for never.
        first, later: names of places told at once, and of those told when nobody has acknowledged.
        entry: the entry that wrote them; none where the owner has not.
    """

    quiet_from_min: int | None = None
    quiet_to_min: int | None = None
    quiet_all: bool = False
    repeat_min: int = REPEAT_MIN
    escalate_min: int = ESCALATE_MIN
    silence_min: int = SILENCE_MIN
    first: tuple[str, ...] = ()
    later: tuple[str, ...] = ()
    entry: int | None = None


@dataclass(frozen=True, slots=True)
class NoticeRow:
    """A notice to one place, and how far it got."""

    id: int
    alarm: int
    place: str
    about: str
    made_at: int
    state: str
    tries: int
    next_try_at: int
    ended_at: int | None
    fault: str


def alarm_rules(connection: sqlite3.Connection) -> AlarmRules:
    """The rules in force."""
    row = first(
        connection,
        f"SELECT alarm_rule.* FROM alarm_rule {stands('alarm_rule')} ORDER BY alarm_rule.id DESC LIMIT 1",
    )
    if row is None:
        return AlarmRules()
    places = rows(connection, "SELECT * FROM alarm_rule_place WHERE alarm_rule = ? ORDER BY id", row["id"])
    return AlarmRules(
        row["quiet_from_min"],
        row["quiet_to_min"],
        bool(row["quiet_all"]),
        row["repeat_min"],
        row["escalate_min"],
        row["silence_min"],
        tuple(one["place"] for one in places if one["at_once"]),
        tuple(one["place"] for one in places if not one["at_once"]),
        row["entry"],
    )


_RAISED = f"SELECT alarm_raised.* FROM alarm_raised {stands('alarm_raised')} "


def open_alarms(connection: sqlite3.Connection) -> list[AlarmRow]:
    """Alarms that have not been cleared, oldest first."""
    found = rows(
        connection,
        _RAISED + "WHERE NOT EXISTS (SELECT 1 FROM alarm_step s JOIN entry e ON e.number = s.entry "
        "WHERE s.alarm = alarm_raised.alarm AND s.step = 'cleared' AND e.struck_by IS NULL) "
        "ORDER BY alarm_raised.alarm",
    )
    return _whole(connection, found)


def alarms_since(connection: sqlite3.Connection, from_s: int) -> list[AlarmRow]:
    """Alarms that stand, or that were raised or cleared since an instant, oldest first."""
    found = rows(
        connection,
        _RAISED + "WHERE alarm_raised.raised_at >= ? OR EXISTS (SELECT 1 FROM alarm_step s JOIN entry e "
        "ON e.number = s.entry WHERE s.alarm = alarm_raised.alarm AND s.step = 'cleared' "
        "AND e.struck_by IS NULL AND s.at >= ?) ORDER BY alarm_raised.alarm",
        from_s,
        from_s,
    )
    known = {one.alarm: one for one in (*open_alarms(connection), *_whole(connection, found))}
    return [known[number] for number in sorted(known)]


def alarm_by_number(connection: sqlite3.Connection, alarm: int) -> AlarmRow | None:
    """One alarm, if it stands in the book."""
    found = _whole(connection, rows(connection, _RAISED + "WHERE alarm_raised.alarm = ?", alarm))
    return found[0] if found else None


def newest_alarm(connection: sqlite3.Connection) -> int:
    """The number of the newest alarm ever raised, struck or not; 0 for none."""
    row = first(connection, "SELECT max(id) AS newest FROM alarm")
    return int(row["newest"] or 0) if row else 0


def _whole(connection: sqlite3.Connection, raised: Iterable[sqlite3.Row]) -> list[AlarmRow]:
    found = []
    for row in raised:
        steps = rows(
            connection,
            "SELECT s.*, e.struck_by, (SELECT name FROM person_card c WHERE c.person = e.person "
            "ORDER BY c.id DESC LIMIT 1) AS who FROM alarm_step s JOIN entry e ON e.number = s.entry "
            "WHERE s.alarm = ? ORDER BY s.id",
            row["alarm"],
        )
        gone = first(connection, "SELECT since_s FROM alarm_gone WHERE alarm = ?", row["alarm"])
        found.append(
            AlarmRow(
                row["alarm"],
                row["entry"],
                row["raised_at"],
                row["kind"],
                row["tank"],
                bool(row["late"]),
                bool(row["may_wait"]),
                row["says"],
                tuple(
                    StepRow(step["step"], step["at"], step["says"], step["who"] or "", step["entry"])
                    for step in steps
                    if step["struck_by"] is None
                ),
                len(steps),
                gone["since_s"] if gone else None,
            )
        )
    return found


def notices_of(connection: sqlite3.Connection, alarms: Iterable[int]) -> list[NoticeRow]:
    """The notices of some alarms, in the order they were made."""
    wanted = list(alarms)
    marks = ",".join("?" * len(wanted))
    found = rows(connection, f"SELECT * FROM notice WHERE alarm IN ({marks}) ORDER BY id", *wanted)
    return [NoticeRow(**dict(row)) for row in found]


def notices_waiting(connection: sqlite3.Connection, until_s: int | None = None) -> list[NoticeRow]:
    """Notices not sent yet, those tried longest ago first; only those whose time has come, where one is given."""
    found = rows(
        connection,
        "SELECT * FROM notice WHERE state = 'waiting' AND next_try_at <= ? ORDER BY next_try_at, id",
        2**62 if until_s is None else until_s,
    )
    return [NoticeRow(**dict(row)) for row in found]


BY_HAND = ("by hand", "thermometer")


def newest_of_logger(connection: sqlite3.Connection, tank: int, from_s: int) -> int | None:
    """When a tank's newest reading since an instant was taken that no person wrote, UTC seconds."""
    row = first(
        connection,
        f"SELECT read_at FROM temperature {stands('temperature')} WHERE tank = ? AND read_at >= ? "
        "AND source NOT IN (?, ?) ORDER BY read_at DESC LIMIT 1",
        tank,
        from_s,
        *BY_HAND,
    )
    logged = last_logged(connection, tank)
    known = [] if row is None else [int(row["read_at"])]
    known += [] if logged is None or logged < from_s else [logged]
    return max(known, default=None)
