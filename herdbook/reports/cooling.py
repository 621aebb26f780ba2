"""How each milking cooled: the farm's cooling rule held against milkings and readings of one tank."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.milk import MilkingRow, TankRow
from herdbook.clock import FarmClock, span_words
from herdbook.reports.cooling_ahead import foreseen
from herdbook.reports.cooling_standard import Standards
from herdbook.reports.fillings import LONGEST_MILKING_S, Filling, fillings
from herdbook.reports.milk_held import milk_held
from herdbook.science.cooling_curve import Estimate
from herdbook.science.cooling_rules import CoolingRule
from herdbook.science.milk_clock import Milking, Reading, Verdict, judge
from herdbook.science.tank_forecast import LimitForecast, TankForecast

LOOK_BACK_S = 10 * 86_400
REFRIGERANT = "the refrigerant circuit is for a certified technician only."
USUAL_SUSPECTS = f"Look at condenser, fan, agitator and pre-cooler water; {REFRIGERANT}"


@dataclass(frozen=True, slots=True)
class TankState:
    """One tank as it stands: its milk, readings and what the rule says.

    Args:
        tank: the tank.
        rule: the cooling rule of its newest milking, or of the day where it is empty.
        emptied_at: when it was last emptied; none if never in the time looked at.
        milkings: since then, oldest first.
        readings: since the first of them, oldest first (rows).
        verdicts: of the milkings in the tank, oldest first.
        held_g: milk in the tank; none while unknown.
        held_missing: what is not in that figure.
        last: the newest reading row of all.
        emptied_entry: the pickup that emptied it.
        forecast: what is foreseen of the newest milking; none where nothing is open.
        held_rule: how the milk in it was counted, in words.
        goals: the farm's own goals beside that rule; none where it has set none.
    """

    tank: TankRow
    rule: CoolingRule
    emptied_at: int | None
    milkings: tuple[MilkingRow, ...]
    readings: tuple[Any, ...]
    verdicts: tuple[Verdict, ...]
    held_g: int | None
    held_missing: tuple[str, ...]
    held_entries: tuple[int, ...]
    last: Any
    emptied_entry: int | None = None
    forecast: TankForecast | None = None
    held_rule: str = ""
    goals: CoolingRule | None = None

    @property
    def worst(self) -> Verdict | None:
        """The verdict a person should look at first: the last that warns, else the deadline that comes first.

        What the rule of the place says comes before a goal of the farm's own.
        """
        warning = [v for v in self.verdicts if v.warns]
        return next(
            (v for v in reversed(warning) if not v.is_own), warning[-1] if warning else self.next_deadline
        )

    @property
    def in_view(self) -> Verdict | None:
        """The verdict a clock shows: the worst, else milk that flows in, else the last deadline met or left open."""
        with_deadline = [v for v in self.verdicts if v.deadline_s is not None]
        by_rule = [v for v in with_deadline if not v.is_own] or with_deadline
        last = by_rule[-1] if by_rule else next(iter(self.verdicts), None)
        return self.worst or self.flowing or last

    @property
    def flowing(self) -> Verdict | None:
        """The limit of milk that still flows in, where it is foreseen; its clock waits for the end of the milking."""
        return next(
            (v for v in self.verdicts if v.state == "waiting" and v.expected is not None and v.expected.at_s),
            None,
        )

    @property
    def next_deadline(self) -> Verdict | None:
        """The open verdict whose deadline comes first."""
        running = [v for v in self.verdicts if v.state == "open" and v.deadline_s is not None]
        return min(running, key=lambda v: v.deadline_s or 0, default=None)

    @property
    def trend(self) -> str:
        """`falling`, `rising`, `steady`, or empty with fewer than two readings within two hours."""
        if len(self.readings) < 2:
            return ""
        before, last = self.readings[-2], self.readings[-1]
        if last["read_at"] - before["read_at"] > 2 * 3600:
            return ""
        change = last["tank_mC"] - before["tank_mC"]
        return "falling" if change < -50 else "rising" if change > 50 else "steady"


def tank_state(connection: Any, tank: TankRow, now_s: int) -> TankState:
    """How a tank stands at an instant."""
    standards = Standards.of(connection)
    emptied = read_milk.last_emptied(connection, tank.tank, now_s + 1)
    since = emptied["picked_at"] if emptied else now_s - LOOK_BACK_S
    # a milking that ran while the tank was emptied goes on filling it
    near = read_milk.milkings(connection, tank.tank, since - LONGEST_MILKING_S, now_s + 1)
    *_, filling = fillings(near, [since])
    milkings = list(filling.milkings)
    start = milkings[0].started_at if milkings else since
    readings = read_milk.temperatures(connection, tank.tank, max(start, since + 1), now_s + 1)
    partial = [
        row for row in read_milk.taken_out(connection, tank.tank, since + 1, now_s + 1) if not row["emptied"]
    ]
    held = milk_held(connection, tank.tank, filling, partial, emptied, now_s)
    verdicts, forecast = foreseen(
        connection, tank.tank, filling, readings, judged(standards, filling, readings, now_s), partial, now_s
    )
    rule, *goals = standards.at(milkings[-1].started_at if milkings else now_s)
    return TankState(
        tank,
        rule,
        emptied["picked_at"] if emptied else None,
        filling.milkings,
        tuple(readings),
        tuple(verdicts),
        held.grams,
        held.missing,
        held.entries,
        read_milk.last_temperature(connection, tank.tank, now_s),
        emptied["entry"] if emptied else None,
        forecast,
        held.rule,
        goals[0] if goals else None,
    )


def judged(standards: Standards, filling: Filling, readings: Sequence[Any], now_s: int) -> list[Verdict]:
    """Verdicts on the milkings of one filling, the first of them into an empty tank.

    Each milking is held against the rule, and the farm's own goals, of the day on which it began.
    """
    milkings = [
        Milking(m.milking, filling.begins_s(m), m.ended_at, first=index == 0)
        for index, m in enumerate(filling.milkings)
    ]
    read = [Reading(row["read_at"], row["tank_mC"], row["entry"]) for row in readings]
    emptied = () if filling.until_s is None else (filling.until_s,)
    by_rule: dict[CoolingRule, set[int]] = {}
    for m in filling.milkings:
        for rule in standards.at(m.started_at):
            by_rule.setdefault(rule, set()).add(m.milking)
    found = [
        verdict
        for rule, mine in by_rule.items()
        for verdict in judge(rule, milkings, read, now_s, emptied_s=emptied)
        if verdict.milking_key in mine
    ]
    order = {m.milking: at for at, m in enumerate(filling.milkings)}
    return sorted(found, key=lambda one: (order[one.milking_key], one.is_own))


def verdicts_between(
    connection: Any, tank: TankRow, from_s: int, to_s: int, now_s: int
) -> list[tuple[MilkingRow, Verdict, list[Any]]]:
    """Every verdict on milkings begun in a span, with the milking and its readings until the next or the emptying.

    A milking that ran while the tank was emptied is judged twice: as the last of one filling, the first of the next.
    """
    standards = Standards.of(connection)
    # what came after the span ends the turn of the last milkings in it; milk does not stay longer than that
    known_s = min(to_s + LOOK_BACK_S, now_s)
    span = (tank.tank, from_s - LOOK_BACK_S, known_s + 1)
    milkings = read_milk.milkings(connection, *span)
    pickups = read_milk.taken_out(connection, *span)
    emptied = [row["picked_at"] for row in pickups if row["emptied"]]
    readings = read_milk.temperatures(connection, *span)
    times = [row["read_at"] for row in readings]
    found = []
    for filling in fillings(milkings, emptied):
        wanted = {m.milking: m for m in filling.milkings if from_s <= m.started_at < to_s}
        if not wanted:
            continue
        closes_s = known_s if filling.until_s is None else filling.until_s
        begins = [filling.begins_s(m) for m in filling.milkings]
        inside = readings[bisect_left(times, begins[0]) : bisect_right(times, closes_s)]
        ends = dict(zip((m.milking for m in filling.milkings), [*begins[1:], closes_s], strict=True))
        for verdict in judged(standards, filling, inside, known_s):
            milking = wanted.get(verdict.milking_key)
            if milking is None:
                continue
            begins_s, ends_s = filling.begins_s(milking), ends[milking.milking]
            mine = inside[_from(inside, begins_s, is_first=begins_s == begins[0]) : _after(inside, ends_s)]
            found.append((milking, verdict, mine))
    return found


def _from(readings: Sequence[Any], at_s: int, *, is_first: bool) -> int:
    """Where a milking's readings begin: one at its very start is of the milk that was there before."""
    return (bisect_left if is_first else bisect_right)(readings, at_s, key=_read_at)


