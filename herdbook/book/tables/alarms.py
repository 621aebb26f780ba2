"""Alarms: raised, grown worse, escalated, acknowledged and cleared; by which rules; and the notices sent of them."""

from __future__ import annotations

from sqlmodel import Field, SQLModel

from herdbook.book.tables.chain import Row


class Alarm(Row, table=True):
    """One alarm (identity only)."""


class AlarmRaised(Row, table=True):
    """What an alarm is about and when it was raised; `late` where a limit is broken, `may_wait` for the morning."""

    __tablename__ = "alarm_raised"

    alarm: int = Field(foreign_key="alarm.id", index=True)
    raised_at: int
    kind: str
    tank: int | None = Field(default=None, foreign_key="tank.id")
    late: bool = False
    may_wait: bool = False
    says: str


class AlarmStep(Row, table=True):
    """What became of an alarm: worse, escalated, acknowledged (by the entry's person), cleared."""

    __tablename__ = "alarm_step"

    alarm: int = Field(foreign_key="alarm.id", index=True)
    step: str
    at: int
    says: str = ""


class AlarmRule(Row, table=True):
    """Quiet hours and patience, as of an entry; the newest one standing governs."""

    __tablename__ = "alarm_rule"

    quiet_from_min: int | None = None
    quiet_to_min: int | None = None
    quiet_all: bool = False
    repeat_min: int
    escalate_min: int
    silence_min: int


class AlarmRulePlace(Row, table=True):
    """A place that notices go to by a rule: at once, or only when nobody has acknowledged."""

    __tablename__ = "alarm_rule_place"

    alarm_rule: int = Field(foreign_key="alarm_rule.id", index=True)
    place: str
    at_once: bool = True


class Notice(SQLModel, table=True):
    """One notice to one place, as it goes out; changes with every try, so it is no part of the chain."""

    id: int | None = Field(default=None, primary_key=True)
    alarm: int = Field(foreign_key="alarm.id")
    place: str
    about: str
    made_at: int
    state: str
    tries: int = 0
    next_try_at: int
    ended_at: int | None = None
    fault: str = ""


class AlarmGone(SQLModel, table=True):
    """Since when an alarm's cause is not seen any more; it clears once that has lasted. No part of the chain."""

    __tablename__ = "alarm_gone"

    alarm: int = Field(primary_key=True, foreign_key="alarm.id")
    since_s: int
