"""In the parlour: when a milking began and ended, and into which tank."""

from __future__ import annotations

from typing import Annotated

from herdbook.book.reading import milk as read_milk
from herdbook.book.tables import Milking, MilkingEnd, MilkingStart
from herdbook.chores.asking import Count, Name
from herdbook.chores.choosing import only_one
from herdbook.chores.doing import HAND, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.held_back import kept_out
from herdbook.chores.measures import ask_weight
from herdbook.chores.moments import Moment
from herdbook.clock import span_words
from herdbook.errors import ChoreRefused, Refused

LONGEST_MILKING_S = 24 * 3600
"""A milking may not last longer; robots milk without an end and are written day by day (from memory)."""


class MilkingDraft(ChoreDraft):
    """A milking of the herd into a tank; its end may be written later with `milked`."""

    tank: Annotated[
        int | None, Name(label="tank", help="into which tank; needed where there are several", thing="tank")
    ] = None
    started: Annotated[
        int | None, Moment(label="started", help="when the first cow was on; now if not given")
    ] = None
    ended: Annotated[int | None, Moment(label="ended", help="when the last cow was off")] = None
    cows: Annotated[
        int | None, Count(label="cows", help="how many were milked into the tank", noun="cows", most=20_000)
    ] = None
    milk: Annotated[int | None, ask_weight("milk", help="milk of this milking, where it is known")] = None


@chore("milking", "a milking", MilkingDraft, roles=[HAND])
def start_milking(doing: Doing, draft: MilkingDraft) -> str:
    """Write when a milking began, and when it ended where that is known."""
    tank = only_one(doing, "tank", draft.tank)
    started_at = draft.started or doing.ground.now_s
    _see_free(doing, tank, started_at, draft.ended)
    milking = doing.identity(Milking, "milking_start")
    _see_end_fits(doing, milking, started_at, draft)
    doing.add(MilkingStart(milking=milking, tank=tank, started_at=started_at))
    doing.farm_day = doing.ground.clock.farm_day(started_at)
    words = f"Milking from {doing.ground.clock.shown_time(started_at)}"
    if draft.ended is None:
        if draft.cows is not None or draft.milk is not None:
            raise Refused(
                "ended: cows and milk are known at the end.",
                remedy="Give `ended`, or leave them out.",
                field="ended",
            )
        return f"{words}.{kept_out(doing, started_at)}"
    _add_end(doing, milking, started_at, draft.ended, draft.cows, draft.milk)
    return (
        f"{words} to {doing.ground.clock.shown_time(draft.ended)}{_counted(doing, draft.cows, draft.milk)}."
        f"{kept_out(doing, started_at)}"
    )


class MilkedDraft(ChoreDraft):
    """The end of the milking that is running."""

    tank: Annotated[
        int | None, Name(label="tank", help="into which tank; needed where there are several", thing="tank")
    ] = None
    ended: Annotated[
        int | None, Moment(label="ended", help="when the last cow was off; now if not given")
    ] = None
    cows: Annotated[
        int | None, Count(label="cows", help="how many were milked into the tank", noun="cows", most=20_000)
    ] = None
    milk: Annotated[int | None, ask_weight("milk", help="milk of this milking, where it is known")] = None


@chore("milked", "the end of a milking", MilkedDraft, roles=[HAND])
def end_milking(doing: Doing, draft: MilkedDraft) -> str:
    """Write when the running milking ended."""
    tank = only_one(doing, "tank", draft.tank)
    running = read_milk.open_milking(doing.book, tank)
    if doing.corrects is not None:
        running = _ended_by_corrected(doing)
    if running is None:
        raise ChoreRefused(
            "No milking is running into this tank.", remedy="Write its start first: `herdbook write milking`."
        )
    ended_at = draft.ended or doing.ground.now_s
    _add_end(doing, running.milking, running.started_at, ended_at, draft.cows, draft.milk)
    doing.farm_day = doing.ground.clock.farm_day(running.started_at)
    clock = doing.ground.clock
    return (
        f"Milking {clock.shown_time(running.started_at)} to {clock.shown_time(ended_at)}"
        f"{_counted(doing, draft.cows, draft.milk)}.{kept_out(doing, ended_at)}"
    )


def _ended_by_corrected(doing: Doing) -> read_milk.MilkingRow | None:
    from herdbook.book.reading.entries import rows_of

    assert doing.corrects is not None
    before = rows_of(doing.book, doing.corrects).get("milking_end")
    return read_milk.milking_by_id(doing.book, before[0]["milking"]) if before else None


def _see_end_fits(doing: Doing, milking: int, started_at: int, draft: MilkingDraft) -> None:
    """When a start is corrected whose end was written by itself, the end stays where it is."""
    if doing.corrects is None:
        return
    known = read_milk.milking_by_id(doing.book, milking)
    if known is None or known.end_entry is None or known.end_entry == doing.corrects:
        return
    if draft.ended is not None:
        raise Refused(
            f"ended: the end of this milking stands in entry {known.end_entry}.",
            remedy=f"Leave it out, or correct entry {known.end_entry}.",
            field="ended",
        )
    if known.ended_at is not None and started_at >= known.ended_at:
        raise Refused(
            f"started: the milking ended at {doing.ground.clock.shown(known.ended_at)}.",
            remedy=f"Type an earlier time, or correct entry {known.end_entry} first.",
            field="started",
        )


def _counted(doing: Doing, cows: int | None, milk_g: int | None) -> str:
    words = [] if cows is None else [f"{cows} cows"]
    words += [] if milk_g is None else [doing.farm.units.mass(milk_g)]
    return f", {', '.join(words)}" if words else ""


def _add_end(
    doing: Doing, milking: int, started_at: int, ended_at: int, cows: int | None, milk_g: int | None
) -> None:
    if ended_at <= started_at:
        raise Refused(
            f"ended: {doing.ground.clock.shown(ended_at)} is not after "
            f"the start at {doing.ground.clock.shown(started_at)}.",
            remedy="Type when the last cow was off.",
            field="ended",
        )
    if ended_at - started_at > LONGEST_MILKING_S:
        raise Refused(
            f"ended: that makes a milking of {span_words(ended_at - started_at)}.",
            remedy="Check the day.",
            field="ended",
        )
    doing.add(MilkingEnd(milking=milking, ended_at=ended_at, cows=cows, milk_g=milk_g))


def _see_free(doing: Doing, tank: int, started_at: int, ended_at: int | None) -> None:
    """Refuse a milking that overlaps another into the same tank."""
    near = read_milk.milkings(
        doing.book, tank, started_at - 2 * LONGEST_MILKING_S, started_at + 2 * LONGEST_MILKING_S
    )
    for other in near:
        if doing.corrects is not None and other.entry == doing.corrects:
            continue
        other_end = other.ended_at if other.ended_at is not None else 2**40
        if started_at < other_end and (ended_at if ended_at is not None else 2**40) > other.started_at:
            open_end = (
                "has not ended yet"
                if other.ended_at is None
                else f"lasted to {doing.ground.clock.shown(other.ended_at)}"
            )
            raise ChoreRefused(
                f"The milking that began {doing.ground.clock.shown(other.started_at)} {open_end}.",
                remedy=f"End it with `herdbook write milked`, or correct entry {other.entry}.",
            )
