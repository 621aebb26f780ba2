"""A bunk score, with the name of the scale it belongs to: three scales share their digits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from herdbook.book.reading.bunks import CALL_ADVICE
from herdbook.book.reading.choices import chosen_on
from herdbook.book.tables import BunkScore
from herdbook.chores.asking import Name, Word, Words
from herdbook.chores.doing import HAND, NUTRITIONIST, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.ground import Ground
from herdbook.chores.moments import Moment
from herdbook.errors import Refused
from herdbook.plain import plain
from herdbook.science.bunk_scores import bunk_score

DAIRY, FEEDLOT = "dairy", "feedlot"
SCALES = (DAIRY, FEEDLOT)
STEPS = ("0", "0.5", "1", "2", "3", "4", "5")
HALF = {"½", "1/2", "0,5", ".5", ",5"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ScoreAsk(Word):
    """A step of a bunk scale; a half may be typed in any way."""

    words: tuple[str, ...] = STEPS

    @property
    def kind(self) -> str:
        return "score"

    def understand(self, text: str, ground: Ground) -> str:
        typed = plain(text, longest=20).strip()
        if typed in STEPS or typed in HALF:
            return "0.5" if typed in HALF else typed
        raise Refused(
            f"{self.label}: {typed!r} is on no scale.",
            remedy="The dairy scale has 0 to 5, the feedlot scale 0, 0.5 and 1 to 4.",
            field=self.label,
        )


class BunkScoreDraft(ChoreDraft):
    """How much is left in a pen's bunk."""

    pen: Annotated[int, Name(label="pen", help="which pen", thing="pen")]
    score: Annotated[str, ScoreAsk(label="score", help="0 is empty; an hour before feeding")]
    scale: Annotated[
        str | None,
        Word(label="scale", help="which scale; the one the farm's advice goes by if not given", words=SCALES),
    ] = None
    read: Annotated[int | None, Moment(label="read", help="when; now if not given")] = None
    words: Annotated[str, Words(label="words", help="what else was seen of the bunk", longest=300)] = ""


@chore("bunk-score", "a bunk score", BunkScoreDraft, roles=[HAND, NUTRITIONIST])
def score_bunk(doing: Doing, draft: BunkScoreDraft) -> str:
    """Write a score with its scale, and say the scale's own words back."""
    read_at = draft.read or doing.ground.now_s
    doing.farm_day = doing.ground.clock.farm_day(read_at)
    scale = draft.scale or scale_of(doing, doing.farm_day.isoformat())
    step = bunk_score(scale=scale, score=draft.score)
    doing.add(BunkScore(pen=draft.pen, read_at=read_at, scale=scale, score=draft.score, note=draft.words))
    return (
        f"{doing.ground.name_of('pen', draft.pen)}, bunk {draft.score} on the {scale} scale: {step.meaning}."
    )


def scale_of(doing: Doing, day: str) -> str:
    """The scale of the rule the farm chose; the dairy scale where it chose none."""
    chosen = chosen_on(doing.book, CALL_ADVICE, day)
    return chosen if chosen in SCALES else DAIRY
