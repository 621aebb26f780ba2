"""Notices on their way out, kept beside the record: queued once each, claimed before a try, tried until sent."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import closing
from pathlib import Path

from herdbook.book.opening import connect, plain_words

LEASE_S = 60
"""While one watcher tries a notice, no other takes it up; after a kill it is taken up again so much later."""

NewNotice = tuple[int, str, str, int]
"""Alarm, place, what about, and not before which instant (UTC seconds)."""


def queue(path: Path, notices: Iterable[NewNotice], *, now_s: int) -> int:
    """Put notices in the outbox; one that is there already is left as it is.

    Returns:
        How many were new.

    Raises:
        HerdbookError: the book could not be written.
    """
    with plain_words(path), closing(connect(path)) as connection:
        connection.execute("BEGIN IMMEDIATE")
        before = connection.total_changes
        connection.executemany(
            "INSERT INTO notice (alarm, place, about, made_at, state, tries, next_try_at) "
            "VALUES (?, ?, ?, ?, 'waiting', 0, ?) ON CONFLICT (alarm, place, about) DO NOTHING",
            [
                (alarm, place, about, now_s, max(now_s, not_before))
                for alarm, place, about, not_before in notices
            ],
        )
        made = connection.total_changes - before
        connection.execute("COMMIT")
        return made


def claim(path: Path, notice: int, tries: int, *, now_s: int) -> bool:
    """Take up a notice for one try, unless another watcher has it.

    Args:
        path: the book's file.
        notice: its number.
        tries: how often it had been tried when it was read.
        now_s: UTC seconds.
    """
    with plain_words(path), closing(connect(path)) as connection:
        taken = connection.execute(
            "UPDATE notice SET tries = tries + 1, next_try_at = ? WHERE id = ? AND state = 'waiting' AND tries = ?",
            (now_s + LEASE_S, notice, tries),
        )
        return taken.rowcount == 1


def settle(
    path: Path, notice: int, *, state: str, now_s: int, next_try_s: int | None = None, fault: str = ""
) -> None:
    """Write how a try ended: `sent`, `given up`, `not needed`, or `waiting` for the next."""
    with plain_words(path), closing(connect(path)) as connection:
        connection.execute(
            "UPDATE notice SET state = ?, fault = ?, next_try_at = coalesce(?, next_try_at), ended_at = ? "
            "WHERE id = ? AND state = 'waiting'",
            (state, fault[:200], next_try_s, None if state == "waiting" else now_s, notice),
        )


def cause_gone(path: Path, alarm: int, since_s: int | None) -> None:
    """Remember since when an alarm's cause is not seen any more; none when it is there again."""
    with plain_words(path), closing(connect(path)) as connection:
        if since_s is None:
            connection.execute("DELETE FROM alarm_gone WHERE alarm = ?", (alarm,))
        else:
            connection.execute(
                "INSERT INTO alarm_gone (alarm, since_s) VALUES (?, ?) ON CONFLICT (alarm) DO NOTHING",
                (alarm, since_s),
            )
