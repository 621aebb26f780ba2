"""How each milking cooled: the farm's cooling rule held against milkings and readings of one tank."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.farm import farm as read_farm
from herdbook.book.reading.milk import MilkingRow, TankRow
from herdbook.clock import FarmClock, span_words
from herdbook.science.cooling_rules import CoolingRule, cooling_rules, default_cooling_rule
from herdbook.science.milk_clock import Milking, Reading, Verdict, judge

LOOK_BACK_S = 10 * 86_400
USUAL_SUSPECTS = (
    "Look at condenser, fan, agitator and pre-cooler water; "
    "the refrigerant circuit is for a certified technician only."
)


@dataclass(frozen=True, slots=True)
class TankState:
    """One tank as it stands: its milk, readings and what the rule says.

    Args:
        tank: the tank.
        rule: the cooling rule in force.
        emptied_at: when it was last emptied; none if never in the time looked at.
        milkings: since then, oldest first.
        readings: since the first of them, oldest first (rows).
        verdicts: of the milkings in the tank, oldest first.
        held_g: milk in the tank; none while unknown.
        held_missing: what is not in that figure.
        last: the newest reading row of all.
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

    @property
    def worst(self) -> Verdict | None:
        """The verdict a person should look at first: the last that warns, else the deadline that comes first."""
        warning = [v for v in self.verdicts if v.warns]
        return warning[-1] if warning else self.next_deadline

    @property
    def in_view(self) -> Verdict | None:
        """The verdict a clock shows: the worst, else the last deadline that was met or left open."""
        with_deadline = [v for v in self.verdicts if v.deadline_s is not None]
        return self.worst or (with_deadline[-1] if with_deadline else next(iter(self.verdicts), None))

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


def rule_in_force(connection: Any) -> CoolingRule:
    """The farm's cooling rule; the default where its key is not known to this program."""
    return cooling_rules().get(read_farm(connection).cooling_rule) or default_cooling_rule()


def tank_state(connection: Any, tank: TankRow, now_s: int) -> TankState:
    """How a tank stands at an instant."""
    rule = rule_in_force(connection)
    emptied = read_milk.last_emptied(connection, tank.tank, now_s + 1)
    since = emptied["picked_at"] if emptied else now_s - LOOK_BACK_S
    milkings = [
        m for m in read_milk.milkings(connection, tank.tank, since, now_s + 1) if m.started_at <= now_s
    ]
    start = milkings[0].started_at if milkings else since
    readings = read_milk.temperatures(connection, tank.tank, start, now_s + 1)
    partial = [
        row for row in read_milk.pickups(connection, since + 1, now_s + 1, tank.tank) if not row["emptied"]
    ]
    held_g, missing, entries = _held(milkings, partial)
    return TankState(
        tank,
        rule,
        emptied["picked_at"] if emptied else None,
        tuple(milkings),
        tuple(readings),
        tuple(judged(rule, milkings, readings, now_s)),
        held_g,
        missing,
        entries,
        read_milk.last_temperature(connection, tank.tank, now_s),
    )


def _held(
    milkings: list[MilkingRow], partial: list[Any]
) -> tuple[int | None, tuple[str, ...], tuple[int, ...]]:
    """Milk in the tank: what was metered since it was emptied, less what was taken in part."""
    entries = tuple(
        dict.fromkeys([m.end_entry or m.entry for m in milkings] + [row["entry"] for row in partial])
    )
    known = [m.milk_g for m in milkings if m.milk_g is not None]
    unknown = len(milkings) - len(known)
    missing = (f"{unknown} of {len(milkings)} milkings not metered",) if unknown else ()
    if milkings and not known:
        return None, missing, entries
    return sum(known) - sum(row["milk_g"] for row in partial), missing, entries


def judged(
    rule: CoolingRule,
    milkings: list[MilkingRow],
    readings: list[Any],
    now_s: int,
    emptied_s: tuple[int, ...] = (),
) -> list[Verdict]:
    """The rule's verdicts on milkings that share one filling of the tank, the first of them into an empty one."""
    return judge(
        rule,
        [Milking(m.milking, m.started_at, m.ended_at, first=index == 0) for index, m in enumerate(milkings)],
        [Reading(row["read_at"], row["tank_mC"], row["entry"]) for row in readings],
        now_s,
        emptied_s=emptied_s,
    )


def verdicts_between(
    connection: Any, tank: TankRow, from_s: int, to_s: int, now_s: int
) -> list[tuple[MilkingRow, Verdict, list[Any]]]:
    """Every verdict on milkings begun in a span, with the milking and its readings until the next or the emptying."""
    rule = rule_in_force(connection)
    milkings = read_milk.milkings(connection, tank.tank, from_s - LOOK_BACK_S, to_s)
    pickups = read_milk.pickups(connection, from_s - LOOK_BACK_S, now_s + 1, tank.tank)
    emptied = [row["picked_at"] for row in pickups if row["emptied"]]
    readings = read_milk.temperatures(
        connection, tank.tank, from_s - LOOK_BACK_S, min(now_s, to_s + LOOK_BACK_S) + 1
    )
    found = []
    for index, milking in enumerate(milkings):
        if not from_s <= milking.started_at < to_s:
            continue
        start = max((at for at in emptied if at <= milking.started_at), default=from_s - LOOK_BACK_S)
        end = min((at for at in emptied if at > milking.started_at), default=None)
        closes = now_s if end is None else end
        filling = [m for m in milkings if start <= m.started_at < closes]
        inside = [row for row in readings if filling[0].started_at <= row["read_at"] <= closes]
        until = milkings[index + 1].started_at if index + 1 < len(milkings) else closes
        mine = [row for row in inside if milking.started_at <= row["read_at"] <= min(until, closes)]
        for verdict in judged(rule, filling, inside, now_s, () if end is None else (end,)):
            if verdict.milking_key == milking.milking:
                found.append((milking, verdict, mine))
    return found


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
        return f"missed{late} {word}" if late else "missed"
    if verdict.state == "open" and verdict.expected is not None:
        return f"open, {_expected(verdict, clock, today)}"
    return f"{verdict.state}{', ' + verdict.why if verdict.why else ''}"


def _expected(verdict: Verdict, clock: FarmClock, today: Any) -> str:
    estimate = verdict.expected
    assert estimate is not None
    if estimate.never:
        return "not reached at this rate"
    if estimate.at_s is None:
        return estimate.why or "no forecast yet"
    words = f"expected {clock.shown(estimate.at_s, today=today)}"
    if verdict.deadline_s is not None and estimate.at_s > verdict.deadline_s:
        words += f", {span_words(estimate.at_s - verdict.deadline_s)} late"
    return words
