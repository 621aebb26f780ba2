"""What becomes of alarms: never lost, never doubled, cleared only after a while, told in time, held back as chosen."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from herdbook.book.reading.alarms import AlarmRow, AlarmRules, StepRow
from herdbook.reports.alarm_causes import Cause
from herdbook.watch.deciding import back_off_s, next_steps, to_tell

START = 1_773_100_000
MINUTE = 60
WARM, WARM_LATE = Cause("cooling", 1, "slow"), Cause("cooling", 1, "late", late=True)
OTHER_TANK = Cause("cooling", 2, "slow")
SILENT = Cause("silence", 1, "silent")
OLD = Cause("old milk", 1, "old", may_wait=True)
CAUSES = (WARM, WARM_LATE, OTHER_TANK, SILENT, OLD)


class AlarmsOverTime(RuleBasedStateMachine):
    """A farm where causes come and go, people answer or not, and the watcher is killed at any step."""

    @initialize(
        repeat=st.sampled_from([0, 5, 10]),
        escalate=st.sampled_from([0, 10, 20]),
        quiet_all=st.booleans(),
        quiet=st.booleans(),
    )
    def begin(self, repeat: int, escalate: int, quiet_all: bool, quiet: bool) -> None:
        self.now = START
        self.rules = AlarmRules(
            repeat_min=repeat,
            escalate_min=escalate,
            quiet_all=quiet_all,
            first=("phone", "mail"),
            later=("boss",),
        )
        self.quiet = quiet
        self.causes: list[Cause] = []
        self.alarms: dict[int, AlarmRow] = {}
        self.notices: dict[tuple[int, str, str], tuple[int, str]] = {}
        self.absent_since: dict[tuple[str, Any], int] = {}
        self.entry = 100
        self.looked = False

    def _quiet_until(self, now_s: int) -> int | None:
        return now_s + 3600 if self.quiet else None

    def _step(self, alarm: int, step: str) -> None:
        self.entry += 1
        one = self.alarms[alarm]
        steps = (*one.steps, StepRow(step, self.now, "", "Cleo", self.entry))
        self.alarms[alarm] = replace(one, steps=steps, written=len(steps))

    def _open(self) -> list[AlarmRow]:
        return [one for one in self.alarms.values() if one.cleared is None]

    @rule(
        minutes=st.sampled_from([0, 1, 5, 9, 10, 15, 20]),
        causes=st.none() | st.sets(st.sampled_from(CAUSES), max_size=3),
        answers=st.sampled_from([False, False, False, True]),
        out=st.booleans(),
        killed_after=st.sampled_from([None, None, None, 0, 1, 2]),
    )
    def a_while(
        self, minutes: int, causes: set[Cause] | None, answers: bool, out: bool, killed_after: int | None
    ) -> None:
        """Time goes by, causes come and go, somebody answers or not, notices come out or not; then a look."""
        self.now += minutes * MINUTE
        if causes is not None:
            worst: dict[Any, Cause] = {}
            for cause in sorted(causes, key=lambda one: one.late):
                worst[cause.kind, cause.tank] = cause
            self.causes = list(worst.values())
        if answers:
            for one in self._open():
                if one.acknowledged is None:
                    self._step(one.alarm, "acknowledged")
        if out:
            self.notices = {key: (at, "sent") for key, (at, _) in self.notices.items()}
        self.looked = False
        self.the_watcher_looks(killed_after)

    def the_watcher_looks(self, killed_after: int | None) -> None:
        """One look; killed, it has done only the first of its steps and no notice."""
        keys = {(cause.kind, cause.tank) for cause in self.causes}
        for one in self._open():
            key = (one.kind, one.tank)
            if key in keys:
                if killed_after is None:  # what a killed look saw is not remembered by anybody
                    self.absent_since.pop(key, None)
            else:
                self.absent_since.setdefault(key, self.now)
        steps = next_steps(self._open(), self.causes, self.rules, self.now)
        for step in steps if killed_after is None else steps[:killed_after]:
            if step.act == "raise":
                assert step.cause is not None
                number, self.entry = len(self.alarms) + 1, self.entry + 1
                cause = step.cause
                self.alarms[number] = AlarmRow(
                    number, self.entry, self.now, cause.kind, cause.tank, cause.late, cause.may_wait, cause.says,
                    (), 0, None,
                )  # fmt: skip
            elif step.act in ("gone", "back"):
                since = self.now if step.act == "gone" else None
                self.alarms[step.alarm] = replace(self.alarms[step.alarm], gone_s=since)
            else:
                if step.act == "cleared":
                    one = self.alarms[step.alarm]
                    assert self.now - self.absent_since.pop((one.kind, one.tank)) >= 10 * MINUTE
                if step.act == "escalated":
                    one = self.alarms[step.alarm]
                    assert one.acknowledged is None
                    assert self.now - one.loud_s >= self.rules.escalate_min * MINUTE > 0
                self._step(step.alarm, step.act)
        if killed_after is not None:
            return
        already = [(*key, state) for key, (_, state) in self.notices.items()]
        for one in to_tell(self.alarms.values(), already, self.rules, self.now, self._quiet_until):
            key = (one.alarm, one.place, one.about)
            assert key not in self.notices, "told twice"
            self.notices[key] = (one.not_before_s, "waiting")
            alarm = self.alarms[one.alarm]
            may_wait = (alarm.may_wait and not alarm.late) or self.rules.quiet_all
            assert one.not_before_s == self.now + (3600 if self.quiet and may_wait else 0)
        self.looked = True

    @invariant()
    def one_alarm_stands_for_each_cause(self) -> None:
        standing = [(one.kind, one.tank) for one in self._open()]
        assert len(standing) == len(set(standing))
        if self.looked:
            assert {(cause.kind, cause.tank) for cause in self.causes} <= set(standing)
            for cause in self.causes:
                (alarm,) = [one for one in self._open() if (one.kind, one.tank) == (cause.kind, cause.tank)]
                assert alarm.late or not cause.late

    @invariant()
    def nobody_who_should_know_is_left_out(self) -> None:
        if not self.looked:
            return
        for one in self._open():
            if one.acknowledged is not None:
                continue
            told = [about for alarm, place, about in self.notices if alarm == one.alarm and place == "phone"]
            loud = "raised" if one.worse is None else f"worse {one.worse.entry}"
            assert loud in told
            present = (one.kind, one.tank) in {(cause.kind, cause.tank) for cause in self.causes}
            overdue = self.now - one.loud_s >= self.rules.escalate_min * MINUTE > 0
            if present and overdue:
                # growing worse and being passed on are two looks: the one after this does it
                assert one.escalated or one.loud_s == self.now or self._passes_on_next(one)
            if one.escalated:
                assert any(alarm == one.alarm and place == "boss" for alarm, place, _ in self.notices)

    def _passes_on_next(self, one: AlarmRow) -> bool:
        return any(
            step.act == "escalated" and step.alarm == one.alarm
            for step in next_steps(self._open(), self.causes, self.rules, self.now)
        )

    @invariant()
    def a_place_that_cannot_be_reached_is_not_heaped_up(self) -> None:
        waiting = [
            key
            for key, (_, state) in self.notices.items()
            if state == "waiting" and key[2].startswith("again")
        ]
        assert len({key[:2] for key in waiting}) == len(waiting)


TestAlarmsOverTime = AlarmsOverTime.TestCase
TestAlarmsOverTime.settings = settings(max_examples=150, stateful_step_count=25, deadline=None)


def test_waiting_between_tries_doubles_up_to_a_quarter_of_an_hour() -> None:
    assert [back_off_s(tries) for tries in (1, 2, 3, 4, 5, 6, 7, 40)] == [
        30,
        60,
        120,
        240,
        480,
        900,
        900,
        900,
    ]


def test_good_news_lets_people_sleep_unless_the_alarm_woke_them() -> None:
    rules = AlarmRules(first=("phone",))
    night = (START + 3600, START + 9 * 3600)

    def quiet(at_s: int) -> int | None:
        return night[1] if night[0] <= at_s < night[1] else None

    for raised_s, expected in ((START, night[1]), (night[0] + 60, night[0] + 1800)):
        cleared = StepRow("cleared", night[0] + 1800, "", "Cleo", 9)
        alarm = AlarmRow(1, 8, raised_s, "cooling", 1, True, False, "warm", (cleared,), 1, None)
        told = to_tell([alarm], [(1, "phone", "raised", "sent")], rules, night[0] + 1800, quiet)
        assert [(one.about, one.not_before_s) for one in told] == [("cleared 9", expected)]


def test_a_likely_cause_raises_no_alarm_and_keeps_one_that_stands() -> None:
    likely = replace(WARM, keeps=True)
    rules = AlarmRules(repeat_min=0, escalate_min=0, quiet_all=False, first=("phone",), later=())
    stands = AlarmRow(1, 100, START, "cooling", 1, False, False, "slow", (), 0, None)
    assert next_steps([], [likely], rules, START) == []
    assert next_steps([stands], [likely], rules, START + 20 * MINUTE) == []
    assert [step.act for step in next_steps([stands], [], rules, START + 20 * MINUTE)] == ["gone"]
