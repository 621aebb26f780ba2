"""The nutritionist's targets for a ration: typed, kept from before, or started from bands in print."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from herdbook.book.reading import rations as read_rations
from herdbook.book.tables import Target, TargetSet
from herdbook.chores.asking import Name, Word, Words
from herdbook.chores.doing import NUTRITIONIST, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.meanwhile import ask_seen, see_nothing_newer
from herdbook.chores.moments import Day
from herdbook.chores.nutrient_asks import MILLION, FigureKey, TargetBounds
from herdbook.chores.repeated import Pair, Several
from herdbook.errors import Refused
from herdbook.science.starting_targets import GROUPS, starting_targets

AHEAD_DAYS = 120
LONGEST_WHY = 300


class TargetsDraft(ChoreDraft):
    """The nutritionist's targets for a ration, all of them, from a day on."""

    ration: Annotated[int, Name(label="ration", help="which ration", thing="ration")]
    target: Annotated[
        list[tuple[str, list[int | None], str]],
        Several(
            label="target",
            help="figure=low aim high, repeated; - where there is none",
            each=Pair(label="target", first=FigureKey(label="figure"), second=TargetBounds(label="bounds")),
            most=120,
        ),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    since: Annotated[
        date | None, Day(label="since", help="from which day; today if not given", ahead_days=AHEAD_DAYS)
    ] = None
    why: Annotated[str, Words(label="why", help="what they rest on", longest=LONGEST_WHY)] = ""
    from_guideline: Annotated[
        str | None,
        Word(
            label="from guideline",
            help="start from bands in print for such cows; targets that are given go before them",
            words=tuple(GROUPS),
        ),
    ] = None
    seen: Annotated[int | None, ask_seen("the targets")] = None


@chore("targets", "a ration's targets", TargetsDraft, roles=[NUTRITIONIST])
def set_targets(doing: Doing, draft: TargetsDraft) -> str:
    """Write a ration's targets; they replace the earlier ones from that day on.

    A target that is the same as before keeps the reason it had, unless a new one is given.
    """
    since = (draft.since or doing.ground.clock.farm_day(doing.ground.now_s)).isoformat()
    if not draft.target and draft.from_guideline is None:
        raise Refused(
            "target: nothing was given.",
            remedy="Give figure=low aim high, or a group to start from with `from guideline`.",
            field="target",
        )
    name = doing.ground.name_of("ration", draft.ration)
    sets = read_rations.target_sets(doing.book, draft.ration)
    see_nothing_newer(
        doing, draft.seen, ((one.entry, f"set targets of {name} from {one.from_day}") for one in sets)
    )
    before = {
        row["figure"]: row
        for row in read_rations.targets_on(doing.book, draft.ration, since)
        if row["entry"] != doing.corrects
    }
    wanted: dict[str, tuple[tuple[int | None, int | None, int | None], str]] = {}
    for figure, (low, aim, high), _ in draft.target:
        if figure in wanted:
            raise Refused(f"target {figure}: given twice.", remedy="Give each figure once.", field="target")
        was = before.get(figure)
        same = was is not None and (was["low"], was["aim"], was["high"]) == (low, aim, high)
        why = draft.why or (was["why"] if was is not None and same else "")
        wanted[figure] = ((low, aim, high), why)
    started = 0
    for one in starting_targets(draft.from_guideline) if draft.from_guideline else ():
        if one.figure not in wanted:
            low, aim, high = (None if bound is None else round(bound * MILLION) for bound in one[1:4])
            wanted[one.figure] = ((low, aim, high), one.why[:LONGEST_WHY])
            started += 1
    target_set = doing.put(TargetSet(ration=draft.ration, from_day=since))
    for figure, ((low, aim, high), why) in wanted.items():
        doing.add(Target(target_set=target_set, figure=figure, low=low, aim=aim, high=high, why=why))
    start = (
        f" {started} of them are bands in print for {draft.from_guideline} cows, a starting point to change;"
        " `herdbook show targets` has their sources."
        if started
        else ""
    )
    return f"{name}: {len(wanted)} targets from {since}.{start}"
