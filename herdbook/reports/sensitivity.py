"""What a ration becomes when a wet feed is drier or wetter than it was taken for, and is fed by the same weights."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from herdbook.book.reading import rations as read_rations
from herdbook.chores.ground import Ground
from herdbook.errors import ChoreRefused, Refused
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.parts_of import leaf_parts
from herdbook.reports.ration import FLAGS, judged_against, sheet_of
from herdbook.reports.spreads import WET_BELOW
from herdbook.reports.unit_keys import key_with_unit
from herdbook.science.figures import amount_of, figure_value, ration_figures
from herdbook.science.ration import Part, Totals, totals

POINTS = (-5, -4, -3, -2, -1, 1, 2, 3, 4, 5)
"""Wet feeds swing by 3 to 5 points a day at the worst (Weiss, Hay & Forage)."""
DRIEST = 0.999
Bounds = tuple[float | None, float | None, float | None]
RULE = "the same weights as fed, with the feed's dry matter moved by so many points and its figures on dry matter kept"

MOVE_COLUMNS = (
    Column("feed", "Feed"),
    Column("points", "Points"),
    Column("dm_percent", "DM %", "%", 1),
    Column("dm_kg", "DM", "kg", 2),
    Column("dm_change_kg", "Change", "kg", 2),
    Column("outside", "Then outside its target"),
)


@dataclass(frozen=True, slots=True)
class Moved:
    """A ration with one feed's dry matter moved."""

    feed: str
    points: int
    dry_fraction: float
    sums: Totals


def wet_feeds(parts: Sequence[Part]) -> tuple[str, ...]:
    """The feeds whose dry matter is worth watching."""
    return tuple(
        dict.fromkeys(part.feed for part in parts if part.as_fed_kg > 0 and 0 < part.dry_fraction < WET_BELOW)
    )


def moved(parts: Sequence[Part], feed: str, points: float) -> list[Part]:
    """The same weights as fed, the dry matter of one feed moved by points; never to nothing or past all of it."""
    return [
        replace(part, dry_fraction=min(max(part.dry_fraction + points / 100, 1e-6), DRIEST))
        if part.feed == feed
        else part
        for part in parts
    ]


def moves(parts: Sequence[Part], feeds: Sequence[str]) -> list[Moved]:
    """Every feed moved by every number of points."""
    found = []
    for feed in feeds:
        for points in POINTS:
            changed = moved(parts, feed, points)
            its = [part for part in changed if part.feed == feed]
            as_fed_kg = sum(part.as_fed_kg for part in its)
            dry_kg = sum(part.as_fed_kg * part.dry_fraction for part in its)
            found.append(Moved(feed, points, dry_kg / as_fed_kg if as_fed_kg else 0.0, totals(changed)))
    return found


def outside(sums: Totals, targets: Mapping[str, Bounds]) -> dict[str, str]:
    """The figures outside their targets, by key: low or high."""
    known = ration_figures()
    found: dict[str, str] = {}
    order = [*(key for key in known if key in targets), *(key for key in targets if amount_of(key))]
    for key in order:
        word = judged_against(known[key], figure_value(key, sums).value, targets[key]).word
        if word in ("low", "high"):
            found[key] = word
    return found


def moves_table(
    parts: Sequence[Part], sums: Totals, targets: Mapping[str, Bounds], entries: Sequence[int]
) -> Table:
    """One row for each wet feed and number of points: dry matter a head, and which figures leave their target."""
    known, before = ration_figures(), outside(sums, targets)
    lines = []
    for one in moves(parts, wet_feeds(parts)):
        after = outside(one.sums, targets)
        newly = [f"{known[key].label} {word}" for key, word in after.items() if before.get(key) != word]
        under = entries_of(*entries)
        told = {"dry matter of the feed": f"{100 * one.dry_fraction:.1f} %"}
        lines.append(
            Line(
                f"{one.feed} {one.points:+d}",
                {
                    "feed": Figure(one.feed),
                    "points": Figure(f"{one.points:+d}"),
                    "dm_percent": Figure(100 * one.dry_fraction, "%", RULE, entries=under),
                    "dm_kg": Figure(one.sums.dry_kg, "kg", RULE, told, entries=under),
                    "dm_change_kg": Figure(one.sums.dry_kg - sums.dry_kg, "kg", RULE, told, entries=under),
                    "outside": Figure(", ".join(newly), rule=RULE, entries=under, flag="!" if newly else ""),
                },
            )
        )
    return Table(
        "dry_matter_moves",
        "If the dry matter of a wet feed moves, weights as fed kept",
        MOVE_COLUMNS,
        tuple(lines),
        "No wet feed is in it.",
    )


