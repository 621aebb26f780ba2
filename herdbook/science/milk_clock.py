"""The milk clock: what a cooling rule says about each milking, as known at one moment."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from herdbook.science.cooling_curve import Estimate, Reading, reach_estimate
from herdbook.science.cooling_rules import Clause, CoolingRule
from herdbook.science.limits_compare import above_mC, at_or_under, too_cold

__all__ = ["Estimate", "Milking", "Reading", "State", "Verdict", "judge"]

State = Literal["met", "missed", "open", "waiting", "not decided", "no reading"]


@dataclass(frozen=True, slots=True)
class Milking:
    """One milking into the tank.

    Attributes:
        key: the reader's own number for it.
        started_s: UTC seconds when milk began to flow.
        ended_s: when it stopped, or None while it flows.
        first: the tank was empty.
    """

    key: int
    started_s: int
    ended_s: int | None
    first: bool


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one clause says about one milking.

    Attributes:
        clause: the clause.
        milking_key: the milking.
        deadline_s: when the limit must be reached; None for a "never above" limit, or before its clock has
            begun.
        state: "met"; "missed"; "open" (its time still runs); "waiting" (its clock has not begun);
            "not decided" (the rule or the readings do not settle it); "no reading" (nothing to judge by).
        reached_s: first reading at or under the limit with all milk in, in time or late.
        margin_s: how long before the deadline it was reached, when met.
        over_mC: how far above the limit: at the first reading from the deadline on (the last before it when
            there is none after), or at the warmest reading of a "never above" limit.
        late_s: seconds from a missed deadline to `reached_s`, or until now, the next milking or emptying; for
            a "never above" limit, from the first to the last reading above it.
        last: newest reading that belongs to this milking, filling included.
        expected: forecast, while the limit has not been reached and this milking still rules the tank.
        why: one clause for a person.
        worst: warmest reading above a "never above" limit.
        too_cold: first reading below what the clause allows (or at freezing where it says not frozen).
        watched: readings a "never above" limit was held against.
        rules_tank: no later milking and no emptying has come.
        rule: what the clause is of.
    """

    clause: Clause
    milking_key: int
    deadline_s: int | None
    state: State
    reached_s: int | None = None
    margin_s: int | None = None
    over_mC: int | None = None
    late_s: int | None = None
    last: Reading | None = None
    expected: Estimate | None = None
    why: str = ""
    worst: Reading | None = None
    too_cold: Reading | None = None
    watched: int = 0
    rules_tank: bool = False
    rule: CoolingRule | None = None

    @property
    def is_own(self) -> bool:
        """True for a goal of the farm's own: no law is broken where it is missed."""
        return self.rule is not None and self.rule.kind == "goal"

    @property
    def warns(self) -> bool:
        """True as soon as a person should act: the limit was missed, or is expected to be.

        A goal of the farm's own that was reached late asks for nothing any more.
        """
        if self.state == "missed":
            return not self.is_own or self.reached_s is None
        if self.state not in ("open", "waiting") or self.expected is None:
            return False
        return self.expected.is_late(self.deadline_s)

    @property
    def alarms(self) -> bool:
        """True where people are to be woken: the limit was missed, or it is sure enough that it will be."""
        return self.warns and (
            self.state == "missed" or self.expected is None or self.expected.is_alarm(self.deadline_s)
        )

    @property
    def may_be_foreseen(self) -> bool:
        """True for a limit with a deadline that the newest milk in the tank has not reached yet."""
        return (
            self.rules_tank
            and not self.clause.never_above
            and self.reached_s is None
            and self.state in ("open", "waiting", "missed")
        )


@dataclass(frozen=True, slots=True)
class _Turn:
    """A milking with the stretch of time in which it is the newest milk in the tank."""

    milking: Milking
    ended_s: int | None
    until_s: int | None
    cut_by: str
    readings: tuple[Reading, ...]
    now_s: int

    def since(self, start_s: int) -> list[Reading]:
        return [item for item in self.readings if item.at_s >= start_s]

    @property
    def last(self) -> Reading | None:
        return self.readings[-1] if self.readings else None

    @property
    def closes_s(self) -> int:
        """Until when something may be said: the next milking, the emptying, or now."""
        return self.now_s if self.until_s is None else self.until_s


