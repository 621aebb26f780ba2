"""Version 4: alarms and what became of them, the rules they go by, and the notices that go out."""

from __future__ import annotations

import sqlite3

from herdbook.book.migrations.guards import make_table, one_of, points_at, text, whole, yes_or_no
from herdbook.book.migrations.step_1 import INSTANT

DAY_MIN = 24 * 60
LONGEST_PLACE = 40


def add_the_alarms(connection: sqlite3.Connection) -> None:
    """Make the alarms' tables; notices, and causes that are gone for a while, change and so are not guarded."""
    make_table(connection, "alarm")
    make_table(
        connection,
        "alarm_raised",
        points_at("alarm"),
        whole("raised_at", *INSTANT),
        one_of("kind", "cooling", "silence", "old milk", "copies", "watcher", "other"),
        points_at("tank", optional=True),
        yes_or_no("late"),
        yes_or_no("may_wait"),
        text("says", 600, empty=False),
        indexes=("alarm",),
    )
    make_table(
        connection,
        "alarm_step",
        points_at("alarm"),
        one_of("step", "worse", "escalated", "acknowledged", "cleared"),
        whole("at", *INSTANT),
        text("says", 600),
        indexes=("alarm",),
    )
    make_table(
        connection,
        "alarm_rule",
        whole("quiet_from_min", 0, DAY_MIN - 1, optional=True),
        whole("quiet_to_min", 0, DAY_MIN - 1, optional=True),
        yes_or_no("quiet_all"),
        whole("repeat_min", 0, DAY_MIN),
        whole("escalate_min", 0, DAY_MIN),
        whole("silence_min", 0, 7 * DAY_MIN),
    )
    make_table(
        connection,
        "alarm_rule_place",
        points_at("alarm_rule"),
        text("place", LONGEST_PLACE, empty=False),
        yes_or_no("at_once"),
        indexes=("alarm_rule",),
    )
    _what_changes(connection)


def _what_changes(connection: sqlite3.Connection) -> None:
    connection.execute(
        f"CREATE TABLE notice (id INTEGER PRIMARY KEY, {points_at('alarm')}, "
        f"{text('place', LONGEST_PLACE, empty=False)}, {text('about', 40, empty=False)}, "
        f"{whole('made_at', *INSTANT)}, {one_of('state', 'waiting', 'sent', 'given up', 'not needed')}, "
        f"{whole('tries', 0, 100_000)}, {whole('next_try_at', *INSTANT)}, "
        f"{whole('ended_at', *INSTANT, optional=True)}, {text('fault', 200)}) STRICT"
    )
    connection.execute("CREATE UNIQUE INDEX ix_notice_once ON notice(alarm, place, about)")
    connection.execute("CREATE INDEX ix_notice_waiting ON notice(state, next_try_at)")
    connection.execute(
        f"CREATE TABLE alarm_gone (alarm INTEGER PRIMARY KEY REFERENCES alarm(id) DEFERRABLE INITIALLY DEFERRED, "
        f"{whole('since_s', *INSTANT)}) STRICT"
    )
