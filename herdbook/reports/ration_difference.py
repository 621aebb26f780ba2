"""Two versions of a ration side by side: feeds and figures, both at the dry matter and analyses of one day."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any

from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.rations import Version
from herdbook.chores.ground import Ground
from herdbook.errors import Refused
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.parts_of import FedPart
from herdbook.reports.ration import RationSheet, cost_of, ration_value, sheet_of
from herdbook.science.figures import ration_figures

FEED_COLUMNS = (
    Column("feed", "Feed"),
    Column("before_kg", "Before", "kg", 2),
    Column("after_kg", "After", "kg", 2),
    Column("change_kg", "Change", "kg", 2),
    Column("before_dm_kg", "DM before", "kg", 2),
    Column("after_dm_kg", "DM after", "kg", 2),
    Column("change_dm_kg", "Change DM", "kg", 2),
    Column("set_as", "Set as"),
)
FIGURE_COLUMNS = (
    Column("figure", "Figure"),
    Column("before", "Before", "own", 2),
    Column("after", "After", "own", 2),
    Column("change", "Change", "own", 2),
    Column("unit", "Unit"),
)
FACT_COLUMNS = {
    "from_version": Column("from_version", "From version"),
    "from_since": Column("from_since", "In use since", "day"),
    "to_version": Column("to_version", "To version"),
    "to_since": Column("to_since", "In use since", "day"),
    "before_cost_cents": Column("before_cost_cents", "Feed cost before", "cents", 2),
    "after_cost_cents": Column("after_cost_cents", "Feed cost after", "cents", 2),
}


def make(connection: Any, ground: Ground, *, name: int, **between: int) -> Report:
    """The difference of two versions.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        name: the ration.
        between: `from` and `to`, numbers of versions; the newest two if not given.

    Raises:
        Refused: there is no such version.
    """
    before, after = _chosen(connection, ground, name, between)
    today = ground.clock.farm_day(ground.now_s)
    sheets = [sheet_of(connection, ground, version, today) for version in (before, after)]
    feeds = Table("feeds", "Feeds a head a day", FEED_COLUMNS, tuple(_feed_lines(*sheets)))
    figures = Table("figures", "Figures", FIGURE_COLUMNS, tuple(_figure_lines(*sheets)))
    label = ground.name_of("ration", name)
    return Report(
        "ration-difference",
        f"Ration {label}, version {before.version} to {after.version}, a head a day",
        facts={
            "from_version": Figure(before.version, entries=entries_of(before.entry)),
            "from_since": Figure(before.from_day, "day", entries=entries_of(before.entry)),
            "to_version": Figure(after.version, entries=entries_of(after.entry)),
            "to_since": Figure(after.from_day, "day", entries=entries_of(after.entry)),
            "before_cost_cents": cost_of(sheets[0].parts),
            "after_cost_cents": cost_of(sheets[1].parts),
        },
        columns=FACT_COLUMNS,
        tables=(feeds, figures),
        warnings=(
            *(("It has no other version to be held against.",) if before.id == after.id else ()),
            f"Both at the dry matter, analyses and prices of {today.isoformat()}.",
        ),
    )


def _chosen(connection: Any, ground: Ground, ration: int, between: dict[str, int]) -> tuple[Version, Version]:
    known = {version.version: version for version in read_rations.versions(connection, ration)}
    newest = sorted(known)
    label = ground.name_of("ration", ration)
    if not newest:
        raise Refused(
            f"Ration {label} has no version.", remedy="Write one: `herdbook write ration`.", field="ration"
        )
    later = between.get("to", newest[-1])
    earlier = between.get("from", max((one for one in newest if one < later), default=later))
    for option, number in (("from", earlier), ("to", later)):
        if number not in known:
            raise Refused(
                f"{option}: ration {label} has no version {number}.",
                remedy=f"It has {', '.join(map(str, newest))}.",
                field=option,
            )
    return known[earlier], known[later]


def _feed_lines(before: RationSheet, after: RationSheet) -> Iterator[Line]:
    """Feeds in the later version's loading order, then those that went out."""
    old, new = ({part.feed: part for part in sheet.parts} for sheet in (before, after))
    basis = {item["feed"]: item["basis"] for sheet in (before, after) for item in sheet.version.items}
    for feed in dict.fromkeys([*new, *old]):
        one = new.get(feed) or old[feed]
        cells = {"feed": Figure(one.part.feed), "set_as": Figure(basis[feed])}
        for key, of in (("kg", _as_fed), ("dm_kg", _dry)):
            cells |= _three(old.get(feed), new.get(feed), key, of)
        yield Line(one.part.feed, cells)


def _as_fed(fed: FedPart) -> float:
    return fed.part.as_fed_kg


def _dry(fed: FedPart) -> float:
    return fed.part.as_fed_kg * fed.part.dry_fraction


def _three(old: FedPart | None, new: FedPart | None, key: str, of: Any) -> dict[str, Figure]:
    """Before, after and the change; a feed that is not in a version stands there with none of it."""
    was, becomes = (of(one) if one else 0.0 for one in (old, new))
    under = entries_of(*dict.fromkeys(n for one in (old, new) if one for n in one.weight_entries))
    entries = [entries_of(*one.weight_entries) if one else entries_of() for one in (old, new)]
    word = "new" if old is None else "out" if new is None else ""
    return {
        f"before_{key}": Figure(
            was if old else None, "kg", "as set, at today's dry matter", entries=entries[0]
        ),
        f"after_{key}": Figure(
            becomes if new else None, "kg", "as set, at today's dry matter", entries=entries[1]
        ),
        f"change_{key}": Figure(becomes - was, "kg", "after less before", entries=under, says=word),
    }


def _both(old: Figure, new: Figure) -> list[int]:
    return list(dict.fromkeys([*old.entries(), *new.entries()]))


def _figure_lines(before: RationSheet, after: RationSheet) -> Iterator[Line]:
    """Every figure that either has, those with targets first."""
    known = ration_figures()
    targeted = [key for key in after.targets if key in known]
    for key in dict.fromkeys([*targeted, *known]):
        old, new = ration_value(known[key], before), ration_value(known[key], after)
        if old.number is None and new.number is None and key not in targeted:
            continue
        change = None if old.number is None or new.number is None else new.number - old.number
        yield Line(
            key,
            {
                "figure": Figure(known[key].label),
                "before": old,
                "after": new,
                "change": Figure(
                    change,
                    known[key].unit,
                    "after less before",
                    {"before": old, "after": new},
                    tuple(dict.fromkeys((*old.missing, *new.missing))),
                    partial(_both, old, new),
                ),
                "unit": Figure(known[key].unit),
            },
        )
