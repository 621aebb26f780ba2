"""What cooling is held against on a day: the rule of the farm's place, and tighter goals of the farm's own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any

from herdbook.book.reading.choices import choices_of
from herdbook.book.reading.cooling_choices import COOLING_RULE, cooling_goals
from herdbook.book.reading.farm import farm as read_farm
from herdbook.clock import FarmClock
from herdbook.science.cooling_rules import Clause, CoolingRule, cooling_rules, default_cooling_rule
from herdbook.science.limits_compare import Limit

OWN_GOALS = "own-goals"


@dataclass(frozen=True, slots=True)
class Standards:
    """What holds from which day on.

    Args:
        clock: the farm's.
        first: key of the rule before any was chosen.
        chosen: day and key of each choice since, in order.
        goals: rows of the farm's own goals, in order.
    """

    clock: FarmClock
    first: str
    chosen: tuple[tuple[str, str], ...]
    goals: tuple[Any, ...]

    @classmethod
    def of(cls, connection: Any) -> Standards:
        """As the book has it."""
        farm = read_farm(connection)
        choices = tuple((row["from_day"], row["chosen"]) for row in choices_of(connection, COOLING_RULE))
        return cls(farm.clock, farm.cooling_rule, choices, tuple(cooling_goals(connection)))

    def rule_on(self, day: date) -> CoolingRule:
        """The rule of a farm day; the default where its key is not known to this program."""
        key = next((key for since, key in reversed(self.chosen) if since <= day.isoformat()), self.first)
        return cooling_rules().get(key) or default_cooling_rule()

    def on(self, day: date) -> tuple[CoolingRule, ...]:
        """The rule of a farm day and, where the farm has goals of its own, these as a rule beside it."""
        by_limit: dict[tuple[str, int, str], Any] = {}
        for row in self.goals:
            if row["from_day"] <= day.isoformat():
                by_limit[row["clock"], row["limit_hundredths"], row["unit"]] = row
        standing = [row for row in by_limit.values() if not row["is_over"]]
        rule = self.rule_on(day)
        return (rule, own_goals(tuple(clause_of(row) for row in standing))) if standing else (rule,)

    def at(self, instant_s: int) -> tuple[CoolingRule, ...]:
        """What holds for a milking that began at an instant (UTC seconds)."""
        return self.on(self.clock.farm_day(instant_s))


@lru_cache(maxsize=64)
def own_goals(clauses: tuple[Clause, ...]) -> CoolingRule:
    """The farm's own goals in the shape of a rule; the same goals are the same rule."""
    return CoolingRule(
        OWN_GOALS, "the farm's own goals", "this farm", "goal", clauses, "set by the farm", date.min, True
    )


def clause_of(row: Any) -> Clause:
    """A goal as a clause.

    Args:
        row: of `cooling_goals`.
    """
    limit = Limit.of_hundredths(row["limit_hundredths"], row["unit"])
    within = row["within_min"]
    if within is None:
        says = f"never above {limit} after the first milking, the farm's own goal"
    else:
        says = f"{limit} or less within {within} min of the {row['clock']}, the farm's own goal"
    key = f"own-{row['clock'].replace(' ', '-')}-{limit.value.normalize():f}"
    return Clause(key, says, limit, row["clock"], None if within is None else within * 60)


def every_limit(standards: Sequence[CoolingRule]) -> list[tuple[int, str]]:
    """Every limit as thousandths of a degree C with its words, coldest first, to draw."""
    return sorted({clause.limit.mC: str(clause.limit) for one in standards for clause in one.clauses}.items())
