"""What was seen at the bunk: scores with their scales, push-ups and water troughs; and the rule the farm chose."""

from __future__ import annotations

import sqlite3

from herdbook.book.reading.rows import rows, stands

CALL_ADVICE = "call advice"
"""The farm's choice of the published rule its calls are advised by."""


def scores(
    connection: sqlite3.Connection, from_s: int, to_s: int, pen: int | None = None
) -> list[sqlite3.Row]:
    """Bunk scores of a span of time, oldest first (`pen`, `read_at`, `scale`, `score`, `note`, `entry`)."""
    return rows(
        connection,
        f"SELECT bunk_score.* FROM bunk_score {stands('bunk_score')} WHERE pen = ifnull(?, pen) "
        "AND read_at >= ? AND read_at < ? ORDER BY read_at, bunk_score.id",
        pen,
        from_s,
        to_s,
    )


def push_ups(
    connection: sqlite3.Connection, from_s: int, to_s: int, pen: int | None = None
) -> list[sqlite3.Row]:
    """Push-ups of a span of time; those of a pen with those of all pens, oldest first."""
    return rows(
        connection,
        f"SELECT push_up.* FROM push_up {stands('push_up')} WHERE (pen IS NULL OR pen = ifnull(?, pen)) "
        "AND pushed_at >= ? AND pushed_at < ? ORDER BY pushed_at, push_up.id",
        pen,
        from_s,
        to_s,
    )


def troughs(
    connection: sqlite3.Connection, from_s: int, to_s: int, pen: int | None = None
) -> list[sqlite3.Row]:
    """Water troughs looked at in a span of time; those of a pen with those of no pen, oldest first."""
    return rows(
        connection,
        f"SELECT trough_seen.* FROM trough_seen {stands('trough_seen')} WHERE (pen IS NULL OR pen = ifnull(?, pen)) "
        "AND seen_at >= ? AND seen_at < ? ORDER BY seen_at, trough_seen.id",
        pen,
        from_s,
        to_s,
    )


def calls_of(connection: sqlite3.Connection, pen: int, day: str) -> list[sqlite3.Row]:
    """A pen's calls up to a day, newest first (`from_day`, `call_ppm`, `entry`)."""
    return rows(
        connection,
        f"SELECT pen_ration.* FROM pen_ration {stands('pen_ration')} WHERE pen = ? AND from_day <= ? "
        "ORDER BY from_day DESC, from_feeding DESC, pen_ration.id DESC",
        pen,
        day,
    )