def judge(
    rule: CoolingRule,
    milkings: Iterable[Milking],
    readings: Iterable[Reading],
    now_s: int,
    *,
    emptied_s: Iterable[int] = (),
) -> list[Verdict]:
    """Judge one tank's milkings by a rule, with nothing later than now looked at.

    A limit with a deadline is met by a reading at or under it taken after the last of the milk is in and not
    after the deadline. Where milk still flows at the deadline, no reading while filling settles it alone,
    because more warm milk follows: it is met when the readings on both sides of the deadline (or one at it)
    are at or under the limit. A milking that begins, or an emptying that comes, before the deadline leaves an
    unmet limit "not decided".

    A blend limit ("never above after the first milking") holds from the start of the second milking, or, for
    the first milking alone, from the deadline by which the rule wants that milk at the same limit (without
    one, from its first deadline): until then the rule itself allows warmer milk.

    Args:
        rule: the cooling rule in force.
        milkings: the tank's milkings in any order.
        readings: the tank's readings in any order. One taken while milk flows counts as filling.
        now_s: UTC seconds.
        emptied_s: UTC seconds of each emptying or pickup; readings between it and the next milking are not
            milk.

    Returns:
        One verdict for each clause that applies to each milking, by start of milking and in the rule's order.
    """
    verdicts: list[Verdict] = []
    for turn in _turns(milkings, readings, sorted(emptied_s), now_s):
        mine = [clause for clause in rule.clauses if clause.applies(first=turn.milking.first)]
        deadlines = [(clause, _deadline_s(clause, turn)) for clause in mine if not clause.never_above]
        for clause in mine:
            if clause.never_above:
                found = _judge_never_above(clause, turn, _holds_from_s(clause, turn, deadlines))
            else:
                found = _judge_deadline(clause, turn, _deadline_s(clause, turn))
            if found is not None:
                cold = _first_too_cold(clause, turn)
                newest = turn.until_s is None
                verdicts.append(replace(found, last=turn.last, too_cold=cold, rules_tank=newest, rule=rule))
    return verdicts


def _turns(
    milkings: Iterable[Milking], readings: Iterable[Reading], emptied_s: Sequence[int], now_s: int
) -> Iterable[_Turn]:
    started = sorted(
        (item for item in milkings if item.started_s <= now_s), key=lambda m: (m.started_s, m.key)
    )
    known = sorted((item for item in readings if item.at_s <= now_s), key=lambda item: (item.at_s, item.key))
    times = [item.at_s for item in known]
    for index, milking in enumerate(started):
        follower = started[index + 1] if index + 1 < len(started) else None
        ended_s = milking.ended_s if milking.ended_s is not None and milking.ended_s <= now_s else None
        cuts = [(at_s, "the tank was emptied") for at_s in emptied_s if milking.started_s < at_s <= now_s][:1]
        if follower is not None:
            cuts.append((follower.started_s, "the next milking began"))
        until_s, cut_by = min(cuts) if cuts else (None, "")
        # A reading at the very start of a milking is of the milk already there: it belongs to the one before.
        begin = (bisect_right if index else bisect_left)(times, milking.started_s)
        mine = tuple(known[begin : len(known) if until_s is None else bisect_right(times, until_s)])
        yield _Turn(milking, ended_s, until_s, cut_by, mine, now_s)


def _deadline_s(clause: Clause, turn: _Turn) -> int | None:
    """When a clause's time is up; None while its clock has not begun, or where the text gives no hours."""
    milking = turn.milking
    from_start = clause.clock in ("start of first milking", "start of milking")
    begins_s = milking.started_s if from_start else turn.ended_s
    ends = []
    if begins_s is not None and clause.within_s is not None:
        ends.append(begins_s + clause.within_s)
    if clause.start_within_s is not None:
        ends.append(milking.started_s + clause.start_within_s)
    return min(ends, default=None)


