"""Two people at one thing: whoever writes second is told who wrote since their draft began, before it is written."""

from __future__ import annotations

from collections.abc import Iterable

from herdbook.book.reading import entries as read_entries
from herdbook.chores.asking import Count
from herdbook.chores.doing import Doing
from herdbook.errors import WrittenMeanwhile


def ask_seen(of: str) -> Count:
    """Ask for the entry that a draft was begun from.

    Args:
        of: what that entry wrote, as in "the version".
    """
    return Count(
        label="seen",
        help=f"the entry of {of} this was drafted from; one written since then is told before this is",
        least=1,
        most=10**12,
    )


def see_nothing_newer(doing: Doing, seen: int | None, known: Iterable[tuple[int, str]]) -> None:
    """See that nobody wrote the same thing since the entry a draft was begun from.

    Args:
        doing: the chore under way.
        seen: that entry; none where nothing is known of the draft's beginning.
        known: entries that wrote the thing and stand, each with what it did, as in "wrote version 2 of High".

    Raises:
        WrittenMeanwhile: with who and when; nothing is written until that entry has been seen.
    """
    if seen is None or doing.corrects is not None:
        return
    newest, did = max(known, default=(0, ""))
    if newest <= seen:
        return
    entry = read_entries.entry(doing.book, newest)
    at = doing.ground.clock.shown(int(entry["written_ms"]) // 1000) if entry is not None else ""
    who = entry["who"] if entry is not None else ""
    raise WrittenMeanwhile(
        f"{who} {did} {at}, entry {newest}, after yours was begun.",
        remedy="Look at it; nothing of yours is lost. Writing once more puts yours after it.",
        entry=newest,
    )
