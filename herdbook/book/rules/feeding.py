"""Rules of the book on loads, drops, refusals and heads."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

from herdbook.book.checks import Finding
from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.rows import stands
from herdbook.book.rules.looking import Look, found, rule


@dataclass(slots=True)
class _Load:
    """A load that stands, with what went in and what came out."""

    row: sqlite3.Row
    loaded_g: int = 0
    drops: list[sqlite3.Row] = field(default_factory=list)

    @property
    def about(self) -> str:
        """How a finding calls it."""
        return f"load {self.row['number']}"

    @property
    def day(self) -> str:
        """Its farm day."""
        return str(self.row["farm_day"])


def _loads(look: Look) -> list[_Load]:
    """Every load; joined here and not in SQL, so that ten years cost three passes and not a search for each load."""
    made = {
        row["load"]: _Load(row)
        for row in look.rows(f"SELECT load_plan.* FROM load_plan {stands('load_plan')} ORDER BY load_plan.id")
    }
    for row in look.rows(f"SELECT load, loaded_g FROM load_weight {stands('load_weight')}"):
        if row["load"] in made:
            made[row["load"]].loaded_g += row["loaded_g"]
    for row in look.rows(f"SELECT feed_drop.* FROM feed_drop {stands('feed_drop')} ORDER BY feed_drop.id"):
        if row["load"] in made:
            made[row["load"]].drops.append(row)
    return list(made.values())


@rule
def what_is_dropped_was_mixed(look: Look) -> Iterator[Finding]:
    """No drop comes from a load into which nothing was weighed, or from one that had not been begun."""
    for load in _loads(look):
        began = load.row["started_at"]
        for drop in load.drops:
            pen = look.name("pen", drop["pen"])
            if not load.loaded_g:
                says = f"{pen} got feed of it, but nothing was weighed into it."
                yield found(load.about, says, (load.row["entry"], drop["entry"]), load.day)
            if drop["dropped_at"] < began:
                at = look.at(drop["dropped_at"])
                says = f"{pen} got feed of it at {at}, before it was begun at {look.at(began)}."
                yield found(load.about, says, (load.row["entry"], drop["entry"]), load.day)


@rule
def loads_and_drops_fit(look: Look) -> Iterator[Finding]:
    """No more is dropped of a load than went in, and no more goes in than its mixer holds, scale steps aside."""
    mixers = read_rations.mixers(look.connection)
    for load in _loads(look):
        mixer = mixers.get(load.row["mixer"])
        step_g = 0 if mixer is None else -(-mixer["step_mg"] // 1000)  # whole grams, rounded up
        dropped_g = sum(drop["dropped_g"] for drop in load.drops)
        entries = (load.row["entry"], *(drop["entry"] for drop in load.drops))
        if load.loaded_g and dropped_g > load.loaded_g + step_g * (len(load.drops) + 1):
            says = f"{look.mass(dropped_g)} was dropped, {look.mass(load.loaded_g)} was loaded."
            yield found(load.about, says, entries, load.day)
        if mixer is not None and load.loaded_g > mixer["capacity_g"] + step_g:
            says = (
                f"{look.mass(load.loaded_g)} in it; {mixer['name']} holds {look.mass(mixer['capacity_g'])}."
            )
            yield found(load.about, says, (load.row["entry"],), load.day)


@rule
def no_more_is_refused_than_was_fed(look: Look) -> Iterator[Finding]:
    """A pen's refusals of a day do not weigh more than its drops and what was re-fed to it."""
    fed_g: dict[tuple[int, str], int] = defaultdict(int)
    for row in look.rows(
        f"SELECT pen, feed_drop.farm_day AS day, sum(dropped_g) AS grams FROM feed_drop {stands('feed_drop')} "
        "GROUP BY pen, feed_drop.farm_day"
    ):
        fed_g[row["pen"], row["day"]] += row["grams"]
    refused = look.rows(
        f"SELECT refusal.*, entry.farm_day AS written_for FROM refusal {stands('refusal')} ORDER BY refusal.id"
    )
    for row in refused:
        if row["fed_to"] is not None:
            # re-fed on the morning it was weighed
            fed_g[row["fed_to"], look.day(row["weighed_at"])] += row["refused_g"]
    sums: dict[tuple[int, str], list[sqlite3.Row]] = defaultdict(list)
    for row in refused:
        sums[row["pen"], row["fed_on"]].append(row)
    for (pen, day), its in sums.items():
        grams = sum(row["refused_g"] for row in its)
        if grams > fed_g[pen, day]:
            says = f"refused {look.mass(grams)} of {look.mass(fed_g[pen, day])} fed."
            yield found(look.name("pen", pen), says, tuple(row["entry"] for row in its), day)


@rule
def a_fed_pen_has_a_head_count(look: Look) -> Iterator[Finding]:
    """Every pen that got feed had been counted by then; else nothing a head can be told."""
    first_count = {
        row["pen"]: row["at"]
        for row in look.rows(
            f"SELECT pen, min(counted_at) AS at FROM head_count {stands('head_count')} GROUP BY pen"
        )
    }
    for row in look.rows(
        f"SELECT pen, dropped_at, feed_drop.entry, feed_drop.farm_day FROM feed_drop {stands('feed_drop')} "
        "ORDER BY feed_drop.entry"
    ):
        if row["dropped_at"] < first_count.get(row["pen"], 2**62):
            says = "got feed, but had no head count by then."
            yield found(look.name("pen", row["pen"]), says, (row["entry"],), row["farm_day"])
