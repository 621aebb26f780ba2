"""What another dry matter of a feed does to the rations fed: pounds as fed a head before and after."""

from __future__ import annotations

from typing import Any, NamedTuple

from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.feeds import FeedsAsOf
from herdbook.chores.ground import Ground

MILLION = 1_000_000
MOST_SAID = 4


class DryEffect(NamedTuple):
    """One item of a ration under another dry matter, grams a head and day.

    Attributes:
        ration: which ration.
        feed: the item; the tested feed, or a mix that holds it.
        by_dry_matter: true when the item is set as dry matter, so that what is loaded changes; else what is eaten does.
        before_g, after_g: weight as fed of an item set as dry matter, dry matter of one set as fed.
    """

    ration: int
    feed: int
    by_dry_matter: bool
    before_g: float
    after_g: float


def dry_effects(connection: Any, ground: Ground, feed: int, dry_ppm: int, *, at_s: int) -> list[DryEffect]:
    """Every item of the rations in force that another dry matter of a feed changes.

    Args:
        connection: the book.
        ground: the farm's clock and names.
        feed: the feed that was tested.
        dry_ppm: its dry matter, parts per million.
        at_s: from when on.
    """
    day = ground.clock.farm_day(at_s).isoformat()
    before = FeedsAsOf(connection, day, at_s)
    after = FeedsAsOf(connection, day, at_s, {feed: dry_ppm})
    found = []
    for ration in ground.names.get("ration", {}).values():
        version = read_rations.version_in_force(connection, ration, day)
        for item in version.items if version else ():
            was, becomes = before.dry(item["feed"]), after.dry(item["feed"])
            if was is None or becomes is None or was.dry_ppm == becomes.dry_ppm:
                continue
            grams, by_dry = item["mg"] / 1000, item["basis"] == "dry matter"
            amounts = (
                (grams * MILLION / was.dry_ppm, grams * MILLION / becomes.dry_ppm)
                if by_dry
                else (grams * was.dry_ppm / MILLION, grams * becomes.dry_ppm / MILLION)
            )
            found.append(DryEffect(ration, item["feed"], by_dry, *amounts))
    return found


def effect_of_dry_matter(
    connection: Any, ground: Ground, feed: int, dry_ppm: int, *, at_s: int
) -> tuple[str, ...]:
    """`dry_effects` in sentences, in the farm's units; for a preview before it is accepted, and for what is said."""
    units, said = ground.units, []
    found = dry_effects(connection, ground, feed, dry_ppm, at_s=at_s)
    for one in found[:MOST_SAID]:
        name = "" if one.feed == feed else f"{ground.name_of('feed', one.feed)} "
        amounts = f"{units.mass(one.before_g, 2, with_unit=False)} to {units.mass(one.after_g, 2)}"
        what = "as fed a head" if one.by_dry_matter else "dry matter a head, as fed stays"
        said.append(f"Ration {ground.name_of('ration', one.ration)}: {name}{amounts} {what}.")
    if len(found) > MOST_SAID:
        said.append(f"And {len(found) - MOST_SAID} items more.")
    return tuple(said)