def _judge_deadline(clause: Clause, turn: _Turn, deadline_s: int | None) -> Verdict:
    verdict = Verdict(clause, turn.milking.key, deadline_s, "waiting")
    if turn.ended_s is None and deadline_s is None:
        if turn.until_s is not None:
            return replace(verdict, state="not decided", why="the end of this milking is not written")
        return replace(verdict, why="the clock starts when the milking ends")
    if deadline_s is not None and (turn.ended_s is None or turn.ended_s > deadline_s):
        return _judge_while_filling(verdict, turn, deadline_s)
    assert turn.ended_s is not None
    cooled = turn.since(turn.ended_s)
    reached = next((item for item in cooled if at_or_under(item.tank_mC, clause.limit)), None)
    if reached is not None:
        verdict = replace(verdict, reached_s=reached.at_s)
        if deadline_s is None:
            return replace(verdict, state="met", why="read at or under the limit; the text gives no hours")
        if reached.at_s <= deadline_s:
            why = "read at or under the limit in time"
            return replace(verdict, state="met", margin_s=deadline_s - reached.at_s, why=why)
    if turn.until_s is not None and (deadline_s is None or turn.until_s < deadline_s):
        return replace(verdict, state="not decided", why=f"{turn.cut_by} before the time was up")
    if turn.until_s is None and reached is None:
        verdict = replace(verdict, expected=reach_estimate(cooled, clause.limit.mC, turn.now_s))
    if deadline_s is None or turn.now_s <= deadline_s:
        return replace(
            verdict,
            state="open",
            why="the time still runs" if deadline_s is not None else "the text gives no hours",
        )
    return _judge_passed(verdict, turn, cooled, deadline_s)


def _judge_passed(verdict: Verdict, turn: _Turn, cooled: Sequence[Reading], deadline_s: int) -> Verdict:
    """The deadline has passed and no reading with all milk in was at or under the limit by then."""
    limit = verdict.clause.limit
    before = [item for item in cooled if item.at_s <= deadline_s]
    after = [item for item in cooled if item.at_s > deadline_s]
    if not before and (not after or at_or_under(after[0].tank_mC, limit)):
        why = "no reading by the deadline" + ("; the first one after it was under the limit" if after else "")
        return replace(verdict, state="no reading", why=why)
    late_s = (verdict.reached_s or turn.closes_s) - deadline_s
    shown = after[0] if after and not at_or_under(after[0].tank_mC, limit) else before[-1]
    why = "above the limit after the deadline"
    if shown.at_s <= deadline_s:
        why = "above the limit at the last reading before the deadline"
        if shown.at_s == deadline_s:
            why = "above the limit at the deadline"
        elif after:
            why += "; it was reached between that and the next one, which came after it"
    return replace(verdict, state="missed", over_mC=above_mC(shown.tank_mC, limit), late_s=late_s, why=why)


def _judge_while_filling(verdict: Verdict, turn: _Turn, deadline_s: int) -> Verdict:
    """A deadline that runs out while milk still flows: a cold reading before it is not the last word."""
    limit = verdict.clause.limit
    if turn.now_s <= deadline_s and turn.until_s is None:
        why = "milk is still coming in, no forecast yet"
        return replace(
            verdict, state="open", expected=Estimate(None, "none", why), why="milk is still coming in"
        )
    if turn.until_s is not None and turn.until_s < deadline_s:
        return replace(verdict, state="not decided", why=f"{turn.cut_by} before the time was up")
    before = [item for item in turn.readings if item.at_s <= deadline_s][-1:]
    after = [item for item in turn.readings if item.at_s > deadline_s][:1]
    cold = [at_or_under(item.tank_mC, limit) for item in before + after]
    if before and cold[0] and (before[0].at_s == deadline_s or (after and cold[1])):
        why = "at or under the limit when the time was up, with milk still coming in"
        return replace(
            verdict, state="met", reached_s=before[0].at_s, margin_s=deadline_s - before[0].at_s, why=why
        )
    if before and after and cold[0]:
        why = "milk was coming in: under the limit before the deadline, above it at the next reading"
        return replace(verdict, state="not decided", over_mC=above_mC(after[0].tank_mC, limit), why=why)
    if any(not is_cold for is_cold in cold):
        reached = next(
            (r for r in turn.readings if r.at_s > deadline_s and at_or_under(r.tank_mC, limit)), None
        )
        shown = after[0] if after and not cold[-1] else before[0]
        late_s = (reached.at_s if reached else turn.closes_s) - deadline_s
        why = "above the limit when the time was up, with milk still coming in"
        return replace(
            verdict, state="missed", reached_s=reached.at_s if reached else None,
            over_mC=above_mC(shown.tank_mC, limit), late_s=late_s, why=why,
        )  # fmt: skip
    why = "milk was coming in at the deadline and no reading settles it; read the tank"
    return replace(verdict, state="no reading", why=why)


