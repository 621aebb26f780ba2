"""The bunk: scores with their scales, push-ups, troughs and refusals of the last days, and what a rule advises."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

from herdbook.book.reading import bunks as read_bunks
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading.choices import choice_on
from herdbook.book.reading.herd import PenRow
from herdbook.chores.ground import Ground
from herdbook.reports.fed import PenDay, pen_days
from herdbook.reports.figures import Column, Figure, Line, Report, Table, days_between, entries_of
from herdbook.science.bunk_scores import bunk_score
from herdbook.science.call_rules import (
    DAYS_IN_VIEW,
    FEEDLOT_LONGEST,
    SOURCES,
    CallAdvice,
    DayScore,
    call_advice,
)

MILLION = 1_000_000
NO_RULE = "No rule is chosen: `herdbook write call-advice --rule dairy`."
A_PERSON_DECIDES = (
    "Advice only: a person who has seen the bunk decides, and writes the call with `pen-ration`."
)

ADVICE_COLUMNS = (
    Column("pen", "Pen"),
    Column("call_percent", "Call", "%", 1),
    Column("since", "Since", "day"),
    Column("rule", "Rule"),
    Column("change_percent", "Change", "%", 1),
    Column("call_to_percent", "Call then", "%", 1),
    Column("says", "Advice"),
    Column("cautions", "First"),
    Column("source", "Source"),
)
DAY_COLUMNS = (
    Column("day", "Day", "day"),
    Column("pen", "Pen"),
    Column("scores", "Scores"),
    Column("dropped_kg", "Dropped", "kg"),
    Column("refused_percent", "Refused", "%", 1),
    Column("push_ups", "Pushed up"),
    Column("troughs", "Troughs"),
)
SCORE_COLUMNS = (
    Column("read_at", "Read", "time"),
    Column("pen", "Pen"),
    Column("scale", "Scale"),
    Column("score", "Score"),
    Column("meaning", "Means"),
    Column("words", "Words"),
)


def make(
    connection: Any,
    ground: Ground,
    *,
    pen: int | None = None,
    of: date | None = None,
    days: int = DAYS_IN_VIEW,
) -> Report:
    """The last days at the bunk; four unless asked otherwise, as Boyles (Ohio State University) keeps in view.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        pen: only this pen.
        of: the last day; today if not given.
        days: how many days back, that day included.
    """
    last = of or ground.clock.farm_day(ground.now_s)
    first = last - timedelta(days=days - 1)
    pens = [one for one in read_herd.pens(connection) if pen in (None, one.pen)]
    fed = pen_days(connection, ground, first, last)
    advice = [_advice_line(connection, ground, one, last) for one in pens]
    day_lines = [
        _day_line(connection, ground, one, fed[one.pen, day])
        for day in reversed(days_between(first, last))
        for one in pens
    ]
    scores = read_bunks.scores(connection, *_span(ground, first, last), pen)
    return Report(
        "bunk",
        f"At the bunk, {first.isoformat()} to {last.isoformat()}",
        tables=(
            Table("advice", "The call", ADVICE_COLUMNS, tuple(advice)),
            Table("days", "By day and pen", DAY_COLUMNS, tuple(one for one in day_lines if _has_any(one))),
            Table(
                "scores", "Scores", SCORE_COLUMNS, tuple(_score_line(ground, row) for row in reversed(scores))
            ),
        ),
        warnings=(A_PERSON_DECIDES,),
    )


def _span(ground: Ground, first: date, last: date) -> tuple[int, int]:
    return ground.clock.day_starts(first), ground.clock.day_starts(last + timedelta(days=1))


def _advice_line(connection: Any, ground: Ground, pen: PenRow, last: date) -> Line:
    calls = read_bunks.calls_of(connection, pen.pen, last.isoformat())
    chosen = choice_on(connection, read_bunks.CALL_ADVICE, last.isoformat())
    rule = str(chosen["chosen"]) if chosen is not None else ""
    since = last - timedelta(days=FEEDLOT_LONGEST - 1)
    rows = read_bunks.scores(connection, *_span(ground, since, last), pen.pen)
    changed = _changed_on(calls)
    advice = CallAdvice("", None, NO_RULE)
    if rule in SOURCES:
        scores = [
            DayScore(ground.clock.farm_day(row["read_at"]).toordinal(), row["scale"], row["score"])
            for row in rows
        ]
        changed_day = date.fromisoformat(changed["from_day"]).toordinal() if changed is not None else None
        advice = call_advice(rule=rule, scores=scores, today=last.toordinal(), last_change_day=changed_day)
    its = calls[0] if calls else None
    call = Figure(
        its["call_ppm"] / 10_000 if its else None, "%", entries=entries_of(its["entry"] if its else None)
    )
    read = [row["entry"] for row in rows if row["scale"] == rule]
    under = entries_of(*read, chosen["entry"] if chosen else None, changed["entry"] if changed else None)
    then = None if call.number is None or not advice.change else call.number * (1 + advice.change / 100)
    told = f"the {rule} rule on the scores of its scale" if rule in SOURCES else "no rule is chosen"
    return Line(
        pen.name,
        {
            "pen": Figure(pen.name),
            "call_percent": call,
            "since": Figure(
                changed["from_day"] if changed else None,
                "day",
                entries=entries_of(changed["entry"] if changed else None),
            ),
            "rule": Figure(rule or None, entries=entries_of(chosen["entry"] if chosen else None)),
            "change_percent": Figure(advice.change, "%", told, entries=under),
            "call_to_percent": Figure(
                then,
                "%",
                "call times the change",
                {"call": call},
                entries=lambda: (*under(), *call.entries()),
            ),
            "says": Figure(advice.says, rule=told, entries=under),
            "cautions": Figure(" ".join(advice.cautions), rule=told, entries=under),
            "source": Figure(_cited(rule)),
        },
    )


def _cited(rule: str) -> str:
    from herdbook.science.sources import SOURCES as REFERENCES

    return "; ".join(REFERENCES[key].citation() for key in SOURCES.get(rule, ()))


def _changed_on(calls: Sequence[Any]) -> Any:
    """The entry that brought the call to what it is; none where the pen's first call still stands."""
    for newer, older in pairwise(calls):
        if newer["call_ppm"] != older["call_ppm"]:
            return newer
    return None


