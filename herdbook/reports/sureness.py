"""How sure a ration's figures are, in numbers and in a sentence, with what the doubt comes from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from herdbook.chores.ground import Ground
from herdbook.reports.figures import Column, Figure, Line, Table, entries_of
from herdbook.reports.parts_of import FedPart
from herdbook.reports.showing import in_farm_units, unit_word
from herdbook.reports.spreads import (
    AS_WEIGHED,
    FEWEST,
    FEWEST_LOADINGS,
    NEWEST,
    PUBLISHED,
    PUBLISHED_LOADING,
    FeedSpread,
    FeedSpreads,
)
from herdbook.science.figures import RationFigure, amount_of, ration_figures
from herdbook.science.nutrients import nutrients
from herdbook.science.ration import Part
from herdbook.science.spread import PartSpread, Share, Spread, chance_above, figure_spread

Bounds = tuple[float | None, float | None, float | None]
RULE = (
    "first-order variance: root of the sum of (slope times standard deviation) squared over every analysis, dry "
    "matter and loading, taken as independent"
)
MOST_TOLD = 6

SURE_COLUMNS = (
    Column("figure", "Figure"),
    Column("says", "How sure"),
    Column("most_from", "Most of the doubt"),
)
FEED_COLUMNS = (
    Column("feed", "Feed"),
    Column("analyses_from", "Analyses spread by"),
    Column("dm_spread_points", "DM ±", "points", 1),
    Column("dm_from", "DM by"),
    Column("loading_percent", "Load ±", "%", 1),
    Column("loading_from", "Loading by"),
)


@dataclass(frozen=True, slots=True)
class Sure:
    """The spreads of a ration's feeds on a day, ready to say how sure any figure of it is.

    Args:
        parts: what is added up: feeds, and of a mix its parts.
        of_feeds: each part's spread, in the same order.
        weighed: whether the weights were read on a scale; else loading counts too.
    """

    parts: tuple[Part, ...]
    of_feeds: tuple[FeedSpread, ...]
    weighed: bool

    @property
    def spreads(self) -> list[PartSpread]:
        """The spread of each part, as the science takes it."""
        pairs = zip(self.parts, self.of_feeds, strict=True)
        return [spread.of(part, weighed=self.weighed) for part, spread in pairs]

    @property
    def entries(self) -> tuple[int, ...]:
        """Every entry under the spreads."""
        found = [number for spread in self.of_feeds for number in spread.entries]
        if not self.weighed:
            found += [number for spread in self.of_feeds for number in spread.loading_entries]
        return tuple(dict.fromkeys(found))

    def spread(self, key: str) -> Spread:
        """How far a figure may lie off."""
        return figure_spread(key, self.parts, self.spreads)


def sure_of(connection: Any, ground: Ground, fed: Sequence[FedPart], day: date, *, weighed: bool) -> Sure:
    """The spreads of a ration's feeds as they were known on a day."""
    known = FeedSpreads(connection, ground, day)
    names = ground.names.get("feed", {})
    parts, spreads = [], []
    for one in fed:
        whole = known.of(one.feed, one.part.dry_fraction)
        for leaf in one.leaves or (one.part,):
            found = (
                whole if leaf.feed == one.part.feed else known.of(names.get(leaf.feed, 0), leaf.dry_fraction)
            )
            # what goes in the mixer is the mix: its parts are loaded as wrongly as it is
            spreads.append(replace(found, loading=whole.loading, loading_from=whole.loading_from))
            parts.append(leaf)
    return Sure(tuple(parts), tuple(spreads), weighed)


def sure_cells(of: RationFigure, sure: Sure, bounds: Bounds, under: Sequence[int]) -> dict[str, Figure]:
    """The cells that stand beside a figure's value: one standard deviation, and the chances against its target.

    Args:
        of: the figure.
        sure: the spreads.
        bounds: its target.
        under: the entries under the value and under the target.
    """
    spread = sure.spread(of.key)
    low, _, high = bounds
    inputs = _told(spread)
    both = entries_of(*dict.fromkeys([*under, *sure.entries]))
    made = {"spread": Figure(spread.sd, of.unit, RULE, inputs, entries=both)}
    for key, limit, is_above in (
        ("above_low_percent", low, True),
        ("below_high_percent", high, False),
    ):
        if spread.value is None or spread.sd is None or limit is None:
            made[key] = Figure(None, "%")
            continue
        above = chance_above(value=spread.value, limit=limit, deviation=spread.sd)
        told = {
            "value": Figure(spread.value, of.unit),
            "limit": Figure(limit, of.unit),
            "deviation": made["spread"],
        }
        made[key] = Figure(above if is_above else 100 - above, "%", "chance-above", told, entries=both)
    return made


def _told(spread: Spread) -> dict[str, Any]:
    """What the variance is made of, the largest first, and what could not be counted."""
    whole = sum(share.variance for share in spread.shares)
    told: dict[str, Any] = {}
    for share in sorted(spread.shares, key=lambda one: -one.variance)[:MOST_TOLD]:
        if whole and share.variance / whole >= 0.005:
            told[share.feed] = f"{100 * share.variance / whole:.0f} % of the variance ({_causes(share)})"
    if spread.not_counted:
        told["not counted"] = "; ".join(spread.not_counted)
    return told


