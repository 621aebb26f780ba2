"""Every version of a ration, newest first: from when, who set it, and what it changed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from herdbook.book.reading import entries as read_entries
from herdbook.book.reading import rations as read_rations
from herdbook.book.reading.rations import Version
from herdbook.chores.ground import Ground
from herdbook.chores.measures import ask_per_head
from herdbook.plain import plain
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of

COLUMNS = (
    Column("version", "Version"),
    Column("since", "From", "day"),
    Column("from_feeding", "Feeding"),
    Column("set_by", "Set by"),
    Column("feeds", "Feeds"),
    Column("changed", "Changed"),
    Column("note", "Note"),
)


def make(connection: Any, ground: Ground, *, name: int) -> Report:
    """A ration's versions that stand, the one in force marked.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        name: the ration.
    """
    today = ground.clock.farm_day(ground.now_s).isoformat()
    versions = read_rations.versions(connection, name)
    in_force = read_rations.version_in_force(connection, name, today)
    lines = []
    for place, version in enumerate(versions):
        before = versions[place - 1] if place else None
        lines.append(_line(connection, ground, version, before, bool(in_force and in_force.id == version.id)))
    return Report(
        "ration-versions",
        f"Versions of {ground.name_of('ration', name)}",
        tables=(
            Table("versions", "Newest first", COLUMNS, tuple(reversed(lines)), "It has no version yet."),
        ),
        data=versions,
    )


def _line(
    connection: Any, ground: Ground, version: Version, before: Version | None, is_in_force: bool
) -> Line:
    entry = read_entries.entry(connection, version.entry)
    under = entries_of(version.entry)
    both = entries_of(version.entry, before.entry if before else None)
    changed = "first" if before is None else "; ".join(changes(before, version, ground)) or "nothing"
    return Line(
        f"version {version.version}",
        {
            "version": Figure(version.version, entries=under, says="in force" if is_in_force else ""),
            "since": Figure(version.from_day, "day", entries=under),
            "from_feeding": Figure(version.from_feeding, entries=under),
            "set_by": Figure(plain(entry["who"] or "") if entry else None, entries=under),
            "feeds": Figure(len(version.items), entries=under),
            "changed": Figure(changed, rule="against the version before it", entries=both),
            "note": Figure(plain(entry["note"]) if entry and entry["note"] else None, entries=under),
        },
    )


def changes(before: Version, after: Version, ground: Ground) -> Sequence[str]:
    """What differs between two versions, in words, in the later one's loading order."""
    amount = ask_per_head("amount")

    def said(row: Any) -> str:
        return f"{amount.shown(row['mg'], ground)}{' dm' if row['basis'] == 'dry matter' else ''}"

    old, new = ({row["feed"]: row for row in version.items} for version in (before, after))
    found = []
    for feed in dict.fromkeys([*new, *old]):
        name = ground.name_of("feed", feed)
        if feed not in old:
            found.append(f"{name} new, {said(new[feed])}")
        elif feed not in new:
            found.append(f"{name} out, was {said(old[feed])}")
        elif (old[feed]["mg"], old[feed]["basis"]) != (new[feed]["mg"], new[feed]["basis"]):
            found.append(f"{name} {said(old[feed])} to {said(new[feed])}")
    kept = [feed for feed in old if feed in new]
    if not found and kept != [feed for feed in new if feed in old]:
        found.append("loading order")
    return found