def _day_line(connection: Any, ground: Ground, pen: PenRow, its: PenDay) -> Line:
    span = _span(ground, its.day, its.day)
    scores = read_bunks.scores(connection, *span, pen.pen)
    pushed = read_bunks.push_ups(connection, *span, pen.pen)
    troughs = read_bunks.troughs(connection, *span, pen.pen)
    return Line(
        f"{its.day.isoformat()} {pen.name}",
        {
            "day": Figure(its.day.isoformat(), "day"),
            "pen": Figure(pen.name),
            "scores": Figure(
                ", ".join(f"{row['score']} {row['scale']}" for row in scores) or None,
                entries=entries_of(*(row["entry"] for row in scores)),
            ),
            "dropped_kg": Figure(
                its.dropped_g / 1000 if its.drop_entries else None,
                "kg",
                "sum of the drops",
                entries=entries_of(*its.drop_entries),
            ),
            "refused_percent": its.refused_percent,
            "push_ups": Figure(
                len(pushed) or None,
                rule="times pushed up, all pens' with its own",
                entries=entries_of(*(row["entry"] for row in pushed)),
            ),
            "troughs": Figure(
                ", ".join(row["state"] for row in troughs) or None,
                entries=entries_of(*(row["entry"] for row in troughs)),
            ),
        },
    )


def _has_any(line: Line) -> bool:
    return any(
        line[key].value is not None
        for key in ("scores", "dropped_kg", "refused_percent", "push_ups", "troughs")
    )


def _score_line(ground: Ground, row: Any) -> Line:
    under = entries_of(row["entry"])
    meaning = bunk_score(scale=row["scale"], score=row["score"]).meaning
    name = ground.name_of("pen", row["pen"])
    return Line(
        f"{ground.clock.local(row['read_at']):%Y-%m-%d %H:%M} {name}",
        {
            "read_at": Figure(row["read_at"], "time", entries=under),
            "pen": Figure(name, entries=under),
            "scale": Figure(row["scale"], entries=under),
            "score": Figure(row["score"], entries=under),
            "meaning": Figure(meaning, rule=f"the {row['scale']} scale's own words", entries=under),
            "words": Figure(row["note"], entries=under),
        },
    )