def _causes(share: Share) -> str:
    causes = (("analysis", share.analysis), ("dry matter", share.dry_matter), ("loading", share.loading))
    return ", ".join(
        f"{name} {100 * part / share.variance:.0f} %"
        for name, part in causes
        if share.variance and part / share.variance >= 0.005
    )


def sure_table(sure: Sure, targets: Mapping[str, Bounds], ground: Ground) -> Table:
    """A sentence for each figure that has a target."""
    lines = []
    known = ration_figures()
    for key in (*(key for key in known if key in targets), *(key for key in targets if amount_of(key))):
        of = known[key]
        spread = sure.spread(key)
        if spread.sd is None:
            continue
        under = entries_of(*sure.entries)
        inputs = _told(spread)
        lines.append(
            Line(
                key,
                {
                    "figure": Figure(of.label),
                    "says": Figure(
                        in_a_sentence(of, spread, targets[key], ground), "", RULE, inputs, entries=under
                    ),
                    "most_from": Figure(_most_from(spread), "", RULE, inputs, entries=under),
                },
            )
        )
    return Table(
        "sure", "How sure (± is one standard deviation)", SURE_COLUMNS, tuple(lines), "No target is set."
    )


def in_a_sentence(of: RationFigure, spread: Spread, bounds: Bounds, ground: Ground) -> str:
    """`CP 16.8 ± 0.4 % of DM; 83 % sure to be above 16.5, 95 % below 17.5`."""
    if spread.value is None or spread.sd is None:
        return f"{of.label} has no value"

    def shown(number: float, extra: int = 0) -> str:
        return ground.units.number(in_farm_units(number, of.unit, ground.units), of.decimals + extra)

    one = nutrients().get(of.key)
    unit = unit_word(of.unit, ground.units)
    whole = {"dm": " of DM", "cp": " of CP", "ndf": " of NDF", "starch": " of starch"}
    unit += whole.get(one.of, "") if one is not None and of.unit == "%" else ""
    extra = 1 if spread.sd and round(spread.sd, of.decimals) == 0 else 0
    text = f"{of.label} {shown(spread.value)} ± {shown(spread.sd, extra)} {unit}".rstrip()
    low, _, high = bounds
    sure = []
    if low is not None:
        above = chance_above(value=spread.value, limit=low, deviation=spread.sd)
        sure.append(f"{_percent(above)} sure to be above {shown(low)}")
    if high is not None:
        below = 100 - chance_above(value=spread.value, limit=high, deviation=spread.sd)
        sure.append(f"{_percent(below)} {'' if sure else 'sure to be '}below {shown(high)}")
    return "; ".join([text, ", ".join(sure)]) if sure else text


def _percent(chance: float) -> str:
    """Nothing is said to be certain that rests on a curve."""
    return "over 99 %" if chance > 99 else "under 1 %" if chance < 1 else f"{chance:.0f} %"


def _most_from(spread: Spread) -> str:
    whole = sum(share.variance for share in spread.shares)
    if not whole:
        return ""
    most = max(spread.shares, key=lambda one: one.variance)
    causes = {"analysis": most.analysis, "dry matter": most.dry_matter, "loading": most.loading}
    cause = max(causes, key=lambda name: causes[name])
    return f"{most.feed}, {cause} ({100 * causes[cause] / whole:.0f} %)"


def feeds_table(sure: Sure) -> Table:
    """Which spread was used for each feed: its own, or the published one."""
    lines = {}
    for part, spread in zip(sure.parts, sure.of_feeds, strict=True):
        under = entries_of(*spread.entries)
        loading = Figure(
            100 * spread.loading,
            "%",
            f"root mean square of loaded over planned less one, from {FEWEST_LOADINGS} loadings on; else "
            f"{PUBLISHED_LOADING}",
            entries=entries_of(*spread.loading_entries),
        )
        lines[part.feed] = Line(
            part.feed,
            {
                "feed": Figure(part.feed),
                "analyses_from": Figure(
                    spread.analyses_from,
                    "",
                    f"standard deviation of its newest {NEWEST} analyses, from {FEWEST} on, nutrient by nutrient; "
                    f"else the {PUBLISHED}",
                    {
                        nutrients()[key].label: f"± {sd:.3g}, {many} analyses"
                        for key, (sd, many) in spread.nutrients.items()
                    },
                    entries=under,
                ),
                "dm_spread_points": Figure(
                    spread.dry_points,
                    "points",
                    "standard deviation of its dry matter",
                    {"from": spread.dry_from},
                    missing=() if spread.dry_points is not None else ("taken as exact",),
                    entries=under,
                ),
                "dm_from": Figure(spread.dry_from, entries=under),
                "loading_percent": Figure(0.0, "%", AS_WEIGHED) if sure.weighed else loading,
                "loading_from": Figure(AS_WEIGHED if sure.weighed else spread.loading_from, entries=under),
            },
        )
    return Table("spreads", "Spread used for each feed", FEED_COLUMNS, tuple(lines.values()))
