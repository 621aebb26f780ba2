"""Feed pushed up to the cows, and water troughs looked at."""

from __future__ import annotations

from typing import Annotated

from herdbook.book.tables import PushUp, TroughSeen
from herdbook.chores.asking import Name, Word, Words
from herdbook.chores.doing import HAND, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.moments import Moment

CLEAN, CLEANED, DIRTY, EMPTY = "clean", "cleaned", "dirty", "empty"
TROUGH_STATES = (CLEAN, CLEANED, DIRTY, EMPTY)


class PushUpDraft(ChoreDraft):
    """Feed pushed up."""

    pen: Annotated[int | None, Name(label="pen", help="which pen; all pens if not given", thing="pen")] = None
    pushed: Annotated[int | None, Moment(label="pushed", help="when; now if not given")] = None


@chore("push-up", "feed pushed up", PushUpDraft, roles=[HAND])
def push_up(doing: Doing, draft: PushUpDraft) -> str:
    """Write that feed was pushed up."""
    pushed_at = draft.pushed or doing.ground.now_s
    doing.farm_day = doing.ground.clock.farm_day(pushed_at)
    doing.add(PushUp(pushed_at=pushed_at, pen=draft.pen))
    where = "all pens" if draft.pen is None else doing.ground.name_of("pen", draft.pen)
    return f"Feed pushed up, {where}, {doing.ground.clock.shown_time(pushed_at)}."


class TroughDraft(ChoreDraft):
    """A water trough looked at."""

    pen: Annotated[int | None, Name(label="pen", help="at which pen; none if not given", thing="pen")] = None
    state: Annotated[str, Word(label="state", help="how it was found", words=TROUGH_STATES)] = CLEAN
    seen: Annotated[int | None, Moment(label="seen", help="when; now if not given")] = None
    words: Annotated[str, Words(label="words", help="what else was seen of it", longest=300)] = ""


@chore("trough", "a water trough looked at", TroughDraft, roles=[HAND])
def see_trough(doing: Doing, draft: TroughDraft) -> str:
    """Write how a water trough was found."""
    seen_at = draft.seen or doing.ground.now_s
    doing.farm_day = doing.ground.clock.farm_day(seen_at)
    doing.add(TroughSeen(pen=draft.pen, seen_at=seen_at, state=draft.state, note=draft.words))
    where = "" if draft.pen is None else f" of {doing.ground.name_of('pen', draft.pen)}"
    return f"Water trough{where}: {draft.state}, {doing.ground.clock.shown_time(seen_at)}."
