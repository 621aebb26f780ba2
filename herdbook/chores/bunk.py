"""At the bunk: what each pen got, and what was weighed back."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from herdbook.book.reading import herd as read_herd
from herdbook.book.reading.rows import first, stands
from herdbook.book.tables import Drop, Refusal
from herdbook.chores.asking import Name, Word
from herdbook.chores.choosing import standing_load
from herdbook.chores.doing import HAND, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.load_names import LoadName
from herdbook.chores.measures import ask_share, ask_weight
from herdbook.chores.moments import Day, Moment
from herdbook.errors import Refused

THROWN, RE_FED = "thrown", "re-fed"


class DropDraft(ChoreDraft):
    """What a pen got out of a load."""

    load: Annotated[int, LoadName(label="load", help="its number of today, or `y 2`")]
    pen: Annotated[int, Name(label="pen", help="which pen", thing="pen")]
    weight: Annotated[int, ask_weight("weight", help="what the pen got")]
    dropped: Annotated[int | None, Moment(label="dropped", help="when; now if not given")] = None


@chore("drop", "a drop to a pen", DropDraft, roles=[HAND])
def drop_feed(doing: Doing, draft: DropDraft) -> str:
    """Write what a pen got; it belongs to the load's farm day."""
    load = standing_load(doing, draft.load)
    dropped_at = draft.dropped or doing.ground.now_s
    if dropped_at < load.started_at:
        raise Refused(
            "dropped: that is before the load was begun.", remedy="Check the time.", field="dropped"
        )
    doing.farm_day = date.fromisoformat(load.farm_day)
    doing.add(
        Drop(
            load=load.load,
            pen=draft.pen,
            dropped_at=dropped_at,
            farm_day=load.farm_day,
            dropped_g=draft.weight,
        )
    )
    name, head = doing.ground.name_of("pen", draft.pen), read_herd.head_at(doing.book, draft.pen, dropped_at)
    each = f", {doing.farm.units.mass(draft.weight / head.head, 1)} a head" if head and head.head else ""
    return f"{name} got {doing.farm.units.mass(draft.weight)} of load {load.number}{each}."


class RefusalDraft(ChoreDraft):
    """What was weighed back from a pen."""

    pen: Annotated[int, Name(label="pen", help="which pen", thing="pen")]
    weight: Annotated[
        int, ask_weight("weight", least_g=0, help="what was weighed back; 0 when nothing was left")
    ]
    fed: Annotated[
        date | None,
        Day(label="fed", help="the day it was fed on; the pen's last feeding day before today if not given"),
    ] = None
    dry: Annotated[int | None, ask_share("dry matter", help="its dry matter where it was tested")] = None
    went: Annotated[str, Word(label="went", help="where it went", words=(THROWN, RE_FED))] = THROWN
    to: Annotated[int | None, Name(label="to", help="which pen it was re-fed to", thing="pen")] = None
    weighed: Annotated[int | None, Moment(label="weighed", help="when; now if not given")] = None


@chore("refusal", "a refusal", RefusalDraft, roles=[HAND])
def weigh_refusal(doing: Doing, draft: RefusalDraft) -> str:
    """Write a refusal for the day it was fed on, not the morning it was weighed."""
    if (draft.went == RE_FED) != (draft.to is not None):
        raise Refused(
            "to: re-fed feed goes to a pen, thrown feed to none.",
            remedy="Give both `went re-fed` and `to`, or neither.",
            field="to",
        )
    weighed_at = draft.weighed or doing.ground.now_s
    fed = draft.fed or _fed_on(doing, draft.pen, weighed_at)
    doing.farm_day = fed
    doing.add(
        Refusal(
            pen=draft.pen,
            fed_on=fed.isoformat(),
            weighed_at=weighed_at,
            refused_g=draft.weight,
            dry_ppm=draft.dry,
            went=draft.went,
            fed_to=draft.to,
        )
    )
    went = f"re-fed to {doing.ground.name_of('pen', draft.to)}" if draft.to is not None else "thrown"
    whose, weight = doing.ground.name_of("pen", draft.pen), doing.farm.units.mass(draft.weight)
    return f"{whose} refused {weight} of {fed.isoformat()}, {went}."


def _fed_on(doing: Doing, pen: int, weighed_at: int) -> date:
    """The pen's newest feeding day before the day of weighing; that day itself when it was never fed before."""
    today = doing.ground.clock.farm_day(weighed_at)
    row = first(
        doing.book,
        f"SELECT max(feed_drop.farm_day) AS day FROM feed_drop {stands('feed_drop')} "
        "WHERE pen = ? AND feed_drop.farm_day < ?",
        pen,
        today.isoformat(),
    )
    return date.fromisoformat(row["day"]) if row is not None and row["day"] else today
