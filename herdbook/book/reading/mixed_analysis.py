"""The analysis of a mix from its parts: each figure over the dry matter that has it, and who has none of it."""

from __future__ import annotations

from collections.abc import Sequence

from herdbook.book.reading.feeds import MADE_OF_PARTS, MILLION, AnalysisRow, DryMatter, FeedsAsOf, Leaf
from herdbook.book.reading.mixes import Recipe
from herdbook.science.nutrients import ADDED, nutrients
from herdbook.science.ration import Part, totals


def worked_out(
    recipe: Recipe, dry: DryMatter, leaves: Sequence[Leaf], feeds: FeedsAsOf
) -> AnalysisRow | None:
    """The analysis of a mix; none where no part has any.

    A figure that a part lacks is over the rest of the dry matter, and the part is named in `gaps`. What gets into feed
    only by being added (`ADDED`) is over all of it.

    Args:
        recipe: what the mix is made of.
        dry: its dry matter.
        leaves: the feeds it comes down to.
        feeds: where their dry matter and analyses are asked.
    """
    parts: list[Part] = []
    under = list(dry.entries)
    for leaf in leaves:
        its_dry, its = feeds.dry(leaf.feed), feeds.analysis(leaf.feed)
        fraction = its_dry.dry_ppm / MILLION if its_dry else 0.0
        parts.append(Part(str(leaf.feed), "", leaf.share, fraction, its.values if its else {}))
        under += [*leaf.entries, *(its.entries if its else ())]
    sums = totals(parts)
    values: dict[str, float] = {}
    for key, total in sums.nutrients.items():
        share = total.share_of_all if key in ADDED else total.share
        if share is not None:
            values[key] = share
    if not values:
        return None
    gaps = {
        key: _without(key, parts)
        for key in values
        if key not in ADDED and sums.nutrients[key].unknown_share > 1e-12
    }
    return AnalysisRow(
        0,
        recipe.feed,
        recipe.from_day,
        dry.dry_ppm,
        MADE_OF_PARTS,
        recipe.entry,
        values,
        not_determined=tuple(key for key in nutrients() if key not in values and key not in ADDED),
        gaps=gaps,
        under=tuple(dict.fromkeys(under)),
    )


def _without(key: str, parts: Sequence[Part]) -> tuple[int, ...]:
    """The feeds that lack a figure, or the whole it is a share of; one that has none of the whole lacks nothing."""
    whole = nutrients()[key].of
    return tuple(
        dict.fromkeys(
            int(part.feed)
            for part in parts
            if part.dry_fraction
            and (key not in part.nutrients or (whole not in ("dm", "none") and whole not in part.nutrients))
            and part.nutrients.get(whole) != 0
        )
    )
