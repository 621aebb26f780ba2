"""From the book to a feed problem: what a ration is made of, its prices and targets, and what was asked beside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from herdbook.book.reading import entries as read_entries
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import rations as read_rations
from herdbook.chores.ground import Ground
from herdbook.chores.in_store import in_store
from herdbook.plain import plain
from herdbook.reports.parts_of import MILLION, FeedFacts, leaf_parts
from herdbook.reports.ration import end_of_day
from herdbook.reports.suggestion_asks import LEAST_COST, REFUSE
from herdbook.reports.suggestion_ceilings import ceilings_of, ceilings_said, counted_under
from herdbook.reports.suggestion_feeds import (
    Asked,
    Items,
    Lacking,
    Offered,
    counted,
    feed_notes,
    feed_of,
    is_held_unpriced,
    on_offer,
    with_the_store,
)
from herdbook.reports.suggestion_words import amount_said
from herdbook.science.figures import amount_of, figure_value, ration_figures
from herdbook.science.ration import Totals, totals
from herdbook.solving.programme import TARGET, Limit, Programme


@dataclass(frozen=True, slots=True)
class Question:
    """A problem stated from the book; it needs the book no more and may be solved in a thread.

    Attributes:
        programme: the feeds and limits.
        offered: the feeds in the same order.
        asked: what was asked.
        today: totals of today's ration, as the ration's sheet has them.
        targets: low, aim and high by figure, as the problem takes them.
        targets_said: the sentence that set them; empty without one.
        target_entry: the entry they were set by.
        head_entries: the entries under the heads.
        notes: what a person must know of how the problem was stated.
        unpriced: feeds of the ration held for want of a price.
        lacking: what feeds of the ration lack that a limit counts with, and what stands in for it.
        cautions: feed -> what must be read before it is fed.
        ceilings: mineral -> the level it is kept under for want of a high target.
    """

    programme: Programme
    offered: tuple[Offered, ...]
    asked: Asked
    today: Totals
    targets: Mapping[str, TARGET]
    targets_said: str
    target_entry: int | None
    head_entries: tuple[int, ...]
    notes: tuple[str, ...]
    unpriced: tuple[str, ...]
    lacking: Lacking
    cautions: Mapping[str, str]
    ceilings: Mapping[str, float] = field(default_factory=dict)

    @property
    def entries(self) -> tuple[int, ...]:
        """Every entry under the problem: items, analyses, dry matter, prices and targets."""
        found = [number for one in self.offered for number in one.entries]
        return tuple(dict.fromkeys([*found, *([self.target_entry] if self.target_entry else [])]))


def state(
    connection: Any, ground: Ground, ration: int, items: Items, asked: Asked, day: date, *, entry: int = 0
) -> Question:
    """State the problem of a ration from the book.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        ration: which ration; its targets are the limits.
        items: its items as they stand, or as a draft has them.
        asked: what is wanted beside.
        day: analyses, prices and targets as on that day.
        entry: the entry that set the items.

    Raises:
        Refused: something asked for cannot be: a feed that is not on offer, or has no dry matter or no price.
    """
    facts = FeedFacts(connection, ground, day.isoformat(), end_of_day(ground, day))
    offered = on_offer(facts, items, asked, entry)
    if asked.from_store:
        asked = with_the_store(asked, offered, in_store(connection, ground))
    today = totals(leaf_parts([one.fed for one in offered]))
    rows = read_rations.targets_on(connection, ration, day.isoformat())
    set_by = rows[0]["entry"] if rows else None
    targets, notes = targets_asked(rows, asked, today, ground)
    limits, set_aside = _limits(targets, today)
    feeds = tuple(feed_of(one, facts, asked, ground) for one in offered)
    above, ceilings = ceilings_of(feeds, limits, today, asked.without)
    feeds = counted_under(feeds, limits, ceilings)
    limits = (*limits, *above)
    feeds, lacking = counted(feeds, limits, asked, today)
    heads, head_entries = heads_of(connection, ground, ration, day)
    return Question(
        Programme(
            feeds,
            limits,
            asked.heads or heads,
            asked.days,
            "refuse" if asked.unknown == REFUSE else "leave out",
        ),
        offered,
        asked,
        today,
        targets,
        _said(connection, set_by),
        set_by,
        head_entries if asked.heads is None else (),
        (*notes, *set_aside, *feed_notes(offered, facts, asked, ground), *ceilings_said(ceilings)),
        tuple(one.name for one in offered if is_held_unpriced(one, asked)),
        lacking,
        {one.name: facts.caution(one.feed) for one in offered if facts.caution(one.feed)},
        ceilings,
    )


def _said(connection: Any, entry: int | None) -> str:
    found = None if entry is None else read_entries.entry(connection, entry)
    return "" if found is None else f"{plain(found['said'])} (entry {entry})"


def targets_asked(
    rows: Sequence[Any], asked: Asked, today: Totals, ground: Ground
) -> tuple[dict[str, TARGET], list[str]]:
    """The targets as the problem takes them, and what must be told of them.

    Without a limit on dry matter the cheapest ration is none at all, so it is then held at today's.
    """
    bounds = ("low", "aim", "high")
    targets: dict[str, TARGET] = {
        row["figure"]: tuple(None if row[one] is None else row[one] / MILLION for one in bounds)  # type: ignore[misc]
        for row in rows
        if row["figure"] in ration_figures()
    }
    targets |= asked.limits
    targets = {key: its for key, its in targets.items() if key not in asked.without}
    low, _, high = targets.get("dm_intake", (None, None, None))
    if low is not None or high is not None or asked.aim != LEAST_COST or not today.dry_kg:
        return targets, []
    targets["dm_intake"] = (today.dry_kg, None, today.dry_kg)
    held = amount_said(today.dry_kg, ground)
    return targets, [f"Dry matter has no target, so it is held at today's {held}."]


def _limits(targets: Mapping[str, TARGET], today: Totals) -> tuple[tuple[Limit, ...], list[str]]:
    """Targets as limits; one whose figure no feed of the ration has an analysis for is set aside and told."""
    limits, told = [], []
    for key, (low, _, high) in targets.items():
        if low is None and high is None:
            continue
        if today.dry_kg and figure_value(key, today).value is None:
            label = ration_figures()[key].label
            told.append(f"{label} has a target but no feed of the ration has an analysis for it: set aside.")
            continue
        nutrient = amount_of(key)
        limits.append(Limit(nutrient or key, low, high, "amount" if nutrient else "figure"))
    return tuple(limits), told


def heads_of(connection: Any, ground: Ground, ration: int, day: date) -> tuple[float | None, tuple[int, ...]]:
    """Heads of the pens that get a ration on a day, each times its call, and the entries under them."""
    heads, entries = 0.0, []
    for pen in read_herd.pens(connection):
        row = read_rations.pen_ration_on(connection, pen.pen, day.isoformat())
        if row is None or row["ration"] != ration:
            continue
        counted_heads = read_herd.head_at(connection, pen.pen, ground.now_s)
        if counted_heads is None:
            return None, ()
        heads += counted_heads.head * row["call_ppm"] / MILLION
        entries += [counted_heads.entry, row["entry"]]
    return (heads or None), tuple(entries)
