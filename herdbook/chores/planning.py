"""What a load should be: heads times call times the feeding's share, as fed at the newest dry matter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from herdbook.book.reading import feeding_plan as read_plan
from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import rations as read_rations
from herdbook.chores.ground import Ground
from herdbook.errors import ChoreRefused
from herdbook.science.load_split import on_step

MILLION = 1_000_000


@dataclass(frozen=True, slots=True)
class PlannedLine:
    """One feed of a planned load."""

    feed: int
    planned_g: int
    dry_ppm: int


@dataclass(frozen=True, slots=True)
class Plan:
    """A load as it should be; `feeding` is which of the day."""

    ration: int
    ration_version: int
    head: int
    lines: tuple[PlannedLine, ...]
    feeding: int = 1

    @property
    def total_g(self) -> int:
        """Its whole weight."""
        return sum(line.planned_g for line in self.lines)


def plan_load(
    connection: Any,
    ground: Ground,
    pens: Sequence[int],
    *,
    feeding: int = 1,
    at_s: int | None = None,
    step_mg: int = 1000,
) -> Plan:
    """Plan one load for pens that get the same ration.

    Args:
        connection: the book.
        ground: the farm's clock and names.
        pens: the pens it is for.
        feeding: which feeding of the day.
        at_s: the instant it is mixed; now if not given.
        step_mg: the scale's step in milligrams; each amount is rounded to it.

    Raises:
        ChoreRefused: a pen without ration or head count, pens with different rations, a feed without dry matter.
    """
    at_s = at_s if at_s is not None else ground.now_s
    day = ground.clock.farm_day(at_s).isoformat()
    rations, head, cow_feedings = set(), 0, 0.0
    for pen in pens:
        its = read_rations.pen_ration_on(connection, pen, day, feeding)
        count = read_herd.head_at(connection, pen, at_s)
        name = ground.name_of("pen", pen)
        if its is None:
            raise ChoreRefused(
                f"{name} has no ration.", remedy="The nutritionist sets it: `herdbook write pen-ration`."
            )
        if count is None:
            raise ChoreRefused(f"{name} has no head count.", remedy="Write one: `herdbook write head`.")
        rations.add(its["ration"])
        head += count.head
        shares, _ = read_plan.feeding_shares(connection, pen, day)
        share = share_of_feeding(shares, feeding, its["feedings"])
        cow_feedings += count.head * its["call_ppm"] / MILLION * share
    if len(rations) != 1:
        raise ChoreRefused("These pens get different rations.", remedy="Mix a load for each ration.")
    return plan_for(
        connection,
        ground,
        rations.pop(),
        head=head,
        cow_feedings=cow_feedings,
        feeding=feeding,
        at_s=at_s,
        step_mg=step_mg,
    )


def plan_for(
    connection: Any,
    ground: Ground,
    ration: int,
    *,
    head: int,
    cow_feedings: float,
    feeding: int = 1,
    at_s: int,
    step_mg: int = 1000,
) -> Plan:
    """Plan a load of a ration for so many cow-days of feed; `cow_feedings` is heads times call times share."""
    day = ground.clock.farm_day(at_s).isoformat()
    version = read_rations.version_in_force(connection, ration, day, feeding)
    if version is None:
        raise ChoreRefused(
            f"Ration {ground.name_of('ration', ration)} has no version in force.",
            remedy="Write one: `herdbook write ration`.",
        )
    lines = []
    for item in version.items:
        dry = read_feeds.dry_matter_at(connection, item["feed"], at_s, day)
        if dry is None:
            raise ChoreRefused(
                f"{ground.name_of('feed', item['feed'])} has no dry matter.",
                remedy="Write its analysis or a dry-matter test.",
            )
        grams = item["mg"] / 1000 * cow_feedings
        if item["basis"] == "dry matter":
            grams = grams * MILLION / dry.dry_ppm
        lines.append(PlannedLine(item["feed"], on_the_scale(grams, step_mg), dry.dry_ppm))
    return Plan(ration, version.id, head, tuple(lines), feeding)


def on_the_scale(grams: float, step_mg: int) -> int:
    """The nearest weight the scale shows, in whole grams; what is too small for it is weighed by hand, to the gram."""
    return on_step(grams, step_mg)


def share_of_feeding(shares_ppm: Mapping[int, int], feeding: int, feedings: int) -> float:
    """The share of a pen's day that a feeding is, 0 to 1; equal ones unless just so many were set."""
    if len(shares_ppm) != feedings:
        return 1 / feedings
    return shares_ppm.get(feeding, 0) / sum(shares_ppm.values())
