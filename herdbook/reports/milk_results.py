"""What laboratories found in the tanks' milk: each result, how each figure goes, and where the counts stand."""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading.milk_results import BACTERIA_LIMIT, CELLS_LIMIT, count_limit_choices, milk_results
from herdbook.chores.ground import Ground
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.spans import Span
from herdbook.science.cell_score import cell_score
from herdbook.science.freezing_point import LEGAL_LIMIT_H, hortvet_to_degC
from herdbook.science.geometric_means import geometric_mean, rolling_mean
from herdbook.science.quality_counting import Result, Standing, standings
from herdbook.science.quality_limits import CountLimit, quality_limits

DAYS = 180
"""Days shown where no span is given: the counts of a permit look back six months (Alabama 420-3-16-.07)."""
LATEST = 5
"""Results that the newest is held beside; three of five decide a permit. Our choice."""
FAR = 2
"""Spreads from the middle at which a result is pointed at: common practice, no source."""
TOLD_DAYS = 60
"""Results older than this are not told of on Today: common practice, no source."""
DECIDE = "The buyer and the inspector decide what follows."
CHOSEN = {"cells": CELLS_LIMIT, "bacteria": BACTERIA_LIMIT}
WATER_RULE = "warmer than -0.525 °H is suspect of added water: Missouri 2 CSR 80-2.190"


@dataclass(frozen=True, slots=True)
class _Of:
    """A figure of a result: its column, what one kept part is, how it is shown."""

    column: str
    key: str
    label: str
    unit: str
    parts: int
    decimals: int


FIGURES = (
    _Of("fat_ppm", "fat_percent", "Fat", "%", 10_000, 2),
    _Of("protein_ppm", "protein_percent", "Protein", "%", 10_000, 2),
    _Of("cells_mL", "cells_thousand_per_mL", "Cells", "thousand/mL", 1_000, 0),
    _Of("bacteria_mL", "bacteria_thousand_per_mL", "Bacteria", "thousand/mL", 1_000, 0),
    _Of("urea_n_ug_dL", "urea_n_mg_per_dL", "Urea N", "mg/dL", 1_000, 1),
    _Of("freezing_udegC", "freezing_degC", "Freezes at", "°C", 1_000_000, 3),
)
COUNTED = {"cells": FIGURES[2], "bacteria": FIGURES[3]}

RESULT_COLUMNS = (
    Column("sampled_at", "Sampled", "time"),
    Column("tank", "Tank"),
    *(Column(one.key, one.label, one.unit, one.decimals) for one in FIGURES),
    Column("cell_score", "Cell score", "", 1),
    Column("laboratory", "Laboratory"),
    Column("number", "Number"),
    Column("reported_day", "Reported", "day"),
    Column("words", "Words"),
    Column("entry", "Entry"),
)
TREND_COLUMNS = (
    Column("figure", "Figure"),
    Column("newest", "Newest", "", 3),
    Column("before", "Before", "", 3),
    Column("change", "Change", "", 3),
    Column("spread", "Usual spread", "", 3),
    Column("results", "Results"),
    Column("unit", "In"),
)
STANDING_COLUMNS = (
    Column("limit", "Limit"),
    Column("of_thousand_per_mL", "At", "thousand/mL", 0),
    Column("newest_thousand_per_mL", "Newest", "thousand/mL", 0),
    Column("mean_thousand_per_mL", "Geometric mean", "thousand/mL", 0),
    Column("bad_of_4", "Over, of 4"),
    Column("bad_of_5", "Over, of 5"),
    Column("stands", "Stands"),
    Column("says", "In words"),
)


def make(connection: Any, ground: Ground, *, tank: int | None = None, of: Span | None = None) -> Report:
    """Results of a span, the way each figure goes, and where counts stand against the chosen limits.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        tank: only of this tank; of all if not given.
        of: farm days of sampling; the last 180 if not given.
    """
    today = ground.clock.farm_day(ground.now_s)
    span = of or Span(today - timedelta(days=DAYS - 1), today)
    first_s = ground.clock.day_starts(span.first)
    rows = milk_results(connection, first_s, ground.clock.day_starts(span.last + timedelta(days=1)), tank)
    stands = list(
        standing_lines(rows, ground, count_limit_choices(connection, span.last.isoformat()), span.last)
    )
    which = "" if tank is None else f" of {ground.name_of('tank', tank)}"
    return Report(
        "milk-results",
        f"Laboratory results of milk{which}, {span}",
        facts={
            "results": Figure(
                len(rows),
                rule="samples taken in the span",
                entries=entries_of(*(row["entry"] for row in rows)),
            )
        },
        columns={"results": Column("results", "Results")},
        tables=(
            Table("limits", "Against the limits", STANDING_COLUMNS, tuple(stands), _none_chosen()),
            Table("trends", "How they go", TREND_COLUMNS, tuple(_trends(rows)), "Fewer than two results."),
            Table(
                "results",
                "Results, newest first",
                RESULT_COLUMNS,
                tuple(_line(row, ground) for row in reversed(rows)),
                "No result in these days: `herdbook write milk-result`.",
            ),
        ),
        warnings=tuple(words for words in warnings_of(rows, ground, stands)),
    )


