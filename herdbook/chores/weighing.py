"""At the mixer: each feed's weight is written as the scale says it, and what an error does is said."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any

from herdbook.book.reading import entries as read_entries
from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import feeds as read_feeds
from herdbook.book.tables import LoadWeight
from herdbook.chores.asking import Name, Words, YesNo
from herdbook.chores.choosing import standing_load
from herdbook.chores.doing import HAND, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.load_names import LoadName
from herdbook.chores.measures import ask_weight
from herdbook.chores.mixing import see_not_tenfold
from herdbook.chores.moments import Moment
from herdbook.chores.reading_after import reading_after
from herdbook.errors import ChoreRefused, Refused

LONGEST_LOT = 60


class WeighDraft(ChoreDraft):
    """One feed into a load: the scale's running total, or the weight of the feed alone."""

    load: Annotated[int, LoadName(label="load", help="its number of today, or `y 2`")]
    feed: Annotated[int, Name(label="feed", help="which feed went in", thing="feed")]
    scale: Annotated[
        int | None,
        ask_weight("scale", least_g=0, help="what the mixer's scale reads now, everything together"),
    ] = None
    weight: Annotated[
        int | None, ask_weight("weight", least_g=0, help="the feed's own weight, instead of the scale")
    ] = None
    weighed: Annotated[int | None, Moment(label="weighed", help="when; now if not given")] = None
    lot: Annotated[str, Words(label="lot", help="lot number of a bagged feed", longest=LONGEST_LOT)] = ""
    sure: Annotated[bool, YesNo(label="sure", help="yes: ten times the planned weight is really meant")] = (
        False
    )


@chore("weigh", "one feed into a load", WeighDraft, roles=[HAND])
def weigh_feed(doing: Doing, draft: WeighDraft) -> str:
    """Write what went into a load of one feed."""
    load = standing_load(doing, draft.load)
    weighed_at = draft.weighed or doing.ground.now_s
    grams, scale_g = _grams(doing, draft, _already_in(doing, load, weighed_at))
    planned = next((row for row in load.planned if row["feed"] == draft.feed), None)
    name = doing.ground.name_of("feed", draft.feed)
    see_not_tenfold(doing, draft.feed, grams, planned["planned_g"] if planned else 0, sure=draft.sure)
    dry_ppm = planned["dry_ppm"] if planned is not None else _dry_now(doing, draft.feed, weighed_at)
    doing.farm_day = doing.ground.clock.farm_day(load.started_at)
    doing.add(
        LoadWeight(
            load=load.load,
            feed=draft.feed,
            loaded_g=grams,
            scale_g=scale_g,
            dry_ppm=dry_ppm,
            weighed_at=weighed_at,
            lot=draft.lot or None,
        )
    )
    off = f", {_signed(doing, grams - planned['planned_g'])}" if planned is not None else ", not in the plan"
    lead = f"Load {load.number}, {name}, {doing.farm.units.mass(grams)}{off}."
    return " ".join(
        part
        for part in (
            lead,
            _next_reading(doing, load, grams, weighed_at),
            _if_off(doing, load, draft.feed, grams),
        )
        if part
    )


def _next_reading(doing: Doing, load: read_feeding.LoadRow, grams: int, weighed_at: int) -> str:
    """After a correction: that the feed weighed next stays as written, and what its own reading would make of it."""
    if doing.corrects is None:
        return ""
    after = reading_after(doing.book, load, doing.corrects, grams, weighed_at)
    return after.in_words(doing.ground.name_of("feed", after.feed), doing.farm.units) if after else ""


def _if_off(doing: Doing, load: read_feeding.LoadRow, feed: int, grams: int) -> str:
    """What an error does to the ration and what could mend it; empty while the feed is within its tolerance."""
    from herdbook.reports.loading_errors import LoadJudge, in_words, mend_in_words

    before = [row for row in load.weighed if row["entry"] != doing.corrects]
    judge = LoadJudge(doing.book, doing.ground, replace(load, weighed=before))
    error = judge.judge(feed, grams + judge.loaded.get(feed, 0))
    if not error.is_off:
        return ""
    mend = "" if load.dropped else mend_in_words(error, doing.ground)
    return f"{in_words(error, doing.ground)} {mend}".strip()


def _signed(doing: Doing, grams: int) -> str:
    return f"{'+' if grams >= 0 else ''}{doing.farm.units.mass(grams)}"


def _dry_now(doing: Doing, feed: int, at_s: int) -> int:
    dry = read_feeds.dry_matter_at(doing.book, feed, at_s, doing.ground.clock.farm_day(at_s).isoformat())
    if dry is None:
        raise ChoreRefused(
            f"{doing.ground.name_of('feed', feed)} has no dry matter.",
            remedy="Write its analysis or a dry-matter test.",
        )
    return dry.dry_ppm


def _already_in(doing: Doing, load: read_feeding.LoadRow, weighed_at: int) -> int:
    """What the scale showed before: everything weighed until then, without what is being corrected."""
    before = [
        row for row in load.weighed if row["entry"] != doing.corrects and row["weighed_at"] <= weighed_at
    ]
    if doing.corrects is not None:
        first = read_entries.first_of_corrections(doing.book, doing.corrects)
        # of rows weighed in the same second only those count that were written before it
        before = [
            row
            for row in before
            if row["weighed_at"] < weighed_at or first is None or _written_first(doing, row, first["number"])
        ]
    return sum(row["loaded_g"] for row in before)


def _written_first(doing: Doing, row: Any, number: int) -> bool:
    first = read_entries.first_of_corrections(doing.book, row["entry"])
    return first is not None and first["number"] < number


def _grams(doing: Doing, draft: WeighDraft, before_g: int) -> tuple[int, int]:
    """The feed's own weight and the scale's running total."""
    if (draft.scale is None) == (draft.weight is None):
        raise Refused(
            "scale: give the scale's reading or the feed's weight.", remedy="One of the two.", field="scale"
        )
    if draft.weight is not None:
        return draft.weight, before_g + draft.weight
    assert draft.scale is not None
    if draft.scale < before_g:
        raise Refused(
            f"scale: {doing.farm.units.mass(draft.scale)} is below "
            f"the {doing.farm.units.mass(before_g)} already in.",
            remedy="Read the scale again, or correct the weight before.",
            field="scale",
        )
    return draft.scale - before_g, draft.scale
