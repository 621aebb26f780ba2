"""Ceilings of minerals that a suggestion keeps to where no target says one: a cheap mineral is the cheapest filler."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace

from herdbook.science.figures import ration_figures
from herdbook.science.limits_feed import tolerable_levels
from herdbook.science.nutrients import nutrient
from herdbook.science.ration import Totals
from herdbook.solving.programme import Feed, Limit

MINERALS = ("ca", "p", "mg", "k", "na", "cl", "s", "fe", "cu", "zn", "mn", "se", "se_added", "co", "i", "mo")
"""Those that have a level in print, sodium and chloride as the parts of salt."""
CARRIERS = ("mineral", "premix")
ADDED_SELENIUM_MG_KG = 0.3
"""21 CFR 573.920."""


def ceilings_of(
    feeds: Sequence[Feed], limits: Sequence[Limit], today: Totals, aside: Collection[str]
) -> tuple[tuple[Limit, ...], Mapping[str, float]]:
    """A high limit for each mineral that a mineral feed brings and no limit holds from above.

    It is the published level, a trace mineral's strictest and a macro mineral's mildest, as a version's cautions have
    it; or today's share where that is more already.

    Args:
        feeds: all on offer.
        limits: what is asked for.
        today: totals of today's ration.
        aside: figures that were to be left aside; those get no ceiling.

    Returns:
        The limits, and the level of each by mineral.
    """
    held = {one.figure for one in limits if one.high is not None and one.counted != "ratio"}
    brought = {
        key for feed in feeds if feed.kind in CARRIERS for key, share in feed.nutrients.items() if share
    }
    found = {}
    for key in MINERALS:
        level = level_of(key)
        if key in held or key in aside or key not in brought or key not in ration_figures() or level is None:
            continue
        its = today.nutrients.get(key)
        found[key] = max(level, (its.share_of_all if its else None) or 0.0)
    return tuple(Limit(key, None, level) for key, level in found.items()), found


def level_of(key: str) -> float | None:
    """The published level, in the mineral's own unit; none where none is in print."""
    if key == "se_added":
        return ADDED_SELENIUM_MG_KG
    levels = tolerable_levels(key)
    if not levels:
        return None
    return max(one.high for one in levels) if nutrient(key).unit == "%" else levels[0].low


def counted_under(
    feeds: Sequence[Feed], limits: Sequence[Limit], ceilings: Mapping[str, float]
) -> tuple[Feed, ...]:
    """The feeds, with nothing in place of a mineral that only a ceiling counts with and that was not determined."""
    asked = {one.figure for one in limits}
    only = [key for key in ceilings if key not in asked]

    def with_nothing(feed: Feed) -> Feed:
        lacks = {key: 0.0 for key in only if key not in feed.nutrients}
        return replace(feed, counted_as={**lacks, **feed.counted_as}) if lacks else feed

    return tuple(map(with_nothing, feeds))


def ceilings_said(ceilings: Mapping[str, float]) -> Iterator[str]:
    """What must be told of them; nothing where there are none."""
    if ceilings:
        levels = ", ".join(
            f"{nutrient(key).name} {level:.{nutrient(key).decimals}f} {nutrient(key).unit}"
            for key, level in ceilings.items()
        )
        yield (
            "Minerals without a high target are kept under the highest level in print, or today's share where that "
            f"is more: {levels}."
        )