def _none_chosen() -> str:
    return "No limit is chosen: `herdbook write milk-limits --cells us-cells --bacteria us-bacteria`."


def _line(row: Any, ground: Ground) -> Line:
    under = entries_of(row["entry"])
    cells = row["cells_mL"]
    figures = {one.key: Figure(_value(one, row), one.unit, entries=under) for one in FIGURES}
    if _is_watery(row):
        figures["freezing_degC"] = Figure(
            _value(FIGURES[5], row), "°C", WATER_RULE, entries=under, flag="!", says="look"
        )
    return Line(
        f"{ground.clock.shown(row['sampled_at'])} {row['number']}".strip(),
        {
            "sampled_at": Figure(row["sampled_at"], "time", entries=under),
            "tank": Figure(ground.name_of("tank", row["tank"]), entries=under),
            **figures,
            "cell_score": Figure(
                None if not cells else cell_score(cells=cells),
                "",
                "cell-score",
                {"cells": cells},
                entries=under,
            ),
            "laboratory": Figure(row["laboratory"] or None, entries=under),
            "number": Figure(row["number"] or None, entries=under),
            "reported_day": Figure(row["reported_day"], "day", entries=under),
            "words": Figure(row["words"] or None, entries=under),
            "entry": Figure(row["entry"], entries=under),
        },
    )


def _value(one: _Of, row: Any) -> float | None:
    return None if row[one.column] is None else row[one.column] / one.parts


def _is_watery(row: Any) -> bool:
    found = row["freezing_udegC"]
    return found is not None and found / 1_000_000 > hortvet_to_degC(hortvet=LEGAL_LIMIT_H) + 5e-7


def _trends(rows: Sequence[Any]) -> Iterator[Line]:
    """Each figure's newest beside the five before it, and how far single results lie apart."""
    for one in FIGURES:
        known = [row for row in rows if row[one.column] is not None]
        if len(known) < 2:
            continue
        values = [row[one.column] / one.parts for row in known]
        newest, earlier = values[-1], values[-1 - LATEST : -1]
        counts = one.unit == "thousand/mL"  # counts multiply: their middle is a geometric mean
        before = _middle(earlier, counts=counts)
        spread = statistics.stdev(earlier) if len(earlier) > 2 else None
        far = spread is not None and abs(newest - before) > FAR * spread > 0
        under = entries_of(*(row["entry"] for row in known[-1 - LATEST :]))
        rule = f"{'geometric mean' if counts else 'mean'} of up to {LATEST} results before the newest"
        yield Line(
            one.label,
            {
                "figure": Figure(one.label),
                "newest": Figure(newest, one.unit, entries=under),
                "before": Figure(before, one.unit, rule, entries=under),
                "change": Figure(
                    newest - before, one.unit, f"newest less the {rule}", entries=under,
                    flag="!" if far else "", says="look" if far else "",
                ),
                "spread": Figure(spread, one.unit, "standard deviation of those before the newest", entries=under),
                "results": Figure(len(known), entries=under),
                "unit": Figure(one.unit),
            },
        )  # fmt: skip


def _middle(values: Sequence[float], *, counts: bool) -> float:
    return geometric_mean(max(one, 0.001) for one in values) if counts else statistics.fmean(values)


def standing_lines(
    rows: Sequence[Any], ground: Ground, chosen: Mapping[str, str], last: date
) -> Iterator[Line]:
    """Where cells and bacteria stand against the limits that were chosen.

    Args:
        rows: results, oldest first.
        ground: the farm's clock.
        chosen: keys of the limits by what the choice is of.
        last: the last day looked at; a rolling mean ends with the last month that is over by then.
    """
    for what, choice in CHOSEN.items():
        limit = quality_limits().get(chosen.get(choice, ""))
        known = [row for row in rows if row[COUNTED[what].column] is not None]
        if limit is not None and known:
            yield _standing(limit, known, COUNTED[what].column, ground, last)


