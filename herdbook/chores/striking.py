"""Striking out an entry: it stays readable, and counts no more."""

from __future__ import annotations

from typing import Annotated

from herdbook.book.reading import entries as read_entries
from herdbook.chores.asking import Count, Words
from herdbook.chores.doing import HAND, NEVER_STRUCK, NUTRITIONIST, OWNER, Doing, chore, chores, see_standing
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.farm_and_people import see_an_owner_is_left
from herdbook.errors import ChoreRefused, Refused

NEEDS_A_REASON = ("held-milk-in", "treatment")
"""What holds milk back is not struck without a word of why."""


class StrikeDraft(ChoreDraft):
    """Which entry is struck out, and why."""

    entry: Annotated[
        int, Count(label="entry", help="its number, see `herdbook show entries`", least=1, most=10**12)
    ]
    because: Annotated[str, Words(label="because", help="why", longest=500)] = ""


@chore("strike", "strike out an entry", StrikeDraft, roles=[OWNER, NUTRITIONIST, HAND])
def strike_entry(doing: Doing, draft: StrikeDraft) -> str:
    """Strike an entry. Who may write a thing may strike it; what others lean on is named, not broken."""
    before = see_standing(doing, draft.entry)
    if before["chore"] in NEVER_STRUCK:
        raise ChoreRefused(
            f"Entry {draft.entry} ({before['chore']}) cannot be struck.",
            remedy="Write what is right instead.",
        )
    chores()[before["chore"]].allow(doing.who)
    if before["chore"] in NEEDS_A_REASON and not draft.because:
        raise Refused(
            f"because: striking entry {draft.entry} ({before['chore']}) lets milk out of the farm.",
            remedy="Write why it was wrong; nothing is struck without it.",
            field="because",
        )
    leaning = read_entries.leaning_on(doing.book, draft.entry)
    if leaning:
        some = ", ".join(map(str, leaning[:5])) + (" and more" if len(leaning) > 5 else "")
        raise ChoreRefused(
            f"{len(leaning)} other entries lean on entry {draft.entry} ({some}).",
            remedy=f"Correct it instead (`herdbook write {before['chore']} --corrects {draft.entry}`), "
            "or strike those first.",
        )
    if before["chore"] == "person":
        see_an_owner_is_left(doing, struck=draft.entry)
    doing.note = draft.because or doing.note
    doing.strikes = draft.entry
    doing.farm_day = doing.farm_day.fromisoformat(before["farm_day"])
    return f"Struck entry {draft.entry}: {before['said']}"
