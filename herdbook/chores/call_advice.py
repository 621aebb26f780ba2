"""Which published rule the farm's calls are advised by; it advises, and a person decides."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from herdbook.book.reading.bunks import CALL_ADVICE
from herdbook.book.tables import FarmChoice
from herdbook.chores.asking import Word
from herdbook.chores.bunk_scores import SCALES
from herdbook.chores.doing import NUTRITIONIST, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.moments import Day

NONE = "none"


class CallAdviceDraft(ChoreDraft):
    """The rule that bunk scores are read by."""

    rule: Annotated[
        str,
        Word(
            label="rule",
            help="dairy (0 to 5), feedlot (0 to 4), or none for no advice",
            words=(*SCALES, NONE),
        ),
    ]
    since: Annotated[
        date | None, Day(label="since", help="from which day; today if not given", ahead_days=60)
    ] = None


@chore("call-advice", "the rule calls are advised by", CallAdviceDraft, roles=[NUTRITIONIST])
def choose_call_advice(doing: Doing, draft: CallAdviceDraft) -> str:
    """Write which rule advises from a day on."""
    since = (draft.since or doing.ground.clock.farm_day(doing.ground.now_s)).isoformat()
    doing.add(FarmChoice(from_day=since, choice=CALL_ADVICE, chosen=draft.rule))
    says = "no rule advises" if draft.rule == NONE else f"calls are advised by the {draft.rule} rule"
    return f"From {since}, {says}."
