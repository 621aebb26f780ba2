"""What was set: rations, their versions and targets, which pen gets which; and the mixers."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from herdbook.book.reading.rows import first, rows, stands

LAST_FEEDING = 12


@dataclass(frozen=True, slots=True)
class Version:
    """A version of a ration with its items in loading order."""

    id: int
    ration: int
    version: int
    from_day: str
    from_feeding: int
    entry: int
    items: tuple[sqlite3.Row, ...]


def version_in_force(
    connection: sqlite3.Connection, ration: int, day: str, feeding: int = LAST_FEEDING
) -> Version | None:
    """The version of a ration in force at a feeding of a day."""
    row = first(
        connection,
        f"SELECT ration_version.* FROM ration_version {stands('ration_version')} WHERE ration = ? AND "
        "(from_day < ? OR (from_day = ? AND from_feeding <= ?)) "
        "ORDER BY from_day DESC, from_feeding DESC, ration_version.id DESC LIMIT 1",
        ration,
        day,
        day,
        feeding,
    )
    return None if row is None else _with_items(connection, row)


def versions(connection: sqlite3.Connection, ration: int) -> list[Version]:
    """Every version of a ration that stands, oldest first."""
    found = rows(
        connection,
        f"SELECT ration_version.* FROM ration_version {stands('ration_version')} WHERE ration = ? "
        "ORDER BY from_day, from_feeding, ration_version.id",
        ration,
    )
    return [_with_items(connection, row) for row in found]


def version_by_id(connection: sqlite3.Connection, version_id: int) -> Version | None:
    """A version as it was written, struck or not."""
    row = first(connection, "SELECT * FROM ration_version WHERE id = ?", version_id)
    return None if row is None else _with_items(connection, row)


def _with_items(connection: sqlite3.Connection, row: sqlite3.Row) -> Version:
    items = rows(connection, "SELECT * FROM ration_item WHERE ration_version = ? ORDER BY place", row["id"])
    return Version(
        row["id"],
        row["ration"],
        row["version"],
        row["from_day"],
        row["from_feeding"],
        row["entry"],
        tuple(items),
    )


@dataclass(frozen=True, slots=True)
class TargetSetRow:
    """Targets of a ration that were set together; rows have `figure`, `low`, `aim`, `high` in millionths, `why`."""

    from_day: str
    entry: int
    targets: tuple[sqlite3.Row, ...]


def target_sets(connection: sqlite3.Connection, ration: int) -> list[TargetSetRow]:
    """Every set of targets of a ration that stands, in the order in which they come into force."""
    found = rows(
        connection,
        f"SELECT target_set.* FROM target_set {stands('target_set')} WHERE ration = ? "
        "ORDER BY from_day, target_set.id",
        ration,
    )
    return [
        TargetSetRow(
            row["from_day"],
            row["entry"],
            tuple(rows(connection, "SELECT * FROM target WHERE target_set = ? ORDER BY id", row["id"])),
        )
        for row in found
    ]


def targets_on(connection: sqlite3.Connection, ration: int, day: str) -> list[sqlite3.Row]:
    """The targets of a ration in force on a day (`figure`, `low`, `aim`, `high` in millionths, `why`, `entry`)."""
    found = first(
        connection,
        f"SELECT target_set.id FROM target_set {stands('target_set')} WHERE ration = ? AND from_day <= ? "
        "ORDER BY from_day DESC, target_set.id DESC LIMIT 1",
        ration,
        day,
    )
    return (
        []
        if found is None
        else rows(connection, "SELECT * FROM target WHERE target_set = ? ORDER BY id", found["id"])
    )


def pen_ration_on(
    connection: sqlite3.Connection, pen: int, day: str, feeding: int = LAST_FEEDING
) -> sqlite3.Row | None:
    """Which ration a pen gets at a feeding of a day, at which call and in how many feedings."""
    return first(
        connection,
        f"SELECT pen_ration.* FROM pen_ration {stands('pen_ration')} WHERE pen = ? AND "
        "(from_day < ? OR (from_day = ? AND from_feeding <= ?)) "
        "ORDER BY from_day DESC, from_feeding DESC, pen_ration.id DESC LIMIT 1",
        pen,
        day,
        day,
        feeding,
    )


def mixers(connection: sqlite3.Connection) -> dict[int, sqlite3.Row]:
    """Every mixer's newest card by mixer."""
    found = rows(
        connection, f"SELECT mixer_card.* FROM mixer_card {stands('mixer_card')} ORDER BY mixer_card.id"
    )
    return {row["mixer"]: row for row in found}