def _after(readings: Sequence[Any], at_s: int) -> int:
    return bisect_right(readings, at_s, key=_read_at)


def _read_at(row: Any) -> int:
    return int(row["read_at"])


def in_words(verdict: Verdict, clock: FarmClock, now_s: int) -> str:
    """What a verdict says, for a person: `met 19:20, 42 min early`, `expected 08:31, 17 min late`, ..."""
    today = clock.local(now_s).date()
    if verdict.state == "met":
        early = f", {span_words(verdict.margin_s)} to spare" if verdict.margin_s else ""
        at = f" {clock.shown(verdict.reached_s, today=today)}" if verdict.reached_s is not None else ""
        return f"met{at}{early}"
    if verdict.state == "missed":
        late = f", {span_words(verdict.late_s)}" if verdict.late_s else ""
        word = "above it" if verdict.deadline_s is None else "late"
        ahead = f", {_expected(verdict, clock, today)}" if verdict.expected is not None else ""
        return (f"missed{late} {word}" if late else "missed") + ahead
    if verdict.state in ("open", "waiting") and verdict.expected is not None:
        return f"{verdict.state}, {_expected(verdict, clock, today)}"
    return f"{verdict.state}{', ' + verdict.why if verdict.why else ''}"


def _expected(verdict: Verdict, clock: FarmClock, today: Any) -> str:
    estimate = verdict.expected
    assert estimate is not None
    chance = _chance_words(estimate) if verdict.state != "missed" else ""
    if estimate.never:
        why = estimate.why if estimate.how == "none" else ""
        return f"{why or 'not reached at this rate'}{chance}"
    if estimate.at_s is None:
        return estimate.why or "no forecast yet"
    words = f"expected {clock.shown(estimate.at_s, today=today)}{range_words(estimate, clock)}"
    if verdict.state != "missed" and verdict.deadline_s is not None and estimate.at_s > verdict.deadline_s:
        words += f", {span_words(estimate.at_s - verdict.deadline_s)} late"
    return words + chance


def range_words(estimate: Estimate, clock: FarmClock) -> str:
    """The 80 % range in brackets, ` (08:12 to 08:55)`; empty where none is said."""
    if not isinstance(estimate, LimitForecast) or estimate.low_s is None or estimate.how == "reached":
        return ""
    low = clock.shown_time(estimate.low_s)
    return (
        f" ({low} or later)"
        if estimate.high_s is None
        else f" ({low} to {clock.shown_time(estimate.high_s)})"
    )


def _chance_words(estimate: Estimate) -> str:
    percent = late_percent(estimate)
    if percent is None:
        return ""
    said = "under 1" if percent < 1 else "over 99" if percent > 99 else f"{percent:.0f}"
    return f", chance of late {said} %"


def late_percent(estimate: Estimate | None) -> float | None:
    """The chance of missing the deadline in percent; none where none is said."""
    if not isinstance(estimate, LimitForecast) or estimate.chance_late is None:
        return None
    return 100 * estimate.chance_late