def make(
    connection: Any, ground: Ground, *, name: int, on: date | None = None, feed: int | None = None
) -> Report:
    """Every figure with a target as the dry matter of the ration's wet feeds moves by 1 to 5 points.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        name: the ration.
        on: as it stands on that day; today if not given.
        feed: only this feed, wet or not.

    Raises:
        ChoreRefused: the ration has no version in force on that day.
        Refused: the feed is not in the ration.
    """
    day = on or ground.clock.farm_day(ground.now_s)
    version = read_rations.version_in_force(connection, name, day.isoformat())
    label = ground.name_of("ration", name)
    if version is None:
        raise ChoreRefused(
            f"Ration {label} has no version in force on {day.isoformat()}.", remedy="Choose a later day."
        )
    sheet = sheet_of(connection, ground, version, day)
    parts = leaf_parts(sheet.parts)
    wanted = wet_feeds(parts)
    if feed is not None:
        asked = ground.name_of("feed", feed)
        wanted = tuple(dict.fromkeys(part.feed for part in parts if part.feed == asked))
        if not wanted:
            raise Refused(
                f"{asked} is not in ration {label}.",
                remedy=f"It has {', '.join(part.feed for part in parts)}.",
                field="feed",
            )
    known = ration_figures()
    keys = [key for key in known if key in sheet.targets and key != "dm_intake"]
    keys += [key for key in sheet.targets if amount_of(key)]
    entries = tuple(dict.fromkeys(number for fed in sheet.parts for number in fed.nutrient_entries))
    lines = [_as_it_is(sheet.totals, keys, sheet.targets, entries)]
    lines += [_figures_line(one, keys, sheet.targets, entries) for one in moves(parts, wanted)]
    return Report(
        "sensitivity",
        f"Ration {label}, version {version.version}: if the dry matter of a wet feed moves, weights as fed kept",
        tables=(
            Table("figures", "Figures a head and day", _columns(keys), tuple(lines), "No wet feed is in it."),
        ),
        data=sheet,
    )


def _columns(keys: Sequence[str]) -> tuple[Column, ...]:
    known = ration_figures()
    lead = (Column("feed", "Feed"), Column("points", "Points"), Column("dm_kg", "DM", "kg", 2))
    return (
        *lead,
        *(Column(_key(key), known[key].label, known[key].unit, known[key].decimals) for key in keys),
    )


def _key(key: str) -> str:
    return key_with_unit(key, ration_figures()[key].unit)


def _as_it_is(
    sums: Totals, keys: Sequence[str], targets: Mapping[str, Bounds], entries: Sequence[int]
) -> Line:
    cells = {"feed": Figure("as it is"), "points": Figure("0")}
    return Line("as it is", cells | _cells(sums, keys, targets, entries, "the ration as it stands", {}))


def _figures_line(
    one: Moved, keys: Sequence[str], targets: Mapping[str, Bounds], entries: Sequence[int]
) -> Line:
    told = {one.feed: f"{100 * one.dry_fraction:.1f} % dry matter"}
    cells = {"feed": Figure(one.feed), "points": Figure(f"{one.points:+d}")}
    return Line(f"{one.feed} {one.points:+d}", cells | _cells(one.sums, keys, targets, entries, RULE, told))


def _cells(
    sums: Totals,
    keys: Sequence[str],
    targets: Mapping[str, Bounds],
    entries: Sequence[int],
    rule: str,
    told: Mapping[str, str],
) -> dict[str, Figure]:
    known, under = ration_figures(), entries_of(*entries)
    wanted = {"dm_kg": "dm_intake", **{_key(key): key for key in keys}}
    made = {}
    for cell, key in wanted.items():
        found = figure_value(key, sums)
        word = judged_against(known[key], found.value, targets.get(key, (None, None, None))).word
        off = word in ("low", "high")
        made[cell] = Figure(
            found.value, known[key].unit, rule, told, entries=under,
            flag=FLAGS[word] if off else "", says=word if off else "",
        )  # fmt: skip
    return made
