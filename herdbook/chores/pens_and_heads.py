"""Pens, and how many head stand in them."""

from __future__ import annotations

from typing import Annotated

from herdbook.book.reading import herd as read_herd
from herdbook.book.tables import HeadCount, Pen, PenCard
from herdbook.chores.asking import Count, Name, Word, Words
from herdbook.chores.doing import HAND, NUTRITIONIST, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.moments import Moment

KINDS = ("milking", "dry", "close-up", "heifers", "sick")


class PenDraft(ChoreDraft):
    """A group of cows that is fed together."""

    name: Annotated[str, Words(label="name", help="as the barn calls it", least=1, longest=60)]
    kind: Annotated[str, Word(label="kind", help="what stands in it", words=KINDS)] = "milking"
    walk: Annotated[
        int, Count(label="walk", help="its place in walking order; 0 puts it last", most=10_000)
    ] = 0
    head: Annotated[
        int | None, Count(label="head", help="how many stand in it now", noun="cows", most=20_000)
    ] = None


@chore("pen", "a pen", PenDraft, roles=[HAND])
def add_pen(doing: Doing, draft: PenDraft) -> str:
    """Write a pen, with its head where known."""
    doing.free_name("pen", draft.name)
    pen = doing.identity(Pen, "pen_card")
    doing.add(PenCard(pen=pen, name=draft.name, kind=draft.kind, walk=draft.walk or _place(doing, pen)))
    if draft.head is None:
        return f"Pen {draft.name}, {draft.kind}."
    doing.add(HeadCount(pen=pen, counted_at=doing.ground.now_s, head=draft.head))
    return f"Pen {draft.name}, {draft.kind}, {draft.head} cows."


def _place(doing: Doing, pen: int) -> int:
    """Where the pen stands in walking order already, else behind the last."""
    known = read_herd.pens(doing.book)
    standing = next((one.walk for one in known if one.pen == pen), None)
    return standing if standing is not None else 1 + max((one.walk for one in known), default=0)


class HeadDraft(ChoreDraft):
    """A head count of one pen."""

    pen: Annotated[int, Name(label="pen", help="which pen", thing="pen")]
    head: Annotated[int, Count(label="head", help="how many stand in it", noun="cows", most=20_000)]
    counted: Annotated[int | None, Moment(label="counted", help="when; now if not given")] = None


@chore("head", "a head count", HeadDraft, roles=[HAND, NUTRITIONIST])
def count_heads(doing: Doing, draft: HeadDraft) -> str:
    """Write how many head stand in a pen from an instant on."""
    counted_at = draft.counted or doing.ground.now_s
    before = read_herd.head_at(doing.book, draft.pen, counted_at)
    doing.add(HeadCount(pen=draft.pen, counted_at=counted_at, head=draft.head))
    doing.farm_day = doing.ground.clock.farm_day(counted_at)
    was = f", was {before.head}" if before and before.head != draft.head else ""
    return f"{doing.ground.name_of('pen', draft.pen)}: {draft.head} cows{was}."
