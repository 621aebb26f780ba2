"""A feed's dry matter over time: tests and analyses, how far subsamples lay apart, and which change matters."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from herdbook.book.reading import farm as read_farm
from herdbook.book.reading import feeds as read_feeds
from herdbook.chores.dry_effect import effect_of_dry_matter
from herdbook.chores.dry_limits import STEP_PPM, TESTER_PPM
from herdbook.chores.ground import Ground
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of

COLUMNS = (
    Column("day", "Day", "day"),
    Column("how", "How"),
    Column("dm_percent", "DM %", "%", 1),
    Column("change_percent", "Change", "%", 1),
    Column("matters", "It matters"),
    Column("samples", "Samples"),
    Column("spread_percent", "Apart", "%", 1),
)
FACT_COLUMNS = {
    "dm_percent": Column("dm_percent", "Dry matter in force", "%", 1),
    "dm_from": Column("dm_from", "From"),
    "step_percent": Column("step_percent", "Step that is asked about", "%", 1),
}
MATTERS_RULE = (
    "more than the 2 points that testers differ by is a change; more than the farm's own step is asked about "
    "(Weiss, Hay & Forage Grower)"
)


@dataclass(frozen=True, slots=True)
class _Found:
    """One finding of dry matter, by test or by analysis."""

    day: str
    at: int
    how: str
    dry_ppm: int
    entry: int
    subsamples_ppm: tuple[int, ...] = ()


def make(connection: Any, ground: Ground, *, feed: int) -> Report:
    """A feed's dry matter as it was found, newest first.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        feed: the feed.
    """
    today = ground.clock.farm_day(ground.now_s).isoformat()
    step = read_farm.farm(connection).dry_step_ppm or STEP_PPM
    dry = read_feeds.dry_matter_at(connection, feed, ground.now_s, today)
    lines = tuple(_lines(_found(connection, feed), step))[::-1]
    effect = _effect(connection, ground, feed)
    return Report(
        "dry-matter",
        f"Dry matter of {ground.name_of('feed', feed)}",
        facts={
            "dm_percent": Figure(
                dry.dry_ppm / 10_000 if dry else None, "%", entries=entries_of(*(dry.entries if dry else ()))
            ),
            "dm_from": Figure(dry.since if dry else None, entries=entries_of(*(dry.entries if dry else ()))),
            "step_percent": Figure(step / 10_000, "%", "the farm's own, else 5 points"),
        },
        columns=FACT_COLUMNS,
        tables=(Table("tests", "As it was found", COLUMNS, lines),),
        warnings=effect,
    )


def _found(connection: Any, feed: int) -> list[_Found]:
    tests = [
        _Found(
            one.farm_day,
            one.tested_at,
            f"test {one.method}".strip(),
            one.dry_ppm,
            one.entry,
            one.subsamples_ppm,
        )
        for one in read_feeds.dry_tests(connection, feed)
    ]
    analyses = [
        _Found(one.sampled_on, 0, f"analysis {one.number}".strip(), one.dry_ppm, one.entry)
        for one in read_feeds.analyses(connection, feed)
    ]
    return sorted([*tests, *analyses], key=lambda one: (one.day, one.at))


def _lines(found: list[_Found], step_ppm: int) -> Iterator[Line]:
    before: _Found | None = None
    for one in found:
        under = entries_of(one.entry)
        moved = None if before is None else one.dry_ppm - before.dry_ppm
        both = entries_of(one.entry, before.entry if before else None)
        word = ""
        if moved is not None:
            word = "long step" if abs(moved) > step_ppm else "yes" if abs(moved) >= TESTER_PPM else "no"
        apart = max(one.subsamples_ppm) - min(one.subsamples_ppm) if len(one.subsamples_ppm) > 1 else None
        yield Line(
            f"{one.day} {one.how}",
            {
                "day": Figure(one.day, "day", entries=under),
                "how": Figure(one.how, entries=under),
                "dm_percent": Figure(one.dry_ppm / 10_000, "%", entries=under),
                "change_percent": Figure(
                    None if moved is None else moved / 10_000, "%", "less the one before", entries=both
                ),
                "matters": Figure(
                    word or None, rule=MATTERS_RULE, entries=both, flag="!" if word == "long step" else ""
                ),
                "samples": Figure(len(one.subsamples_ppm) or None, entries=under),
                "spread_percent": Figure(
                    None if apart is None else apart / 10_000,
                    "%",
                    "highest less lowest subsample",
                    entries=under,
                ),
            },
        )
        before = one


def _effect(connection: Any, ground: Ground, feed: int) -> tuple[str, ...]:
    """What the newest test changed in the rations, against the dry matter before it."""
    tests = read_feeds.dry_tests(connection, feed)
    if not tests:
        return ()
    newest = tests[-1]
    return effect_of_dry_matter(connection, ground, feed, newest.dry_ppm, at_s=newest.tested_at - 1)