def _holds_from_s(clause: Clause, turn: _Turn, deadlines: Sequence[tuple[Clause, int | None]]) -> int | None:
    """From when a "never above" limit holds in a turn; None while that is not known yet."""
    if clause.clock != "after cooling" and not turn.milking.first:
        return turn.milking.started_s
    same = [deadline for other, deadline in deadlines if other.limit == clause.limit]
    ends = same or [deadline for _, deadline in deadlines]
    known = [deadline for deadline in ends if deadline is not None]
    if len(known) < len(ends) or not known:
        return None
    return min(known)


def _judge_never_above(clause: Clause, turn: _Turn, from_s: int | None) -> Verdict | None:
    """A blend or holding limit; None when the limit never came to hold in this turn."""
    verdict = Verdict(clause, turn.milking.key, None, "waiting")
    closed = turn.until_s is not None
    if from_s is None or from_s > turn.now_s or (closed and from_s >= turn.closes_s):
        return None if closed else replace(verdict, why="holds once the first cooling is due")
    watched = turn.since(from_s)
    verdict = replace(verdict, watched=len(watched))
    above = [item for item in watched if not at_or_under(item.tank_mC, clause.limit)]
    if above:
        worst = max(above, key=lambda item: item.tank_mC)
        verdict = replace(verdict, worst=worst, over_mC=above_mC(worst.tank_mC, clause.limit))
        if clause.grace_s:
            return _judge_grace(verdict, turn, watched)
        return replace(
            verdict, state="missed", late_s=above[-1].at_s - above[0].at_s, why="read above the limit"
        )
    if not closed:
        return replace(
            verdict, state="open", why="at or under the limit so far" if watched else "no reading yet"
        )
    if not watched:
        return replace(
            verdict, state="no reading", why=f"no reading before {turn.cut_by.removesuffix(' began')}"
        )
    return replace(verdict, state="met", why="never read above the limit")


def _judge_grace(verdict: Verdict, turn: _Turn, watched: Sequence[Reading]) -> Verdict:
    """Readings above a limit that allows some minutes in a row: the readings must show that it was longer."""
    longest_s, unsure, since_s = 0, False, None
    grace_s = verdict.clause.grace_s
    for index, item in enumerate(watched):
        if at_or_under(item.tank_mC, verdict.clause.limit):
            since_s = None
            continue
        since_s = item.at_s if since_s is None else since_s
        longest_s = max(longest_s, item.at_s - since_s)
        before_s = watched[index - 1].at_s if index else turn.milking.started_s
        after_s = watched[index + 1].at_s if index + 1 < len(watched) else turn.closes_s
        unsure = unsure or after_s - before_s > grace_s
    minutes = grace_s // 60
    if longest_s > grace_s:
        why = f"read above the limit for more than {minutes} min"
        return replace(verdict, state="missed", late_s=longest_s, why=why)
    if unsure:
        why = f"read above the limit; whether for more than {minutes} min the readings do not show"
        return replace(verdict, state="open" if turn.until_s is None else "not decided", why=why)
    why = f"above the limit, but not for more than {minutes} min"
    return replace(verdict, state="open" if turn.until_s is None else "met", why=why)


def _first_too_cold(clause: Clause, turn: _Turn) -> Reading | None:
    if clause.coldest is None:
        return None
    low, open_end = clause.coldest
    return next((item for item in turn.readings if too_cold(item.tank_mC, low, open_end=open_end)), None)