def _standing(limit: CountLimit, rows: Sequence[Any], column: str, ground: Ground, last: date) -> Line:
    days = [(ground.clock.farm_day(row["sampled_at"]), float(row[column])) for row in rows]
    under = entries_of(*(row["entry"] for row in rows))
    rule = f"{limit.title}, {limit.source}"
    newest = days[-1][1]
    if limit.counted == "n of m":
        one = standings(
            (Result(day, count, at) for at, (day, count) in enumerate(days)),
            limit.violates,
            resample_from_days=limit.resample_from_days,
            resample_until_days=limit.resample_until_days,
        )[-1]
        word, says = _counted_words(one, limit)
        mean, of_4, of_5 = None, one.bad_of_4, one.bad_of_5
    else:
        month_end = last.replace(day=1) - timedelta(days=1)
        found = rolling_mean(
            days, last_month=month_end, months=limit.months, least_a_month=limit.least_a_month
        )
        mean, of_4, of_5 = found.value, None, None
        over = found.value is not None and limit.violates(found.value)
        word = "over" if over else "not decided" if not found.enough else "kept"
        says = f"over {limit.months} months to {month_end:%Y-%m}" + (f"; {found.why}" if found.why else "")
    loud = {"suspended": "!!", "over": "!!", "notice": "!"}.get(word, "")
    return Line(
        limit.key,
        {
            "limit": Figure(
                limit.title + (", told by another work" if limit.read != "text" else ""), rule=rule
            ),
            "of_thousand_per_mL": Figure(limit.value / 1000, "thousand/mL", rule),
            "newest_thousand_per_mL": Figure(newest / 1000, "thousand/mL", entries=under),
            "mean_thousand_per_mL": Figure(
                None if mean is None else mean / 1000, "thousand/mL", rule, entries=under
            ),
            "bad_of_4": Figure(of_4, rule=rule, entries=under),
            "bad_of_5": Figure(of_5, rule=rule, entries=under),
            "stands": Figure(word, rule=rule, entries=under, flag=loud, says=word),
            "says": Figure(says, rule=rule, entries=under),
        },
    )


def _counted_words(one: Standing, limit: CountLimit) -> tuple[str, str]:
    if one.suspend:
        return "suspended", f"{one.bad_of_5} of the last 5 over it: three suspend a permit"
    if one.notice in ("issued", "in force"):
        window = ""
        if one.resample_from is not None:
            until = f" to {one.resample_until.isoformat()}" if one.resample_until is not None else " on"
            window = f"; the next sample counts from {one.resample_from.isoformat()}{until}"
        return "notice", f"{one.bad_of_4} of the last 4 over it: two bring a notice{window}"
    return (
        "over once" if one.violates else "kept"
    ), "newest over it" if one.violates else "newest not over it"


def warnings_of(rows: Sequence[Any], ground: Ground, stands: Iterable[Line]) -> Iterator[str]:
    """What must be said of the newest results."""
    for line in stands:
        if line["stands"].flag:
            yield f"{line['limit'].value}: {line['stands'].value}, {line['says'].value}. {DECIDE}"
    newest: dict[int, Any] = {row["tank"]: row for row in rows if row["freezing_udegC"] is not None}
    for tank, row in newest.items():
        if _is_watery(row):
            yield (
                f"{ground.name_of('tank', tank)}, sample of {ground.clock.shown(row['sampled_at'])}: it freezes at "
                f"{row['freezing_udegC'] / 1_000_000:.3f} °C, warmer than milk without water. {DECIDE}"
            )


def results_now(connection: Any, ground: Ground) -> list[tuple[str, tuple[int, ...]]]:
    """What must be said today of the newest results, with their entries; nothing of results older than `TOLD_DAYS`."""
    today = ground.clock.farm_day(ground.now_s)
    rows = milk_results(connection, ground.now_s - DAYS * 86_400, ground.now_s + 1)
    if not rows or ground.now_s - rows[-1]["sampled_at"] > TOLD_DAYS * 86_400:
        return []
    stands = standing_lines(rows, ground, count_limit_choices(connection, today.isoformat()), today)
    return [(words, (rows[-1]["entry"],)) for words in warnings_of(rows, ground, stands)]


__all__ = ["make", "results_now"]
