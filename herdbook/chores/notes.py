"""A note in the farm's diary: words under an entry, about the farm or one thing on it."""

from __future__ import annotations

from typing import Annotated

from herdbook.chores.asking import Words
from herdbook.chores.doing import HAND, NUTRITIONIST, Doing, chore
from herdbook.chores.drafting import ChoreDraft


class NoteDraft(ChoreDraft):
    """Something worth remembering."""

    words: Annotated[str, Words(label="note", help="what is worth remembering", least=1, longest=500)]
    about: Annotated[str, Words(label="about", help="a cow's number, a pen, a machine", longest=60)] = ""


@chore("note", "a note", NoteDraft, roles=[HAND, NUTRITIONIST])
def write_note(doing: Doing, draft: NoteDraft) -> str:
    """Write a note; it stands in the book as its entry's own words."""
    return f"{draft.about}: {draft.words}" if draft.about else draft.words
