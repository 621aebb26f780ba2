"""A tank's rounds: how old its milk is against the place's limit, its last wash, and what its thermometer is off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from herdbook.book.reading import milk_rounds as read_rounds
from herdbook.book.reading.choices import chosen_on
from herdbook.book.reading.milk import MilkingRow, TankRow
from herdbook.book.reading.milk_rounds import BY_HAND, EMPTYING
from herdbook.chores.ground import Ground
from herdbook.chores.thermometer_words import error_words
from herdbook.clock import span_words
from herdbook.reports.figures import Column, Figure, entries_of
from herdbook.science.emptying import EmptyingRule, default_emptying_rule, emptying_rules
from herdbook.science.thermometer_check import thermometer_is_off

LESS_ERROR_RULE = (
    "the reading less what its thermometer was off at the last check before it, or else at its first; "
    "limits are held against what was read"
)
CHECK_EVERY_S = 182 * 86_400
"""A recorder is verified every 6 months: UC Davis (WIFSS), "Cow Book", 2009, p. 77."""
SOON_S = 12 * 3600
"""An emptying that is due within so long is told: common practice, no source."""


@dataclass(frozen=True, slots=True)
class TankRounds:
    """What the rounds say of one tank.

    Args:
        rule: the emptying rule in force, and whether the farm chose it.
        empty_by_s: when it must be empty; none while its clock has not begun.
        oldest_s: how old the oldest milk in it is, seconds; none where it is empty.
        washed: its newest wash (row).
        checks: the newest check of each of its thermometers, by lower-case name.
        wash_due: emptied and not washed since, on a farm that writes washes.
        under: the entries that say since when milk is in it.
        checked: every check of its thermometers (rows), oldest first.
    """

    tank: TankRow
    rule: EmptyingRule
    is_chosen: bool
    empty_by_s: int | None
    oldest_s: int | None
    washed: Any
    checks: dict[str, Any]
    wash_due: bool
    under: tuple[int, ...]
    checked: tuple[Any, ...] = ()

    def error_of(self, source: str, read_at: int) -> int | None:
        """Thousandths of a degree C a source read too warm, by the last check before a reading, or else its first.

        Args:
            source: of the reading.
            read_at: UTC seconds of the reading.
        """
        its = [row for row in self.checked if row["thermometer"].lower() == source.lower()]
        if not its:
            return None
        check = next((row for row in reversed(its) if row["checked_at"] <= read_at), its[0])
        return int(check["shown_mC"] - check["reference_mC"])

    def warnings(self, ground: Ground) -> list[str]:
        """What must be said at once."""
        said = []
        if self.oldest_s is not None and self.empty_by_s is not None and self.empty_by_s < ground.now_s:
            over = span_words(ground.now_s - self.empty_by_s)
            said.append(
                f"{self.tank.name} should have been empty {over} ago: {self.rule.title}. Call your buyer."
            )
        for check in self.checks.values():
            if thermometer_is_off(shown_mC=check["shown_mC"], reference_mC=check["reference_mC"]):
                said.append(
                    f"{thermometer_words(check, ground)}. Its readings stand as read, their limits with them."
                )
        return said


def tank_rounds(
    connection: Any,
    tank: TankRow,
    emptied_at: int | None,
    milkings: Sequence[MilkingRow],
    ground: Ground,
    *,
    emptied_entry: int | None = None,
) -> TankRounds:
    """The rounds of a tank at the ground's instant.

    Args:
        connection: the book.
        tank: the tank.
        emptied_at: when it was last emptied.
        milkings: those in it, oldest first.
        ground: the farm's units and clock.
        emptied_entry: what emptied it.
    """
    now_s = ground.now_s
    chosen = chosen_on(connection, EMPTYING, ground.clock.farm_day(now_s).isoformat())
    rule = emptying_rules().get(chosen) or default_emptying_rule()
    first = milkings[0] if milkings else None
    begins_s = None if first is None else max(first.started_at, emptied_at or 0)
    empty_by_s = None
    if first is not None:
        empty_by_s = rule.due_s(emptied_s=emptied_at, first_started_s=begins_s, first_ended_s=first.ended_at)
    washed = read_rounds.last_wash(connection, "tank", tank.tank, now_s)
    checked = [
        row for row in read_rounds.thermometer_checks(connection, tank.tank) if row["checked_at"] <= now_s
    ]
    checks = {row["thermometer"].lower(): row for row in checked}
    wash_due = washed is not None and emptied_at is not None and washed["washed_at"] < emptied_at
    oldest_s = None if begins_s is None else now_s - begins_s
    under = () if first is None else (first.entry, *((first.end_entry,) if first.end_entry else ()))
    under += () if emptied_entry is None else (emptied_entry,)
    return TankRounds(
        tank, rule, bool(chosen), empty_by_s, oldest_s, washed, checks, wash_due, under, tuple(checked)
    )


ROUND_COLUMNS = {
    "oldest_h": Column("oldest_h", "Oldest milk", "h", 1),
    "empty_by": Column("empty_by", "Empty by", "time"),
    "thermometer": Column("thermometer", "Thermometer"),
}


def round_facts(rounds: TankRounds, ground: Ground) -> Mapping[str, Figure]:
    """The rounds as facts of the tank's report."""
    late = rounds.oldest_s is not None and rounds.empty_by_s is not None and rounds.empty_by_s < ground.now_s
    rule = (
        f"{rounds.rule.title}, {rounds.rule.source}{'' if rounds.is_chosen else '; the farm has chosen none'}"
    )
    checks = [thermometer_words(check, ground) for check in rounds.checks.values()]
    return {
        "oldest_h": Figure(
            None if rounds.oldest_s is None else rounds.oldest_s / 3600,
            "h",
            "hours since the first milking in the tank began, or since it was emptied while that ran",
            entries=entries_of(*rounds.under),
        ),
        "empty_by": Figure(
            rounds.empty_by_s,
            "time",
            rule,
            entries=entries_of(*rounds.under),
            flag="!!" if late else "",
            says="late" if late else "",
        ),
        "thermometer": Figure(
            "; ".join(checks) or None,
            rule="its newest check beside a calibrated one",
            entries=entries_of(*(check["entry"] for check in rounds.checks.values())),
        ),
    }


def thermometer_words(check: Any, ground: Ground) -> str:
    """`the thermometer read by hand reads 1.2 °F too warm, checked 3 days ago`."""
    name = (
        "The thermometer read by hand"
        if check["thermometer"] == BY_HAND
        else f"Thermometer {check['thermometer']}"
    )
    ago = span_words(ground.now_s - check["checked_at"])
    return f"{name} {error_words(check['shown_mC'], check['reference_mC'], ground)}, checked {ago} ago"
